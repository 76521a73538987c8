package proof

import (
	"fmt"

	"benyomo/internal/idea/dialog"
)

// unreached reports what no purpose and no position leads to: steps, branches on a purpose, and outcomes. Those of shared parts
// are left out: another kind may come there.
//
// An answer needs no rule of its own: every fact may be given, so that each answer of a question that is reached is taken. A
// position that a switch cannot have here, being met for the second time, must be written all the same.
func (pr *prover) unreached() {
	for _, s := range pr.tree.Steps {
		if s.Shared() != "" {
			continue
		}
		if !pr.reached[stepKey(s)] {
			pr.say(place(s), fmt.Sprintf("no walk reaches step %q", s.Name()), "an earlier purpose or switch has decided already: remove it, or lead a walk to it")
			continue
		}
		for _, purpose := range dialog.Purposes() {
			if tg, ok := s.Purpose[purpose]; ok && !pr.reached[branchKey(s, purpose)] {
				pr.say(branchPlace(s, tg), fmt.Sprintf("purpose %q never comes to step %q", purpose, s.Name()), "remove the branch")
			}
		}
	}
	for _, o := range pr.tree.Outcomes.List {
		if o.Shared() == "" && !pr.reached[outcomeKey(o)] {
			pr.say(o.Named, fmt.Sprintf("no walk ends with outcome %q", o.ID), "an earlier purpose or switch has decided already: remove it, or lead a walk to it")
		}
	}
}

// shared adds to the set what the tree reaches of its shared parts, by file and key.
func (pr *prover) shared(reached map[string]bool) {
	for _, s := range pr.tree.Steps {
		if s.Shared() == "" {
			continue
		}
		if pr.reached[stepKey(s)] {
			reached[s.Shared()+" "+stepKey(s)] = true
		}
		for purpose := range s.Purpose {
			if pr.reached[branchKey(s, purpose)] {
				reached[s.Shared()+" "+branchKey(s, purpose)] = true
			}
		}
	}
	for _, o := range pr.tree.Outcomes.List {
		if o.Shared() != "" && pr.reached[outcomeKey(o)] {
			reached[o.Shared()+" "+outcomeKey(o)] = true
		}
	}
}

// unreachedShared reports what no kind at all reaches of the shared parts that the tree uses; reached is what any kind does. That
// no walk of any kind could come there, whatever its purpose, the loader has found already.
func (pr *prover) unreachedShared(reached map[string]bool) {
	const do = "remove it, or lead a walk of some kind to it"
	for _, s := range pr.tree.Steps {
		if s.Shared() == "" {
			continue
		}
		if !reached[s.Shared()+" "+stepKey(s)] {
			pr.say(place(s), fmt.Sprintf("no walk of any kind reaches step %q", s.Name()), do)
			continue
		}
		for _, purpose := range dialog.Purposes() {
			if tg, ok := s.Purpose[purpose]; ok && !reached[s.Shared()+" "+branchKey(s, purpose)] {
				pr.say(branchPlace(s, tg), fmt.Sprintf("purpose %q comes to step %q in no kind", purpose, s.Name()), "remove the branch")
			}
		}
	}
	for _, o := range pr.tree.Outcomes.List {
		if o.Shared() != "" && !reached[o.Shared()+" "+outcomeKey(o)] {
			pr.say(o.Named, fmt.Sprintf("no walk of any kind ends with outcome %q", o.ID), do)
		}
	}
}

// place is where a step stands.
func place(s *dialog.Step) dialog.Word { return first(s.Ask, s.ID) }

// branchPlace is where a branch on a purpose stands: at the word that it leads to, unless that is an exit's, which stands in
// another file.
func branchPlace(s *dialog.Step, tg dialog.Target) dialog.Word {
	if to := first(tg.To, tg.End); to.Line > 0 && to.Shared() == s.Shared() {
		return to
	}
	return place(s)
}

func first(ws ...dialog.Word) dialog.Word {
	for _, w := range ws {
		if w.Line > 0 {
			return w
		}
	}
	return dialog.Word{}
}
