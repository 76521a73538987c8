package plan

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// benchKitchen is a whole kitchen as there are many, of so many items, with time enough.
func benchKitchen(t testing.TB, items int) (Kitchen, time.Time) {
	p := newYork(t)
	now := at(t, p, "2027-03-28 09:00")
	k := Kitchen{Place: p, Slack: DefaultSlack, Wake: 6*60 + 30, Bedtime: 23 * 60, Hands: 2, Burners: 4, Pots: 1}
	k.Work = []Window{{Days: evenings, From: 19 * 60, To: 22 * 60}, {Days: sundays, From: 10 * 60, To: 20 * 60, Most: 300}}
	k.Opening = []Window{{Days: append([]time.Weekday{time.Sunday}, evenings...), From: 9 * 60, To: 21 * 60}}
	kinds := []string{"oven", "grates", "kashering-pot", "cutlery", "pot", "counter", "sink", "covers", "microwave", "dishwasher",
		"hot-plate", "fridge", "freezer", "kettle", "glass-soak", "immersion", "coil-hob"}
	for i := range items {
		it := Item{ID: fmt.Sprint(kinds[i%len(kinds)], "-", i), Kind: kinds[i%len(kinds)], Count: 1 + i%3, Side: []string{Dairy, Meat}[i%2]}
		it.Minutes = map[string]int{builtIn(t).kind(it.Kind).steps[0].name: 10 + 5*(i%5)} // no two quite alike
		k.Items = append(k.Items, it)
	}
	return k, now
}

func benchmarkMake(b *testing.B, items int) {
	k, now := benchKitchen(b, items)
	for b.Loop() {
		p, err := Make(k, builtIn(b), now)
		require.NoError(b, err)
		require.True(b, p.Fits)
	}
}

func BenchmarkMake12(b *testing.B) { benchmarkMake(b, 12) }
func BenchmarkMake40(b *testing.B) { benchmarkMake(b, 40) }

// BenchmarkProof12 is the kitchen of twelve items, of some thousands made by chance, that took the most parts to prove.
func BenchmarkProof12(b *testing.B) {
	k, now := hardest(b)
	for b.Loop() {
		s, err := solve(&k, builtIn(b), now, full)
		require.NoError(b, err)
		require.True(b, s.proven)
	}
}
