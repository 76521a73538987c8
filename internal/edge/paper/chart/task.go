package chart

import (
	"slices"
	"strings"
	"time"

	"benyomo/internal/idea/plan"
)

// sort of a task: what it asks of the household.
type sort int

const (
	work sort = iota // somebody stands at it
	heat             // nobody does, but an adult is awake in the house: heating, and cooling after it
	wait             // it passes by itself, also at night and on Sabbath
)

// sortOf tells the three apart.
func sortOf(s plan.Step) sort {
	switch {
	case s.Attended:
		return work
	case s.Awake:
		return heat
	}
	return wait
}

// task is a step as it is shown: once, for all items that share it.
type task struct {
	plan.Step
	sort  sort
	items []string
}

// long reports whether it is a wait of hours, which is drawn as a thin band beside what else happens.
func (t *task) long() bool { return t.sort == wait && t.Ends.Sub(t.Begins) >= 6*time.Hour }

// strand is one row of the picture: an item, or what several items share.
type strand struct {
	id     string   // of the item, or of the round
	items  []string // whose row it is; several for a round
	guests []string // items that share steps of this one
	tasks  []*task
	last   *plan.Moment // the last use, where it is the item's own
	done   bool         // nothing is left to do
}

// group makes the rows: one for each item, and one for each round in which several items are boiled together. What is done in
// the step of another item stands there.
func (c *chart) group() []*strand {
	rounds, hosts := sharing(c.plan)
	var out []*strand
	byID := map[string]*strand{}
	row := func(id string, items ...string) *strand {
		if byID[id] == nil {
			byID[id] = &strand{id: id, items: items}
			out = append(out, byID[id])
		}
		return byID[id]
	}
	for _, it := range c.plan.Items {
		mine := row("item "+it.ID, it.ID)
		if it.LastUse != nil && it.LastUse.Why != plan.WhyMeal {
			mine.last = it.LastUse
		}
		for _, s := range it.Steps {
			at := mine
			switch {
			case hosts[s.In] && s.In != it.ID:
				at = row("item "+s.In, s.In)
				at.share(it.ID)
			case len(rounds[s.In]) > 1:
				at = row("round "+s.In, rounds[s.In]...)
			}
			at.add(s, it.ID)
		}
	}
	out = slices.DeleteFunc(out, func(l *strand) bool { return len(l.tasks) == 0 && l.last == nil })
	for _, l := range out {
		slices.SortStableFunc(l.tasks, func(a, b *task) int { return a.Begins.Compare(b.Begins) })
		l.done = len(l.tasks) > 0 && !slices.ContainsFunc(l.tasks, func(t *task) bool { return !t.Done && t.Name != idle })
	}
	return out
}

// idle is the name of the step that is the 24 hours without hot use.
const idle = "idle"

// sharing finds whose steps are shared: the items of each round, and the items that others use.
func sharing(p *plan.Plan) (rounds map[string][]string, hosts map[string]bool) {
	rounds, hosts = map[string][]string{}, map[string]bool{}
	for _, it := range p.Items {
		hosts[it.ID] = true
	}
	for _, it := range p.Items {
		for _, s := range it.Steps {
			if s.In != "" && !hosts[s.In] && !slices.Contains(rounds[s.In], it.ID) {
				rounds[s.In] = append(rounds[s.In], it.ID)
			}
		}
	}
	return rounds, hosts
}

func (l *strand) share(item string) {
	if !slices.Contains(l.guests, item) {
		l.guests = append(l.guests, item)
	}
}

// add puts a step into the row, once for all who share it.
func (l *strand) add(s plan.Step, item string) {
	for _, t := range l.tasks {
		if t.Name == s.Name && t.Begins.Equal(s.Begins) && t.Ends.Equal(s.Ends) && !slices.Contains(t.items, item) {
			t.items = append(t.items, item)
			t.Done = t.Done && s.Done
			return
		}
	}
	l.tasks = append(l.tasks, &task{Step: s, sort: sortOf(s), items: []string{item}})
}

// name is what the row is called, in a part of the picture that shows these tasks.
func (c *chart) name(l *strand, shown []*task) string {
	if len(l.items) > 1 {
		return c.words.Say("together", "items", c.list(l.items))
	}
	names := slices.Clone(l.items)
	for _, g := range l.guests {
		if slices.ContainsFunc(shown, func(t *task) bool { return slices.Contains(t.items, g) }) {
			names = append(names, g)
		}
	}
	return c.list(names)
}

// mostNames is how many things are named in one place.
const mostNames = 24

// list names items.
func (c *chart) list(ids []string) string { return c.listed(ids, " + ") }

func (c *chart) listed(ids []string, between string) string {
	var names []string
	for i, id := range ids {
		if i == mostNames {
			names = append(names, c.words.Say("more", "n", len(ids)-i))
			break
		}
		names = append(names, c.words.Item(id))
	}
	return strings.Join(names, between)
}
