package plan

import (
	"cmp"
	"slices"
	"time"
)

// Task is a step as people see it: what is done at once for several things, such as a round of boiling, is one task.
type Task struct {
	Step
	Items []string // ids, in the order of the plan
}

// Hot reports whether something is hot in it.
func (t Task) Hot() bool {
	return !t.Attended && t.Awake || t.Uses[resourceNames[burners]] > 0 || t.Uses[resourceNames[oven]] > 0 || t.Uses[resourceNames[pots]] > 0
}

// Tasks are the steps of a plan in the order in which they begin, without the 24 hours.
func (p *Plan) Tasks() []Task {
	var out []Task
	for _, it := range p.Items {
		for _, s := range it.Steps {
			if s.Name == IdleStep {
				continue
			}
			i := slices.IndexFunc(out, func(t Task) bool {
				same := t.Name == s.Name && t.Begins.Equal(s.Begins) && t.Ends.Equal(s.Ends)
				return same && (s.In != "" && (s.In == t.In || slices.Contains(t.Items, s.In)) || t.In == it.ID)
			})
			switch {
			case i < 0:
				out = append(out, Task{Step: s, Items: []string{it.ID}})
			case !slices.Contains(out[i].Items, it.ID):
				out[i].Items = append(out[i].Items, it.ID)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Task) int { return cmp.Or(a.Begins.Compare(b.Begins), a.Ends.Compare(b.Ends)) })
	return out
}

// Kinds of alerts.
const (
	AlertMeal  = "meal"  // the last hot meal comes
	AlertWork  = "work"  // a sitting of work begins soon
	AlertCheck = "check" // it should be over: was all of it done?
	AlertHeat  = "heat"  // something that nobody stands at is over
)

// Alert is a moment at which people are to hear of their plan.
type Alert struct {
	What  string
	At    time.Time
	Tasks []Task
}

const (
	mealLead = 2 * time.Hour
	workLead = 30 * time.Minute
	pause    = 45 * time.Minute // a longer one ends a sitting
)

// Alerts are the moments after the instant at which people are to hear of the plan, in order. Steps that were done are left out.
func (p *Plan) Alerts(after time.Time) []Alert {
	var out []Alert
	if m := p.LastMeal; m != nil && m.Why != WhyDecided {
		out = append(out, Alert{What: AlertMeal, At: m.At.Add(-mealLead)})
	}
	for _, s := range p.sittings() {
		out = append(out, Alert{AlertWork, s[0].Begins.Add(-workLead), s}, Alert{AlertCheck, over(s), s})
	}
	for _, t := range p.Tasks() {
		if !t.Attended && t.Awake && !t.Done {
			out = append(out, Alert{AlertHeat, t.Ends, []Task{t}})
		}
	}
	out = slices.DeleteFunc(out, func(a Alert) bool { return !a.At.After(after) })
	slices.SortStableFunc(out, func(a, b Alert) int { return a.At.Compare(b.At) })
	return out
}

// sittings are the steps at which somebody stands, or that somebody has to start, put together where there is no long pause
// between them.
func (p *Plan) sittings() [][]Task {
	var out [][]Task
	tasks := p.Tasks()
	for _, t := range tasks {
		goesOn := func(before Task) bool { // as cooling after heating
			return !before.Attended && before.Ends.Equal(t.Begins) && slices.Contains(before.Items, t.Items[0])
		}
		if t.Done || !t.Attended && (!t.Awake || slices.ContainsFunc(tasks, goesOn)) {
			continue
		}
		if n := len(out); n > 0 && t.Begins.Sub(over(out[n-1])) <= pause {
			out[n-1] = append(out[n-1], t)
			continue
		}
		out = append(out, []Task{t})
	}
	return out
}

// over is when the last of the tasks ends.
func over(tasks []Task) time.Time {
	last := tasks[0].Ends
	for _, t := range tasks {
		last = latest(last, t.Ends)
	}
	return last
}

// Overdue are the tasks that should be over by the instant and were not said to be done, in order: those at which somebody
// stands, or that heat.
func (p *Plan) Overdue(now time.Time) []Task {
	return slices.DeleteFunc(p.Tasks(), func(t Task) bool { return t.Done || t.Ends.After(now) || !t.Attended && !t.Awake })
}
