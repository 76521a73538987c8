package member

import (
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/kitchen"
	"benyomo/internal/idea/plan"
)

// What happens with an item of the kitchen's list is heard by the household's plan, where one thing of the plan is meant and no
// other: a row of which there are several, or two sides, is told by the plan's own buttons.

// planPick is the pick that is meant by an item.
func planPick(t *turn.Turn, o *plan.Order, it kitchen.Item) *plan.Pick {
	row := t.Rows.For(it.Kind, methodOf(t, it))
	var found *plan.Pick
	for i := range o.Picks {
		if p := &o.Picks[i]; p.Row == row {
			if found != nil || p.Count > 1 {
				return nil
			}
			found = p
		}
	}
	return found
}

func methodOf(t *turn.Turn, it kitchen.Item) string {
	if o, ok := told(t, it); ok {
		return o.Method.S
	}
	return ""
}

// heardHot begins the thing's 24 hours in the plan too.
func heardHot(t *turn.Turn, it kitchen.Item) {
	o, ok := planned(t)
	if !ok {
		return
	}
	if p := planPick(t, &o, it); p != nil && it.LastHot.After(p.LastHot) {
		if len(o.HotAgain(t.Rows, p.ID(), it.LastHot.UTC())) == 0 { // what is kashered is asked about where it was said
			order(t, o) // only what it changes is told: he looks at the item
		}
	}
}

// heardDone takes everything that was still to be done with the thing as done, or the thing out of the plan.
func heardDone(t *turn.Turn, it kitchen.Item) {
	o, ok := planned(t)
	if !ok {
		return
	}
	p := planPick(t, &o, it)
	if p == nil {
		return
	}
	id := p.ID()
	if it.State == kitchen.Away {
		o.Pick(p.Row, p.Side, 0)
	} else {
		for _, task := range o.Plan.Tasks() {
			if !task.Done && len(task.Items) == 1 && task.Items[0] == id {
				o.Did(task, t.Now)
			}
		}
	}
	if len(o.Picks) == 0 {
		return
	}
	order(t, o) // only what it changes is told: he looks at the item
}
