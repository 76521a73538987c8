package wording

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"benyomo/internal/idea/plan"
)

// page writes one plan.
type page struct {
	Words
	rows    *plan.Rows
	names   map[string]string // id of an item → what it is called
	reasons bool
	parts   []Part
}

// Plan says a plan: what it is made towards, the last uses, what is done day by day, and what does not fit and would help. With
// reasons it also says of every step why it is not later.
func (w Words) Plan(p *plan.Plan, rows *plan.Rows, reasons bool) []Part {
	g := &page{Words: w, rows: rows, names: w.planNames(p, rows), reasons: reasons}
	if p.Fits {
		g.add(HeadingPart, w.Say("plan-fits"))
	} else {
		g.add(HeadingPart, w.Say("plan-misfit"))
	}
	g.lines(
		w.Say("plan-finish", "time", w.Moment(p.Finish.At), "why", g.why(p.Finish.Why, p.Finish.Item)),
		w.Say("plan-ready", "time", w.Moment(p.Ready.At), "why", g.why(p.Ready.Why, p.Ready.Item)),
	)
	if !p.Fits {
		g.misfit(p)
		if len(p.Items) > 0 {
			g.add(HeadingPart, w.Say("plan-rest"))
		}
	}
	g.body(p)
	if p.Minimal != nil {
		g.names = w.planNames(p.Minimal, rows)
		g.add(HeadingPart, w.Say("plan-minimal"))
		if !p.Minimal.Ready.At.Equal(p.Ready.At) {
			g.add(PlainPart, w.Say("plan-ready", "time", w.Moment(p.Minimal.Ready.At), "why", g.why(p.Minimal.Ready.Why, p.Minimal.Ready.Item)))
		}
		g.body(p.Minimal)
		g.notes(p.Minimal)
		g.names = w.planNames(p, rows)
	}
	g.notes(p)
	if p.Boils > 0 {
		g.add(AsidePart, w.Say("plan-boils", "n", p.Boils))
	}
	g.add(AsidePart, w.Say("plan-estimates"))
	return g.parts
}

// Changes says what a later plan changes of an earlier one, a line each; nothing where it changes nothing.
func (w Words) Changes(changes []plan.Change, p *plan.Plan, rows *plan.Rows) []string {
	g := &page{Words: w, rows: rows, names: w.planNames(p, rows)}
	var out []string
	for _, c := range changes {
		step := w.stepName(rows, c.Step)
		switch {
		case c.What == plan.ChangedFit && c.Why == "":
			out = append(out, w.Say("plan-fits-now", "item", g.name(c.Item)))
		case c.What == plan.ChangedFit:
			out = append(out, w.Say("plan-unfit-now", "item", g.name(c.Item), "why", g.why(c.Why, "")))
		case c.To.IsZero():
			out = append(out, w.Say("plan-gone-"+c.What, "item", g.name(c.Item), "step", step))
		default:
			out = append(out, w.Say("plan-changed-"+c.What, "item", g.name(c.Item), "step", step, "time", w.Moment(c.To)))
		}
	}
	return out
}

func (g *page) notes(p *plan.Plan) {
	for _, n := range p.Notes {
		g.add(PlainPart, g.Say("plan-note-"+n.Why, "item", g.name(n.Item)))
	}
}

func (g *page) add(style, text string) {
	if text != "" {
		g.parts = append(g.parts, Part{style, text})
	}
}

func (g *page) lines(lines ...string) { g.add(PlainPart, strings.Join(lines, "\n")) }

// why is a reason in words: of the rows, or of the program.
func (g *page) why(id, item string) string {
	if t := g.rows.Reason(id); t != nil {
		return g.text(t)
	}
	return g.Say("plan-why-"+id, "item", g.name(item))
}

// name is what an item or a round of boiling is called.
func (g *page) name(id string) string {
	if s, ok := g.names[id]; ok || id == "" {
		return s
	}
	side, n, round := plan.RoundOf(id)
	if !round {
		return id
	}
	return g.Say("plan-round", "name", g.text(g.rows.Round()), "side", g.Say("plan-side-"+side), "n", n)
}

// planNames calls each item of a plan by its own name, else by that of its row; those that would be called alike also by their
// side, and then by a number.
func (w Words) planNames(p *plan.Plan, rows *plan.Rows) map[string]string {
	out, times := map[string]string{}, map[string]int{}
	say := func(id, name, row, side string) {
		if name == "" {
			if t := rows.Name(row); t != nil {
				name = w.text(t)
			} else {
				name = id
			}
			if side != "" {
				name = w.Say("plan-sided", "name", name, "side", w.Say("plan-side-"+side))
			}
		}
		if times[name]++; times[name] > 1 {
			name = w.Say("plan-numbered", "name", name, "n", times[name])
		}
		out[id] = name
	}
	for _, it := range p.Items {
		say(it.ID, it.Name, it.Kind, it.Side)
	}
	for _, u := range p.Unfit {
		say(u.Item, u.Name, u.Kind, u.Side)
	}
	return out
}

func (w Words) stepName(rows *plan.Rows, step string) string {
	if step == plan.IdleStep {
		return w.Say("plan-idle")
	}
	if t := rows.Step(step); t != nil {
		return w.text(t)
	}
	return step
}

// Day is a day without a time.
func (w Words) Day(t time.Time) string {
	t = t.In(w.Zone)
	return w.Say("time-day", "weekday", w.Say("weekday-"+strconv.Itoa(int(t.Weekday()))), "day", t.Day(), "month", w.Say("month-"+strconv.Itoa(int(t.Month()))))
}

// body is the last uses and the steps, day by day.
func (g *page) body(p *plan.Plan) {
	if p.LastMeal != nil {
		g.add(PlainPart, g.Say("plan-meal", "time", g.Moment(p.LastMeal.At), "why", g.why(p.LastMeal.Why, p.LastMeal.Item)))
	}
	var own []string
	for _, it := range p.Items {
		if u := it.LastUse; u != nil && u.Why != plan.WhyMeal {
			line := g.Say("plan-last-use", "item", g.name(it.ID), "time", g.Moment(u.At))
			if g.reasons {
				line = g.Say("plan-because", "line", line, "why", g.why(u.Why, u.Item))
			}
			own = append(own, line)
		}
	}
	if len(own) > 0 {
		g.add(HeadingPart, g.Say("plan-last-uses"))
		g.lines(own...)
	}
	day, list := "", []string(nil)
	end := func() {
		if len(list) > 0 {
			g.add(HeadingPart, day)
			g.lines(list...)
		}
		list = nil
	}
	for _, l := range shared(p) {
		if d := g.Day(l.step.Begins); d != day {
			end()
			day = d
		}
		list = append(list, g.step(l))
	}
	end()
}

// together is one step with those who share it.
type together struct {
	step  plan.Step
	items []string
}

// shared are all steps in order. What several items share, such as a round of boiling, is one.
func shared(p *plan.Plan) []together {
	var out []together
	for _, it := range p.Items {
		for _, s := range it.Steps {
			i := slices.IndexFunc(out, func(l together) bool {
				same := l.step.Name == s.Name && l.step.Begins.Equal(s.Begins) && l.step.Ends.Equal(s.Ends)
				round := s.Name == plan.IdleStep || s.In != "" && (s.In == l.step.In || slices.Contains(l.items, s.In)) || l.step.In == it.ID
				return same && round && l.step.Why == s.Why
			})
			if i < 0 {
				out = append(out, together{s, []string{it.ID}})
			} else if !slices.Contains(out[i].items, it.ID) {
				out[i].items = append(out[i].items, it.ID)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b together) int { return a.step.Begins.Compare(b.step.Begins) })
	return out
}

func (g *page) step(l together) string {
	s := l.step
	from, to := s.Begins.In(g.Zone), s.Ends.In(g.Zone)
	until := to.Format("15:04")
	if to.Format(time.DateOnly) != from.Format(time.DateOnly) {
		until = g.Moment(to)
	}
	names := make([]string, len(l.items))
	for i, id := range l.items {
		names[i] = g.name(id)
	}
	line := g.Say("plan-step", "time", from.Format("15:04"), "until", until, "item", strings.Join(names, ", "), "step", g.stepName(g.rows, s.Name))
	switch {
	case s.Done:
		line = g.Say("plan-marked", "line", line, "mark", g.Say("plan-done"))
	case s.Attended:
		if n := s.Uses[plan.Hands]; n > 1 {
			line = g.Say("plan-marked", "line", line, "mark", g.Count("plan-hands", n))
		}
	case s.Awake:
		line = g.Say("plan-marked", "line", line, "mark", g.Say("plan-awake"))
	}
	if g.reasons {
		line = g.Say("plan-because", "line", line, "why", g.why(s.Why, s.Item))
	}
	return line
}

// misfit is what does not fit, and what would help.
func (g *page) misfit(p *plan.Plan) {
	if list := g.unfit(p); len(list) > 0 {
		g.add(HeadingPart, g.Say("plan-unfit"))
		g.lines(list...)
	}
	if len(p.Changes) == 0 {
		g.add(PlainPart, g.Say("plan-no-changes"))
		return
	}
	var list []string
	for _, c := range p.Changes {
		list = append(list, g.offer(c))
	}
	g.add(HeadingPart, g.Say("plan-changes"))
	g.lines(list...)
}

// unfit is a line for each thing that does not fit.
func (g *page) unfit(p *plan.Plan) (list []string) {
	for _, u := range p.Unfit {
		if u.Away == "" {
			list = append(list, g.Say("plan-unfit-line", "item", g.name(u.Item), "why", g.why(u.Why, "")))
		} else {
			list = append(list, g.Say("plan-unfit-instead", "item", g.name(u.Item), "why", g.why(u.Why, ""), "instead", g.instead(u.Away)))
		}
	}
	return list
}

// offer is a change that would help.
func (g *page) offer(c plan.Remedy) string {
	length := ""
	if c.SlackMinutes != nil {
		length = g.Length(*c.SlackMinutes)
	}
	return g.Say("plan-offer-"+c.Why, "item", g.name(c.Item), "time", g.Moment(c.Evening), "until", c.Until.In(g.Zone).Format("15:04"), "length", length)
}

func (g *page) instead(id string) string {
	if t := g.rows.Instead(id); t != nil {
		return g.text(t)
	}
	return id
}

// Plain is parts as plain text, for a screen without styles: a heading stands alone, and paragraphs are apart.
func Plain(parts []Part) string {
	var b strings.Builder
	for i, p := range parts {
		if i > 0 {
			b.WriteString("\n")
			if parts[i-1].Style != HeadingPart {
				b.WriteString("\n")
			}
		}
		b.WriteString(p.Text)
	}
	return fmt.Sprintln(b.String())
}
