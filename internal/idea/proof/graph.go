package proof

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"benyomo/internal/idea/dialog"
)

// node is a step or an end in the graph of one purpose. Nodes that mean the same are one.
type node struct {
	id      int
	step    *dialog.Step    // a question or a switch; nil at an end
	end     *dialog.Outcome // nil at a step
	kids    []*node         // by the answers, or by the positions
	labels  []string        // the answers' or positions' ids
	notSure *node           // where a lasting 'not sure' goes, if the question says so
}

type graph struct {
	*prover
	purpose string
	root    *node
	nodes   []*node
	memo    map[string]*node // step and fixed positions → node
	equal   map[string]*node // what a node is made of → node

	countMemo map[*node]float64
	longMemo  map[*node]int
	meanMemo  map[*node]float64
}

func newGraph(pr *prover, purpose string) *graph {
	return &graph{prover: pr, purpose: purpose, memo: map[string]*node{}, equal: map[string]*node{},
		countMemo: map[*node]float64{}, longMemo: map[*node]int{}, meanMemo: map[*node]float64{}}
}

// compile makes the graph from the target on. It returns nil where the purpose has no way on, which it reports.
func (g *graph) compile(tg dialog.Target, f fixed) *node {
	if tg.End.S != "" {
		o := g.tree.Outcome(tg.End.S)
		g.reached[outcomeKey(o)] = true
		return g.node(node{end: o}, "end "+o.Content())
	}
	s := g.tree.Step(tg.To.S)
	g.reached[stepKey(s)] = true
	if s.Purpose != nil {
		next, ok := s.Purpose[g.purpose]
		if !ok {
			g.say(first(s.ID), fmt.Sprintf("step %q has no way on for purpose %q, which comes to it", s.Name(), g.purpose), "add the branch")
			return nil
		}
		g.reached[branchKey(s, g.purpose)] = true
		return g.compile(next, f)
	}
	key := s.Name() + "|" + f.key(g.switches(tg))
	if n, ok := g.memo[key]; ok {
		return n
	}
	n := g.step(s, f)
	g.memo[key] = n
	return n
}

func (g *graph) step(s *dialog.Step, f fixed) *node {
	if pos, met := f[s.Switch.S]; met && s.Switch.S != "" {
		return g.compile(s.Positions[pos], f)
	}
	made := node{step: s}
	add := func(label string, k *node) bool {
		made.kids, made.labels = append(made.kids, k), append(made.labels, label)
		return k != nil
	}
	whole := true
	switch {
	case s.IsQuestion():
		for _, a := range s.Answers {
			whole = add(a.ID.S, g.compile(a.Target, f)) && whole
		}
		if s.Unsure != nil && !s.Unsure.Zero() {
			made.notSure = g.compile(s.Unsure.Target, f)
			whole = made.notSure != nil && whole
		}
	default:
		for _, pos := range g.pack.Switch(s.Switch.S).Positions {
			whole = add(pos.ID.S, g.compile(s.Positions[pos.ID.S], f.with(s.Switch.S, pos.ID.S))) && whole
		}
	}
	if !whole {
		return nil
	}
	return g.node(made, s.Name())
}

// node gives equal nodes one identity.
func (g *graph) node(n node, name string) *node {
	var b strings.Builder
	b.WriteString(name)
	for _, k := range n.kids {
		fmt.Fprintf(&b, "|%d", k.id)
	}
	if n.notSure != nil {
		fmt.Fprintf(&b, "?%d", n.notSure.id)
	}
	if known, ok := g.equal[b.String()]; ok {
		return known
	}
	made := n
	made.id = len(g.nodes)
	g.nodes = append(g.nodes, &made)
	g.equal[b.String()] = &made
	return &made
}

func (g *graph) walks(n *node) float64 {
	if n.end != nil {
		return 1
	}
	if v, ok := g.countMemo[n]; ok {
		return v
	}
	v := 0.0
	for _, k := range n.kids {
		v += g.walks(k)
	}
	g.countMemo[n] = v
	return v
}

func (g *graph) longest(n *node) int {
	if n.end != nil {
		return 0
	}
	if v, ok := g.longMemo[n]; ok {
		return v
	}
	v := 0
	for _, k := range n.kids {
		v = max(v, g.longest(k))
	}
	if n.step.IsQuestion() {
		v++
	}
	g.longMemo[n] = v
	return v
}

func (g *graph) mean(n *node) float64 {
	if n.end != nil {
		return 0
	}
	if v, ok := g.meanMemo[n]; ok {
		return v
	}
	v := 0.0
	for _, k := range n.kids {
		v += g.mean(k) / float64(len(n.kids))
	}
	if n.step.IsQuestion() {
		v++
	}
	g.meanMemo[n] = v
	return v
}

func sortedKeys[K cmp.Ordered, V any](m map[K]V) []K {
	keys := make([]K, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
