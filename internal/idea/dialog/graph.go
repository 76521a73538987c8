package dialog

import "fmt"

// reach reports steps and outcomes that no walk reaches, and walks that run in a circle.
func (c *checker) reach(t *Tree) {
	c.trim(t)
	const (
		open = 1
		done = 2
	)
	state := map[string]int{}
	ends := map[string]bool{}
	var visit func(tg Target)
	visit = func(tg Target) {
		if tg.End.S != "" {
			ends[tg.End.S] = true
			return
		}
		s := t.steps[tg.To.S]
		if s == nil || state[s.Name()] == done {
			return
		}
		if state[s.Name()] == open {
			c.report.add(t.File, tg.To, fmt.Sprintf("the walk comes back to %q", s.Name()), "break the circle: an answer may lead only forward")
			return
		}
		state[s.Name()] = open
		for _, next := range s.Targets() {
			visit(next)
		}
		state[s.Name()] = done
	}
	visit(t.Start)
	c.prune(t, func(step string) bool { return state[step] != 0 }, func(outcome string) bool { return ends[outcome] })
	for _, s := range t.Steps {
		if state[s.Name()] == 0 {
			c.report.add(t.File, at(s.Ask, s.ID), fmt.Sprintf("no walk reaches step %q", s.Name()), "lead an answer to it, or remove it")
		}
	}
	for _, o := range t.Outcomes.List {
		if !ends[o.ID] {
			c.report.add(t.File, o.Named, fmt.Sprintf("no walk reaches outcome %q", o.ID), "lead an answer to it, or remove it")
		}
	}
}

// Longest is the largest number of questions that can still be asked from the target.
func (t *Tree) Longest(from Target) int {
	memo := map[string]int{}
	var length func(tg Target) int
	length = func(tg Target) int {
		s := t.steps[tg.To.S]
		if s == nil {
			return 0
		}
		if n, ok := memo[s.Name()]; ok {
			return n
		}
		n := 0
		for _, next := range s.Targets() {
			n = max(n, length(next))
		}
		if s.IsQuestion() {
			n++
		}
		memo[s.Name()] = n
		return n
	}
	return length(from)
}

// Ends lists the outcomes that can still be reached from the target, in the order of the file. next narrows where a step
// leads; nil takes everything.
func (t *Tree) Ends(from Target, next func(*Step) []Target) []*Outcome {
	if next == nil {
		next = (*Step).Targets
	}
	seen, ends := map[string]bool{}, map[string]bool{}
	var visit func(tg Target)
	visit = func(tg Target) {
		if tg.End.S != "" {
			ends[tg.End.S] = true
			return
		}
		s := t.steps[tg.To.S]
		if s == nil || seen[s.Name()] {
			return
		}
		seen[s.Name()] = true
		for _, n := range next(s) {
			visit(n)
		}
	}
	visit(from)
	var out []*Outcome
	for _, o := range t.Outcomes.List {
		if ends[o.ID] {
			out = append(out, o)
		}
	}
	return out
}
