package member

import (
	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/store"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/plan"
)

// Jobs is the heavy work of this room, by kind.
func Jobs() map[string]turn.Job {
	return map[string]turn.Job{jobPlan: {Read: readPlan, Done: planMade}}
}

// readPlan takes what a household has said, and returns the making of its plan.
func readPlan(t *turn.Turn, j store.Job) func() (any, error) {
	o, ok := t.Tx.Order(j.Household)
	if !ok {
		return nil
	}
	h, _ := t.Tx.Household(j.Household)
	k, earlier, now, rows := o.Kitchen(t.Community.PlaceOf(h), t.Community.Bedtime, t.Now), o.Plan, t.Now, t.Rows
	return func() (any, error) {
		if earlier == nil {
			p, err := plan.Make(k, rows, now)
			return made{plan: p}, err
		}
		p, changes, err := plan.Again(*earlier, k, rows, now)
		return made{p, changes}, err
	}
}

// made is what came of a job.
type made struct {
	plan    plan.Plan
	changes []plan.Change
}

// planMade keeps a plan, sets its reminders, and shows it to whoever asked; the other phones of the kitchen hear what changed.
func planMade(t *turn.Turn, j store.Job, result any, failure error) {
	o, ok := t.Tx.Order(j.Household)
	r, is := result.(made)
	who, known := t.Tx.Person(j.Person)
	if !ok || !known {
		return
	}
	t.Who = who
	now, _ := t.Tx.Screen(me(t))
	waits := now.Name == screenPlanning // else he looks at something else meanwhile, and it stays before him
	switch {
	case (failure != nil || !is) && waits:
		t.Amend(me(t), screenPlanning, chat.Screen{Name: screenPlanFailed}, func(step uint64) chat.Message {
			return drawPlanFailed(t, chat.Screen{Name: screenPlanFailed, Step: step})
		})
		return
	case failure != nil || !is:
		return
	case o.Rev != j.Rev: // more was said in between, and a plan of it is not asked for yet
		j.Rev = o.Rev
		t.Tx.AskFor(j)
		return
	}
	first := o.Plan == nil
	o.Plan, o.Planned, o.Changes = &r.plan, j.Rev, r.changes
	t.Tx.PutOrder(o)
	setPlanTimer(t, o)
	told := int64(0)
	switch {
	case waits:
		told = j.Person
		s := chat.Screen{Name: screenPlan}
		if !first {
			s.Args = []string{planChanged}
		}
		t.Amend(me(t), screenPlanning, s, func(step uint64) chat.Message {
			s.Step = step
			return renders[screenPlan](t, s)
		})
	case first:
		m := chat.Say(t.Mine().Say("planning-made"))
		m.Row(planButton(t.Mine()))
		t.Say(me(t), chat.Reminder, "", m)
	}
	if !first && len(r.changes) > 0 {
		tellChanges(t, &o, told)
	}
}

// tellChanges tells the kitchen's phones, but for one, what the new plan changes.
func tellChanges(t *turn.Turn, o *plan.Order, but int64) {
	for _, p := range phones(t, o.Household) {
		if p.ID == but {
			continue
		}
		t.Who = p
		w := t.Mine()
		var m chat.Message
		m.Add(chat.Heading, w.Say("planning-changed"))
		m.Add(chat.Plain, viewPlan(t, o).changes())
		m.Row(planButton(w))
		t.Say(me(t), chat.Reminder, "", m)
	}
}

func drawPlanFailed(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	var m chat.Message
	m.Add(chat.Heading, w.Say("planning-failed"))
	if t.Community.Phone != "" {
		m.Add(chat.Plain, w.Say("phone-instead", "phone", t.Community.Phone))
	}
	m.Row(button(w, "btn-plan-change", "m.plan", s.Step, "change"), button(w, "btn-menu", "m.go", "menu"))
	return m
}
