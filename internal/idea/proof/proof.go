// Package proof proves of a whole tree what no list of examples could: that over all facts, all positions of the switches it
// meets and all not-sure answers, each walk ends, every step, every branch on a purpose and every outcome is reached by some
// walk, no question is asked whose answers change nothing, and a lasting 'not sure' is never told less than any answer would
// have been. What a shared part holds is to be reached by some kind that uses it, not by each.
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
	"slices"
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

// Proof is what is proved of a pack.
type Proof struct {
	Reports  []Report        // one for each tree, in the order of the pack; those of its Mistakes are among the pack's
	Mistakes dialog.Mistakes // of all trees and shared parts, in the order of files and lines, each once
}

// Pack proves every tree of a pack, and that each piece of its shared parts is reached by some kind.
func Pack(p *dialog.Pack) Proof { return prove(p, nil) }

// prove proves a pack; heard, if there is one, is called by each rule that finds a mistake, from the place of its finding.
func prove(p *dialog.Pack, heard func()) Proof {
	var out Proof
	reached := map[string]bool{}
	var provers []*prover
	for _, t := range p.Trees {
		pr := newProver(t, p)
		pr.heard = heard
		r := pr.prove()
		out.Reports = append(out.Reports, r)
		out.Mistakes = append(out.Mistakes, r.Mistakes...)
		pr.shared(reached)
		provers = append(provers, pr)
	}
	for _, pr := range provers {
		pr.mistakes = nil
		pr.unreachedShared(reached)
		out.Mistakes = append(out.Mistakes, pr.mistakes...)
	}
	out.Mistakes = out.Mistakes.Sorted()
	return out
}

// Tree proves one tree. p is the pack that holds it. Whether other kinds reach what this one leaves of its shared parts is for
// Pack to see.
func Tree(t *dialog.Tree, p *dialog.Pack) Report { return newProver(t, p).prove() }

func newProver(t *dialog.Tree, p *dialog.Pack) *prover {
	return &prover{tree: t, pack: p, below: map[string]map[string]bool{}, reached: map[string]bool{}}
}

func (pr *prover) prove() Report {
	t := pr.tree
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
	reached  map[string]bool            // steps, branches on purposes and outcomes, by their keys below
	mistakes dialog.Mistakes
	heard    func() // tests learn here which rule spoke; else nil
}

// Keys of what walks reach.
func stepKey(s *dialog.Step) string                   { return "step " + s.Name() }
func branchKey(s *dialog.Step, purpose string) string { return "branch " + s.Name() + " " + purpose }
func outcomeKey(o *dialog.Outcome) string             { return "outcome " + o.ID }

func (pr *prover) say(at dialog.Word, what, do string) {
	if pr.heard != nil {
		pr.heard()
	}
	m := pr.pack.Mistake(pr.tree, at, what, do)
	if !slices.Contains(pr.mistakes, m) {
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

// idle reports questions whose answers change nothing, for any purpose that comes to them. An intake may ask for the
// record: it only collects what the rabbi will want to know.
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
		if s.IsQuestion() && asked[s.Name()] && !matters[s.Name()] && !(s.Record && pr.tree.Intake) {
			pr.say(s.Ask, fmt.Sprintf("question %q changes nothing: all its answers end alike", s.Name()), "remove it, or let an answer lead elsewhere; only an intake may ask for the record")
		}
	}
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
