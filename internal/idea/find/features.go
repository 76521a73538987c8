package find

import (
	"fmt"
	"slices"
	"strings"

	"benyomo/internal/idea/linear"
)

// What a feature counts, beside one that is as good as a word.
const (
	shareLetters = 0.4 // pieces of words
	sharePair    = 0.7 // two words
)

// features describes a text to the learned model: its words and pieces of words, what the rules heard in it, and for every kind how it is named.
func (f *Finder) features(h heard) linear.Input {
	in := linear.Input{Own: map[string][]linear.Feature{}}
	seen := map[string]bool{}
	add := func(value float64, parts ...string) {
		if name := strings.Join(parts, ""); !seen[name] {
			seen[name] = true
			in.All = append(in.All, linear.Feature{Name: name, Value: value})
		}
	}
	add(1, "*")
	for i, w := range h.words {
		add(1, "w:", w.raw)
		if i > 0 {
			add(sharePair, "2:", h.words[i-1].raw, " ", w.raw)
		}
		r := []rune("<" + w.raw + ">")
		for n := 3; n <= 4; n++ {
			for j := 0; j+n <= len(r); j++ {
				add(shareLetters, "c:", string(r[j:j+n]))
			}
		}
	}
	f.outline(h, add)
	for kind, own := range f.namings(h) {
		in.Own[kind] = own
	}
	return in
}

// outline tells what kind of text it is, whatever things it names.
func (f *Finder) outline(h heard, add func(value float64, parts ...string)) {
	n := len(h.words)
	switch {
	case n <= 2:
		add(1, "n:2")
	case n <= 4:
		add(1, "n:4")
	case n <= 8:
		add(1, "n:8")
	case n <= 16:
		add(1, "n:16")
	default:
		add(1, "n:more")
	}
	groups := sorted(h.groups)
	for i, g := range groups {
		add(1, "g:", g)
		for _, o := range groups[:i] {
			add(sharePair, "g:", o, " ", g)
		}
	}
	if h.outside {
		add(1, "r:outside")
	}
	// the words with a sign in place of what they name
	tokens := make([]string, 0, n)
	for i := 0; i < n; {
		to, sign := i+1, h.words[i].raw
		for _, p := range h.parts {
			if p.from == i && !p.hint {
				to, sign = p.to, "#"
				if p.weak {
					sign = "~"
				}
				if p.intake {
					sign = "!"
				}
			}
		}
		tokens = append(tokens, sign)
		i = to
	}
	tokens = append(append([]string{"<"}, tokens...), ">")
	for i := 1; i < len(tokens); i++ {
		add(sharePair, "t:", tokens[i-1], " ", tokens[i])
		if i > 1 {
			add(sharePair, "u:", tokens[i-2], " ", tokens[i-1], " ", tokens[i])
		}
	}
	named := 0
	for _, p := range h.parts {
		if !p.hint && !p.weak && !p.intake {
			named++
		}
	}
	add(1, fmt.Sprintf("named:%d", min(named, 4)))
}

// namings says for each kind that is named how it is.
func (f *Finder) namings(h heard) map[string][]linear.Feature {
	out := map[string][]linear.Feature{}
	add := func(kind string, value float64, parts ...string) {
		name := strings.Join(parts, "")
		for i, x := range out[kind] {
			if x.Name == name {
				out[kind][i].Value = max(x.Value, value)
				return
			}
		}
		out[kind] = append(out[kind], linear.Feature{Name: name, Value: value})
	}
	class := func(kind string) string {
		switch {
		case f.intake[kind]:
			return "intake "
		case kind == Other:
			return "other "
		}
		return ""
	}
	for i, k := range h.result.Kinds {
		c := class(k.Kind)
		if h.outside {
			c = "out " + c
		}
		add(k.Kind, 1, c, "offered")
		add(k.Kind, min(k.Score, 1), c, "score")
		if k.Score > leadIntake {
			add(k.Kind, 1, c, "leads")
		}
		if k.Score >= h.result.Kinds[0].Score-0.02 {
			add(k.Kind, 1, c, "best")
		} else {
			add(k.Kind, 1, c, fmt.Sprintf("place %d", min(i, 4)))
		}
	}
	var things []*part
	for _, p := range h.parts {
		if !p.hint {
			things = append(things, p)
		}
	}
	word := func(i int) string {
		switch {
		case i < 0:
			return "<"
		case i >= len(h.words):
			return ">"
		}
		return h.words[i].raw
	}
	for i, p := range things {
		var kinds []string
		for _, s := range p.spans {
			if !s.hint && !slices.Contains(kinds, s.kind) {
				kinds = append(kinds, s.kind)
			}
		}
		for _, kind := range kinds {
			c := class(kind)
			if p.weak {
				c += "weak "
			}
			add(kind, 1, c, "named")
			add(kind, 1, c, "before ", word(p.from-1))
			add(kind, 1, c, "before2 ", word(p.from-2), " ", word(p.from-1))
			add(kind, 1, c, "after ", word(p.to))
			add(kind, 1, c, "after2 ", word(p.to), " ", word(p.to+1))
			if i == 0 {
				add(kind, 1, c, "first named")
			}
			if i == len(things)-1 {
				add(kind, 1, c, "last named")
			}
			if len(kinds) > 1 {
				add(kind, 1, c, "one of several")
			}
			if p.no {
				add(kind, 1, c, "not meant")
			}
			if p.beside {
				add(kind, 1, c, "beside")
			}
		}
	}
	return out
}
