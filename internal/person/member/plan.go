package member

import (
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/luach"
	"benyomo/internal/idea/plan"
)

// planAhead is how long before the eve of Pesach a kitchen is planned at the earliest.
const planAhead = 60 * 24 * time.Hour

// planned reports whether the household has a plan that is not over.
func planned(t *turn.Turn) (plan.Order, bool) {
	o, ok := t.Tx.Order(t.Who.Household)
	if !ok || o.Plan == nil || t.Now.After(o.Plan.Finish.At) {
		return o, false
	}
	return o, true
}

// openPlan shows the household's plan, or asks for what it takes to make one.
func openPlan(t *turn.Turn) {
	if _, ok := planned(t); ok {
		show(t, screenPlan)
		return
	}
	show(t, screenPlanFirst)
}

// drawPlanFirst says what a plan is, or from when on one is made.
func drawPlanFirst(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	var m chat.Message
	m.Add(chat.Heading, w.Say("planning-first"))
	if opens := luach.PesachAfter(place(t), t.Now).Begins.Add(-planAhead); t.Now.Before(opens) {
		m.Add(chat.Plain, w.Say("planning-early", "when", w.Day(opens)))
	} else {
		m.Add(chat.Plain, w.Say("planning-about"))
		m.Row(button(w, "btn-plan-begin", "m.plan", s.Step, "begin"))
	}
	m.Row(button(w, "btn-kitchen", "m.go", "kitchen"), button(w, "btn-menu", "m.go", "menu"))
	return m
}

// planChanged is the argument of a plan's screen that says first what changed.
const planChanged = "changed"

// withPlan draws a screen of the household's plan; where there is none any more, it says what a plan is.
func withPlan(draw func(planView, chat.Screen, *chat.Message)) render {
	return func(t *turn.Turn, s chat.Screen) chat.Message {
		o, ok := planned(t)
		if !ok {
			return drawPlanFirst(t, s)
		}
		var m chat.Message
		draw(viewPlan(t, &o), s, &m)
		return m
	}
}

// drawPlan shows what is now, today and tomorrow.
func drawPlan(v planView, s chat.Screen, m *chat.Message) {
	t, w := v.t, v.w
	if s.Arg(0) == planChanged {
		m.Add(chat.Heading, w.Say("planning-changed"))
		m.Add(chat.Plain, v.changes())
	}
	v.standing(m)
	v.days(m)
	v.misfit(m, s.Step)
	m.Add(chat.Aside, w.Say("planning-estimates"))
	if len(v.order.Plan.Overdue(t.Now)) > 0 || len(v.running()) > 0 {
		m.Row(button(w, "btn-plan-done", "m.plan", s.Step, "done"))
	}
	m.Row(button(w, "btn-plan-hot", "m.plan", s.Step, "hot"), button(w, "btn-plan-late", "m.plan", s.Step, "again"))
	m.Row(button(w, "btn-plan-picture", "m.plan", s.Step, "picture"), button(w, "btn-plan-calendar", "m.plan", s.Step, "calendar"))
	m.Row(button(w, "btn-plan-whole", "m.plan", s.Step, "whole"), button(w, "btn-plan-change", "m.plan", s.Step, "change"))
	m.Row(button(w, "btn-kitchen", "m.go", "kitchen"), button(w, "btn-menu", "m.go", "menu"))
}
