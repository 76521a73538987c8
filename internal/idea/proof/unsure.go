package proof

import (
	"fmt"
	"slices"

	"benyomo/internal/idea/dialog"
)

// unsure holds every 'not sure' that leads somewhere by itself against every answer that the person might have given: under
// the same other facts and positions, what he is told must satisfy what he would have been told. Where the tree says why it
// holds all the same, that is the rabbi's to approve and not for a program to weigh.
func (g *graph) unsure() {
	for _, n := range g.nodes {
		if n.notSure == nil || len(n.step.Unsure.Holds) > 0 {
			continue
		}
		for i, k := range n.kids {
			if a, b := newPairs(g, false, Satisfies).differ(n.notSure, k, nil); a != nil {
				g.say(n.step.Ask, fmt.Sprintf("'not sure' at %q can end with %q where the answer %q ends with %q", n.step.Name(), a.ID, n.labels[i], b.ID), "let it lead to what is right under every answer, say in holds why it is, or leave it out")
			}
		}
	}
}

// strength orders the methods that satisfy one another: what a stronger one does covers a weaker (Avodah Zarah 75b; Shulchan
// Aruch, Orach Chaim 451:4 and 451:11 with Rema). Methods that are not listed satisfy only themselves.
var strength = map[string]int{"wash": 1, "iruy": 2, "hagalah": 3, "libun-kal": 4, "libun-gamur": 5}

// Satisfies reports whether somebody who is told a, not knowing a fact, does at least what b would have asked of him: what is
// not used, or is asked of the rabbi, cannot go wrong; a stronger method covers a weaker one; waits may only be longer.
func Satisfies(a, b *dialog.Outcome) bool {
	if a.Content() == b.Content() || a.Whether.S == dialog.AskRabbi || a.Whether.S == dialog.Cannot {
		return true
	}
	if a.Whether.S == dialog.NotNeeded && restrains[a.Method.S] {
		return true
	}
	if b.Whether.S == dialog.Cannot || b.Whether.S == dialog.AskRabbi {
		return false
	}
	if b.Whether.S == dialog.NotNeeded && !restrains[b.Method.S] {
		return a.Whether.S != dialog.NotNeeded
	}
	if b.Whether.S == dialog.NotNeeded { // it would have been covered or put away
		return false
	}
	sa, sb := strength[a.Method.S], strength[b.Method.S]
	if a.Method.S != b.Method.S && (sa == 0 || sb == 0 || sa < sb) {
		return false
	}
	return minutes(a) >= minutes(b) || sa > sb || byHands(a)
}

// restrains are the ways of keeping an item out of use or out of touch: they are right whatever it absorbed.
var restrains = map[string]bool{"cover": true, "put-away": true, "basin": true, "keep-side": true}

// byHands reports whether trained hands do it, who see the item themselves.
func byHands(o *dialog.Outcome) bool {
	return len(o.Ways) > 0 && !slices.ContainsFunc(o.Ways, func(w dialog.Word) bool { return w.S == dialog.AtHome })
}

func minutes(o *dialog.Outcome) int {
	n := 0
	for _, s := range o.Timeline {
		n += s.Minutes
	}
	return n
}
