package paper

import (
	"slices"

	"benyomo/internal/idea/dialog"
)

// chart is a tree as it is read on paper: its steps in an order in which every step follows all that lead to it, numbered from
// 1; its outcomes numbered in the order of the file.
type chart struct {
	words  words
	tree   *dialog.Tree
	places []*place
	number map[string]int // outcome → its number
	start  way
	boxes  map[any]box // sized once: of places, ways and outcomes
}

// place is a step, with the ways out of it.
type place struct {
	step  *dialog.Step
	index int
	exits []exit
	ways  []way // exits that lead to the same place are one way
	from  []int // places that lead here
}

// exit is one answer, position or purpose, and where it leads.
type exit struct {
	id, label string
	to        *dialog.Step // exactly one of to and end is set
	end       *dialog.Outcome
	unsure    bool
}

// way leads from a place to another (index) or to an outcome.
type way struct {
	labels []string
	to     int // -1 where end is set
	end    *dialog.Outcome
}

func newChart(w words, t *dialog.Tree) *chart {
	c := &chart{words: w, tree: t, number: map[string]int{}, boxes: map[any]box{}}
	for i, o := range t.Outcomes.List {
		c.number[o.ID] = i + 1
	}
	index := map[string]int{}
	for i, s := range c.order() {
		index[s.Name()] = i
		c.places = append(c.places, &place{step: s, index: i, exits: c.exits(s)})
	}
	for _, p := range c.places {
		for _, e := range p.exits {
			to := -1
			if e.to != nil {
				to = index[e.to.Name()]
			}
			at := slices.IndexFunc(p.ways, func(x way) bool { return x.to == to && x.end == e.end })
			if at >= 0 {
				p.ways[at].labels = append(p.ways[at].labels, e.label)
				continue
			}
			p.ways = append(p.ways, way{labels: []string{e.label}, to: to, end: e.end})
			if to >= 0 {
				c.places[to].from = append(c.places[to].from, p.index)
			}
		}
	}
	c.start = way{to: -1, end: t.Outcome(t.Start.End.S)}
	if s := t.Step(t.Start.To.S); s != nil {
		c.start = way{to: index[s.Name()]}
	}
	return c
}

// order lists the steps that the start leads to: each after all that lead to it, and near to them.
func (c *chart) order() []*dialog.Step {
	var out []*dialog.Step
	seen := map[string]bool{}
	var visit func(*dialog.Step)
	visit = func(s *dialog.Step) {
		if s == nil || seen[s.Name()] {
			return
		}
		seen[s.Name()] = true
		exits := c.exits(s)
		for _, e := range slices.Backward(exits) { // the first answer comes last here, and so first in the end
			visit(e.to)
		}
		out = append(out, s)
	}
	visit(c.tree.Step(c.tree.Start.To.S))
	slices.Reverse(out)
	return out
}

// exits lists where a step leads, in the order in which people are shown it.
func (c *chart) exits(s *dialog.Step) []exit {
	var out []exit
	add := func(id, label string, tg dialog.Target, unsure bool) {
		out = append(out, exit{id: id, label: label, to: c.tree.Step(tg.To.S), end: c.tree.Outcome(tg.End.S), unsure: unsure})
	}
	for _, a := range s.Answers {
		add(a.ID.S, c.words.text(a.Label), a.Target, false)
	}
	if s.Unsure != nil && !s.Unsure.Zero() {
		add(dialog.UnsureFact, c.words.say("unsure"), s.Unsure.Target, true)
	}
	if sw := c.words.pack.Switch(s.Switch.S); sw != nil {
		for _, p := range sw.Positions {
			if tg, ok := s.Positions[p.ID.S]; ok {
				add(p.ID.S, c.words.text(p.Label), tg, false)
			}
		}
	}
	for _, purpose := range dialog.Purposes() {
		if tg, ok := s.Purpose[purpose]; ok {
			add(purpose, c.words.say("purpose-"+purpose), tg, false)
		}
	}
	return out
}

// text is what a step asks.
func (c *chart) text(s *dialog.Step) string {
	switch {
	case s.IsQuestion():
		return c.words.text(s.Text)
	case s.Switch.S != "":
		return c.words.text(c.words.pack.Switch(s.Switch.S).About)
	}
	return c.words.say("purpose")
}
