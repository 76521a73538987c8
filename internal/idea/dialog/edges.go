package dialog

import (
	"maps"
	"slices"
)

// Sorts of edges: by what decides that a walk takes them.
const (
	AnswerEdge   = "answer"
	UnsureEdge   = "unsure"
	PositionEdge = "position"
	PurposeEdge  = "purpose"
)

// Edge is one arrow of a tree: from a step to where it leads for one answer, one position or one purpose, or for a lasting
// 'not sure' that has a target of its own.
type Edge struct {
	Step   string // the step's id
	Sort   string // AnswerEdge, UnsureEdge, PositionEdge or PurposeEdge
	Name   string // the answer, position or purpose; UnsureFact where a person does not know
	Target Target
}

// String names the edge and where it leads.
func (e Edge) String() string { return e.Step + " " + e.Sort + " " + e.Name + " " + e.Target.String() }

// Edges lists every arrow of the tree, in the order of its steps and of their targets. The start is none of them.
func (t *Tree) Edges() []Edge {
	var out []Edge
	for _, s := range t.Steps {
		for _, a := range s.Answers {
			out = append(out, Edge{s.Name(), AnswerEdge, a.ID.S, a.Target})
		}
		if s.Unsure != nil && !s.Unsure.Zero() {
			out = append(out, Edge{s.Name(), UnsureEdge, UnsureFact, s.Unsure.Target})
		}
		for _, k := range sortedKeys(s.Positions) {
			out = append(out, Edge{s.Name(), PositionEdge, k, s.Positions[k]})
		}
		for _, k := range sortedKeys(s.Purpose) {
			out = append(out, Edge{s.Name(), PurposeEdge, k, s.Purpose[k]})
		}
	}
	return out
}

// WithEdge is the tree with the i-th of its Edges led to the target instead, as its author might have by mistake. The tree
// itself stays as it is; both share every step but the changed one. The new tree has a logic hash of its own and has not been
// checked: what was reached only by that edge is still in it. It panics where there is no i-th edge.
func (t *Tree) WithEdge(i int, target Target) *Tree {
	e := t.Edges()[i]
	at := slices.IndexFunc(t.Steps, func(s *Step) bool { return s.Name() == e.Step })
	step := *t.Steps[at]
	switch e.Sort {
	case AnswerEdge:
		step.Answers = slices.Clone(step.Answers)
		j := slices.IndexFunc(step.Answers, func(a *Answer) bool { return a.ID.S == e.Name })
		answer := *step.Answers[j]
		answer.Target = target
		step.Answers[j] = &answer
	case UnsureEdge:
		unsure := *step.Unsure
		unsure.Target = target
		step.Unsure = &unsure
	case PositionEdge:
		step.Positions = maps.Clone(step.Positions)
		step.Positions[e.Name] = target
	case PurposeEdge:
		step.Purpose = maps.Clone(step.Purpose)
		step.Purpose[e.Name] = target
	}
	out := *t
	out.Steps = slices.Clone(t.Steps)
	out.Steps[at] = &step
	out.steps = maps.Clone(t.steps)
	out.steps[e.Step] = &step
	out.hashLogic()
	return &out
}
