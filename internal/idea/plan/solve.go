package plan

import (
	"fmt"
	"slices"
	"time"
)

// solution is the best schedule that was found.
type solution struct {
	net    *network
	dl     deadlines
	start  []int32 // positions of the tasks; never where one has no place
	value  value
	proven bool // nothing is better
	asker  *asker
}

// fits reports whether everything has its place.
func (s *solution) fits() bool { return s.value.late == 0 }

// effort bounds a search. It counts tries and parts of schedules, never time, so that the same kitchen has the same plan on
// every machine.
type effort struct {
	tries int  // schedules made by lists
	nodes int  // parts of schedules made by the searches through them
	width int  // parts kept of a layer; 0 is all, and a proof
	first bool // the first schedule that fits will do
}

// exactItems is the greatest kitchen for which a proof is sought.
const exactItems = 12

// full is the effort for a kitchen's own plan.
func full(net *network) effort {
	if len(net.kitchen.Items) <= exactItems {
		return effort{tries: 8000, nodes: 150_000}
	}
	return large(net)
}

// large is the effort for a kitchen that is too large for a proof.
func large(net *network) effort {
	n := max(len(net.tasks), 1)
	return effort{tries: min(500_000/n, 20_000), nodes: 600_000, width: max(90_000/(n*n), 4)}
}

// quick is the effort for the question whether a changed kitchen fits.
func quick(net *network) effort {
	n := max(len(net.tasks), 1)
	e := effort{tries: min(16_000/n, 300), first: true}
	if len(net.kitchen.Items) <= exactItems {
		e.nodes = 3_000
	}
	return e
}

// solve plans the kitchen as it is.
func solve(k *Kitchen, rows *Rows, now time.Time, how func(*network) effort) (*solution, error) {
	return (&asker{rows: rows, now: now, calendars: map[string]*calendar{}}).solve(k, how)
}

// asker asks whether this kitchen and kitchens like it fit. What they have in common is found once.
type asker struct {
	rows      *Rows
	now       time.Time
	calendars map[string]*calendar
}

func (a *asker) solve(k *Kitchen, how func(*network) effort) (*solution, error) {
	dl := deadlinesOf(k, a.now)
	key := fmt.Sprint(k.Work, k.Opening, k.Wake, k.Bedtime, k.Hands, dl.ready.At.Unix())
	cal := a.calendars[key]
	if cal == nil {
		cal = newCalendar(k, a.now, dl.ready.At)
		a.calendars[key] = cal
	}
	net, err := build(k, a.rows, cal, dl)
	if err != nil {
		return nil, err
	}
	s := &solution{net: net, dl: dl, asker: a}
	s.search(how(net))
	return s, nil
}

// fits reports whether a kitchen fits, without a proof that it does not.
func (a *asker) fits(k Kitchen) (bool, error) {
	s, err := a.solve(&k, quick)
	return err == nil && s.fits(), err
}

func (s *solution) search(e effort) {
	st := newState(s.net)
	root, possible := s.floor(st)
	if len(st.start) == 0 {
		s.value, s.proven = root, true
		return
	}
	g := newGreedy(st)
	g.floor = root
	if e.first {
		g.floor = value{meal: never, sum: hopeless} // anything that fits
	}
	if !possible {
		g.run(g.lists()[0])
		s.start, s.value, s.proven = g.best, g.value, true
		return
	}
	g.search(e.tries / 2)
	s.others(st, g, e.tries/2)
	s.start, s.value = slices.Clone(g.best), g.value
	switch {
	case s.fits() && (e.first || !root.less(s.value)):
		s.proven = !root.less(s.value)
	case e.nodes > 0 && len(st.start) <= maxExact:
		s.exhaust(st, g, e, root)
	}
}

// others goes on by lists: with the meal where it is, if all fits, only for the other last uses.
func (s *solution) others(st *state, g *greedy, tries int) {
	floor := g.floor
	if s.net.meal && g.value.late == 0 {
		st.mealBy(g.value.meal)
		g.floor.meal = max(floor.meal, g.value.meal)
	}
	g.search(tries)
	g.floor = floor
	st.mealBy(never)
}

// exhaust proves the schedule, or finds a better one.
func (s *solution) exhaust(st *state, g *greedy, e effort, root value) {
	whole := true
	if s.net.meal || !s.fits() {
		x := newExact(st, true, e)
		x.floor = int64(root.meal)
		if e.first {
			x.floor = hopeless - 1
		}
		if s.fits() {
			x.value = int64(s.value.meal)
		}
		whole = s.parts(st, x, &e)
		if e.first || !s.fits() {
			s.proven = whole && !s.fits()
			return
		}
		if x.best != nil { // the meal is later than the lists had it
			g.value, g.best = s.value, slices.Clone(s.start)
			s.others(st, g, e.tries/2)
			s.start, s.value = slices.Clone(g.best), g.value
		}
	}
	if s.net.meal {
		st.mealBy(s.value.meal)
	}
	x := newExact(st, false, e)
	lower, _ := s.floor(st)
	x.floor, x.value = lower.sum, s.value.sum
	s.proven = s.parts(st, x, &e) && whole
}

// parts searches through parts of schedules, keeps what is better, and reports whether it was exhaustive. A search that used up
// its effort is begun again with few parts a layer.
func (s *solution) parts(st *state, x *exact, e *effort) bool {
	if x.value <= x.floor {
		return true
	}
	whole := x.run()
	e.nodes = max(e.nodes-x.nodes, 0)
	s.take(st, x)
	if whole || e.width > 0 || e.first {
		return whole
	}
	few := large(s.net)
	st.clear()
	y := newExact(st, x.forMeal, few)
	y.floor, y.value = x.floor, x.value
	y.run()
	s.take(st, y)
	return false
}

// take keeps what a search through parts found, if it is better.
func (s *solution) take(st *state, x *exact) {
	if x.best == nil {
		return
	}
	st.clear()
	for j, f := range x.best {
		st.place(j, f)
	}
	if v := st.value(); v.less(s.value) {
		s.start, s.value = slices.Clone(x.best), v
	}
}

// floor is a value that no schedule is better than: that of each task in the first place that the calendar and its links allow,
// as if it were alone. Where a task has none, nothing fits.
func (s *solution) floor(st *state) (value, bool) {
	st.clear()
	low := make([]int32, len(s.net.tasks))
	v := value{}
	count := slices.Clone(st.count)
	for _, j := range s.net.order {
		t := &s.net.tasks[j]
		f := t.release
		for _, l := range t.before {
			f = max(f, low[l.task]+s.net.tasks[l.task].p+l.lag)
		}
		if t.impossib != "" || int(f) > s.net.cal.n {
			return value{}, false
		}
		if low[j] = st.earliest(j, f); low[j] == never {
			return value{}, false
		}
		for _, x := range t.terms {
			count[x.use] = max(count[x.use], s.net.counted(x, low[j]+t.p))
		}
	}
	for u, c := range count {
		switch {
		case c >= never:
			return value{}, false
		case u == 0 && s.net.meal:
			v.meal = c
		default:
			v.sum += int64(c)
		}
	}
	return v, true
}
