package page

import (
	"slices"
	"strings"
	"unicode"
)

// Reading directions as HTML's dir attribute has them.
const (
	leftToRight = "ltr"
	rightToLeft = "rtl"
)

// rightward lists the scripts whose letters are of the bidi classes R and AL (Unicode Standard Annex #9, table 4) as far
// as people write messages in them.
var rightward = []*unicode.RangeTable{
	unicode.Hebrew, unicode.Arabic, unicode.Syriac, unicode.Thaana, unicode.Nko, unicode.Samaritan, unicode.Mandaic,
	unicode.Adlam,
}

// direction is the direction of the first strong character of text, by rules P2 and P3 of Unicode Standard Annex #9:
// what stands inside an isolate does not count. It is "" when there is no strong character.
func direction(text string) string {
	isolates := 0
	for _, r := range text {
		switch r {
		case '\u2066', '\u2067', '\u2068': // LRI, RLI, FSI
			isolates++
			continue
		case '\u2069': // PDI
			isolates = max(0, isolates-1)
			continue
		}
		if isolates > 0 {
			continue
		}
		switch {
		case r == '\u200f' || r == '\u061c': // RLM, ALM
			return rightToLeft
		case r == '\u200e': // LRM
			return leftToRight
		case unicode.IsLetter(r) && unicode.IsOneOf(rightward, r):
			return rightToLeft
		case unicode.IsLetter(r):
			return leftToRight
		}
	}
	return ""
}

// scripts says for each script which languages are written in it here, the commonest first.
var scripts = []struct {
	table     *unicode.RangeTable
	languages []string
}{
	{unicode.Hebrew, []string{"he", "yi", "lad"}},
	{unicode.Latin, []string{"en", "fr", "es", "de", "hu", "nl", "pt", "it", "pl", "ro", "cs", "sv", "tr"}},
	{unicode.Cyrillic, []string{"ru", "uk", "be", "bg"}},
	{unicode.Arabic, []string{"ar", "fa", "ur"}},
}

// language is what HTML's lang attribute says of text: the writer's own language when it is written in the script of the
// text's first letter, else the commonest language of that script, "" when the text has no letter of a known script.
func language(text, writer string) string {
	writer, _, _ = strings.Cut(strings.ToLower(writer), "-")
	for _, r := range text {
		if !unicode.IsLetter(r) {
			continue
		}
		for _, s := range scripts {
			if unicode.Is(s.table, r) {
				if slices.Contains(s.languages, writer) {
					return writer
				}
				return s.languages[0]
			}
		}
		return ""
	}
	return ""
}
