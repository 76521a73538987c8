package plan

import (
	"cmp"
	"slices"
)

// exact searches all schedules; doc.go gives the argument that it does. It runs twice: for the latest last hot meal, then, with
// that meal, for the latest other last uses in sum.
//
// It goes by layers: the parts of schedules with so many tasks placed. From each part, each task that can be the next makes a
// part of the next layer, unless a bound or another part shows that nothing better can come of it.
type exact struct {
	*state
	forMeal bool
	left    []int
	mask    set
	twin    []int // a task that is placed before its twin, or -1
	best    []int32
	value   int64 // of the best; less is better
	floor   int64 // no schedule is better
	nodes   int   // parts made
	budget  int
	width   int    // of a layer: more parts are cut off, the worst first, and the search proves nothing; 0 is all
	plain   []bool // the task takes nothing: it is placed as soon as it may be
	low     []int32
	free    []int32
	scratch []int32
	load    *workload
	jobs    []job
	taken   []job
	own     []int32
	later   []job
	ends    []int32
	among   []int32
}

func newExact(st *state, forMeal bool, e effort) *exact {
	n := len(st.net.tasks)
	x := &exact{
		state: st, forMeal: forMeal, left: make([]int, n), value: hopeless, budget: e.nodes, width: e.width, plain: make([]bool, n),
		low: make([]int32, n), free: make([]int32, n), scratch: make([]int32, len(st.net.uses)), load: st.net.workload(),
	}
	capped := slices.Contains(st.net.cal.capped, true)
	for j := range n {
		t := &st.net.tasks[j]
		x.left[j] = len(t.before)
		x.plain[j] = t.segs[0].v == 0 && !(capped && t.work > 0)
	}
	x.twins()
	st.clear()
	return x
}

// run searches, and reports whether it was exhaustive.
func (x *exact) run() (whole bool) {
	whole = true
	layer := []*part{}
	if root := x.grow(-1, 0, 0); root != nil {
		layer = append(layer, root)
	}
	x.clean()
	for len(layer) > 0 {
		next := map[set][]*part{}
		for _, p := range layer {
			if p.bound >= x.value {
				continue // a better schedule was found since
			}
			x.restore(p)
			for _, j := range x.candidates() {
				if x.nodes++; x.nodes > x.budget {
					return false
				}
				if child := x.grow(j, p.low[j], p.t); child != nil {
					next[child.mask] = merge(x, next[child.mask], child)
				}
				x.restore(p)
			}
			x.clean()
			if x.value <= x.floor {
				return true
			}
		}
		layer = layer[:0]
		for _, mask := range sortedMasks(next) {
			layer = append(layer, next[mask]...)
		}
		if x.width > 0 && len(layer) > x.width {
			slices.SortStableFunc(layer, func(a, b *part) int { return cmp.Compare(a.bound, b.bound) })
			layer, whole = layer[:x.width], false
		}
	}
	return whole
}

func sortedMasks(m map[set][]*part) []set {
	out := make([]set, 0, len(m))
	for mask := range m {
		out = append(out, mask)
	}
	slices.SortFunc(out, set.compare) // so that the same kitchen has the same plan
	return out
}

func (x *exact) put(j int, f int32) {
	x.place(j, f)
	x.mask.add(j)
	for _, k := range x.net.tasks[j].after {
		x.left[k]--
	}
}

// clean takes all tasks out.
func (x *exact) clean() {
	for j, s := range x.start {
		if s < 0 {
			continue
		}
		x.take(j)
		for _, k := range x.net.tasks[j].after {
			x.left[k]++
		}
	}
	x.mask = set{}
	for u := range x.count {
		x.count[u] = x.net.uses[u].step[0]
	}
}

// restore makes a part the present one.
func (x *exact) restore(p *part) {
	for j, s := range x.start {
		if s != p.start[j] && s >= 0 {
			x.take(j)
			x.mask.remove(j)
			for _, k := range x.net.tasks[j].after {
				x.left[k]++
			}
		}
	}
	for j, s := range p.start {
		if x.start[j] != s {
			x.put(j, s)
		}
	}
	copy(x.count, p.count)
	copy(x.low, p.low)
}

// candidates are the tasks that can be the next.
func (x *exact) candidates() []int {
	var out []int
	for j := range x.start {
		if x.start[j] < 0 && x.left[j] == 0 && (x.twin[j] < 0 || x.start[x.twin[j]] >= 0) && !x.skips(j) {
			out = append(out, j)
		}
	}
	return out
}

// grow adds a task at a position to the present part, and all tasks that take nothing and can then be placed: these stand in
// nobody's way. It returns the part, or nil where nothing better than the best can come of it.
func (x *exact) grow(j int, f, t int32) *part {
	if j >= 0 {
		x.put(j, f)
		t = max(t, f)
	}
	for again := true; again; {
		again = false
		for k := range x.start {
			if !x.plain[k] || x.start[k] >= 0 || x.left[k] > 0 {
				continue
			}
			at := x.earliest(k, x.released(k))
			if at == never {
				return nil
			}
			x.put(k, at)
			again = true
		}
	}
	if x.placed == len(x.start) {
		if v := x.worth(x.count); v < x.value {
			x.value = v
			x.best = append(x.best[:0], x.start...)
		}
		return nil
	}
	bound := x.bounds(t)
	if bound >= x.value {
		return nil
	}
	return x.part(t, bound)
}

const hopeless = int64(1) << 60

// bounds finds for each open task a position that it cannot come before, and a value that no whole schedule goes below.
func (x *exact) bounds(t int32) int64 {
	count := x.scratch
	copy(count, x.count)
	for _, j := range x.net.order {
		if x.start[j] >= 0 {
			continue
		}
		task := &x.net.tasks[j]
		f := task.release
		if !x.plain[j] {
			f = max(f, t)
		}
		low := f
		for _, l := range task.before {
			if s := x.start[l.task]; s >= 0 {
				f = max(f, s+x.net.tasks[l.task].p+l.lag)
			} else {
				low = max(low, x.low[l.task]+x.net.tasks[l.task].p+l.lag)
			}
		}
		if low = max(low, f); int(low) > x.net.cal.n {
			return hopeless
		}
		x.free[j] = task.next[f]
		low = x.earliest(j, low)
		if low == never {
			return hopeless
		}
		x.low[j] = low
		for _, m := range task.terms {
			count[m.use] = max(count[m.use], x.net.counted(m, low+task.p))
		}
	}
	value := x.worth(count)
	switch {
	case value >= x.value:
	case !x.forMeal:
		value = max(value, x.sumBound(x.low, count, t))
	case x.net.meal:
		value = max(value, int64(x.net.counted(term{}, x.mealBound(x.low, t))))
	}
	return value
}

// worth is what the search makes small.
func (x *exact) worth(count []int32) int64 {
	var total int64
	for u, c := range count {
		switch {
		case c >= never:
			return hopeless
		case u == 0 && x.net.meal:
			if x.forMeal {
				return int64(c)
			}
		case !x.forMeal:
			total += int64(c)
		}
	}
	return total
}

// skips reports whether another open task would be over before this one could begin: then it can be placed first in any
// schedule without harm. Where work in a window is bounded, it must not share the window with what comes later.
func (x *exact) skips(j int) bool {
	for k := range x.start {
		if k == j || x.start[k] >= 0 || x.left[k] > 0 || x.plain[k] {
			continue
		}
		t := &x.net.tasks[k]
		if x.low[k]+t.p > x.low[j] {
			continue
		}
		if t.work > 0 {
			if w := x.net.cal.window(x.low[k]); x.net.cal.capped[w] && x.net.cal.winPast[w] > x.low[j] {
				continue
			}
		}
		return true
	}
	return false
}
