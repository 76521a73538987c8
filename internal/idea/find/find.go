// Package find recognises kinds of item in typed words. It only offers: nothing is ever assumed from words.
//
// Names and aliases are data of the trees, all other words of the file about recognition, in every language at once: people
// mix languages. Nothing here speaks or asks, and no word of any language stands in the code.
package find

import (
	"cmp"
	"slices"

	"benyomo/internal/idea/dialog"
)

// MixUp is the kind of a described mix-up of meat and milk, or on Pesach.
const MixUp = "mix-up"

// Other is the kind of a thing that is on no list. It names things, as the others do.
const Other = "something-else"

// Match is a kind that the words may mean.
type Match struct {
	Kind  string
	Score float64 // above 1 where what happened or is wanted decides; near 1 where the name stands as it is; more is better
}

// Result is what was recognised in a text.
type Result struct {
	Kinds    []Match // the best first
	Purpose  string  // for which the words say that they kasher, or ""
	Lang     string  // the language of most words, or "" where none is known
	MixUp    bool    // something happened, and food may be waiting
	Greeting bool    // the whole text is a greeting, or thanks
}

// Names lists the kinds, the best first.
func (r Result) Names() []string {
	out := make([]string, len(r.Kinds))
	for i, k := range r.Kinds {
		out[i] = k.Kind
	}
	return out
}

// What the score of a kind takes into account, in shares.
const (
	shareWeak   = 0.6  // a material or a place, where nothing else is named
	shareBeside = 0.55 // it is only the place or the means
	leadIntake  = 1.0  // what happened comes before what it happened to
	shortText   = 3    // words, in which a word such as 'school' can be the whole matter
	perName     = 0.005
	perAlias    = 0.0002
	perPlace    = 0.03
)

// part is one thing that the text names: the kinds that the same words may mean.
type part struct {
	spans  []span
	from   int
	to     int
	weak   bool
	hint   bool // it is only a hint
	tells  bool // it is a hint as well, and may narrow an ambiguous name: 'stove top, grates'
	intake bool
	no     bool // not meant
	beside bool
	spent  bool // it has narrowed another one
}

// heard is what the words and rules make of a text, with all that led to it.
type heard struct {
	words   []word
	spans   []span          // every phrase
	parts   []*part         // everything that is named, also what is not meant
	groups  map[string]bool // that have a word in the text
	outside bool            // a rule says that it is about something else
	result  Result
}

// Find says what the text may mean. It is safe for many callers at once, and quick whatever the text is.
func (f *Finder) Find(text string) Result {
	h := f.hear(text)
	if f.model != nil {
		return f.weigh(h)
	}
	r := h.result
	if h.outside {
		r.Kinds, r.Purpose = nil, ""
	}
	r.settle()
	return r
}

// hear goes by words and rules alone.
func (f *Finder) hear(text string) heard {
	words := split(text)
	f.forms(words)
	spans := f.spans(words)
	h := heard{words: words, spans: spans, groups: map[string]bool{}}
	r, groups := &h.result, h.groups
	r.Lang, r.Greeting = f.language(words), f.greets(words, spans)
	named := chosen(spans)
	h.parts = f.parts(words, named)
	narrow(h.parts)
	parts := f.sift(slices.Clone(h.parts), len(words))
	for _, s := range spans {
		if s.group != "" && !(s.cost >= costSqueeze && within(s, named, costMost)) && !(f.exact[s.group] && within(s, named, 0)) {
			groups[s.group] = true
		}
	}
	for _, p := range parts {
		if !p.weak && !p.intake && !p.no {
			groups[dialog.NamedGroup] = true
		}
	}
	if len(words) > shortText && !groups[dialog.NamedGroup] && !groups[groupMatter] {
		parts = slices.DeleteFunc(parts, func(p *part) bool { return p.intake && p.to-p.from < shortText && p.to-p.from < len(words) }) // something happened, but to what?
	}
	var lead []string
	for _, x := range f.rules {
		switch {
		case !x.holds(groups):
		case x.outside:
			h.outside = h.outside || len(lead) == 0
		case x.offer != "":
			if f.pack.Tree(x.offer) != nil && !slices.Contains(lead, x.offer) {
				lead = append(lead, x.offer)
			}
		case x.purpose != "":
			r.Purpose = cmp.Or(r.Purpose, x.purpose)
		}
	}
	r.Kinds = f.rank(parts, lead, groups[groupCalm] && groups[dialog.NamedGroup])
	return h
}

// settle says what follows from the kind that comes first.
func (r *Result) settle() {
	if r.MixUp = len(r.Kinds) > 0 && r.Kinds[0].Kind == MixUp; r.MixUp && r.Purpose == dialog.MeatDairy {
		r.Purpose = "" // the two sides are what met, not what is wanted
	}
}

func (x rule) holds(groups map[string]bool) bool {
	for _, g := range x.all {
		if !groups[g] {
			return false
		}
	}
	for _, g := range x.none {
		if groups[g] {
			return false
		}
	}
	return true
}

// within reports whether the span is a piece of a name of several words that costs no more than most: what it only resembles, by ear or by a letter, is not
// meant. What stands there with an ending or behind a prefix is: 'the meat dishwasher' still says meat.
// Nor does a word within a name that is written as it stands tell that the text is about something else: 'shabbos urn'.
func within(s span, names []span, most float64) bool {
	return slices.ContainsFunc(names, func(n span) bool { return n.to-n.from > 1 && n.cost <= most && n.from <= s.from && s.to <= n.to })
}

// parts puts together what stands on the same words.
func (f *Finder) parts(words []word, spans []span) []*part {
	var out []*part
	for _, s := range spans {
		if s.group == groupDecoys {
			continue
		}
		if n := len(out); n > 0 && out[n-1].from == s.from && out[n-1].to == s.to {
			p := out[n-1]
			p.spans = append(p.spans, s)
			p.hint, p.tells, p.intake, p.weak = p.hint && s.hint, p.tells || s.hint, p.intake && f.intake[s.kind], p.weak && s.weak
			continue
		}
		p := &part{spans: []span{s}, from: s.from, to: s.to, hint: s.hint, tells: s.hint, intake: f.intake[s.kind], weak: s.weak}
		p.no, p.beside = f.before(words, s.from, groupNot), f.before(words, s.from, groupBeside)
		out = append(out, p)
	}
	return out
}

// before reports whether a word of the group stands before the place, articles in between aside.
func (f *Finder) before(words []word, at int, group string) bool {
	for i := at - 1; i >= 0 && i >= at-3 && !words[i+1].apart; i-- {
		if f.single[group][words[i].raw] {
			return true
		}
		if !f.single[groupArticles][words[i].raw] {
			return false
		}
	}
	return false
}

// narrow lets materials and hints tell which of the kinds of an ambiguous name are meant, and what is not meant take away.
func narrow(parts []*part) {
	for _, a := range parts {
		if a.hint || a.no || a.weak {
			continue
		}
		for _, b := range parts {
			if a == b || !b.tells && !b.weak && !b.no {
				continue
			}
			var in, out []span
			for _, s := range a.spans {
				if slices.ContainsFunc(b.spans, func(o span) bool { return o.kind == s.kind }) {
					in = append(in, s)
				} else {
					out = append(out, s)
				}
			}
			switch {
			case len(in) == 0:
			case b.no && len(out) > 0:
				a.spans, b.spent = out, true
			case !b.no:
				a.spans, b.spent = in, true
			}
		}
	}
}

// sift drops what names nothing here: hints, what is not meant, and materials and places where something is named.
func (f *Finder) sift(parts []*part, words int) []*part {
	strong := slices.ContainsFunc(parts, func(p *part) bool { return !p.weak && !p.hint && !p.no && !p.intake })
	return slices.DeleteFunc(parts, func(p *part) bool {
		return p.hint || p.no || p.weak && (strong || p.spent || p.intake && words > shortText)
	})
}

// rank scores the kinds. Where the text calmly asks how to kasher what it names, no intake leads by its name alone.
func (f *Finder) rank(parts []*part, lead []string, calm bool) []Match {
	best := map[string]float64{}
	give := func(kind string, score float64) { best[kind] = max(best[kind], score) }
	for i, p := range parts {
		for _, s := range p.spans {
			if s.hint {
				continue
			}
			score := 1 - s.cost - perAlias*float64(min(s.rank, 60)) - perPlace*float64(min(i, 20))
			if s.rank == 0 {
				score += perName
			}
			switch {
			case p.weak:
				score *= shareWeak
			case p.intake && calm:
				score *= shareWeak
			case p.intake:
				score += leadIntake
			}
			if p.beside && !p.intake {
				score *= shareBeside
			}
			give(s.kind, score)
		}
	}
	for i, kind := range lead {
		give(kind, 2*leadIntake+1-perPlace*float64(i))
	}
	out := make([]Match, 0, len(best))
	for _, kind := range sorted(best) {
		out = append(out, Match{kind, best[kind]})
	}
	slices.SortStableFunc(out, func(a, b Match) int { return cmp.Compare(b.Score, a.Score) })
	return out
}

// language is the one to which most words belong.
func (f *Finder) language(words []word) string {
	best, most := "", 0
	for i, l := range f.pack.Languages {
		n := 0
		for _, w := range words {
			if f.vocab[w.raw]&(1<<(i%64)) != 0 {
				n++
			}
		}
		if n > most {
			best, most = l.Code.S, n
		}
	}
	return best
}

// greets reports whether the text is made of greetings, and of nothing else that is known.
func (f *Finder) greets(words []word, spans []span) bool {
	covered := make([]bool, len(words))
	any := false
	for _, s := range spans {
		if s.group == groupGreeting {
			any = true
			for i := s.from; i < s.to; i++ {
				covered[i] = true
			}
		}
	}
	for i, w := range words {
		if !covered[i] && !f.single[groupArticles][w.raw] {
			return false
		}
	}
	return any
}
