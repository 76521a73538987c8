package find

import (
	"math/bits"
	"slices"
	"strings"
)

// What it costs to take a word otherwise than as it stands; a match is dropped where it costs more than most.
const (
	costStem    = 0.03
	costPrefix  = 0.03 // each
	costJoined  = 0.04
	costSqueeze = 0.08
	costSound   = 0.10
	costLetter  = 0.14 // each letter
	costTurned  = 0.12
	costMost    = 0.40
	costGroup   = 0.15
	costExact   = 0.07 // of a group that only tells that the text is about something else: no guess may do that
)

// longName is of how many words a name is that may have commas in it.
const longName = 4

// mostGuesses is for how many unknown words of a text the nearest known ones are sought.
const mostGuesses = 60

// span is a phrase found in the text, from its first word to the one after its last.
type span struct {
	*phrase
	from, to int
	cost     float64
}

// forms fills in how each word may be meant.
func (f *Finder) forms(words []word) {
	guesses := 0
	for i := range words {
		w := &words[i]
		add := func(key string, cost float64) {
			for j := range w.forms {
				if w.forms[j].key == key {
					w.forms[j].cost = min(w.forms[j].cost, cost)
					return
				}
			}
			w.forms = append(w.forms, form{key, cost})
		}
		addStems := func(key string, cost float64) {
			for n, s := range f.stems(key) {
				if f.named[s] || f.joined[s] != nil {
					c := cost
					if n > 0 {
						c += costStem
					}
					add(s, c)
				}
			}
		}
		add(w.raw, 0)
		addStems(w.raw, 0)
		left := 3
		if latin(w.raw) {
			left = 4
		}
		known := f.known[w.raw]
		if !f.single[groupCommon][w.raw] && (!latin(w.raw) || !f.prose[w.raw]) {
			for rest, n := range f.stripped(w.raw, left) {
				addStems(rest, float64(n)*costPrefix)
			}
		}
		if known || digits(w.raw) {
			continue
		}
		if len(w.forms) > 1 || f.named[w.raw] {
			continue // it is understood
		}
		if s := squeezed(w.raw); s != w.raw && length(s) >= 3 {
			addStems(s, costSqueeze)
		}
		f.byEar(w.raw, 0, left, add)
		if guesses++; len(w.forms) == 1 && guesses <= mostGuesses {
			f.misspelled(w.raw, add)
		}
	}
}

// byEar adds the words that sound like this one, also behind letters that are written together with it.
func (f *Finder) byEar(w string, cost float64, left int, add func(string, float64)) {
	if n := length(w); n < 4 || n < 5 && !latin(w) {
		return
	}
	for _, s := range f.stems(w) {
		for _, like := range f.sound[f.sounds.heard(s)] {
			if length(like) >= 4 && latin(like) == latin(w) {
				add(like, cost+costSound)
			}
		}
	}
	if cost > 0 {
		return
	}
	for rest, n := range f.stripped(w, left) {
		f.byEar(rest, float64(n)*costPrefix, left, add)
	}
}

// misspelled adds the nearest words.
func (f *Finder) misspelled(w string, add func(string, float64)) {
	r := []rune(w)
	n := len(r)
	most := 0
	switch {
	case n >= 9:
		most = 2
	case n >= 4:
		most = 1
	case n == 3 && latin(w) && !strings.ContainsAny(w, "aeiou"):
		most = 1
	case n == 3 && latin(w) && strings.ContainsAny(w[:1], "aeiou") && !strings.ContainsAny(w[1:], "aeiouy"):
		most = 1 // ovn
	}
	if !latin(w) && n < 5 {
		most = 0
	}
	if most == 0 || n > mostLetter {
		return
	}
	have := bitsOf(r)
	best := most
	type near struct {
		word string
		d    int
	}
	var found []near
	for size := max(4, n-most); size <= min(mostLetter, n+most); size++ {
		for _, s := range f.near[size] {
			if bits.OnesCount64(have^s.bits) > 2*best {
				continue
			}
			if n <= 6 && s.letters[0] != r[0] {
				continue // short words are told apart by how they begin
			}
			if d := distance(r, s.letters, best); d <= best {
				found = append(found, near{s.word, d})
				best = d
			}
		}
	}
	for _, x := range found {
		if x.d == best {
			add(x.word, float64(x.d)*costLetter)
			for i, s := range f.stems(x.word) {
				if i > 0 && f.named[s] {
					add(s, float64(x.d)*costLetter+costStem)
				}
			}
		}
	}
}

func digits(s string) bool {
	return strings.IndexFunc(s, func(r rune) bool { return r < '0' || r > '9' }) < 0
}

// spans finds every phrase in the text.
func (f *Finder) spans(words []word) []span {
	var out []span
	keep := func(s span) {
		most := costMost
		if s.group != "" {
			most = costGroup // what decides over a whole text is written as it is
			if len(s.words) == 1 && (length(s.words[0]) < 3 || latin(s.words[0]) && length(s.words[0]) < 4) {
				most = 0
			}
			if f.exact[s.group] {
				most = min(most, costExact)
			}
		}
		if s.cost <= most {
			out = append(out, s)
		}
	}
	for i := range words {
		for _, fm := range words[i].forms {
			for _, p := range f.first[fm.key] {
				if (p.group != "" || f.intake[p.kind]) && fm.key != p.words[0] {
					continue // the endings of what decides over a whole text are its own
				}
				if to, cost, ok := f.follow(words, p, i+1); ok {
					if p.turned {
						cost += costTurned
					}
					if p.words[0] != words[i].raw && fm.cost == 0 {
						cost += costStem / 2
					}
					keep(span{p, i, to, fm.cost + cost})
				}
			}
			for _, p := range f.joined[fm.key] {
				if len(p.words) > 1 {
					keep(span{p, i, i + 1, fm.cost + costJoined})
				}
			}
		}
		one := words[i].raw
		for n := 1; n < 3 && i+n < len(words) && !words[i+n].apart; n++ {
			one += words[i+n].raw
			for _, s := range f.stems(one) {
				for _, p := range f.joined[s] {
					keep(span{p, i, i + n + 1, costJoined})
				}
			}
		}
	}
	return out
}

// follow matches the further words of a phrase.
func (f *Finder) follow(words []word, p *phrase, at int) (to int, cost float64, ok bool) {
	for _, want := range p.words[1:] {
		skipped := 0
		for {
			if at >= len(words) || words[at].apart && len(p.words) < longName {
				return 0, 0, false
			}
			if c, ok := f.means(words[at], want, p.group != ""); ok {
				cost += c
				at++
				break
			}
			between := f.single[groupArticles][words[at].raw] || p.turned && f.single[groupJoins][words[at].raw]
			if skipped++; !between || skipped > 3 {
				return 0, 0, false
			}
			at++
		}
	}
	return at, cost, true
}

// means reports whether a word of the text may mean a word of a phrase, in a phrase of a group only the word as it is written there.
func (f *Finder) means(w word, want string, exact bool) (float64, bool) {
	if w.raw == want {
		return 0, true
	}
	best, ok := costMost, false
	for _, fm := range w.forms {
		if f.rest[want][fm.key] && fm.cost < best && (!exact || fm.key == want) {
			best, ok = fm.cost, true
		}
	}
	return best, ok
}

// chosen takes the longest names and decoys that do not overlap; what stands on the same words as another is kept with it
// where it fits as well.
func chosen(spans []span) []span {
	var names []span
	for _, s := range spans {
		if s.kind != "" || s.group == groupDecoys {
			names = append(names, s)
		}
	}
	slices.SortStableFunc(names, func(a, b span) int {
		switch x, y := a.size(), b.size(); {
		case x > y:
			return -1
		case x < y:
			return 1
		case a.from != b.from:
			return a.from - b.from
		}
		return 0
	})
	var out []span
	for _, s := range names {
		fits := true
		for _, o := range out {
			if s.from == o.from && s.to == o.to {
				if s.cost > o.cost+costStem/2 || o.group == groupDecoys || o.weak && s.cost > o.cost {
					fits = false
				}
			} else if s.from < o.to && o.from < s.to {
				fits = false
			}
		}
		if fits {
			out = append(out, s)
		}
	}
	slices.SortStableFunc(out, func(a, b span) int { return a.from - b.from })
	return out
}

// size says how much of the text a phrase explains: words first, then how well.
func (s span) size() float64 { return float64(len(s.words)) - s.cost }
