package plan

// state is a part of a schedule: which tasks are placed and what they take. Positions run backwards from the end of the plan.
type state struct {
	net    *network
	start  []int32 // position of a task, or -1
	latest []int32 // position and p of a task are not more
	usage  []vec   // by position
	inWin  []int32 // work in a window, counted for each person
	count  []int32 // of each use, the position at which the placed tasks put it
	placed int
}

func newState(net *network) *state {
	st := &state{
		net: net, start: make([]int32, len(net.tasks)), latest: make([]int32, len(net.tasks)), usage: make([]vec, len(net.base)),
		inWin: make([]int32, len(net.baseCap)), count: make([]int32, len(net.uses)),
	}
	st.clear()
	st.mealBy(never)
	return st
}

// clear takes all tasks out.
func (st *state) clear() {
	copy(st.usage, st.net.base)
	copy(st.inWin, st.net.baseCap)
	for j := range st.start {
		st.start[j] = -1
	}
	for u := range st.count {
		st.count[u] = st.net.uses[u].step[0]
	}
	st.placed = 0
}

// mealBy lets the last hot meal be at a position or later in life.
func (st *state) mealBy(most int32) {
	for j := range st.latest {
		t := &st.net.tasks[j]
		st.latest[j] = t.latest
		for _, x := range t.terms {
			if st.net.meal && x.use == 0 {
				st.latest[j] = min(st.latest[j], most-x.lag)
			}
		}
	}
}

// window is the window of work at a position, or -1.
func (c *calendar) window(position int32) int16 {
	if t := c.n - 1 - int(position); t >= 0 && t < c.n {
		return c.win[t]
	}
	return -1
}

// earliest is the first position from f at which the calendar and what the placed tasks take allow a task, or never. The links
// are not looked at.
//
// What a task takes never grows from its first position on, so that a conflict at some position lasts until the task begins
// after it.
func (st *state) earliest(j int, f int32) int32 {
	t := &st.net.tasks[j]
	last := st.latest[j] - t.p
	caps := st.net.caps
	if t.impossib != "" {
		return never
	}
next:
	for {
		if f > last || f < 0 {
			return never
		}
		if f = t.next[f]; f > last {
			return never
		}
		q := f + t.takes
		for i := t.last; i >= 0; i-- { // from the far end: a conflict there is left behind at once
			v := t.segs[i].v
			for begin := q - t.segs[i].n; q > begin; q-- {
				if !(st.usage[q-1] + v).within(caps) {
					f = q
					continue next
				}
			}
		}
		if t.work > 0 {
			if w := st.net.cal.window(f); st.inWin[w]+t.capUse > st.net.cal.winCap[w] {
				f = st.net.cal.winPast[w]
				continue
			}
		}
		return f
	}
}

// released is the position from which the links and the limits allow a task whose predecessors in the search are placed.
func (st *state) released(j int) int32 {
	t := &st.net.tasks[j]
	f := t.release
	for _, l := range t.before {
		f = max(f, st.start[l.task]+st.net.tasks[l.task].p+l.lag)
	}
	return f
}

// place puts a task at a position.
func (st *state) place(j int, f int32) {
	t := &st.net.tasks[j]
	st.start[j] = f
	st.placed++
	q := f
	for _, s := range t.segs {
		if s.v == 0 {
			break
		}
		for end := q + s.n; q < end; q++ {
			st.usage[q] += s.v
		}
	}
	if t.work > 0 {
		st.inWin[st.net.cal.window(f)] += t.capUse
	}
	for _, x := range t.terms {
		st.count[x.use] = max(st.count[x.use], st.net.counted(x, f+t.p))
	}
}

// counted is the position at which a term counts its use where the task's beginning is at the position end.
func (n *network) counted(x term, end int32) int32 {
	if end += x.lag; int(end) <= n.cal.n {
		return n.uses[x.use].step[end]
	}
	return never
}

// take takes a task out again; the counts of its uses are restored by whom kept them.
func (st *state) take(j int) {
	t := &st.net.tasks[j]
	q := st.start[j]
	if t.work > 0 {
		st.inWin[st.net.cal.window(q)] -= t.capUse
	}
	for _, s := range t.segs {
		if s.v == 0 {
			break
		}
		for end := q + s.n; q < end; q++ {
			st.usage[q] -= s.v
		}
	}
	st.start[j] = -1
	st.placed--
}

// value is how good a whole schedule is; less is better. Late is the number of tasks that find no place.
type value struct {
	late int
	meal int32 // position of the last hot meal
	sum  int64 // of the positions of all other last uses
}

func (a value) less(b value) bool {
	switch {
	case a.late != b.late:
		return a.late < b.late
	case a.meal != b.meal:
		return a.meal < b.meal
	}
	return a.sum < b.sum
}

// value counts the uses of the placed tasks.
func (st *state) value() value {
	v := value{late: len(st.start) - st.placed}
	for u, c := range st.count {
		switch {
		case c >= never:
			v.late++
		case u == 0 && st.net.meal:
			v.meal = c
		default:
			v.sum += int64(c)
		}
	}
	return v
}
