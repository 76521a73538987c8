package plan

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// allOrders tries every order in which the tasks can be placed, each at its first free position, and nothing is left out: no
// bounds, no twins, no comparison of parts, and no order of positions. It gives up after so many whole schedules.
type allOrders struct {
	st    *state
	best  value
	whole int
}

const orderPatience = 30_000

func (a *allOrders) try() {
	if a.whole > orderPatience {
		return
	}
	ends := true
	for j := range a.st.start {
		if a.st.start[j] >= 0 {
			continue
		}
		open := true
		for _, l := range a.st.net.tasks[j].before {
			open = open && a.st.start[l.task] >= 0
		}
		if !open {
			continue
		}
		ends = false
		f := a.st.released(j)
		if int(f) > a.st.net.cal.n {
			continue
		}
		if f = a.st.earliest(j, f); f == never {
			continue
		}
		count := append([]int32(nil), a.st.count...)
		a.st.place(j, f)
		a.try()
		a.st.take(j)
		copy(a.st.count, count)
	}
	if !ends {
		return
	}
	a.whole++
	if v := a.st.value(); v.late == 0 && v.less(a.best) {
		a.best = v
	}
}

// The search that leaves things out finds what the one that leaves nothing out finds, with the built-in rows: rounds, things in
// another's heating, soaking, Sabbaths and bounded windows are among them.
func TestNothingIsLeftOut(t *testing.T) {
	t.Parallel()
	judged, fits := 0, 0
	for seed := range uint64(280 / share) {
		r := rand.New(rand.NewPCG(seed, 31))
		k, now := randomKitchen(t, r, 2+r.IntN(3))
		if seed%2 == 0 {
			shortOfWork(&k, r)
		}
		s, err := solve(&k, builtIn(t), now, full)
		require.NoError(t, err)
		a := &allOrders{st: newState(s.net), best: value{late: 1}}
		a.try()
		if a.whole > orderPatience {
			continue
		}
		judged++
		about := fmt.Sprintf("seed %d", seed)
		require.True(t, s.proven, about)
		require.Equal(t, a.best.late == 0, s.fits(), about)
		if s.fits() {
			fits++
			require.Equal(t, a.best, s.value, about)
		}
	}
	t.Logf("%d of 280 judged, %d fit", judged, fits)
	require.Greater(t, judged, 170/share/2)
	require.Greater(t, fits, 110/share/2)
}

// The same of larger kitchens, without the part that lists play: the exhaustive search from nothing finds what the whole does.
func TestSearchFromNothing(t *testing.T) {
	t.Parallel()
	searched := 0
	for seed := range uint64(100) {
		r := rand.New(rand.NewPCG(seed, 41))
		k, now := randomKitchen(t, r, 6+r.IntN(3))
		if seed%2 == 0 {
			shortOfWork(&k, r)
		}
		s, err := solve(&k, builtIn(t), now, full)
		require.NoError(t, err)
		if !s.fits() {
			continue
		}
		st := newState(s.net)
		if s.net.meal {
			x := newExact(st, true, effort{nodes: 150_000})
			if !x.run() {
				continue
			}
			require.Equal(t, int64(s.value.meal), x.value, "seed %d", seed)
			st.mealBy(s.value.meal)
		}
		x := newExact(st, false, effort{nodes: 150_000})
		if x.run() {
			searched++
			require.Equal(t, s.value.sum, x.value, "seed %d", seed)
		}
	}
	require.Greater(t, searched, 25)
}

// Kitchens with little work in each window, in which a part of a schedule that has worked more than another of the same tasks must
// not stand for it: the searches that forget this find less.
func TestWorkOfAWindowIsCompared(t *testing.T) {
	for _, seed := range []uint64{235, 594, 966} {
		r := rand.New(rand.NewPCG(seed, 61))
		k, now := randomKitchen(t, r, 4+r.IntN(6))
		shortOfWork(&k, r)
		with, err := solve(&k, builtIn(t), now, full)
		require.NoError(t, err)
		from, err := solve(&k, builtIn(t), now, func(*network) effort { return effort{nodes: 150_000} })
		require.NoError(t, err)
		require.True(t, with.proven && from.proven, "seed %d", seed)
		require.Equal(t, with.value, from.value, "seed %d", seed)
	}
}
