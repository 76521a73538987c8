package plan

import "slices"

// calendars finds the positions that the calendar allows; tasks of one shape share them, also of other kitchens with the same
// calendar.
func (n *network) calendars() {
	known := n.cal.shapes
	for j := range n.tasks {
		t := &n.tasks[j]
		if known[t.shape] == nil {
			known[t.shape] = n.allowed(t)
		}
		t.next = known[t.shape]
	}
}

func (n *network) allowed(t *task) []int32 {
	next := make([]int32, n.cal.n+2)
	next[n.cal.n+1] = never
	for s := n.cal.n; s >= 0; s-- {
		next[s] = next[s+1]
		if n.allows(t, s) {
			next[s] = int32(s)
		}
	}
	return next
}

// allows reports whether the calendar allows a task at a position: there is no barrier.
func (n *network) allows(t *task, s int) bool {
	c := n.cal
	b := c.n - s - int(t.p)
	if b < 0 || c.n-s+int(t.tail) > c.n {
		return false
	}
	from := -1 // where what heats began
	for i, step := range t.steps {
		end := b + t.len[i]
		if step.does == heat {
			if from < 0 {
				from = b
			}
			b = end
			continue
		}
		if from >= 0 && int32(b) > c.awake[from] {
			return false
		}
		from = -1
		if step.does == work && !c.works(b, end, step.outside) {
			return false
		}
		b = end
	}
	return from < 0 || int32(b) <= c.awake[from]
}

// works reports whether work from one slot to another lies in one window.
func (c *calendar) works(from, to int, outside bool) bool {
	w := c.win[from]
	if w < 0 || int32(to) > c.winEnd[w] {
		return false
	}
	return !outside || !slices.Contains(c.open[from:to], false)
}

// barrier says what in the calendar forbids a task at a position, or "".
func (n *network) barrier(t *task, s int) string {
	c := n.cal
	b := c.n - s - int(t.p)
	if b < 0 {
		return WhyNow
	}
	if c.n-s+int(t.tail) > c.n {
		return WhyFinish
	}
	heats, from := false, 0
	for i, step := range t.steps {
		end := b + t.len[i]
		switch {
		case step.does == heat && !heats:
			heats, from = true, b
		case step.does != heat && heats:
			if why := c.awakeFor(from, b); why != "" {
				return why
			}
			heats = false
		}
		if step.does == work {
			if why := c.workFor(b, end, step.outside); why != "" {
				return why
			}
		}
		b = end
	}
	if heats {
		return c.awakeFor(from, b)
	}
	return ""
}

// awakeFor says what forbids that something heats or cools from one slot to another.
func (c *calendar) awakeFor(from, to int) string {
	if int32(to) <= c.awake[from] {
		return ""
	}
	for t := from; t < min(to+int(margin), c.n); t++ {
		switch {
		case c.rest[t]:
			return WhyRest
		case c.asleep[t]:
			return WhySleep
		}
	}
	return WhySleep
}

// workFor says what forbids work from one slot to another: it has to lie in one window.
func (c *calendar) workFor(from, to int, outside bool) string {
	w := c.win[from]
	if w >= 0 && !outside && int32(to) <= c.winEnd[w] {
		return ""
	}
	for t := from; t < to; t++ {
		switch {
		case c.rest[t]:
			return WhyRest
		case c.win[t] < 0 || c.win[t] != w:
			return WhyWindow
		case outside && !c.open[t]:
			return WhyOpening
		}
	}
	return ""
}
