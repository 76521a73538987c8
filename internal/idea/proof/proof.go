// Package proof proves of a whole tree what no list of examples could: that over all facts, all positions of the switches it
// meets and all not-sure answers, each walk ends, every step and every branch is reached by some walk, no question is asked
// whose answers change nothing, and a lasting 'not sure' is never told less than any answer would have been.
//
// How: for each purpose the tree is compiled to a graph in which equal parts are one node and a switch that was met keeps
// its position; the properties are memoised passes over that graph, never a list of its paths. That no question is asked
// twice needs no pass: a question is a step, and the loader refuses circles.
//
// What a firm answer after not-sure facts owes to every completion of them is package triage's promise; the tests here hold
// it against a brute-force walk over random trees.
package proof

import (
	"fmt"
	"strings"

	"benyomo/internal/idea/dialog"
)

// Report is what is proved of a tree, and what is wrong with it.
type Report struct {
	Kind      string
	Questions int
	Outcomes  int
	Walks     float64 // walks over all purposes, answers and positions; a float, since it can be astronomical
	Longest   int     // questions on the longest walk
	Mean      float64 // questions of a walk, with every answer and position equally likely
	Mistakes  dialog.Mistakes
}

// Tree proves one tree. p is the pack that holds it.
func Tree(t *dialog.Tree, p *dialog.Pack) Report {
	pr := &prover{tree: t, pack: p, below: map[string]map[string]bool{}, reached: map[string]bool{}, branches: map[string]bool{}}
	r := Report{Kind: t.Kind.S, Outcomes: len(t.Outcomes.List)}
	for _, s := range t.Steps {
		if s.IsQuestion() {
			r.Questions++
		}
	}
	var graphs []*graph
	for _, purpose := range dialog.Purposes() {
		g := newGraph(pr, purpose)
		g.root = g.compile(t.Start, nil)
		if g.root == nil {
			continue
		}
		graphs = append(graphs, g)
		r.Walks += g.walks(g.root)
		r.Longest = max(r.Longest, g.longest(g.root))
		r.Mean += g.mean(g.root)
	}
	if len(graphs) > 0 {
		r.Mean /= float64(len(graphs))
	}
	pr.unreached()
	pr.idle(graphs)
	for _, g := range graphs {
		g.unsure()
	}
	r.Mistakes = pr.mistakes
	return r
}

type prover struct {
	tree     *dialog.Tree
	pack     *dialog.Pack
	below    map[string]map[string]bool // step → switches that are met at it or after it
	reached  map[string]bool            // steps
	branches map[string]bool            // step|purpose that was taken
	mistakes dialog.Mistakes
	said     map[string]bool
}

func (pr *prover) say(at dialog.Word, what, do string) {
	if pr.said == nil {
		pr.said = map[string]bool{}
	}
	m := pr.pack.Mistake(pr.tree, at, what, do)
	if !pr.said[m.Error()] {
		pr.said[m.Error()] = true
		pr.mistakes = append(pr.mistakes, m)
	}
}

// switches lists the switches that can be met from the target on.
func (pr *prover) switches(tg dialog.Target) map[string]bool {
	s := pr.tree.Step(tg.To.S)
	if s == nil {
		return nil
	}
	if known, ok := pr.below[s.Name()]; ok {
		return known
	}
	out := map[string]bool{}
	pr.below[s.Name()] = out
	if s.Switch.S != "" {
		out[s.Switch.S] = true
	}
	for _, next := range s.Targets() {
		for sw := range pr.switches(next) {
			out[sw] = true
		}
	}
	return out
}

// unreached reports steps that no purpose and no position leads to, and branches on a purpose that never comes there.
func (pr *prover) unreached() {
	for _, s := range pr.tree.Steps {
		at := s.Ask
		if at.Line == 0 {
			at = s.ID
		}
		if !pr.reached[s.Name()] {
			pr.say(at, fmt.Sprintf("no walk reaches step %q", s.Name()), "an earlier purpose or switch has decided already: remove it, or lead a walk to it")
			continue
		}
		for _, purpose := range dialog.Purposes() {
			tg, ok := s.Purpose[purpose]
			if ok && s.Shared() != "" {
				continue // another kind may come there for it
			}
			if ok && !pr.branches[s.Name()+"|"+purpose] {
				pr.say(first(tg.To, tg.End, at), fmt.Sprintf("purpose %q never comes to step %q", purpose, s.Name()), "remove the branch")
			}
		}
	}
}

// idle reports questions whose answers change nothing, for any purpose that comes to them. Questions for the record are exempt.
func (pr *prover) idle(graphs []*graph) {
	asked, matters := map[string]bool{}, map[string]bool{}
	for _, g := range graphs {
		alike := newPairs(g, true, same)
		for _, n := range g.nodes {
			if n.step == nil || !n.step.IsQuestion() {
				continue
			}
			asked[n.step.Name()] = true
			for _, k := range n.kids[1:] {
				if a, _ := alike.differ(n.kids[0], k, nil); a != nil {
					matters[n.step.Name()] = true
				}
			}
		}
	}
	for _, s := range pr.tree.Steps {
		if s.IsQuestion() && asked[s.Name()] && !matters[s.Name()] && !s.Record {
			pr.say(s.Ask, fmt.Sprintf("question %q changes nothing: all its answers end alike", s.Name()), "remove it, let an answer lead elsewhere, or mark it record: true")
		}
	}
}

func first(ws ...dialog.Word) dialog.Word {
	for _, w := range ws {
		if w.Line > 0 {
			return w
		}
	}
	return dialog.Word{}
}

// fixed are the positions of switches that were met on the way and are met again.
type fixed map[string]string

func (f fixed) key(need map[string]bool) string {
	var b strings.Builder
	for _, sw := range sortedKeys(f) {
		if need[sw] {
			b.WriteString(sw + "=" + f[sw] + ";")
		}
	}
	return b.String()
}

func (f fixed) with(sw, pos string) fixed {
	out := fixed{sw: pos}
	for k, v := range f {
		out[k] = v
	}
	return out
}
