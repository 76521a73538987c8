package ink

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

var (
	black = color.RGBA{A: 255}
	white = color.RGBA{255, 255, 255, 255}
	plain = Style{Size: 28, Ink: black, On: white}
)

func drawing(t testing.TB, width int, rtl bool) *Drawing {
	t.Helper()
	d, err := New(width, rtl, white)
	require.NoError(t, err)
	d.H = 200
	return d
}

func seen(t testing.TB, d *Drawing) image.Image {
	t.Helper()
	raw, err := d.PNG()
	require.NoError(t, err)
	img, err := png.Decode(bytes.NewReader(raw))
	require.NoError(t, err)
	return img
}

// darkness is how much ink lies in the box, in dots.
func darkness(img image.Image, b Box) float64 {
	n := 0.0
	for y := int(b.Y); y < int(b.Y+b.H); y++ {
		for x := int(b.X); x < int(b.X+b.W); x++ {
			r, _, _, _ := img.At(x, y).RGBA()
			n += 1 - float64(r)/0xffff
		}
	}
	return n
}

func TestARectangleIsWhereItWasPut(t *testing.T) {
	for _, rtl := range []bool{false, true} {
		d := drawing(t, 400, rtl)
		d.Rect("r", Box{20, 30, 100, 40}, Fill{Paper: black}, 0)
		at := Box{20, 30, 100, 40}
		if rtl {
			at.X = 400 - 20 - 100
		}
		require.Equal(t, at, d.Marks[0].Box)
		img := seen(t, d)
		require.InDelta(t, 4000, darkness(img, at), 1)
		require.InDelta(t, 4000, darkness(img, Box{0, 0, 400, 200}), 1)
	}
}

// In Hebrew the first letter of a line stands at the right, a number within it is read from left to right (Unicode Standard
// Annex 9, rules W and L2), and the whole line ends at the place from which it was begun, mirrored.
func TestTextInBothDirections(t *testing.T) {
	order := func(rtl bool, text string) string {
		d := drawing(t, 800, rtl)
		runes := []rune(text)
		out := ""
		for _, p := range d.fonts.line(text, plain).parts {
			for _, g := range p.glyphs {
				out += string(runes[g.TextIndex()])
			}
		}
		return out
	}
	require.Equal(t, "abc 12", order(false, "abc 12"))
	require.Equal(t, "12 גבא", order(true, "אבג 12"))
	require.Equal(t, "abc גבא", order(true, "אבג abc"))
	require.Equal(t, "abc גבא", order(false, "abc אבג"))
	require.Equal(t, "דג 12:30 בא", order(true, "אב 12:30 גד"))

	d := drawing(t, 800, true)
	w := d.Write("t", 50, 20, "אבג 12", plain)
	require.InDelta(t, 800-50-w, d.Marks[0].Box.X, 1e-9)
	img := seen(t, d)
	require.Greater(t, darkness(img, d.Marks[0].Box), 100.0)
	require.InDelta(t, darkness(img, Box{0, 0, 800, 200}), darkness(img, d.Marks[0].Box), 1, "no ink outside its box")
}

func TestTheFontHasTheLettersOfBothLanguages(t *testing.T) {
	d := drawing(t, 100, false)
	for _, r := range "abcxyzABCXYZ0123456789.,:;!?'\"()+×²·–°\u2011אבגדהוזחטיכךלמםנןסעפףצץקרשת׳״־" {
		for _, f := range d.fonts.faces {
			_, ok := f.NominalGlyph(r)
			require.True(t, ok, "%q", r)
		}
	}
}

func TestLinesAreNoWiderThanAsked(t *testing.T) {
	for _, rtl := range []bool{false, true} {
		d := drawing(t, 800, rtl)
		for _, text := range []string{
			"one two three four five six seven eight", "אחת שתיים שלוש ארבע חמש שש שבע שמונה", strings.Repeat("x", 90), "a\nb\tc", "סכו\"ם, 60 פריטים",
		} {
			lines := d.Wrap(text, plain, 180)
			for _, l := range lines {
				require.LessOrEqual(t, d.Width(l, plain), 180.0, l)
			}
			require.Equal(t, strings.Join(strings.Fields(text), ""), strings.ReplaceAll(strings.Join(lines, ""), " ", ""), "nothing is lost")
		}
		require.Contains(t, d.Wrap("סיר (meat-pots)", plain, 180), map[bool]string{true: "(meat-pots)", false: "סיר (meat-"}[rtl], "a Latin word stays whole among Hebrew ones")
		require.Empty(t, d.Wrap(" \n\x00", plain, 180))
		require.Zero(t, d.Width("", plain))
		require.NotEmpty(t, d.Wrap("broad", plain, 0))
		require.NotZero(t, d.Width("\xff漢", plain), "what the font lacks takes room too")
	}
}

// Without colour: each pattern has dots of ink and of paper, and none looks like another.
func TestPatternsDiffer(t *testing.T) {
	looks := map[string]Pattern{}
	for p := Plain; p <= Crosses; p++ {
		d := drawing(t, 120, false)
		d.Rect("r", Box{0, 0, 120, 200}, Fill{Paper: white, Pattern: p, Ink: black}, 0)
		img := seen(t, d)
		share := darkness(img, Box{0, 0, 120, 200}) / (120 * 200)
		if p == Plain {
			require.Zero(t, share)
		} else {
			require.Greater(t, share, 0.1, "pattern %d", p)
			require.Less(t, share, 0.6, "pattern %d", p)
		}
		key := ""
		for y := range 40 {
			for x := range 40 {
				r, _, _, _ := img.At(x, y).RGBA()
				key += string(rune('0' + r/0x2000))
			}
		}
		require.NotContains(t, looks, key, "pattern %d looks like %d", p, looks[key])
		looks[key] = p
	}
}

func TestSymbolsFillTheirSquareAndDiffer(t *testing.T) {
	all := map[string]Symbol{"person": Person, "flame": Flame, "hourglass": Hourglass, "tick": Tick, "cross": Cross, "moon": Moon,
		"candles": Candles, "bowl": Bowl, "no bowl": NoBowl, "flag": Flag, "clock": Clock}
	looks := map[string]string{}
	for name, s := range all {
		d := drawing(t, 200, false)
		d.Draw("s", s, Box{50, 50, 100, 100}, black)
		img := seen(t, d)
		in := darkness(img, Box{48, 48, 104, 104})
		require.Greater(t, in, 1500.0, name)
		require.Less(t, in, 7500.0, name)
		require.InDelta(t, darkness(img, Box{0, 0, 200, 200}), in, 1, "%s stays in its square", name)
		key := ""
		for y := 50; y < 150; y += 5 {
			for x := 50; x < 150; x += 5 {
				r, _, _, _ := img.At(x, y).RGBA()
				key += string(rune('0' + r/0x8000))
			}
		}
		require.NotContains(t, looks, key, "%s looks like %s", name, looks[key])
		looks[key] = name
	}
}

func TestOutlines(t *testing.T) {
	d := drawing(t, 200, false)
	d.Rect("r", Box{10, 10, 100, 50}, Fill{Paper: white, Edge: black, Width: 4}, 0)
	d.Rect("r", Box{10, 100, 100, 50}, Fill{Paper: white, Edge: black, Width: 4, Dashed: true}, 0)
	img := seen(t, d)
	whole := 100*50.0 - 92*42
	require.InDelta(t, whole, darkness(img, Box{10, 10, 100, 50}), 2)
	require.InDelta(t, whole*0.62, darkness(img, Box{10, 100, 100, 50}), whole*0.08)
	require.Zero(t, darkness(img, Box{20, 20, 80, 30}))
}

func TestArrowsPointToWhereTimeGoes(t *testing.T) {
	for _, rtl := range []bool{false, true} {
		d := drawing(t, 200, rtl)
		d.Arrow("on", Box{100, 50, 20, 40}, Fill{Paper: black}, true)
		b := d.Marks[0].Box
		img := seen(t, d)
		left, right := darkness(img, Box{b.X, b.Y, 10, 40}), darkness(img, Box{b.X + 10, b.Y, 10, 40})
		require.Equal(t, rtl, left < right, "the broad side is where time comes from")
	}
}

func TestEqualMarksGiveEqualBytes(t *testing.T) {
	once := func() []byte {
		d := drawing(t, 400, true)
		d.Rect("r", Box{10, 10, 200, 100}, Fill{Paper: white, Pattern: Diagonals, Ink: color.RGBA{200, 80, 10, 255}, Edge: black, Width: 3}, 8)
		d.Write("t", 20, 120, "שלום 12", plain)
		raw, err := d.PNG()
		require.NoError(t, err)
		return raw
	}
	require.Equal(t, once(), once())
}

// A picture of very many colours is written all the same, with all of them or with fewer.
func TestManyColours(t *testing.T) {
	d := drawing(t, 400, false)
	for x := range 40 {
		for y := range 20 {
			d.Rect("r", Box{float64(x * 10), float64(y * 10), 10, 10}, Fill{Paper: color.RGBA{uint8(x * 6), uint8(y * 12), uint8(x ^ y*5), 255}}, 0)
		}
	}
	img := seen(t, d)
	for _, x := range []int{0, 20, 39} {
		r, g, _, _ := img.At(x*10+5, 105).RGBA()
		require.InDelta(t, x*6, int(r>>8), 40)
		require.InDelta(t, 120, int(g>>8), 40)
	}
}

func TestAPictureHasASize(t *testing.T) {
	d := drawing(t, 100, false)
	for _, h := range []int{0, -1, 1 << 20} {
		d.H = h
		_, err := d.PNG()
		require.Error(t, err)
	}
}
