package proof

import (
	"fmt"

	"benyomo/internal/idea/dialog"
)

// pairs walks two parts of a graph side by side, under the same facts and positions, and compares their ends.
type pairs struct {
	*graph
	notSure bool // facts may be 'not sure' as well, where a question says what that leads to
	fits    func(a, b *dialog.Outcome) bool
	seen    map[string]bool // pairs, with what binds them, that were found to fit
	below   map[*node]map[string]bool
}

func newPairs(g *graph, notSure bool, fits func(a, b *dialog.Outcome) bool) *pairs {
	return &pairs{graph: g, notSure: notSure, fits: fits, seen: map[string]bool{}, below: map[*node]map[string]bool{}}
}

// variable is what a node decides on: a question's fact, or a switch's position.
func (n *node) variable() string {
	if n.step.IsQuestion() {
		return n.step.Name()
	}
	return "switch " + n.step.Switch.S
}

// variables are those that are met from the node on.
func (p *pairs) variables(n *node) map[string]bool {
	if known, ok := p.below[n]; ok {
		return known
	}
	out := map[string]bool{}
	p.below[n] = out
	if n.end != nil {
		return out
	}
	out[n.variable()] = true
	for _, k := range p.kidsOf(n) {
		for v := range p.variables(k.node) {
			out[v] = true
		}
	}
	return out
}

type kid struct {
	label string
	node  *node
}

func (p *pairs) kidsOf(n *node) []kid {
	out := make([]kid, 0, len(n.kids)+1)
	for i, k := range n.kids {
		out = append(out, kid{n.labels[i], k})
	}
	if p.notSure && n.notSure != nil {
		out = append(out, kid{dialog.UnsureFact, n.notSure})
	}
	return out
}

// differ finds two ends that the same facts and positions lead to and that do not fit. given are those met on the way.
func (p *pairs) differ(a, b *node, given fixed) (*dialog.Outcome, *dialog.Outcome) {
	if a.end != nil && b.end != nil {
		if p.fits(a.end, b.end) {
			return nil, nil
		}
		return a.end, b.end
	}
	need := map[string]bool{}
	for _, n := range []*node{a, b} {
		for v := range p.variables(n) {
			need[v] = true
		}
	}
	key := fmt.Sprintf("%d %d %s", a.id, b.id, given.key(need))
	if p.seen[key] {
		return nil, nil
	}
	lead := a
	if lead.end != nil {
		lead = b
	}
	for _, k := range p.kidsOf(lead) {
		v := lead.variable()
		if was, ok := given[v]; ok && was != k.label {
			continue
		}
		if x, y := p.differ(p.step(a, v, k.label), p.step(b, v, k.label), given.with(v, k.label)); x != nil {
			return x, y
		}
	}
	p.seen[key] = true
	return nil, nil
}

// step takes a node along a variable's value, if it is the one that the node decides on.
func (p *pairs) step(n *node, variable, label string) *node {
	if n.end != nil || n.variable() != variable {
		return n
	}
	for _, k := range p.kidsOf(n) {
		if k.label == label {
			return k.node
		}
	}
	return n
}
