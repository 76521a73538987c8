package plan

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// above is how far the last uses, the meal's included, are above what each could have alone in the kitchen, in slots.
func above(t *testing.T, s *solution) int64 {
	t.Helper()
	st := s.state()
	var total int64
	for u, use := range s.net.uses {
		items := []Item{}
		for i, it := range s.net.kitchen.Items {
			if use.item == i || use.item < 0 && s.net.rows.kind(it.Kind).use == mealUse {
				items = append(items, it)
			}
		}
		least := int32(0)
		for _, it := range items { // the meal's minimum is that of the item which alone needs it earliest
			one := *s.net.kitchen
			one.Items = []Item{it}
			alone, err := solve(&one, s.net.rows, s.net.cal.at(0), full)
			require.NoError(t, err)
			require.True(t, alone.fits() && alone.proven)
			least = max(least, alone.value.meal, int32(alone.value.sum))
		}
		total += int64(st.count[u] - least)
	}
	return total
}

// Kitchens of 10 to 12 items, planned as kitchens that are too large for a proof are: no more than 5 % above the best plan, of
// the part above what each thing could have alone.
func TestLargeKitchensAreNearTheBest(t *testing.T) {
	t.Parallel()
	measured, same := 0, 0
	worst, mean := 0.0, 0.0
	for seed := range uint64(42 / share) {
		r := rand.New(rand.NewPCG(seed, 3))
		k, now := randomKitchen(t, r, 10+int(seed)%3)
		if seed%3 == 0 {
			shortOfWork(&k, r) // the hardest for lists
		}
		best, err := solve(&k, builtIn(t), now, full)
		require.NoError(t, err)
		if !best.fits() {
			continue
		}
		if !best.proven {
			continue // two in a hundred, of those short of work
		}
		found, err := solve(&k, builtIn(t), now, large)
		require.NoError(t, err)
		require.True(t, found.fits(), "seed %d", seed)
		require.False(t, found.value.less(best.value), "seed %d", seed)
		measured++
		if found.value == best.value {
			same++
			continue
		}
		require.Equal(t, best.value.meal, found.value.meal, "seed %d: another last hot meal", seed)
		optimum := above(t, best)
		require.Positive(t, optimum, "seed %d", seed)
		gap := float64(above(t, found)-optimum) / float64(optimum)
		mean += gap
		worst = max(worst, gap)
	}
	t.Logf("%d kitchens, %d as good as the best, the worst %.2f %% and the mean %.3f %% above", measured, same, 100*worst, 100*mean/float64(measured))
	require.Greater(t, measured, 22/share/2)
	require.LessOrEqual(t, worst, 0.05)
}
