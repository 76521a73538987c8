package find

import (
	"cmp"
	"slices"

	"benyomo/internal/idea/dialog"
)

// What is offered, by likelihood. Chosen by cross-validation.
const (
	mostOutside = 0.5   // more than this, and nothing is offered
	leastKind   = 0.08  // of the likelihood of the best kind
	leastHeard  = 0.002 // the same, where words or rules offer the kind
)

// weigh ranks the kinds by what was learned from examples. What words and rules offer is part of what is weighed.
func (f *Finder) weigh(h heard) Result {
	return f.decide(h, f.model.Weigh(f.features(h)))
}

// decide makes an answer of the likelihoods of the model's classes.
func (f *Finder) decide(h heard, p []float64) Result {
	r, classes := h.result, f.model.Classes()
	likely := map[string]float64{}
	most := 0.0
	for i, class := range classes {
		if likely[class] = p[i]; class != dialog.Outside {
			most = max(most, p[i])
		}
	}
	asked := len(r.Kinds) > 0 && h.groups[groupMatter] && !h.outside // how to kasher what it names
	if likely[dialog.Outside] > mostOutside && !asked && !f.only(h) {
		r.Kinds, r.Purpose = nil, ""
		return r
	}
	offered := map[string]float64{}
	for _, k := range r.Kinds {
		offered[k.Kind] = k.Score
	}
	r.Kinds = nil
	list := f.lists(h)
	for _, t := range f.pack.Trees {
		kind, least := t.Kind.S, leastKind
		if offered[kind] > 0 {
			least = leastHeard
		}
		score, learned := likely[kind]
		if !learned {
			score = min(offered[kind], 1) // a kind that is newer than the weights
		}
		if list && offered[kind] > shareWeak {
			score = most * (1 + perName*offered[kind]) // all are asked about, in this order
		}
		if score > 0 && score >= least*most {
			r.Kinds = append(r.Kinds, Match{kind, score})
		}
	}
	slices.SortStableFunc(r.Kinds, func(a, b Match) int { return cmp.Compare(b.Score, a.Score) })
	r.settle()
	return r
}

// lists reports whether the text lists things: several in a row, with hardly a word between them.
func (f *Finder) lists(h heard) bool {
	const several, between = 3, 2
	row, last := 0, -between-1
	for _, p := range h.parts {
		if p.hint || p.weak || p.intake || p.no {
			continue
		}
		if p.from-last > between {
			row = 0
		}
		row, last = row+1, p.to
		if row >= several {
			return true
		}
	}
	return false
}

// only reports whether the text is a name and nothing else: then it is about what it names.
func (f *Finder) only(h heard) bool {
	at := 0
	for _, p := range h.parts {
		for at < p.from && f.single[groupArticles][h.words[at].raw] {
			at++
		}
		if p.from > at || p.weak || p.hint || p.no || h.outside {
			return false
		}
		at = max(at, p.to)
	}
	return at > 0 && at == len(h.words)
}
