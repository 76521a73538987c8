package plan

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
)

// Whatever schedule there is, no bound says that it cannot be: at each of its beginnings, no open task has a bound after where
// it is, and the value of the whole is not less than the bound on it. The schedules come from lists made by chance, with the
// meal where the schedule has it, so that many are tight.
func TestBoundsHold(t *testing.T) {
	t.Parallel()
	held := 0
	for seed := range uint64(140 / share) {
		r := rand.New(rand.NewPCG(seed, 51))
		k, now := randomKitchen(t, r, 4+r.IntN(12))
		if seed%3 == 0 {
			shortOfWork(&k, r)
		}
		dl := deadlinesOf(&k, now)
		net, err := build(&k, builtIn(t), newCalendar(&k, now, dl.ready.At), dl)
		require.NoError(t, err)
		g := newGreedy(newState(net))
		g.search(50)
		if g.value.late > 0 {
			continue
		}
		schedules := [][]int32{slices.Clone(g.best)}
		for range 10 {
			list := g.list()
			for range r.IntN(2 * len(list)) {
				g.move(list)
			}
			if g.run(list).late == 0 {
				schedules = append(schedules, slices.Clone(g.st.start))
			}
		}
		for _, start := range schedules {
			for _, forMeal := range []bool{true, false} {
				if forMeal && !net.meal {
					continue
				}
				held++
				holds(t, net, start, forMeal, fmt.Sprintf("seed %d, for the meal %v", seed, forMeal))
			}
		}
	}
	require.Greater(t, held, 500/share/2)
}

func holds(t *testing.T, net *network, start []int32, forMeal bool, about string) {
	st := newState(net)
	for j, f := range start {
		st.place(j, f)
	}
	value := st.value()
	if net.meal && !forMeal {
		st.mealBy(value.meal)
	}
	x := newExact(st, forMeal, effort{})
	worth := value.sum
	if forMeal {
		worth = int64(value.meal)
	}
	order := slices.Clone(net.order)
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(start[a], start[b]) })
	for _, j := range append([]int{-1}, order...) {
		switch {
		case j < 0:
			x.grow(-1, 0, 0)
		case x.plain[j] || x.start[j] >= 0:
			continue
		default:
			require.LessOrEqual(t, x.low[j], start[j], "%s: task %d", about, j)
			x.grow(j, start[j], start[j])
		}
		if x.placed == len(start) {
			break
		}
		for k := range start {
			if x.start[k] < 0 {
				require.LessOrEqual(t, x.low[k], start[k], "%s: task %d after %d", about, k, j)
				require.LessOrEqual(t, x.free[k], x.low[k], "%s: task %d after %d", about, k, j)
			}
		}
		require.LessOrEqual(t, x.bounds(max(0, at0(j, start))), worth, "%s: after %d", about, j)
	}
}

func at0(j int, start []int32) int32 {
	if j < 0 {
		return 0
	}
	return start[j]
}

// Nothing better is found by a search in the order of positions that compares no parts, knows no twins, skips nothing and has
// no bound but each task's own links and calendar, on kitchens too large for all orders.
func TestNothingBetter(t *testing.T) {
	t.Parallel()
	judged := 0
	for seed := range uint64(90 / share) {
		r := rand.New(rand.NewPCG(seed, 61))
		k, now := randomKitchen(t, r, 5+r.IntN(5))
		if seed%2 == 0 {
			shortOfWork(&k, r)
		}
		s, err := solve(&k, builtIn(t), now, full)
		require.NoError(t, err)
		require.True(t, s.proven, "seed %d", seed)
		if !s.fits() {
			continue
		}
		p := &positions{st: newState(s.net), best: s.value}
		if p.try(0); p.steps > positionPatience {
			continue
		}
		judged++
		require.Equal(t, s.value, p.best, "seed %d", seed)
	}
	t.Logf("%d judged", judged)
	require.Greater(t, judged, 22/share/2)
}

type positions struct {
	st    *state
	best  value
	steps int
}

const positionPatience = 20_000

func (p *positions) try(t int32) {
	if p.steps++; p.steps > positionPatience {
		return
	}
	st, net := p.st, p.st.net
	low := make([]int32, len(st.start))
	count := slices.Clone(st.count)
	var open []int
	for _, j := range net.order {
		if st.start[j] >= 0 {
			low[j] = st.start[j]
			continue
		}
		f, ready := max(net.tasks[j].release, t), true
		for _, l := range net.tasks[j].before {
			f = max(f, low[l.task]+net.tasks[l.task].p+l.lag)
			ready = ready && st.start[l.task] >= 0
		}
		if int(f) > net.cal.n || net.tasks[j].next[f]+net.tasks[j].p > st.latest[j] {
			return
		}
		low[j] = net.tasks[j].next[f]
		for _, m := range net.tasks[j].terms {
			count[m.use] = max(count[m.use], net.counted(m, low[j]+net.tasks[j].p))
		}
		if ready {
			open = append(open, j)
		}
	}
	least := value{}
	for u, c := range count {
		if u == 0 && net.meal {
			least.meal = c
		} else {
			least.sum += int64(c)
		}
	}
	if !least.less(p.best) {
		return
	}
	if len(open) == 0 {
		p.best = least
		return
	}
	for _, j := range open {
		f := st.earliest(j, low[j])
		if f == never {
			return
		}
		kept := slices.Clone(st.count)
		st.place(j, f)
		p.try(f)
		st.take(j)
		copy(st.count, kept)
	}
}
