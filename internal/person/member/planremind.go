package member

import (
	"strconv"
	"strings"
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/store"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/kitchen"
	"benyomo/internal/idea/plan"
	"benyomo/internal/idea/wording"
)

// timerPlan is the next alert of a household's plan. Late, all that was missed comes as one message, of the state of then.
const timerPlan = "member/plan"

func planTimerKey(household uint64) string { return "plan-" + strconv.FormatUint(household, 10) }

// setPlanTimer sets the next alert of a plan, or none.
func setPlanTimer(t *turn.Turn, o plan.Order) {
	key := planTimerKey(o.Household)
	next := o.Plan.Alerts(t.Now)
	if len(next) == 0 {
		t.Tx.StopTimer(key)
		return
	}
	t.Tx.SetTimer(store.Timer{Kind: timerPlan, Key: key, Due: next[0].At, Household: o.Household, Rev: o.Planned,
		Arg: strconv.FormatInt(t.Now.Unix(), 10)}) // of what comes after now nothing was said
}

// planDue tells every phone of a kitchen what its plan says now: what begins soon, what is over, and asks what is done.
func planDue(t *turn.Turn, tm store.Timer) {
	o, ok := t.Tx.Order(tm.Household)
	if !ok || o.Plan == nil || o.Planned != tm.Rev {
		return // planned anew: that set its own
	}
	said, err := strconv.ParseInt(tm.Arg, 10, 64)
	if err != nil {
		return
	}
	var due []plan.Alert
	urgent := false
	for _, a := range o.Plan.Alerts(time.Unix(said, 0)) {
		if a.At.After(t.Now) {
			break
		}
		if a.What == plan.AlertHeat && timedByItself(t, &o, a) {
			continue
		}
		urgent = urgent || a.What == plan.AlertHeat
		due = append(due, a)
	}
	if len(due) > 0 && !urgent && untilMorning(t, tm) {
		return
	}
	setPlanTimer(t, o)
	class := chat.Reminder
	if urgent {
		class = chat.HeatingEnd
	}
	for _, p := range phones(t, tm.Household) {
		t.Who = p
		if m := planReminder(t, &o, due); len(m.Blocks) > 0 {
			t.Say(me(t), class, "", m)
		}
	}
}

// timedByItself reports whether the heating runs in the kitchen's list too, where its true start is known: that reminds.
func timedByItself(t *turn.Turn, o *plan.Order, a plan.Alert) bool {
	for it := range t.Tx.Items(o.Household) {
		if it.State != kitchen.Heating && it.State != kitchen.Cooling {
			continue
		}
		row := rowOf(t, it)
		for _, id := range a.Tasks[0].Items {
			if row != "" && (id == row || strings.HasPrefix(id, row+"-")) {
				return true
			}
		}
	}
	return false
}

// planReminder puts alerts into one message. What is past is not announced any more.
func planReminder(t *turn.Turn, o *plan.Order, due []plan.Alert) chat.Message {
	w := t.Mine()
	v := viewPlan(t, o)
	var m chat.Message
	ask := false
	for _, a := range due {
		switch a.What {
		case plan.AlertMeal:
			if at := o.Plan.LastMeal.At; at.After(t.Now) {
				m.Add(chat.Heading, w.Say("planning-meal-soon", "when", w.Near(at, t.Now)))
				m.Add(chat.Plain, w.Say("planning-meal-after"))
			}
		case plan.AlertWork:
			if first := a.Tasks[0].Begins; t.Now.Before(a.Tasks[len(a.Tasks)-1].Ends) {
				m.Add(chat.Heading, w.Say("planning-soon", "when", w.Near(first, t.Now)))
				v.cautions(&m, a.Tasks)
				v.part(&m, "", a.Tasks)
			}
		case plan.AlertHeat:
			m.Add(chat.Heading, w.Say("planning-over", "task", v.lines.Task(a.Tasks[0])))
		case plan.AlertCheck:
			ask = true
		}
	}
	if ask {
		v.overdue(&m, w.Say("planning-was-it-done"), o.Plan.Overdue(t.Now))
		m.Row(button(w, "btn-plan-all-done", "m.did", o.Planned, t.Now.Unix()))
	}
	if len(m.Blocks) > 0 {
		m.Row(planButton(w))
	}
	return m
}

// planButton leads to the plan, from anywhere.
func planButton(w wording.Words) chat.Button { return button(w, "btn-plan", "m.go", "plan") }
