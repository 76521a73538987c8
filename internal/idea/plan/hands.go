package plan

import "slices"

// The bounds of this file let all work be divided at will among all hands, so that only its amount counts: what is left to do
// takes at least so long. Work is measured in slots of one person. An 'amount' stands for a point of all the work for which there
// is room, window after window, backwards from the end of the plan.
//
// Of a window in which as much can be done as there is time, amounts follow the positions. Of one whose work is bounded, they
// are counted from its first position as the work is done, whenever in the window that is: so what may begin somewhere within it
// may begin with its first amount, and what is done by some position is no more than there was time for before. In the window
// that holds the present position, what the placed tasks do comes first.

// workload is the household's capacity for work.
type workload struct {
	from  []int32 // by position: the least amount that work beginning there can be
	until []int32 // by position: the greatest amount that work done by then can be
	past  []int32 // by amount: the least position by which work up to it can be done
	first []int32 // by window: its first amount
	hands int32
}

func (n *network) workload() *workload {
	c := n.cal
	w := &workload{
		from: make([]int32, c.n+1), until: make([]int32, c.n+1), past: []int32{0}, first: make([]int32, len(c.winCap)), hands: int32(n.kitchen.Hands),
	}
	amount, last, begun := int32(0), int16(-1), int32(0) // the amount so far, the window and the amount at its beginning
	for s := range c.n {
		win := c.window(int32(s))
		if win >= 0 && win != last {
			last, begun = win, amount
			w.first[win] = amount
		}
		w.from[s], w.until[s] = amount, amount
		if win < 0 {
			continue
		}
		if c.capped[win] {
			w.from[s] = begun
		}
		rate := w.hands
		if c.capped[win] {
			rate = max(min(rate, begun+c.winCap[win]-n.baseCap[win]-amount), 0)
		}
		for range rate {
			w.past = append(w.past, int32(s+1))
		}
		amount += rate
	}
	w.from[c.n], w.until[c.n] = amount, amount
	return w
}

// here is where the search stands in the household's work.
type here struct {
	*workload
	cal  *calendar
	t    int32 // the present position
	win  int16 // its window, if its work is bounded, or -1
	low  int32 // the least amount that open work in that window can be
	most int32 // the greatest
}

func (x *exact) here(t int32) here {
	h := here{workload: x.load, cal: x.net.cal, t: t, win: -1}
	if w := h.cal.window(t); w >= 0 && h.cal.capped[w] {
		done, already := x.inWin[w]-x.net.baseCap[w], x.net.baseCap[w]
		h.win, h.low, h.most = w, h.first[w]+done, h.first[w]+h.cal.winCap[w]-already
	}
	return h
}

// begins is the least amount that work beginning at a position can be.
func (h *here) begins(position int32) int32 {
	if h.win >= 0 && h.cal.window(position) == h.win {
		return h.low
	}
	return h.from[position]
}

// over is the greatest amount that work done by a position can be.
func (h *here) over(position int32) int32 {
	if h.win >= 0 && position > 0 && h.cal.window(position-1) == h.win {
		return min(h.most, h.low+max(position-h.t, 0)*h.hands)
	}
	return h.until[max(position, 0)]
}

// ends is the least position by which work up to an amount can be done; never where the plan is too short.
func (h *here) ends(amount int32) int32 {
	switch {
	case h.win >= 0 && amount > h.first[h.win] && amount <= h.most:
		return h.t + (max(amount-h.low, 0)+h.hands-1)/h.hands
	case int(amount) < len(h.past):
		return h.past[amount]
	}
	return never
}

// job is open work towards one use.
type job struct {
	from, left int32 // amounts
}

// mealBound is a position that the last hot meal cannot be after in life: all work towards it has to be done from where each
// task may begin.
func (x *exact) mealBound(low []int32, t int32) int32 {
	h := x.here(t)
	x.jobs = x.jobs[:0]
	for j := range x.start {
		if t := &x.net.tasks[j]; x.start[j] < 0 && t.capUse > 0 && x.towards(t, 0) {
			x.jobs = append(x.jobs, job{h.begins(low[j]), t.capUse})
		}
	}
	slices.SortFunc(x.jobs, func(a, b job) int { return int(a.from - b.from) })
	done := int32(0)
	for _, w := range x.jobs {
		done = max(done, w.from) + w.left
	}
	return h.ends(done)
}

func (x *exact) towards(t *task, use int) bool {
	return slices.ContainsFunc(t.terms, func(m term) bool { return m.use == use })
}

// reserved is the work that no last use but the meal counts, from the present position on, each piece as late in the search as it
// may be and none at once with another: so that before any position as little of it is done as can be. It reports whether all
// fits.
func (x *exact) reserved(h *here) ([]job, bool) {
	x.taken = x.taken[:0]
	for j := range x.start {
		t := &x.net.tasks[j]
		if x.start[j] >= 0 || t.capUse == 0 || slices.ContainsFunc(t.terms, func(m term) bool { return m.use > 0 || !x.net.meal }) {
			continue
		}
		x.taken = append(x.taken, job{h.over(x.latest[j]), t.capUse}) // from is when it is over, for now
	}
	slices.SortFunc(x.taken, func(a, b job) int { return int(b.from - a.from) })
	from := never
	for i := range x.taken {
		w := &x.taken[i]
		from = min(from, w.from) - w.left
		w.from = from
	}
	slices.Reverse(x.taken)
	return x.taken, len(x.taken) == 0 || from >= h.begins(h.t)
}

// spare takes away from reserved work, beginning with the first, what may be done in so much time before.
func spare(taken []job, before int32) []job {
	for len(taken) > 0 && before > 0 {
		n := min(before, taken[0].left)
		before -= n
		taken[0].from += n
		if taken[0].left -= n; taken[0].left == 0 {
			taken = taken[1:]
		}
	}
	return taken
}

// sumBound is a sum of positions that the last uses cannot go below. Whoever always does what has least left of what may be
// done has, at any time, finished as many jobs as possible (Schrage 1968, from memory), so that the ends of the jobs, in order,
// are no later than in any schedule. This is counted twice: with each job from where it may begin; and with all of them from
// where the first may, between the reserved work, of which as much as can be is done before. (Not both at once: where jobs may
// begin later, reserved work can make room by being done sooner.) Nor is any use before its own bound. All three hold in order,
// so that the greatest of each three counts.
func (x *exact) sumBound(low, count []int32, t int32) int64 {
	x.jobs, x.later, x.own = x.jobs[:0], x.later[:0], x.own[:0]
	h, first := x.here(t), never
	for u := range count {
		if u == 0 && x.net.meal {
			continue
		}
		x.own = append(x.own, count[u])
		w := job{from: never}
		for j := range x.start {
			if t := &x.net.tasks[j]; x.start[j] < 0 && t.capUse > 0 && x.towards(t, u) {
				w.from = min(w.from, h.begins(low[j]))
				w.left += t.capUse
			}
		}
		if w.left > 0 {
			x.jobs = append(x.jobs, w)
			first = min(first, w.from)
		}
	}
	taken, fit := x.reserved(&h)
	if !fit {
		return hopeless
	}
	for _, w := range x.jobs {
		x.later = append(x.later, job{first, w.left})
	}
	x.ends = finish(&h, x.ends[:0], x.jobs, nil)
	if first < never {
		x.among = finish(&h, x.among[:0], x.later, spare(taken, first-h.begins(t)))
	}
	slices.Sort(x.own)
	var total int64
	done := len(x.own) - len(x.ends) // of those there is nothing to do
	for i, c := range x.own {
		if i >= done {
			c = max(c, x.ends[i-done], x.among[i-done])
		}
		total += int64(c)
	}
	return min(total, hopeless)
}

// finish are the ends of jobs of which always the one with least left is done, outside of what is taken, in order.
func finish(h *here, ends []int32, jobs, taken []job) []int32 {
	for now := int32(0); len(jobs) > 0; {
		for len(taken) > 0 && taken[0].from <= now {
			now = max(now, taken[0].from+taken[0].left)
			taken = taken[1:]
		}
		best, next := -1, never // the job with least left, and when the next may begin
		for i, w := range jobs {
			switch {
			case w.from > now:
				next = min(next, w.from)
			case best < 0 || w.left < jobs[best].left:
				best = i
			}
		}
		if len(taken) > 0 {
			next = min(next, taken[0].from)
		}
		if best < 0 {
			now = next
			continue
		}
		step := min(jobs[best].left, next-now)
		now += step
		if jobs[best].left -= step; jobs[best].left == 0 {
			ends = append(ends, h.ends(now))
			jobs[best] = jobs[len(jobs)-1]
			jobs = jobs[:len(jobs)-1]
		}
	}
	return ends
}
