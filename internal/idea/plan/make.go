package plan

import (
	"errors"
	"fmt"
	"slices"
	"time"
)

// Make plans the kitchen from now on. It fails only where there are no rows or the kitchen says what no kitchen has; a kitchen
// that does not fit is a plan that says so.
func Make(k Kitchen, rows *Rows, now time.Time) (Plan, error) { return replan(k, rows, now, nil) }

// replan plans the kitchen, and stays with an earlier plan where there is one and it is as good.
func replan(k Kitchen, rows *Rows, now time.Time, earlier *Plan) (Plan, error) {
	switch {
	case rows == nil || len(rows.kinds) == 0:
		return Plan{}, errors.New("plan: there are no rows")
	case now.IsZero():
		return Plan{}, errors.New("plan: there is no now")
	}
	if err := k.valid(rows); err != nil {
		return Plan{}, fmt.Errorf("plan: %w", err)
	}
	for _, d := range k.Done {
		if d.Begins.After(now) {
			return Plan{}, fmt.Errorf("plan: %q, step %q, is said to be done and begins after now", d.Item, d.Step)
		}
	}
	if d := deadlinesOf(&k, now); d.ready.At.Sub(now) > maxDays*24*time.Hour {
		return Plan{}, fmt.Errorf("plan: the finish line of %s is more than %d days away: plan nearer to it", d.finish.At.Format(time.DateOnly), maxDays)
	}
	s, err := solve(&k, rows, now, full)
	if err != nil {
		return Plan{}, fmt.Errorf("plan: %w", err)
	}
	if !s.fits() {
		return misfit(s, now)
	}
	if earlier != nil {
		s.stay(earlier)
	}
	return s.plan(now), nil
}

// plan puts a schedule into words of the household's time.
func (s *solution) plan(now time.Time) Plan {
	s.settle()
	p := Plan{Fits: true, Proven: s.proven, Made: now.UTC(), Boils: boils(s.net.kitchen.Place), Finish: s.dl.finish, Ready: s.dl.ready, Notes: slices.Concat(s.dl.notes, s.net.notes)}
	st := s.state()
	if s.net.meal {
		m := s.moment(st, 0)
		p.LastMeal = &m
	} else if !s.net.kitchen.LastMeal.IsZero() {
		p.LastMeal = &Moment{At: s.net.kitchen.LastMeal.UTC(), Why: WhyDecided}
	}
	blocks := s.blocks()
	for i, it := range s.net.kitchen.Items {
		p.Items = append(p.Items, s.item(st, i, it, blocks, p.LastMeal))
	}
	if !s.proven {
		p.Notes = append(p.Notes, Note{Why: NoteNotProven})
	}
	return p
}

// state is the schedule, placed.
func (s *solution) state() *state {
	st := newState(s.net)
	for j, f := range s.start {
		st.place(j, f)
	}
	return st
}

// settle lets every task come as late in life as the others leave room, which no last use hinders, so that for each there is
// a reason why it is not later.
func (s *solution) settle() {
	st := s.state()
	if s.net.meal {
		st.mealBy(st.count[0])
	}
	order := slices.Clone(s.net.order)
	for moved := true; moved; {
		moved = false
		slices.SortStableFunc(order, func(a, b int) int { return int(st.start[a] - st.start[b]) })
		for _, j := range order {
			was := st.start[j]
			count := slices.Clone(st.count)
			st.take(j)
			f := st.earliest(j, st.released(j))
			st.place(j, f)
			copy(st.count, count)
			moved = moved || f != was
		}
	}
	copy(s.start, st.start)
}

// moment is a last use, and what decides it.
func (s *solution) moment(st *state, u int) Moment {
	n := s.net
	raw, decides, lag := int32(-1), 0, int32(0)
	for j := range n.tasks {
		for _, x := range n.tasks[j].terms {
			if x.use != u {
				continue
			}
			if end := st.start[j] + n.tasks[j].p + x.lag; end > raw {
				raw, decides, lag = end, j, x.lag
			}
		}
	}
	c := n.uses[u].step[raw]
	m := Moment{At: n.cal.at(n.cal.n - int(c)), Why: WhyFirstStep, Item: n.name(decides)}
	switch {
	case c > raw && u == 0 && n.meal && len(n.kitchen.Meals) > 0:
		m.Why = WhyMeals
	case c > raw:
		m.Why = WhyAwake
	case lag > 0:
		m.Why = WhyIdle
	}
	if u == 0 && n.meal {
		for _, meal := range n.kitchen.Meals { // as it was named, not on the grid
			if n.cal.up(meal) == n.cal.n-int(c) {
				m.At = meal.UTC()
			}
		}
	}
	return m
}

// name is the item of a task, or its round.
func (n *network) name(j int) string {
	if t := &n.tasks[j]; t.item < 0 {
		return t.id
	}
	return n.kitchen.Items[n.tasks[j].item].ID
}

// blocks are all blocks, those that were done first.
func (s *solution) blocks() []*block {
	out := slices.Clone(s.net.fixed)
	for j := range s.net.tasks {
		out = append(out, s.net.tasks[j].block)
	}
	return out
}

// item is what happens with one item.
func (s *solution) item(st *state, i int, it Item, blocks []*block, meal *Moment) ItemPlan {
	n := s.net
	row := n.rows.kind(it.Kind)
	out := ItemPlan{ID: it.ID, Kind: it.Kind, Name: it.Name, Side: it.Side, Count: it.Count, Steps: []Step{}}
	for u := range n.uses {
		if n.uses[u].item == i {
			m := s.moment(st, u)
			out.LastUse = &m
		}
	}
	switch {
	case out.LastUse != nil:
	case !it.LastHot.IsZero():
		out.LastUse = &Moment{At: it.LastHot.UTC(), Why: WhyDecided}
	case row.use == mealUse && meal != nil:
		if _, known := n.known(it, row, of(i, blocks)); !known || !n.kitchen.LastMeal.IsZero() {
			out.LastUse = &Moment{At: meal.At, Why: WhyMeal, Item: meal.Item}
		}
	}
	mine := of(i, blocks)
	for _, b := range mine {
		out.Steps = append(out.Steps, s.steps(st, i, b)...)
	}
	if w, ok := s.wait(st, i, it, mine, blocks, out.LastUse); ok {
		out.Steps = append(out.Steps, w)
	}
	slices.SortStableFunc(out.Steps, func(a, b Step) int { return a.Begins.Compare(b.Begins) })
	return out
}

// steps are those of one block.
func (s *solution) steps(st *state, i int, b *block) []Step {
	n, j := s.net, s.net.task(b)
	var out []Step
	in, item, why, at := "", "", WhyWhenDone, b.begins
	if j >= 0 {
		why, item = s.why(st, j)
		at = n.cal.n - int(st.start[j]+n.tasks[j].p)
	}
	if b.item != i {
		in = b.id
		if b.item >= 0 {
			in = n.kitchen.Items[b.item].ID
		}
	}
	for x, r := range b.steps {
		step := Step{
			Name: r.name, Begins: n.cal.at(at), Ends: n.cal.at(at + b.len[x]), Attended: r.does == work, Awake: r.does != wait,
			Why: why, Item: item, In: in,
		}
		for u, amount := range r.uses {
			if amount == allOf {
				amount = n.have[u]
			}
			step.use(resourceNames[u], amount)
		}
		step.use(resourceNames[hands], r.hands)
		if b.done {
			step.Begins, step.Ends, step.Done = n.cal.at(b.times[x].begins), n.cal.at(b.times[x].ends), b.times[x].ends <= 0
		}
		out = append(out, step)
		at += b.len[x]
	}
	return out
}

func (s *Step) use(name string, amount int) {
	if amount == 0 {
		return
	}
	if s.Uses == nil {
		s.Uses = map[string]int{}
	}
	s.Uses[name] = amount
}

// wait is an item's 24 hours, from its last use or from what began them anew.
func (s *solution) wait(st *state, i int, it Item, mine, blocks []*block, last *Moment) (Step, bool) {
	n := s.net
	ready := slices.IndexFunc(mine, func(b *block) bool { return n.idles(i, b) && (b.item == i || n.task(b) >= 0) })
	if ready < 0 || mine[ready].done {
		return Step{}, false
	}
	from, why := time.Time{}, WhyIdle
	if last != nil {
		from = last.At
	}
	if it.Sabbath && it.LastHot.IsZero() {
		if rest := n.cal.at(n.lastRest()); len(n.cal.spans) > 0 && rest.After(from) {
			from, why = rest, WhyHotOnRest
		}
	}
	anew := func(b *block, because string) {
		end := n.cal.at(b.ends)
		if j := n.task(b); j >= 0 {
			end = n.cal.at(n.cal.n - int(st.start[j]))
		}
		if end.After(from) {
			from, why = end, because
		}
	}
	for _, b := range blocks {
		switch {
		case b.hot && b.item == i:
			anew(b, WhyIdleWashed)
		case b.hot && n.rows.kind(it.Kind).drains && b.steps[0].uses[sink] > 0:
			anew(b, WhyDrains)
		}
	}
	if from.IsZero() {
		return Step{}, false
	}
	return Step{Name: IdleStep, Begins: from, Ends: from.Add(Idle), Why: why}, true
}
