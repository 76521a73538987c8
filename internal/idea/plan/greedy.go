package plan

import (
	"cmp"
	"math/rand/v2"
	"slices"
)

// greedy makes schedules by lists: each task of the list in turn, after those to which it is bound, takes the first position
// that is free. Every schedule in which no single task could come later comes from some list. The list is then changed, one or
// two tasks at a time, and the change kept where the schedule is no worse.
type greedy struct {
	st    *state
	best  []int32
	value value
	rng   *rand.Rand
	floor value // no schedule is better
}

func newGreedy(st *state) *greedy {
	return &greedy{st: st, value: value{late: 1 << 30}, rng: rand.New(rand.NewPCG(5, 7))}
}

// run makes a schedule from a list, and keeps it where it is the best.
func (g *greedy) run(list []int) value {
	g.st.clear()
	for _, j := range list {
		g.place(j)
	}
	v := g.st.value()
	if v.less(g.value) {
		g.value = v
		g.best = append(g.best[:0], g.st.start...)
	}
	return v
}

// place gives a task its place, after those to which it is bound. What hangs on a task without a place has none either.
func (g *greedy) place(j int) {
	st := g.st
	if st.start[j] >= 0 {
		return
	}
	for _, l := range st.net.tasks[j].before {
		g.place(l.task)
	}
	f := st.released(j)
	if int(f) <= st.net.cal.n {
		f = st.earliest(j, f)
	}
	if f > int32(st.net.cal.n) {
		st.start[j] = never
		return
	}
	st.place(j, f)
}

// lists are the first orders: by how much in life hangs behind a task, and by what it decides.
func (g *greedy) lists() [][]int {
	net := g.st.net
	depth := make([]int32, len(net.tasks)) // the longest way through links to the earliest task in life
	for x := len(net.order) - 1; x >= 0; x-- {
		j := net.order[x]
		t := &net.tasks[j]
		depth[j] += t.p
		for _, l := range t.before {
			depth[l.task] = max(depth[l.task], depth[j]+l.lag)
		}
	}
	kind := func(j int) int { // the last hot meal's tasks first, then last uses, then what only has to fit
		switch t := &net.tasks[j]; {
		case len(t.terms) == 0:
			return 2
		case net.meal && slices.ContainsFunc(t.terms, func(x term) bool { return x.use == 0 }):
			return 0
		}
		return 1
	}
	by := func(less func(a, b int) int) []int {
		list := slices.Clone(net.order)
		slices.SortStableFunc(list, less)
		return list
	}
	return [][]int{
		by(func(a, b int) int { return int(depth[b] - depth[a]) }),
		by(func(a, b int) int { return cmp.Or(kind(a)-kind(b), int(depth[b]-depth[a])) }),
		by(func(a, b int) int { return cmp.Or(kind(a)-kind(b), int(net.tasks[a].p-net.tasks[b].p)) }),
		by(func(a, b int) int { return cmp.Or(kind(a)-kind(b), int(net.tasks[b].p-net.tasks[a].p)) }),
		by(func(a, b int) int { return cmp.Compare(net.tasks[a].latest, net.tasks[b].latest) }),
		by(func(a, b int) int { return cmp.Compare(net.tasks[a].p, net.tasks[b].p) }),
	}
}

// search improves the best schedule with so many tries.
func (g *greedy) search(tries int) {
	if g.best == nil {
		for _, list := range g.lists() {
			if g.run(list); !g.floor.less(g.value) {
				return
			}
		}
	}
	if len(g.best) < 2 {
		return
	}
	at, now := g.list(), g.value
	next := slices.Clone(at)
	for since := 0; tries > 0; tries-- {
		if since++; since > patience*len(at) { // stuck: go on from the best, shaken
			since = 0
			at = g.list()
			for range 3 + g.rng.IntN(len(at)/2+1) {
				g.move(at)
			}
			now = g.run(at)
			continue
		}
		copy(next, at)
		for range 1 + g.rng.IntN(2) {
			g.move(next)
		}
		v := g.run(next)
		if v.less(now) {
			since = 0
		}
		if !now.less(v) {
			now = v
			at, next = next, at
		}
		if !g.floor.less(g.value) {
			return
		}
	}
}

// patience is for how many tries, for each task, a search goes on that finds nothing better.
const patience = 20

// list is one that makes the best schedule.
func (g *greedy) list() []int {
	list := slices.Clone(g.st.net.order)
	slices.SortStableFunc(list, func(a, b int) int { return int(g.best[a] - g.best[b]) })
	return list
}

// move takes a task out of a list and puts it in elsewhere.
func (g *greedy) move(list []int) {
	from, to := g.rng.IntN(len(list)), g.rng.IntN(len(list))
	j := list[from]
	if from < to {
		copy(list[from:], list[from+1:to+1])
	} else {
		copy(list[to+1:from+1], list[to:from])
	}
	list[to] = j
}
