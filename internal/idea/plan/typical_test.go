package plan

import (
	"math/rand/v2"
	"slices"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// typicalKitchen is a usual household with so many different things of the table, some days before one of the eves.
func typicalKitchen(t testing.TB, r *rand.Rand, items int) (Kitchen, time.Time) {
	t.Helper()
	p := newYork(t)
	eve := at(t, p, []string{"2027-04-21", "2028-04-10", "2029-03-30", "2045-04-01"}[r.IntN(4)]+" 00:00")
	now := eve.AddDate(0, 0, -(10 + r.IntN(12))).Add(20 * time.Hour)
	usual := []string{"oven", "grates", "kashering-pot", "cutlery", "pot", "counter", "sink", "covers"} // most kitchens have these
	rest := slices.DeleteFunc(builtIn(t).Kinds(), func(kind string) bool {
		return slices.Contains(usual, kind) || slices.Contains([]string{"one-burner", "basin", "covered-corner", "coil-hob", "glass-hob", "induction-hob"}, kind)
	})
	r.Shuffle(len(rest), func(i, j int) { rest[i], rest[j] = rest[j], rest[i] })
	kinds := slices.Concat(usual, rest)
	var list []Item
	for i := range items {
		it := Item{Kind: kinds[i%len(kinds)], Count: 1 + r.IntN(3)}
		switch it.Kind {
		case "pot", "cutlery", "small-things", "large-pot":
			it.Side = []string{Dairy, Meat}[r.IntN(2)]
		case "hot-plate", "kettle":
			it.Sabbath = r.IntN(2) == 0
		case "oven-racks":
			it.Count = 1 + r.IntN(2)
		}
		list = append(list, it)
	}
	a := Asked{}
	if r.IntN(2) == 0 { // cooking begins a day or two before the eve
		a.Finish = eve.AddDate(0, 0, -r.IntN(3)).Add(8 * time.Hour)
	}
	if r.IntN(2) == 0 {
		for d := range 14 {
			for _, hour := range []int{8, 12, 19} {
				a.Meals = append(a.Meals, eve.AddDate(0, 0, -d).Add(time.Duration(hour)*time.Hour+30*time.Minute))
			}
		}
	}
	return Household(p, list, a), now
}

// cpu is the time that this process has taken of the processors: others that run meanwhile do not count.
func cpu(t testing.TB) time.Duration {
	var u syscall.Rusage
	require.NoError(t, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// benchmarkTypical plans a hundred usual households, and says how many fit, how many plans are proven, and the longest of all.
func benchmarkTypical(b *testing.B, items int) {
	rows := builtIn(b)
	for b.Loop() {
		fits, proven, longest, fitting, all := 0, 0, time.Duration(0), time.Duration(0), time.Duration(0)
		for seed := range uint64(100) {
			k, now := typicalKitchen(b, rand.New(rand.NewPCG(seed, 17)), items)
			began := cpu(b)
			p, err := Make(k, rows, now)
			took := cpu(b) - began
			require.NoError(b, err)
			if longest = max(longest, took); testing.Verbose() && took > 300*time.Millisecond {
				b.Logf("seed %d: %v, fits %v, proven %v", seed, took, p.Fits, p.Proven)
			}
			all += took
			if p.Fits {
				fits++
				fitting = max(fitting, took)
			}
			if p.Proven {
				proven++
			}
		}
		b.ReportMetric(float64(fits), "fit")
		b.ReportMetric(float64(proven), "proven")
		b.ReportMetric(float64(all)/1e8, "mean-ms")
		b.ReportMetric(float64(fitting)/1e6, "longest-fit-ms")
		b.ReportMetric(float64(longest)/1e6, "longest-ms")
	}
}

func BenchmarkTypical6(b *testing.B)  { benchmarkTypical(b, 6) }
func BenchmarkTypical12(b *testing.B) { benchmarkTypical(b, 12) }
func BenchmarkTypical25(b *testing.B) { benchmarkTypical(b, 25) }
func BenchmarkTypical40(b *testing.B) { benchmarkTypical(b, 40) }
