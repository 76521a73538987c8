package plan

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/luach"
)

// checker looks at a finished plan with the eyes of the household: at times, things and people. It knows the rows' estimates
// and nothing of networks, positions or searches.
type checker struct {
	t     testing.TB
	k     Kitchen
	p     Plan
	now   time.Time
	about string
	kind  map[string]*kind
	found func(string) // hears of a mistake, in place of the test
}

func check(t testing.TB, k Kitchen, p Plan, now time.Time, about string) {
	t.Helper()
	(&checker{t: t, k: k, p: p, now: now, about: about}).all()
}

// mistake is the first thing that the checker finds wrong, or "".
func mistake(t testing.TB, k Kitchen, p Plan, now time.Time) (what string) {
	defer func() {
		if r := recover(); r != nil && what == "" {
			panic(r)
		}
	}()
	c := &checker{t: t, k: k, p: p, now: now}
	c.found = func(s string) {
		what = s
		panic(s)
	}
	c.all()
	return ""
}

func (c *checker) all() {
	c.t.Helper()
	c.kind = map[string]*kind{}
	for _, it := range c.k.Items {
		c.kind[it.ID] = builtIn(c.t).kind(it.Kind)
	}
	c.everyItem()
	c.frame()
	c.calendar()
	c.capacity()
	c.most()
	c.idle()
	c.lastUses()
	c.chain()
	c.order()
}

func (c *checker) require(ok bool, format string, args ...any) {
	c.t.Helper()
	if !ok && c.found != nil {
		c.found(fmt.Sprintf(format, args...))
	}
	if !ok {
		require.Fail(c.t, fmt.Sprintf(format, args...), "%s\n%s", c.about, shown(c.p))
	}
}

func (c *checker) unfit(id string) bool {
	return slices.ContainsFunc(c.p.Unfit, func(u Unfit) bool { return u.Item == id })
}

// everyItem: every item is planned or named as one that does not fit, never both, never neither; and its steps are those of
// its row, with their estimates.
func (c *checker) everyItem() {
	for _, it := range c.k.Items {
		i := slices.IndexFunc(c.p.Items, func(x ItemPlan) bool { return x.ID == it.ID })
		c.require((i >= 0) != c.unfit(it.ID), "%s is planned %v and unfit %v", it.ID, i >= 0, c.unfit(it.ID))
		if i < 0 {
			continue
		}
		lies := c.kind[it.ID].rides != "" && slices.ContainsFunc(c.p.Items, func(x ItemPlan) bool { return x.Kind == c.kind[it.ID].rides })
		for _, row := range c.kind[it.ID].steps {
			var got []Step
			for _, s := range c.p.Items[i].Steps {
				if s.Name == row.name && (s.In == "" || row.isRound) {
					got = append(got, s)
				}
			}
			if row.alone && lies {
				continue
			}
			c.require(len(got) > 0, "%s has no step %s", it.ID, row.name)
			want := row.minutes
			if row.each {
				want *= max(it.Count, 1)
			}
			if own, ok := it.Minutes[row.name]; ok {
				want = own
			}
			var is time.Duration
			for _, s := range got {
				is += s.Ends.Sub(s.Begins)
				c.require(s.Attended == (row.does == work), "%s %s attended", it.ID, s.Name)
			}
			if !row.isRound { // a round holds the others' minutes too
				c.require(is >= time.Duration(want)*time.Minute && is < time.Duration(want+5)*time.Minute, "%s %s lasts %v, not %d minutes", it.ID, row.name, is, want)
			} else {
				c.require(is >= time.Duration(want)*time.Minute, "%s %s lasts %v, less than %d minutes", it.ID, row.name, is, want)
			}
		}
	}
}

func (c *checker) hostOf(it Item) string {
	i := slices.IndexFunc(c.p.Items, func(x ItemPlan) bool { return x.Kind == c.kind[it.ID].rides })
	if i < 0 {
		return ""
	}
	return c.p.Items[i].ID
}

// each calls with every step, also the waits.
func (c *checker) each(f func(ItemPlan, Step)) {
	for _, it := range c.p.Items {
		for _, s := range it.Steps {
			f(it, s)
		}
	}
}

// frame: everything lies between now and the end of the plan, on the grid, and says why.
func (c *checker) frame() {
	c.require(!c.p.Ready.At.After(c.p.Finish.At), "ready after the finish line")
	c.each(func(it ItemPlan, s Step) {
		c.require(s.Why != "" && said(builtIn(c.t), s.Why), "%s %s: %q is no reason", it.ID, s.Name, s.Why)
		if s.Name == "idle" {
			return
		}
		c.require(!s.Begins.Before(c.now) || s.Done || s.Why == WhyWhenDone, "%s %s begins before now", it.ID, s.Name)
		c.require(!s.Ends.After(c.p.Ready.At), "%s %s ends %v after the end of the plan", it.ID, s.Name, s.Ends)
		c.require(s.Begins.Unix()%300 == 0 && s.Ends.Unix()%300 == 0 && s.Ends.After(s.Begins), "%s %s is off the grid", it.ID, s.Name)
		row := c.kind[it.ID]
		if row.beforeEve > 0 {
			y, m, d := luach.PesachAfter(c.k.Place, c.now).Eve.AddDays(-row.beforeEve).Civil()
			c.require(!s.Ends.After(time.Date(y, m, d, 0, 0, 0, 0, c.k.Place.Zone)), "%s in the last days before the eve", it.ID)
		}
		if row.food && !c.k.Food.IsZero() {
			c.require(!s.Ends.After(c.k.Food), "%s after the food came", it.ID)
		}
	})
	for _, m := range []*Moment{&c.p.Finish, &c.p.Ready, c.p.LastMeal} {
		c.require(m == nil || said(builtIn(c.t), m.Why), "no reason for %v", m)
	}
}

// awake reports whether the household is awake at t, and resting.
func (c *checker) awake(t time.Time) (awake, rests bool) {
	_, rests = luach.RestAt(c.k.Place, t)
	l := t.In(c.k.Place.Zone)
	m := l.Hour()*60 + l.Minute()
	return m >= c.k.Wake && m < c.k.Bedtime, rests
}

// inWindow reports whether the time lies in one window of work.
func (c *checker) inWindow(ws []Window, from, to time.Time) (Window, bool) {
	a, b := from.In(c.k.Place.Zone), to.Add(-time.Second).In(c.k.Place.Zone)
	if a.YearDay() != b.YearDay() {
		return Window{}, false
	}
	y, m, d := a.Date()
	dated := slices.ContainsFunc(ws, func(w Window) bool { return w.Year != 0 && w.on(y, m, d) })
	for _, w := range ws {
		if w.on(y, m, d) && (w.Year != 0) == dated && a.Hour()*60+a.Minute() >= w.From && b.Hour()*60+b.Minute() < w.To {
			return w, true
		}
	}
	return Window{}, false
}

// calendar: nobody works and nothing heats in a rest span or while all sleep; what heats is cold 20 minutes before; work is in
// the windows of work.
func (c *checker) calendar() {
	c.each(func(it ItemPlan, s Step) {
		if s.Name == "idle" || s.Done || s.Why == WhyWhenDone {
			return
		}
		if s.Attended {
			_, ok := c.inWindow(c.k.Work, s.Begins, s.Ends)
			c.require(ok, "%s %s is outside the windows of work", it.ID, s.Name)
			if it.Kind == "immersion" {
				_, ok := c.inWindow(c.k.Opening, s.Begins, s.Ends)
				c.require(ok, "%s is outside the opening hours", it.ID)
			}
		}
		if !s.Awake {
			return
		}
		end := s.Ends
		if !s.Attended {
			end = end.Add(20*time.Minute - time.Second)
			if end.After(c.p.Ready.At) {
				end = s.Ends.Add(-time.Second)
			}
		} else {
			end = end.Add(-time.Second)
		}
		for t := s.Begins; ; t = t.Add(time.Minute) {
			if t.After(end) {
				t = end // the last second, too
			}
			awake, rests := c.awake(t)
			c.require(awake, "%s %s runs while all sleep, at %v", it.ID, s.Name, t)
			c.require(!rests, "%s %s runs into a rest span, at %v", it.ID, s.Name, t)
			if t.Equal(end) {
				break
			}
		}
	})
}

// distinct are the steps that take place, each once: a round stands with each of its items.
func (c *checker) distinct() []Step {
	seen := map[string]bool{}
	var out []Step
	c.each(func(it ItemPlan, s Step) {
		id := it.ID
		if s.In != "" {
			id = s.In
		}
		key := fmt.Sprint(id, s.Name, s.Begins.Unix())
		if s.Name != "idle" && !seen[key] {
			seen[key] = true
			out = append(out, s)
		}
	})
	return out
}

// capacity: at no time is more taken than there is.
func (c *checker) capacity() {
	have := map[string]int{"hands": c.k.Hands, "burners": c.k.Burners, "pots": c.k.Pots, "oven": 1, "sink": 1}
	ovens, sinks := 0, 0
	for _, it := range c.k.Items {
		switch it.Kind {
		case "oven", "self-clean-oven":
			ovens++
		case "sink":
			sinks++
		}
	}
	have["oven"], have["sink"] = max(ovens, 1), max(sinks, 1)
	type key struct {
		at   int64
		what string
	}
	taken := map[key]int{}
	for _, s := range c.distinct() {
		if s.Done {
			continue
		}
		for t := s.Begins.Unix(); t < s.Ends.Unix(); t += 300 {
			for what, n := range s.Uses {
				taken[key{t, what}] += n
				c.require(taken[key{t, what}] <= have[what], "%s: %d of %d at %v", what, taken[key{t, what}], have[what], time.Unix(t, 0).In(c.k.Place.Zone))
			}
		}
	}
}

// most: in no window does the household work more than it said.
func (c *checker) most() {
	done := map[string]int{}
	for _, s := range c.distinct() {
		if !s.Attended || s.Done || s.Why == WhyWhenDone {
			continue
		}
		w, _ := c.inWindow(c.k.Work, s.Begins, s.Ends)
		if w.Most == 0 {
			continue
		}
		key := fmt.Sprint(s.Begins.In(c.k.Place.Zone).Format(time.DateOnly), w.From)
		done[key] += int(s.Ends.Sub(s.Begins)/time.Minute) * s.Uses["hands"]
		c.require(done[key] <= w.Most*c.k.Hands, "%d minutes of work on %s", done[key], key)
	}
}

// step finds an item's steps of a name.
func (it ItemPlan) step(names ...string) []Step {
	var out []Step
	for _, s := range it.Steps {
		if slices.Contains(names, s.Name) {
			out = append(out, s)
		}
	}
	return out
}
