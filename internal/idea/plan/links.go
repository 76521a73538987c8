package plan

import (
	"slices"
)

// of are the blocks in which an item is kashered, in order: its own, then those of others in which it lies or is boiled.
func of(item int, blocks []*block) []*block {
	var own, others []*block
	for _, b := range blocks {
		switch {
		case b.item == item:
			own = append(own, b)
		case slices.Contains(b.riders, item):
			others = append(others, b)
		}
	}
	return append(own, others...)
}

// idles reports whether an item's 24 hours have to be over before the block: its own say so, and where it lies in another's
// heating or is boiled, its row does.
func (n *network) idles(item int, b *block) bool {
	if b.item == item {
		return b.idle
	}
	row := n.rows.kind(n.kitchen.Items[item].Kind)
	return slices.ContainsFunc(row.steps, func(s stepRow) bool { return s.idle })
}

// task is the number of the task of a block, or -1 where it was done.
func (n *network) task(b *block) int {
	return slices.IndexFunc(n.tasks, func(t task) bool { return t.block == b })
}

// link lets one block end, and lag slots pass, before another begins.
func (n *network) link(first, then *block, lag int32, why string) {
	f, t := n.task(first), n.task(then)
	switch {
	case t < 0 && f < 0:
	case t < 0:
		n.note(NoteOrderBroken, first)
	case f < 0:
		slot := first.ends + int(lag)
		if _, tail := first.lengths(); tail > 0 && lag >= tail {
			slot = first.past // what it took to cool or dry is known
			if lag > tail {
				slot = max(slot, first.ends+int(lag))
			}
		}
		n.tasks[t].bounds = append(n.tasks[t].bounds, bound{slot, why})
	default:
		for i, l := range n.tasks[f].before {
			if l.task == t {
				if lag > l.lag {
					n.tasks[f].before[i].lag, n.tasks[f].before[i].why = lag, why
				}
				return
			}
		}
		n.tasks[f].before = append(n.tasks[f].before, link{t, lag, why})
	}
}

func (n *network) note(why string, b *block) {
	for _, i := range b.all() {
		x := Note{Why: why, Item: n.kitchen.Items[i].ID}
		if !slices.Contains(n.notes, x) {
			n.notes = append(n.notes, x)
		}
	}
}

// chains links the blocks of each item, and its wait. Washing with hot water begins the wait anew; hot water that runs into a
// sink begins the sink's.
func (n *network) chains(blocks []*block) {
	for i := range n.kitchen.Items {
		mine := of(i, blocks)
		for x, then := range mine {
			for _, first := range mine[:x] {
				_, tail := first.lengths()
				switch {
				case first.item != i:
					continue // two rounds of one item come in any order
				case first.hot && n.idles(i, then):
					n.link(first, then, max(tail, idleSlots), WhyIdleWashed)
				default:
					n.link(first, then, tail, WhyOwnOrder)
				}
			}
		}
		if !n.rows.kind(n.kitchen.Items[i].Kind).drains {
			continue
		}
		for _, then := range mine {
			for _, first := range blocks {
				if then.idle && first.hot && first.item != i && first.steps[0].uses[sink] > 0 {
					n.link(first, then, idleSlots, WhyDrains)
				}
			}
		}
	}
}

// rules links the blocks by the rows' rules.
func (n *network) rules(blocks []*block) {
	for _, r := range n.rows.rules {
		for _, first := range blocks {
			if !slices.Contains(first.marks, r.first) {
				continue
			}
			for _, then := range blocks {
				if then == first || !slices.Contains(then.marks, r.then) {
					continue
				}
				lag := int32(0)
				if r.cooled {
					_, lag = first.lengths()
				}
				n.link(first, then, lag, r.why)
			}
		}
	}
}

// lastUses finds what is to be as late as possible, and from when the things whose last use is known can be kashered.
func (n *network) lastUses() {
	all := make([]*block, 0, len(n.tasks)+len(n.fixed))
	for _, t := range n.tasks {
		all = append(all, t.block)
	}
	all = append(all, n.fixed...)
	meal := -1
	for i, it := range n.kitchen.Items {
		row := n.rows.kind(it.Kind)
		mine := of(i, all)
		tasks := slices.DeleteFunc(slices.Clone(mine), func(b *block) bool { return n.task(b) < 0 })
		if row.use == noUse || len(tasks) == 0 {
			continue
		}
		last, known := n.known(it, row, mine)
		switch {
		case known:
		case row.use == mealUse && meal >= 0:
		default:
			u := use{item: i, step: n.awakeSteps()}
			if row.use == mealUse {
				u, meal = use{item: -1, step: n.mealSteps()}, len(n.uses)
			}
			n.uses = append(n.uses, u)
		}
		number := len(n.uses) - 1
		if row.use == mealUse {
			number = meal
		}
		for _, b := range tasks {
			lag := int32(0)
			if n.idles(i, b) {
				lag = idleSlots
			}
			t := &n.tasks[n.task(b)]
			t.bounds = append(t.bounds, bound{last + int(lag), WhyIdle})
			if it.Sabbath && !known {
				t.bounds = append(t.bounds, bound{n.lastRest() + int(lag), WhyHotOnRest})
			}
			if !known {
				t.terms = append(t.terms, term{number, lag})
			}
		}
	}
	if n.meal = meal >= 0; meal > 0 {
		n.mealFirst(meal)
	}
	for j := range n.tasks[:min(len(n.tasks), maxExact)] {
		for _, x := range n.tasks[j].terms {
			n.uses[x.use].tasks.add(j)
		}
	}
}

// mealFirst lets the last hot meal be the first of the uses.
func (n *network) mealFirst(meal int) {
	n.uses[0], n.uses[meal] = n.uses[meal], n.uses[0]
	for j := range n.tasks {
		for x, t := range n.tasks[j].terms {
			switch t.use {
			case 0:
				n.tasks[j].terms[x].use = meal
			case meal:
				n.tasks[j].terms[x].use = 0
			}
		}
	}
}

// known is the slot of an item's last use where that is over or decided: said of the item, or of the meal, or certain because
// its first step was done. Otherwise it is now at the earliest.
func (n *network) known(it Item, row *kind, mine []*block) (slot int, ok bool) {
	switch {
	case !it.LastHot.IsZero():
		return n.cal.up(it.LastHot), true
	case row.use == mealUse && !n.kitchen.LastMeal.IsZero():
		return n.cal.up(n.kitchen.LastMeal), true
	}
	for _, b := range mine {
		if b.done && (!ok || b.used < slot) {
			slot, ok = b.used, true
		}
	}
	return slot, ok
}

// lastRest is the slot in which the last rest span of the plan ends; 0 where there is none.
func (n *network) lastRest() int {
	if len(n.cal.spans) == 0 {
		return 0
	}
	return n.cal.up(n.cal.spans[len(n.cal.spans)-1].Ends)
}

// awakeSteps counts a use that would end while all sleep as ending when they went to bed.
func (n *network) awakeSteps() []int32 {
	c := n.cal
	out := make([]int32, c.n+1)
	for s := c.n; s >= 0; s-- {
		out[s] = int32(s)
		if t := c.n - s; t > 0 && c.asleep[t-1] && s < c.n {
			out[s] = out[s+1]
		}
	}
	return out
}

// mealSteps counts the last hot meal as ending with one of the meals, if the household named any.
func (n *network) mealSteps() []int32 {
	if len(n.kitchen.Meals) == 0 {
		return n.awakeSteps()
	}
	c := n.cal
	out := make([]int32, c.n+1)
	for s := range out {
		out[s] = never
	}
	for _, m := range n.kitchen.Meals {
		if t := c.up(m); t >= 0 && t <= c.n {
			out[c.n-t] = int32(c.n - t)
		}
	}
	for s := c.n - 1; s >= 0; s-- {
		out[s] = min(out[s], out[s+1])
	}
	return out
}
