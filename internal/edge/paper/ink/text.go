package ink

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"sync"
	"unicode"

	"github.com/go-fonts/dejavu/dejavusans"
	"github.com/go-fonts/dejavu/dejavusansbold"
	"github.com/go-text/typesetting/di"
	"github.com/go-text/typesetting/font"
	"github.com/go-text/typesetting/font/opentype"
	"github.com/go-text/typesetting/language"
	"github.com/go-text/typesetting/shaping"
	"golang.org/x/image/math/fixed"
)

// The font carries Latin and Hebrew letters, and is free to be passed on with a program.
var parsed = sync.OnceValues(func() ([2]*font.Font, error) {
	var out [2]*font.Font
	for i, raw := range [2][]byte{dejavusans.TTF, dejavusansbold.TTF} {
		f, err := font.ParseTTF(bytes.NewReader(raw))
		if err != nil {
			return out, fmt.Errorf("read the font: %w", err)
		}
		out[i] = f.Font
	}
	return out, nil
})

// fonts sets text for one picture, and remembers what it has set.
type fonts struct {
	faces   [2]*font.Face
	rtl     bool
	shaper  shaping.HarfbuzzShaper
	split   shaping.Segmenter
	wrapper shaping.LineWrapper
	memo    map[setting]line
}

type setting struct {
	text string
	size float64
	bold bool
}

// line is a set line of text: its parts from left to right.
type line struct {
	width float64
	parts []part
}

// part is a piece of a line in one direction.
type part struct {
	face   *font.Face
	x      float64
	glyphs []shaping.Glyph
}

func newFonts(rtl bool) (*fonts, error) {
	all, err := parsed()
	if err != nil {
		return nil, err
	}
	return &fonts{faces: [2]*font.Face{font.NewFace(all[0]), font.NewFace(all[1])}, rtl: rtl, memo: map[setting]line{}}, nil
}

// one gives a whole text to one face: what the font lacks is drawn as its empty box.
type one struct{ face *font.Face }

func (o one) ResolveFace(rune) *font.Face { return o.face }

// tidy makes a text one line that can be drawn.
func tidy(text string) string {
	return strings.Join(strings.FieldsFunc(strings.ToValidUTF8(text, "?"), func(r rune) bool {
		return unicode.IsSpace(r) && r != '\u00a0' || unicode.IsControl(r)
	}), " ")
}

func dots(x fixed.Int26_6) float64 { return float64(x) / 64 }

// shape sets a text in the order of its letters.
func (f *fonts) shape(runes []rune, s Style) []shaping.Output {
	in := shaping.Input{
		Text: runes, RunEnd: len(runes), Direction: f.direction(), Size: fixed.Int26_6(s.Size * 64),
		Script: language.Latin, Language: language.NewLanguage("en"),
	}
	if f.rtl {
		in.Script, in.Language = language.Hebrew, language.NewLanguage("he")
	}
	face := f.faces[0]
	if s.Bold {
		face = f.faces[1]
	}
	var out []shaping.Output
	for _, run := range f.split.Split(in, one{face}) {
		out = append(out, f.shaper.Shape(run))
	}
	return out
}

func (f *fonts) direction() di.Direction {
	if f.rtl {
		return di.DirectionRTL
	}
	return di.DirectionLTR
}

// whole puts a hyphen at which no line is broken between Latin letters: within a text from right to left, the two halves of such
// a word would stand in the wrong order.
func whole(runes []rune) []rune {
	latin := func(i int) bool { return i >= 0 && i < len(runes) && runes[i] < 0x250 && unicode.IsLetter(runes[i]) }
	out := slices.Clone(runes)
	for i, r := range out {
		if r == '-' && latin(i-1) && latin(i+1) {
			out[i] = '\u2011'
		}
	}
	return out
}

// broken sets a text in lines of at most the width, each with the runs in the order of the text.
func (f *fonts) broken(runes []rune, s Style, width int) []shaping.Line {
	if f.rtl {
		runes = whole(runes)
	}
	lines, _ := f.wrapper.WrapParagraph(shaping.WrapConfig{Direction: f.direction()}, width, runes, shaping.NewSliceIterator(f.shape(runes, s)))
	return lines
}

// line sets a text in one line.
func (f *fonts) line(text string, s Style) line {
	key := setting{text, s.Size, s.Bold}
	if l, ok := f.memo[key]; ok {
		return l
	}
	var out line
	if runes := []rune(tidy(text)); len(runes) > 0 {
		const unbounded = 1 << 20
		for _, l := range f.broken(runes, s, unbounded) {
			l = slices.Clone(l)
			slices.SortStableFunc(l, func(a, b shaping.Output) int { return int(a.VisualIndex - b.VisualIndex) })
			for _, run := range l {
				out.parts = append(out.parts, part{run.Face, out.width, slices.Clone(run.Glyphs)})
				out.width += dots(run.Advance)
			}
		}
	}
	f.memo[key] = out
	return out
}

// wrap breaks a text into lines of at most the width, at the places at which its writing allows it, and elsewhere only where a
// word is wider than that.
func (f *fonts) wrap(text string, s Style, width float64) []string {
	runes := []rune(tidy(text))
	if len(runes) == 0 {
		return nil
	}
	var out []string
	for _, l := range f.broken(runes, s, max(1, int(width))) {
		from, to := len(runes), 0
		for _, run := range l {
			from, to = min(from, run.Runes.Offset), max(to, run.Runes.Offset+run.Runes.Count)
		}
		if from < to {
			out = append(out, strings.TrimSpace(string(runes[from:to])))
		}
	}
	return out
}

// paint draws a line of text in its box.
func (f *fonts) paint(p *painter, m Mark) {
	size := fixed.Int26_6(m.Size * 64)
	for _, part := range m.line.parts {
		scale := dots(size) / float64(part.face.Upem())
		x, base := m.Box.X+part.x, m.Box.Y+m.Size*0.97
		for _, g := range part.glyphs {
			if o, ok := part.face.GlyphDataOutline(g.GlyphID); ok {
				p.glyph(o.Segments, x+dots(g.XOffset), base-dots(g.YOffset), scale, m)
			}
			x += dots(g.Advance)
		}
	}
}

// glyph draws one letter.
func (p *painter) glyph(segments []opentype.Segment, x, y, scale float64, m Mark) {
	if len(segments) == 0 {
		return
	}
	at := func(a opentype.SegmentPoint) point { return point{x + float64(a.X)*scale, y - float64(a.Y)*scale} }
	box := Box{x - m.Size, m.Box.Y - m.Size, 4 * m.Size, 4 * m.Size}
	p.fill(box, m.Fill.Ink, func(o *outline) {
		for i, s := range segments {
			switch s.Op {
			case opentype.SegmentOpMoveTo:
				if i > 0 {
					o.close()
				}
				o.move(at(s.Args[0]))
			case opentype.SegmentOpLineTo:
				o.line(at(s.Args[0]))
			case opentype.SegmentOpQuadTo:
				o.quad(at(s.Args[0]), at(s.Args[1]))
			case opentype.SegmentOpCubeTo:
				o.cube(at(s.Args[0]), at(s.Args[1]), at(s.Args[2]))
			}
		}
		o.close()
	})
}
