package find

import (
	"slices"
	"strings"
	"unicode"
)

// Bounds of what is read of a text: nobody names a kitchen after this much, and hostile texts stay cheap.
const (
	mostRunes  = 4000
	mostWords  = 250
	mostLetter = 40 // of one word; longer ones are noise
)

// word is one word of a text.
type word struct {
	raw   string
	apart bool // something stands between it and the word before, such as a comma or a new line: no name goes over it
	forms []form
}

// form is one way in which a word may be meant, and what is lost by taking it so.
type form struct {
	key  string
	cost float64
}

// finals are the Hebrew letters that are written in another way at the end of a word.
var finals = strings.NewReplacer("ך", "כ", "ם", "מ", "ן", "נ", "ף", "פ", "ץ", "צ")

// accents are Latin letters with marks that people leave out.
var accents = strings.NewReplacer("à", "a", "á", "a", "â", "a", "ä", "a", "è", "e", "é", "e", "ê", "e", "ë", "e", "î", "i", "ï", "i", "ô", "o", "ö", "o",
	"ù", "u", "û", "u", "ü", "u", "ç", "c", "ñ", "n")

// marks are dropped within a word: apostrophes, geresh, gershayim.
const marks = "'\"׳״’‘`´“”"

// split cuts a text into words: lower case, without marks and points.
func split(text string) []word {
	var out []word
	var b strings.Builder
	apart, runes, script := false, 0, false
	flush := func() {
		if b.Len() == 0 {
			return
		}
		raw := b.String()
		b.Reset()
		if !ascii(raw) {
			raw = finals.Replace(accents.Replace(raw))
		}
		if len([]rune(raw)) <= mostLetter {
			out = append(out, word{raw: raw, apart: apart})
			apart = false
		} else {
			apart = true
		}
	}
	for _, r := range strings.ToLower(text[:min(len(text), 4*mostRunes)]) {
		if runes++; runes > mostRunes || len(out) >= mostWords {
			break
		}
		switch {
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			if hebrew := unicode.Is(unicode.Hebrew, r); b.Len() > 0 && hebrew != script {
				flush() // scripts do not share a word
				script = hebrew
			} else {
				script = hebrew
			}
			b.WriteRune(r)
		case unicode.Is(unicode.Mn, r), strings.ContainsRune(marks, r), r == '\u200f', r == '\u200e', r == '\u00ad':
		case r == ' ', r == '-', r == '־', r == '–', r == '_', r == '\u00a0', r == '\t':
			flush()
		default:
			flush()
			apart = true
		}
	}
	flush()
	if len(out) > mostWords {
		out = out[:mostWords]
	}
	return out
}

func ascii(s string) bool {
	for i := range len(s) {
		if s[i] >= 0x80 {
			return false
		}
	}
	return true
}

// bare gives the raw words of a phrase.
func bare(phrase string) []string {
	var out []string
	for _, w := range split(phrase) {
		out = append(out, w.raw)
	}
	return out
}

// latin reports whether a word is written in Latin letters.
func latin(s string) bool {
	for _, r := range s {
		return r < 0x250
	}
	return false
}

// length counts letters.
func length(s string) int {
	if latin(s) {
		return len(s)
	}
	return len([]rune(s))
}

// stems are the word without the endings of plurals, of women and of construct forms, the word itself first.
func (f *Finder) stems(w string) []string {
	out := []string{w}
	for _, e := range f.endings {
		if stem, ok := strings.CutSuffix(w, e); ok && length(stem) >= 3 && !slices.Contains(out, stem) {
			out = append(out, stem)
		}
	}
	return out
}

// stripped are the words that remain when letters which are written together with a noun are taken away, with how many were.
func (f *Finder) stripped(w string, left int) map[string]int {
	out := map[string]int{}
	var strip func(w string, n int)
	strip = func(w string, n int) {
		for _, p := range f.prefixes {
			rest, ok := strings.CutPrefix(w, p)
			if !ok || length(rest) < left {
				continue
			}
			if had, seen := out[rest]; seen && had <= n {
				continue
			}
			out[rest] = n
			if n < 3 {
				strip(rest, n+1)
			}
		}
	}
	strip(w, 1)
	return out
}

// squeezed writes doubled letters once.
func squeezed(w string) string {
	var b strings.Builder
	var last rune
	for _, r := range w {
		if r != last {
			b.WriteRune(r)
		}
		last = r
	}
	return b.String()
}

// distance is the number of letters dropped, doubled, changed or swapped between two words (Damerau–Levenshtein, each place
// touched once), or more than most where it is more.
func distance(a, b []rune, most int) int {
	if d := len(a) - len(b); d > most || -d > most || max(len(a), len(b)) > mostLetter {
		return most + 1
	}
	var rows [3][mostLetter + 2]int
	before, prev, cur := &rows[0], &rows[1], &rows[2]
	for j := range b {
		prev[j+1] = j + 1
	}
	prev[0] = 0
	for i := 1; i <= len(a); i++ {
		cur[0] = i
		least := i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			v := min(prev[j]+1, cur[j-1]+1, prev[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				v = min(v, before[j-2]+1)
			}
			cur[j] = v
			least = min(least, v)
		}
		if least > most {
			return most + 1
		}
		before, prev, cur = prev, cur, before
	}
	return prev[len(b)]
}
