package wording

import (
	"strings"

	"benyomo/internal/idea/plan"
)

// PlanLines says single things of a plan.
type PlanLines struct{ p *page }

// PlanLines is for saying single things of a plan.
func (w Words) PlanLines(p *plan.Plan, rows *plan.Rows) PlanLines {
	return PlanLines{&page{Words: w, rows: rows, names: w.planNames(p, rows)}}
}

// Name is what an item of the plan is called, or a round of boiling.
func (l PlanLines) Name(id string) string { return l.p.name(id) }

// Names are several items in one line.
func (l PlanLines) Names(ids []string) string {
	names := make([]string, len(ids))
	for i, id := range ids {
		names[i] = l.p.name(id)
	}
	return strings.Join(names, ", ")
}

// Task is what is done to what.
func (l PlanLines) Task(t plan.Task) string {
	return l.p.Say("plan-task", "item", l.Names(t.Items), "step", l.p.stepName(l.p.rows, t.Name))
}

// Line is a task with its times.
func (l PlanLines) Line(t plan.Task) string { return l.p.step(together{t.Step, t.Items}) }

// Unfit are lines about what does not fit.
func (l PlanLines) Unfit(p *plan.Plan) []string { return l.p.unfit(p) }

// Offer is a change that would help, in one line.
func (l PlanLines) Offer(r plan.Remedy) string { return l.p.offer(r) }

// Step is what a step is called.
func (l PlanLines) Step(name string) string { return l.p.stepName(l.p.rows, name) }

// Why is a reason of the plan in words, with the item that decides; or what is done instead.
func (l PlanLines) Why(id, item string) string {
	if t := l.p.rows.Instead(id); t != nil {
		return l.p.text(t)
	}
	return l.p.why(id, item)
}
