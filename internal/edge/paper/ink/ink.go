// Package ink draws pictures for phones: filled shapes, patterns that tell shapes apart without colour, symbols, and text in both
// directions of writing.
//
// A [Drawing] is a list of marks, each with the box that it takes, so that a layout can be checked without looking at dots;
// [Drawing.PNG] turns it into bytes, the same for the same marks. Places are given from the side at which writing begins: in a
// drawing that runs from right to left everything is mirrored, and no caller says left or right.
//
// What a picture means is not known here: see the package chart.
package ink

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"maps"
	"slices"
)

// Box is a part of the picture in dots, from its left upper corner.
type Box struct{ X, Y, W, H float64 }

// Meets reports whether two boxes have dots in common.
func (b Box) Meets(o Box) bool {
	return b.X < o.X+o.W && o.X < b.X+b.W && b.Y < o.Y+o.H && o.Y < b.Y+b.H
}

// Within reports whether the box lies in the other, to a hundredth of a dot.
func (b Box) Within(o Box) bool {
	const e = 0.01
	return b.X >= o.X-e && b.Y >= o.Y-e && b.X+b.W <= o.X+o.W+e && b.Y+b.H <= o.Y+o.H+e
}

// Mark is one thing that is drawn. Name says what it stands for, to whoever looks at the marks.
type Mark struct {
	Name   string
	Box    Box // as drawn: mirrored where the picture is
	Fill   Fill
	Symbol Symbol // in place of a shape
	Text   string // in place of a shape
	Bold   bool
	Size   float64 // of text, in dots

	line   line
	points []point // of a shape other than the box; in dots
	round  float64
}

// Fill is how a shape is filled and bounded.
type Fill struct {
	Paper   color.RGBA // the ground; wholly clear is none
	Pattern Pattern
	Ink     color.RGBA // of the pattern, of a symbol and of text
	Edge    color.RGBA // of the outline; wholly clear is none
	Width   float64    // of the outline, inside the box
	Dashed  bool
}

// Drawing is a picture in the making.
type Drawing struct {
	W, H  int
	RTL   bool // everything is mirrored
	Paper color.RGBA
	Marks []Mark

	fonts *fonts
}

// New begins a picture. Its height can be set until it is turned into bytes.
func New(width int, rtl bool, paper color.RGBA) (*Drawing, error) {
	f, err := newFonts(rtl)
	if err != nil {
		return nil, err
	}
	return &Drawing{W: width, RTL: rtl, Paper: paper, fonts: f}, nil
}

// Next begins another picture like this one.
func (d *Drawing) Next() *Drawing {
	return &Drawing{W: d.W, RTL: d.RTL, Paper: d.Paper, fonts: d.fonts}
}

// place mirrors a box where the picture is.
func (d *Drawing) place(b Box) Box {
	if d.RTL {
		b.X = float64(d.W) - b.X - b.W
	}
	return b
}

// Rect draws a rectangle with round corners; X counts from the beginning of writing.
func (d *Drawing) Rect(name string, b Box, f Fill, round float64) {
	if b.W > 0 && b.H > 0 {
		d.Marks = append(d.Marks, Mark{Name: name, Box: d.place(b), Fill: f, round: min(round, b.W/2, b.H/2)})
	}
}

// Arrow draws a triangle in the box that points to where time goes, or back.
func (d *Drawing) Arrow(name string, b Box, f Fill, on bool) {
	b = d.place(b)
	from, to := b.X, b.X+b.W
	if on == d.RTL {
		from, to = to, from
	}
	d.Marks = append(d.Marks, Mark{Name: name, Box: b, Fill: f, points: []point{{from, b.Y}, {to, b.Y + b.H/2}, {from, b.Y + b.H}}})
}

// Draw draws a symbol that fills the box.
func (d *Drawing) Draw(name string, s Symbol, b Box, c color.RGBA) {
	d.Marks = append(d.Marks, Mark{Name: name, Box: d.place(b), Symbol: s, Fill: Fill{Ink: c}})
}

// Style is how text is set. On is the colour below it, by which contrast can be checked.
type Style struct {
	Size    float64
	Bold    bool
	Ink, On color.RGBA
}

// Height is that of a line of text, in dots.
func (s Style) Height() float64 { return s.Size * 1.24 }

// Write sets one line of text, of which the upper beginning is at the place. It gives the width.
func (d *Drawing) Write(name string, x, y float64, text string, s Style) float64 {
	l := d.fonts.line(text, s)
	d.Marks = append(d.Marks, Mark{
		Name: name, Box: d.place(Box{x, y, l.width, s.Height()}), Text: text, Bold: s.Bold, Size: s.Size,
		Fill: Fill{Ink: s.Ink, Paper: s.On}, line: l,
	})
	return l.width
}

// Width is that of a line of text, in dots.
func (d *Drawing) Width(text string, s Style) float64 { return d.fonts.line(text, s).width }

// Wrap breaks a text into lines of at most the width.
func (d *Drawing) Wrap(text string, s Style, width float64) []string {
	return d.fonts.wrap(text, s, width)
}

// PNG is the picture.
func (d *Drawing) PNG() ([]byte, error) {
	if d.W < 1 || d.H < 1 || d.W > 1<<14 || d.H > 1<<14 {
		return nil, fmt.Errorf("a picture of %d by %d dots is none", d.W, d.H)
	}
	img := image.NewRGBA(image.Rect(0, 0, d.W, d.H))
	draw.Draw(img, img.Bounds(), image.NewUniform(d.Paper), image.Point{}, draw.Src)
	p := &painter{img: img}
	for _, m := range d.Marks {
		switch {
		case m.Text != "":
			d.fonts.paint(p, m)
		case m.Symbol != nil:
			m.Symbol(&pen{p, m.Box, m.Fill.Ink})
		default:
			p.shape(m)
		}
	}
	var out bytes.Buffer
	enc := png.Encoder{CompressionLevel: png.DefaultCompression}
	if err := enc.Encode(&out, indexed(img)); err != nil {
		return nil, fmt.Errorf("write the picture: %w", err)
	}
	return out.Bytes(), nil
}

// indexed is the picture with a palette, which makes a file a third as large. Whole areas keep their very colour; the edges of
// letters and shapes, which blend two colours, are brought to fewer of them until a palette holds all.
func indexed(img *image.RGBA) image.Image {
	count := map[[3]uint8]int{}
	for i := 0; i < len(img.Pix); {
		c, j := [3]uint8(img.Pix[i:i+3]), i+4 // most dots are like the one before
		for j < len(img.Pix) && [3]uint8(img.Pix[j:j+3]) == c {
			j += 4
		}
		count[c] += (j - i) / 4
		i = j
	}
	large := len(img.Pix) / 4 / 500
	for _, steps := range []int{15, 11, 8, 6, 5, 4} {
		to := map[[3]uint8][3]uint8{}
		used := map[[3]uint8]bool{}
		for c, n := range count {
			k := c
			if n < large {
				for x, v := range c {
					k[x] = uint8((int(v)*steps + 127) / 255 * 255 / steps)
				}
			}
			to[c], used[k] = k, true
		}
		if len(used) <= 256 {
			return withPalette(img, to, used)
		}
	}
	return img
}

// withPalette is the picture with each colour in place of which another stands.
func withPalette(img *image.RGBA, to map[[3]uint8][3]uint8, used map[[3]uint8]bool) image.Image {
	colors := slices.SortedFunc(maps.Keys(used), func(a, b [3]uint8) int { return bytes.Compare(a[:], b[:]) })
	index := map[[3]uint8]uint8{}
	var palette color.Palette
	for i, c := range colors {
		index[c] = uint8(i)
		palette = append(palette, color.RGBA{c[0], c[1], c[2], 255})
	}
	out := image.NewPaletted(img.Bounds(), palette)
	var last [3]uint8
	k := index[to[last]]
	for i, j := 0, 0; i < len(img.Pix); i, j = i+4, j+1 {
		if c := [3]uint8(img.Pix[i : i+3]); c != last || j == 0 {
			last, k = c, index[to[c]]
		}
		out.Pix[j] = k
	}
	return out
}
