package plan

import (
	"cmp"
	"slices"
)

// part is a part of a schedule.
type part struct {
	mask  set     // its tasks
	t     int32   // the position of the task that was placed last
	start []int32 // by task, or -1
	count []int32 // of the uses
	low   []int32 // of the open tasks: no position is less, whatever follows
	free  []int32 // of the open tasks: the same by the links to placed tasks and the calendar alone
	bound int64   // no whole schedule of it is better
	done  int64   // what the uses cost of which all tasks are placed
	from  int32   // no open task that takes something begins before
	first int32   // usage begins at this position
	usage []vec   // with what runs already
	win   int16   // the window at first, if its work is bounded, or -1
	work  int32
}

// part keeps the present state.
func (x *exact) part(t int32, bound int64) *part {
	n := len(x.start)
	slab := make([]int32, 3*n+len(x.count))
	p := &part{
		mask: x.mask, t: t, bound: bound, from: never, first: never, win: -1,
		start: slab[:n], low: slab[n : 2*n], free: slab[2*n : 3*n], count: slab[3*n:],
	}
	copy(p.start, x.start)
	copy(p.low, x.low)
	copy(p.free, x.free)
	copy(p.count, x.count)
	for u, c := range x.count {
		if x.counts(u) && x.net.uses[u].tasks.within(x.mask) {
			p.done += int64(c)
		}
	}
	end := int32(0)
	for j, s := range x.start {
		switch {
		case x.plain[j]:
		case s < 0:
			p.from = min(p.from, x.low[j])
			p.first = min(p.first, x.free[j])
		default:
			end = max(end, s+x.net.tasks[j].p)
		}
	}
	if p.first == never {
		return p
	}
	if w := x.net.cal.window(p.first); w >= 0 && x.net.cal.capped[w] {
		p.win, p.work = w, x.inWin[w]
	}
	if end > p.first {
		p.usage = append(p.usage, x.usage[p.first:end]...)
	}
	return p
}

// merge adds a part to those of the same tasks, unless one of them is as good; those that are no better than it are dropped.
// The list is ordered by what is done.
func merge(x *exact, list []*part, p *part) []*part {
	more, _ := slices.BinarySearchFunc(list, p.done+1, func(q *part, done int64) int { return cmp.Compare(q.done, done) })
	for _, q := range list[:more] { // a part of which more is done costs more
		if x.beats(q, p) {
			return list
		}
	}
	less, _ := slices.BinarySearchFunc(list, p.done, func(q *part, done int64) int { return cmp.Compare(q.done, done) })
	kept := list[:less]
	for _, q := range list[less:] {
		if !x.beats(p, q) {
			kept = append(kept, q)
		}
	}
	return slices.Insert(kept, less, p)
}

// beats reports whether a is no worse than b, which has the same tasks: whatever can follow on b can follow on a at the same
// times, and is worth no less.
func (x *exact) beats(a, b *part) bool {
	if !x.cheaper(a, b) {
		return false
	}
	for j, s := range a.start {
		if s < 0 && a.free[j] > b.low[j] {
			return false
		}
	}
	if b.from == never {
		return true // nothing that takes anything is open
	}
	if a.win >= 0 && x.net.cal.window(b.from) == a.win && a.work > x.workOf(b, a.win) {
		return false
	}
	for i := b.from - a.first; int(i) < len(a.usage); i++ {
		if !a.usage[i].within(x.usageOf(b, a.first+i)) {
			return false
		}
	}
	return true
}

// workOf is a part's work in a window that may still be used; what ran already is in it.
func (x *exact) workOf(p *part, w int16) int32 {
	if p.win == w {
		return p.work
	}
	return x.net.baseCap[w]
}

// usageOf is what a part takes at a position not before its first.
func (x *exact) usageOf(p *part, at int32) vec {
	if i := int(at - p.first); i < len(p.usage) {
		return p.usage[i]
	}
	return x.net.base[at]
}

// cheaper reports whether the uses of a cost no more than those of b, whatever follows: a use whose tasks are not all placed
// may end up as late as the other way, so that of it only what it costs more counts.
func (x *exact) cheaper(a, b *part) bool {
	more := a.done - b.done
	for u := 0; more <= 0 && u < len(a.count); u++ {
		if d := a.count[u] - b.count[u]; d > 0 && x.counts(u) && !x.net.uses[u].tasks.within(a.mask) {
			more += int64(d)
		}
	}
	return more <= 0
}

// counts reports whether the search counts a use. In the search for the other uses, the meal's bound is in the latest positions.
func (x *exact) counts(u int) bool { return (u == 0 && x.net.meal) == x.forMeal }
