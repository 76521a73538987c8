package chat_test

import (
	"math/rand/v2"
	"strings"
	"testing"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"benyomo/internal/engine/chat"
)

// Samples of what people write. The units are those of UTF-16, by the standard's own encoding (Unicode, chapter 3).
var samples = []struct {
	name, text string
	units      int
}{
	{"nothing", "", 0},
	{"English", "oven", 4},
	{"Hebrew", "תנור", 4},
	{"Hebrew with points", "תַּנּוּר", 8},
	{"a combining accent", "e\u0301", 2},
	{"an emoji", "🍲", 2},
	{"one with a skin tone", "👍🏽", 4},
	{"a composed one", "👩‍🍳", 5},
	{"a variant", "☎️", 2},
	{"isolates", chat.Isolate("a"), 3},
	{"a line", "a\nb", 3},
	{"not UTF-8", "a\xffb", 3},
}

func TestUnits(t *testing.T) {
	for _, s := range samples {
		require.Equal(t, s.units, chat.Units(s.text), s.name)
		require.Len(t, utf16.Encode([]rune(s.text)), s.units, s.name)
	}
}

func TestAddAndRow(t *testing.T) {
	var m chat.Message
	m.Add(chat.Plain, "")
	m.Add(chat.Aside, " \n")
	m.Row()
	require.Equal(t, chat.Message{}, m)
	m.Add(chat.Heading, "one")
	m.Add(chat.Plain, " two ")
	m.Row(chat.Button{Label: "a", Data: "a"}, chat.Button{Label: "b", Data: "b"})
	require.Equal(t, chat.Message{
		Blocks:   []chat.Block{{Text: "one", Style: chat.Heading}, {Text: " two ", Style: chat.Plain}},
		Keyboard: [][]chat.Button{{{Label: "a", Data: "a"}, {Label: "b", Data: "b"}}},
	}, m)
	require.Equal(t, "one\n\n two ", m.Plain())
	require.Equal(t, "hello", chat.Say("hello").Plain())
	require.Empty(t, chat.Message{}.Plain())
}

func TestScreenArg(t *testing.T) {
	s := chat.Screen{Args: []string{"a", "b"}}
	require.Equal(t, "a", s.Arg(0))
	require.Equal(t, "b", s.Arg(1))
	require.Empty(t, s.Arg(2))
	require.Empty(t, chat.Screen{}.Arg(0))
}

func TestClip(t *testing.T) {
	for _, c := range []struct {
		text string
		n    int
		want string
	}{
		{"oven", 4, "oven"},
		{"oven", 3, "ov…"},
		{"a warm oven", 9, "a warm…"}, // a word is not cut where a space is near
		{"unbelievable", 6, "unbel…"},
		{"תנור אפייה", 7, "תנור…"},
		{"תַּנּוּר", 4, "תַּ…"}, // a letter keeps its points
		{"תַּנּוּר", 3, "תַ…"},  // unless they alone are too much
		{"ae\u0301", 2, "a…"},   //
		{"🍲🍲", 3, "🍲…"},         // no half of a pair
		{"🍲🍲", 2, "…"},          // not even one fits
		{"x👩‍🍳y", 5, "x…"},      // a composed picture stays whole
		{"x👍🏽y", 4, "x…"},       //
		{"☎️☎️", 3, "☎️…"},      //
		{"a   b", 3, "a…"},      // no space before the dots
		{"", 0, ""},
		{"a\xffb\xffc", 4, "a\xffb…"},
	} {
		got := chat.Clip(c.text, c.n)
		require.Equal(t, c.want, got, "%q to %d", c.text, c.n)
		require.LessOrEqual(t, chat.Units(got), c.n)
	}
}

func TestSplit(t *testing.T) {
	long := func(s string, n int) string { return strings.Repeat(s, n) }
	keys := [][]chat.Button{{{Label: "a", Data: "a"}}}
	for _, c := range []struct {
		name  string
		texts []string
		want  []string // the words of each message
	}{
		{"short", []string{"a", "b"}, []string{"a\n\nb"}},
		{"just so", []string{long("x", 4000)}, []string{long("x", 4000)}},
		{"just so, in two paragraphs", []string{long("x", 3000), long("y", 998)}, []string{long("x", 3000) + "\n\n" + long("y", 998)}},
		{"one more", []string{long("x", 3000), long("y", 999)}, []string{long("x", 3000), long("y", 999)}},
		{"between paragraphs", []string{long("x", 2000), long("y", 1000), long("z", 3000)},
			[]string{long("x", 2000) + "\n\n" + long("y", 1000), long("z", 3000)}},
		{"between words", []string{long("word ", 900)}, []string{strings.TrimSpace(long("word ", 800)), long("word ", 100)}},
		{"within a word", []string{long("x", 4001)}, []string{long("x", 4000), "x"}},
		{"pictures are two units", []string{long("🍲", 2001)}, []string{long("🍲", 2000), "🍲"}},
		{"a letter and its point", []string{long("x", 3999) + "שׁ"}, []string{long("x", 3999), "שׁ"}},
		{"nothing but spaces between", []string{long("x", 4000) + long(" ", 8000) + long("y", 4000)}, []string{long("x", 4000), long("y", 4000)}},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := chat.Message{Keyboard: keys, Quiet: true}
			for _, s := range c.texts {
				m.Add(chat.Quoted, s)
			}
			var got []string
			parts := chat.Split(m)
			for i, part := range parts {
				got = append(got, part.Plain())
				require.True(t, part.Quiet)
				if i < len(parts)-1 {
					require.Empty(t, part.Keyboard, "the buttons stay under the last one")
				}
				for _, b := range part.Blocks {
					require.Equal(t, chat.Quoted, b.Style)
				}
			}
			require.Equal(t, keys, parts[len(parts)-1].Keyboard)
			require.Equal(t, c.want, got)
		})
	}
	photos := chat.Message{Photos: []string{"f1", "f2"}}
	require.Equal(t, []chat.Message{photos}, chat.Split(photos))
	require.Equal(t, []chat.Message{{Keyboard: keys}}, chat.Split(chat.Message{Blocks: []chat.Block{{Text: long(" ", 5000)}}, Keyboard: keys}))
}

// pieces are what random texts are made of.
var pieces = []string{"a", "word", "תנור", "תַּנּוּר", "e\u0301", "🍲", "👍🏽", "👩‍🍳", "☎️", " ", "  ", "\n", ", ", "\u2068x\u2069", "aVeryLongWordWithoutAnySpaceInIt", "שׁ"}

func randomText(r *rand.Rand, units int) string {
	var b strings.Builder
	for n := 0; n < units; {
		p := pieces[r.IntN(len(pieces))]
		if r.IntN(60) == 0 {
			p = strings.Repeat(p, 1+r.IntN(900)) // a run without or with nothing but spaces
		}
		b.WriteString(p)
		n += chat.Units(p)
	}
	return b.String()
}

// bare is a text without its spaces: they alone may be lost where it is cut.
func bare(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) {
			return -1
		}
		return r
	}, s)
}

// No piece is over the limit, none is empty, nothing is lost, no character is torn from its marks.
func TestSplitLosesNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	several := 0
	for range 80 {
		var m chat.Message
		for range 1 + r.IntN(6) {
			m.Add([]chat.Style{chat.Plain, chat.Heading, chat.Quoted}[r.IntN(3)], randomText(r, r.IntN(6000)))
		}
		if len(m.Blocks) == 0 {
			continue
		}
		m.Row(chat.Button{Label: "a", Data: "a"})
		parts := chat.Split(m)
		all := ""
		for i, part := range parts {
			require.LessOrEqual(t, chat.Units(part.Plain()), chat.TextLimit)
			require.NotEmpty(t, bare(part.Plain()))
			require.Equal(t, i == len(parts)-1, len(part.Keyboard) > 0)
			for _, b := range part.Blocks {
				require.True(t, utf8.ValidString(b.Text))
				require.NotEmpty(t, bare(b.Text))
				first, _ := utf8.DecodeRuneInString(b.Text)
				require.False(t, unicode.Is(unicode.M, first) || first == '\u200d', "a piece begins with %q", first)
				require.False(t, strings.HasSuffix(b.Text, "\u200d"))
			}
			all += part.Plain()
		}
		require.Equal(t, bare(m.Plain()), bare(all))
		if len(parts) > 1 {
			several++
		}
	}
	require.Greater(t, several, 30)
}

// What is clipped fits, and is a beginning of the text.
func TestClipFits(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	for range 1000 {
		s, n := randomText(r, r.IntN(80)), 1+r.IntN(60)
		got := chat.Clip(s, n)
		require.LessOrEqual(t, chat.Units(got), n, "%q to %d", s, n)
		if chat.Units(s) <= n {
			require.Equal(t, s, got)
			continue
		}
		head, cut := strings.CutSuffix(got, "…")
		require.True(t, cut, "%q to %d", s, n)
		require.True(t, strings.HasPrefix(strings.TrimSpace(s), head), "%q is no beginning of %q", head, s)
		require.True(t, utf8.ValidString(got))
	}
}

// Whatever bytes come, cutting ends and fits.
func FuzzSplit(f *testing.F) {
	for _, s := range samples {
		f.Add(s.text, 5)
	}
	f.Add(strings.Repeat("\xff", 5000), 7)
	f.Fuzz(func(t *testing.T, s string, n int) {
		for _, part := range chat.Split(chat.Say(s)) {
			require.LessOrEqual(t, chat.Units(part.Plain()), chat.TextLimit)
		}
		if n > 0 && n < 5000 {
			require.LessOrEqual(t, chat.Units(chat.Clip(s, n)), n)
		}
	})
}
