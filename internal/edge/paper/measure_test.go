package paper

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"
)

func TestWrap(t *testing.T) {
	f := face{size: 10} // "a" is 6.13 wide, a space 3.18
	for _, tt := range []struct {
		name, text string
		width      float64
		want       []string
	}{
		{"nothing", "", 50, nil},
		{"spaces only", "  \n ", 50, nil},
		{"fits", "aa aa", 50, []string{"aa aa"}},
		{"breaks at spaces", "aa  aa aa", 30, []string{"aa aa", "aa"}},
		{"keeps a line break", "aa\naa", 50, []string{"aa", "aa"}},
		{"after a hyphen", "aaa-aaa", 25, []string{"aaa-", "aaa"}},
		{"after a maqaf", "אאא־אאא", 26, []string{"אאא־", "אאא"}},
		{"a hyphen at an end is no place to break", "a-aaaa", 40, []string{"a-aaaa"}},
		{"a word that is too long", "aaaaaaa a", 20, []string{"aaa", "aaa", "a a"}},
		{"narrower than a letter", "aa", 1, []string{"a", "a"}},
		{"marks stay with their letter", "אָאָ", 7, []string{"אָ", "אָ"}},
	} {
		t.Run(tt.name, func(t *testing.T) { require.Equal(t, tt.want, f.wrap(tt.text, tt.width)) })
	}
}

// Balancing changes where lines break: never their number, their words, or that they fit.
func TestBalanced(t *testing.T) {
	f := boxText
	for _, text := range []string{
		"Look at the rim, the rivets and the handles, on the lid too. Does all the dirt come out?",
		"להסתכל בשפה, במסמרות ובידיות, גם במכסה. האם כל הלכלוך יוצא?", "Yes", "one extraordinarily-long non-stick word",
	} {
		for width := 60.0; width < 400; width += 7 {
			plain, even := f.wrap(text, width), f.balanced(text, width)
			require.LessOrEqual(t, len(even), len(plain), text)
			require.LessOrEqual(t, f.widest(even), f.widest(plain)+1, text)
			require.Equal(t, strings.ReplaceAll(text, " ", ""), strings.ReplaceAll(strings.Join(even, ""), " ", ""))
		}
	}
	require.Equal(t, []string{"aa aa", "aa aa"}, f.balanced("aa aa aa aa", f.width("aa aa aa")))
}

func FuzzWrap(f *testing.F) {
	f.Add("a-b ־ שלום\n\nx", 12.0)
	f.Fuzz(func(t *testing.T, text string, width float64) {
		if !utf8.ValidString(text) || len(text) > 300 || !(width > 0 && width < 1e4) {
			t.Skip("the dialogs hold valid texts only, and boxes have a width")
		}
		got := boxText.wrap(text, width)
		require.Equal(t, strings.Join(strings.Fields(text), ""), strings.Join(strings.Fields(strings.Join(got, "")), ""))
	})
}
