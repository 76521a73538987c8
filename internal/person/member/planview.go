package member

import (
	"slices"
	"strings"
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/plan"
	"benyomo/internal/idea/wording"
)

// planView puts a household's plan into words.
type planView struct {
	t     *turn.Turn
	w     wording.Words
	order *plan.Order
	lines wording.PlanLines
}

func viewPlan(t *turn.Turn, o *plan.Order) planView {
	w := t.Mine()
	return planView{t: t, w: w, order: o, lines: w.PlanLines(o.Plan, t.Rows)}
}

func (v planView) zone() *time.Location { return place(v.t).Zone }

// standing says whether all fits, when it is ready, and the last hot meal.
func (v planView) standing(m *chat.Message) {
	p := v.order.Plan
	if p.Fits {
		m.Add(chat.Heading, v.w.Say("planning-fits", "when", v.w.Moment(p.Ready.At)))
	} else {
		m.Add(chat.Heading, v.w.Say("planning-misfits"))
	}
	switch {
	case p.LastMeal == nil:
	case p.LastMeal.At.Before(v.t.Now):
		m.Add(chat.Plain, v.w.Say("planning-last-meal-was", "when", v.w.Near(p.LastMeal.At, v.t.Now)))
	default:
		m.Add(chat.Plain, v.w.Say("planning-last-meal", "when", v.w.Near(p.LastMeal.At, v.t.Now)))
	}
	m.Add(chat.Plain, v.uses())
}

// uses lists the other last uses that are still to come, the soonest first.
func (v planView) uses() string {
	var items []plan.ItemPlan
	for _, it := range v.order.Plan.Items {
		if u := it.LastUse; u != nil && u.At.After(v.t.Now) && (v.order.Plan.LastMeal == nil || !u.At.Equal(v.order.Plan.LastMeal.At)) {
			items = append(items, it)
		}
	}
	slices.SortStableFunc(items, func(a, b plan.ItemPlan) int { return a.LastUse.At.Compare(b.LastUse.At) })
	var lines []string
	for _, it := range items {
		lines = append(lines, v.w.Say("planning-last-use", "item", v.lines.Name(it.ID), "when", v.w.Near(it.LastUse.At, v.t.Now)))
	}
	return strings.Join(lines, "\n")
}

// running are the tasks that are under way now.
func (v planView) running() []plan.Task {
	return slices.DeleteFunc(v.order.Plan.Tasks(), func(t plan.Task) bool {
		return t.Done || t.Begins.After(v.t.Now) || !t.Ends.After(v.t.Now) || !t.Attended && !t.Awake
	})
}

// days adds what is overdue, now, today and tomorrow; where both days are free, the next day on which something is done.
func (v planView) days(m *chat.Message) {
	now := v.t.Now
	var today, tomorrow, next []plan.Task
	var day time.Time // the first after tomorrow on which something is done
	for _, task := range v.order.Plan.Tasks() {
		if task.Done || !task.Begins.After(now) || !task.Attended && !task.Awake {
			continue
		}
		switch begins := task.Begins.In(v.zone()); {
		case sameDay(begins, now):
			today = append(today, task)
		case sameDay(begins, here(v.t).AddDate(0, 0, 1)):
			tomorrow = append(tomorrow, task)
		case day.IsZero() || sameDay(begins, day):
			day = begins
			next = append(next, task)
		}
	}
	v.cautions(m, v.running(), today, tomorrow, next)
	v.overdue(m, v.w.Say("planning-overdue"), v.order.Plan.Overdue(now))
	v.part(m, v.w.Say("planning-now"), v.running())
	v.part(m, v.w.Say("planning-today"), today)
	v.part(m, v.w.Say("planning-tomorrow"), tomorrow)
	if len(today)+len(tomorrow) == 0 && len(next) > 0 {
		v.part(m, v.w.Say("planning-on", "day", v.w.Day(day)), next)
	}
	if v.order.Plan.Fits && len(today)+len(tomorrow)+len(next) == 0 && len(v.order.Plan.Overdue(now))+len(v.running()) == 0 {
		m.Add(chat.Plain, v.w.Say("planning-all-done"))
	}
}

func sameDay(a, b time.Time) bool {
	y, m, d := a.Date()
	y2, m2, d2 := b.In(a.Location()).Date()
	return y == y2 && m == m2 && d == d2
}

// cautions says, before anything hot is listed, that the cautions of each thing come first.
func (v planView) cautions(m *chat.Message, lists ...[]plan.Task) {
	for _, tasks := range lists {
		if slices.ContainsFunc(tasks, plan.Task.Hot) {
			m.Add(chat.Plain, v.w.Say("planning-cautions"))
			return
		}
	}
}

// overdue adds tasks of the past, which may be of other days, under a heading.
func (v planView) overdue(m *chat.Message, heading string, tasks []plan.Task) {
	if len(tasks) == 0 {
		return
	}
	var lines []string
	if heading != "" {
		lines = append(lines, heading)
	}
	for _, task := range tasks {
		lines = append(lines, v.w.Say("planning-overdue-line", "task", v.lines.Task(task), "when", v.w.Near(task.Ends, v.t.Now)))
	}
	m.Add(chat.Plain, strings.Join(lines, "\n"))
}

// part adds tasks, under a heading if there is one; none is nothing.
func (v planView) part(m *chat.Message, heading string, tasks []plan.Task) {
	var lines []string
	if heading != "" && len(tasks) > 0 {
		lines = append(lines, heading)
	}
	for _, task := range tasks {
		lines = append(lines, v.lines.Line(task))
	}
	m.Add(chat.Plain, strings.Join(lines, "\n"))
}

// misfit says what does not fit, and offers what would help.
func (v planView) misfit(m *chat.Message, step uint64) {
	p := v.order.Plan
	if p.Fits {
		return
	}
	m.Add(chat.Plain, strings.Join(v.lines.Unfit(p), "\n"))
	if len(p.Changes) > 0 {
		m.Add(chat.Plain, v.w.Say("planning-remedies"))
	} else {
		m.Add(chat.Plain, v.w.Say("planning-no-remedy"))
	}
	for i, r := range p.Changes {
		if i == 4 { // the smallest come first
			break
		}
		m.Row(chat.Button{Label: v.lines.Offer(r), Data: chat.Data("m.plan", step, "fix", i, v.order.Rev)})
	}
	if p.Minimal != nil {
		minimal := v.w.PlanLines(p.Minimal, v.t.Rows)
		var ids []string
		for _, it := range p.Minimal.Items {
			ids = append(ids, it.ID)
		}
		m.Add(chat.Plain, v.w.Say("planning-minimal", "items", minimal.Names(ids)))
	}
}

// shownChanges is how many changes one message lists.
const shownChanges = 12

// changes says what a new plan changes, and nothing else.
func (v planView) changes() string {
	told := slices.DeleteFunc(slices.Clone(v.order.Changes), func(c plan.Change) bool { return c.Step == plan.IdleStep }) // the last use says it
	lines := v.w.Changes(told, v.order.Plan, v.t.Rows)
	if len(lines) == 0 {
		return v.w.Say("planning-nothing-changed")
	}
	if n := len(lines) - shownChanges; n > 0 {
		lines = append(lines[:shownChanges], v.w.Count("planning-more-changes", n))
	}
	return strings.Join(lines, "\n")
}
