package proof

import "benyomo/internal/idea/dialog"

// Positions answers what the community's position on a switch is; ok is false where none is set.
type Positions func(switchID string) (position string, ok bool)

// Effect is what a change of positions does to one kind.
type Effect struct {
	Kind     string
	Purpose  string
	Walks    float64 // walks that end differently
	Of       float64 // walks in all
	Outcomes int     // outcomes that come up or fall away, or that some walk now ends with instead
}

// Change compares what a household is told before and after a change of positions, kind by kind and purpose by purpose; those
// that nothing changes for are left out.
func Change(p *dialog.Pack, before, after Positions) []Effect {
	var out []Effect
	for _, t := range p.Trees {
		for _, purpose := range dialog.Purposes() {
			pr := &prover{tree: t, pack: p}
			c := &comparison{ends: map[string]bool{}, seen: map[[2]*node][2]float64{}}
			changed, all := c.walks(newGraph(pr, purpose).under(t.Start, before), newGraph(pr, purpose).under(t.Start, after))
			if changed > 0 {
				out = append(out, Effect{Kind: t.Kind.S, Purpose: purpose, Walks: changed, Of: all, Outcomes: len(c.ends)})
			}
		}
	}
	return out
}

// referred stands for every walk that goes to the rabbi because a position, or a way for the purpose, is missing.
var referred = &dialog.Outcome{ID: "referred"}

// under compiles the tree with every switch decided: an unset one refers.
func (g *graph) under(tg dialog.Target, at Positions) *node {
	if tg.End.S != "" {
		return &node{end: g.tree.Outcome(tg.End.S)}
	}
	s := g.tree.Step(tg.To.S)
	if n, ok := g.memo[s.Name()]; ok {
		return n
	}
	n := &node{end: referred}
	switch {
	case s.Purpose != nil:
		if next, ok := s.Purpose[g.purpose]; ok {
			n = g.under(next, at)
		}
	case s.Switch.S != "":
		pos, ok := at(s.Switch.S)
		if next, known := s.Positions[pos]; ok && known {
			n = g.under(next, at)
		}
	default:
		n = &node{step: s}
		for _, a := range s.Answers {
			n.kids = append(n.kids, g.under(a.Target, at))
		}
	}
	g.memo[s.Name()] = n
	return n
}

type comparison struct {
	ends map[string]bool
	seen map[[2]*node][2]float64
}

// walks counts the walks that end differently in two graphs of one tree, and all of them. Where the two ask different
// questions, each answer of the one goes with each of the other's.
func (c *comparison) walks(a, b *node) (changed, all float64) {
	if a.end != nil && b.end != nil {
		if same(a.end, b.end) {
			return 0, 1
		}
		c.ends[a.end.ID], c.ends[b.end.ID] = true, true
		return 1, 1
	}
	key := [2]*node{a, b}
	if v, ok := c.seen[key]; ok {
		return v[0], v[1]
	}
	lead := a
	if lead.end != nil {
		lead = b
	}
	for i := range lead.kids {
		na, nb := a, b
		if a.step == lead.step {
			na = a.kids[i]
		}
		if b.step == lead.step {
			nb = b.kids[i]
		}
		x, y := c.walks(na, nb)
		changed, all = changed+x, all+y
	}
	c.seen[key] = [2]float64{changed, all}
	return changed, all
}

func same(a, b *dialog.Outcome) bool {
	if a == referred || b == referred {
		return a == b
	}
	return a.Content() == b.Content()
}
