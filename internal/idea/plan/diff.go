package plan

import (
	"cmp"
	"slices"
	"time"
)

// Change is one difference between two plans.
type Change struct {
	What string    `json:"what"` // one of the constants below
	Item string    `json:"item,omitempty"`
	Step string    `json:"step,omitempty"`
	From time.Time `json:"from,omitzero"` // of the earlier plan; zero where it had none
	To   time.Time `json:"to,omitzero"`   // of the later plan; zero where it has none
	Why  string    `json:"why,omitempty"` // id of the sentence that says why it is not later now
}

// What can change.
const (
	ChangedMeal   = "last-meal"
	ChangedUse    = "last-use"
	ChangedStep   = "step"
	ChangedLength = "length" // the step begins as before and ends at another time, which From and To are
	ChangedFit    = "fits"   // the item fits now; or where Why is set, it does not any more
	ChangedReady  = "ready"  // the end of the plan
)

// Diff lists what the later plan changes of the earlier one: steps, last uses, and what fits. A step that was done meanwhile is
// no change.
func Diff(earlier, later Plan) []Change {
	var out []Change
	moved := func(c Change, a, b *Moment) {
		var why string
		if a != nil {
			c.From = a.At
		}
		if b != nil {
			c.To, why = b.At, b.Why
		}
		if !c.From.Equal(c.To) {
			c.Why = why
			out = append(out, c)
		}
	}
	moved(Change{What: ChangedReady}, &earlier.Ready, &later.Ready)
	moved(Change{What: ChangedMeal}, earlier.LastMeal, later.LastMeal)
	out = append(out, fitDiff(earlier, later)...)
	old := map[string]ItemPlan{}
	for _, it := range earlier.Items {
		old[it.ID] = it
	}
	for _, it := range later.Items {
		was := old[it.ID]
		delete(old, it.ID)
		moved(Change{What: ChangedUse, Item: it.ID}, was.LastUse, it.LastUse)
		out = append(out, stepDiff(was, it, later.Made)...)
	}
	for _, it := range earlier.Items {
		if gone, there := old[it.ID]; there && !unfit(later, it.ID) {
			out = append(out, stepDiff(gone, ItemPlan{ID: it.ID}, later.Made)...)
		}
	}
	return out
}

// fitDiff lists what fits now and did not, and the other way.
func fitDiff(earlier, later Plan) []Change {
	var out []Change
	for _, u := range later.Unfit {
		if !unfit(earlier, u.Item) {
			out = append(out, Change{What: ChangedFit, Item: u.Item, Why: u.Why})
		}
	}
	for _, u := range earlier.Unfit {
		if !unfit(later, u.Item) && slices.ContainsFunc(later.Items, func(it ItemPlan) bool { return it.ID == u.Item }) { // not one that was put away
			out = append(out, Change{What: ChangedFit, Item: u.Item})
		}
	}
	return out
}

func unfit(p Plan, item string) bool {
	for _, u := range p.Unfit {
		if u.Item == item {
			return true
		}
	}
	return false
}

// stepDiff compares the steps of an item by their names; of several of one name, in order. What began before now and is no more
// was done.
func stepDiff(was, is ItemPlan, now time.Time) []Change {
	type key struct {
		name string
		nth  int
	}
	index := func(it ItemPlan) (map[key]Step, []key) {
		m, seen := map[key]Step{}, map[string]int{}
		var order []key
		for _, s := range it.Steps {
			k := key{s.Name, seen[s.Name]}
			seen[s.Name]++
			m[k] = s
			order = append(order, k)
		}
		return m, order
	}
	before, order := index(was)
	after, still := index(is)
	var out []Change
	for _, k := range still {
		b, a := before[k], after[k]
		c := Change{What: ChangedStep, Item: is.ID, Step: k.name, From: b.Begins, To: a.Begins, Why: a.Why}
		switch {
		case a.Done:
		case !b.Begins.Equal(a.Begins):
			out = append(out, c)
		case !b.Ends.Equal(a.Ends):
			c.What, c.From, c.To = ChangedLength, b.Ends, a.Ends
			out = append(out, c)
		}
	}
	for _, k := range order {
		if _, there := after[k]; !there && !before[k].Begins.Before(now) {
			out = append(out, Change{What: ChangedStep, Item: cmp.Or(is.ID, was.ID), Step: k.name, From: before[k].Begins})
		}
	}
	return out
}
