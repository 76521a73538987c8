// Package find recognises kinds of item in typed words. It only offers: nothing is ever assumed from words.
//
// Aliases are data, in every language at once: people mix languages. Nothing here speaks or asks.
package find

import (
	"slices"
	"strings"
	"unicode"

	"benyomo/internal/idea/dialog"
)

// Kinds lists the kinds whose names or aliases stand in the text as whole words, the longest match first.
func Kinds(p *dialog.Pack, text string) []string {
	type hit struct {
		kind string
		size int
	}
	words := " " + normal(text) + " "
	var hits []hit
	for _, t := range p.Trees {
		best := 0
		for _, l := range p.Languages {
			for _, alias := range append([]dialog.Word{t.Name[l.Code.S]}, t.Aliases[l.Code.S]...) {
				if a := normal(alias.S); a != "" && contains(words, a) {
					best = max(best, len([]rune(a)))
				}
			}
		}
		if best > 0 {
			hits = append(hits, hit{t.Kind.S, best})
		}
	}
	slices.SortStableFunc(hits, func(a, b hit) int { return b.size - a.size })
	kinds := make([]string, len(hits))
	for i, h := range hits {
		kinds[i] = h.kind
	}
	return kinds
}

// prefixes are the letters that Hebrew writes together with a noun: and, in, the, to, from, that, as.
const prefixes = "ובהלמשכ"

func contains(words, alias string) bool {
	if strings.Contains(words, " "+alias+" ") || strings.Contains(words, " "+alias+"s ") {
		return true
	}
	r := []rune(alias)
	if len(r) < 3 || !unicode.Is(unicode.Hebrew, r[0]) {
		return false
	}
	for i := strings.Index(words, alias+" "); i > 0; {
		before := []rune(words[:i])
		n := 0
		for n < 3 && strings.ContainsRune(prefixes, before[len(before)-1-n]) {
			n++
		}
		if n > 0 && before[len(before)-1-n] == ' ' {
			return true
		}
		next := strings.Index(words[i+1:], alias+" ")
		if next < 0 {
			return false
		}
		i += 1 + next
	}
	return false
}

// normal lowers the case, drops marks (Hebrew points, quotation marks, apostrophes) and joins words by one space.
func normal(s string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(s) {
		switch {
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			b.WriteRune(r)
		case unicode.Is(unicode.Mn, r) || strings.ContainsRune("'\"׳״’`", r):
		default:
			b.WriteByte(' ')
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}
