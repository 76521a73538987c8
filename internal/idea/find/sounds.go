package find

import (
	"strings"

	"benyomo/internal/idea/dialog"
)

// shortSound is the least number of letters that stay when the ending of a word is spelled by ear.
const shortSound = 4

// folding spells words by ear, so that two ways of writing a word meet. What is heard alike is data, by language.
type folding struct {
	letters, vowels *strings.Replacer
	ends            [][2]string
}

func newFolding(p *dialog.Pack) folding {
	pairs := func(by map[string][]dialog.Word) (out []string) {
		for _, l := range p.Languages {
			for _, w := range by[l.Code.S] {
				from, to, _ := strings.Cut(w.S, " ")
				out = append(out, from, to)
			}
		}
		return out
	}
	s := p.Finding.Sounds
	f := folding{letters: strings.NewReplacer(pairs(s.Letters)...), vowels: strings.NewReplacer(pairs(s.Vowels)...)}
	for ends := pairs(s.Ends); len(ends) > 0; ends = ends[2:] {
		f.ends = append(f.ends, [2]string{ends[0], ends[1]})
	}
	return f
}

// heard spells a word by ear: letters first, then doubled ones once, then endings, and last the vowels.
func (f folding) heard(w string) string {
	s := f.letters.Replace(w)
	if latin(w) {
		s = squeezed(s)
	}
	for _, e := range f.ends {
		if t, ok := strings.CutSuffix(s, e[0]); ok && (e[1] == "" || length(t) >= shortSound) {
			s = t + e[1]
		}
	}
	return f.vowels.Replace(s)
}
