package bot_test

import (
	"fmt"
	"log/slog"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/bot"
	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/clock"
	"benyomo/internal/engine/courier"
	"benyomo/internal/engine/store"
)

// What BenchmarkTimers measures.
const (
	many       = 1_000_000 // timers that are pending
	few        = 1_000
	perSecond  = 200
	seconds    = 60
	burst      = perSecond * seconds // timers that fire in one measurement
	perKitchen = 4                   // timers of one household among those that are pending
	chunk      = 10_000              // timers written in one commit at the set-up
)

// Windows of household time, each with its burst, from windowStart on. In front of them a timer is due for each start that is
// measured; behind them all others are due, spread over three days.
const (
	quietWindow   = 10 * time.Minute // nothing else is to be done
	busyWindow    = 20 * time.Minute // deliveries end meanwhile
	backlogWindow = 25 * time.Minute // all is due at once
	othersFrom    = time.Hour
	othersSpread  = 72 * time.Hour
	firstStart    = 8 // starts for which a timer is due, one each second
)

// windowStart is a Sunday morning: neither rest nor quiet hours come near.
func windowStart() time.Time {
	return time.Date(2027, time.April, 11, 10, 0, 0, 0, time.UTC)
}

// fill writes the timers, with what stands behind those that fire: a person, his household, an item of the kind in its state,
// and what was told of it. The others are in households of four timers each, with a person, and have no items: nothing reads
// those before they fire. A burst begins with firing set only.
func fill(b *testing.B, dir string, n int, firing bool) {
	s, err := store.Open(dir)
	require.NoError(b, err)
	o := waited(b, thePack(b))
	zero := windowStart()
	person := int64(firstResident)
	kinds := []string{heat, idle, heat, cool, idle, look}
	fires := func(from time.Time, count int, apart time.Duration) {
		for done := 0; done < count; done += chunk {
			record(b, s, func(tx *store.Tx) {
				for i := done; i < min(count, done+chunk); i++ {
					run(tx, o, resident(tx, person, zero.Add(-3*time.Hour)), person, kinds[i%len(kinds)], from.Add(time.Duration(i)*apart))
					person++
				}
			})
		}
	}
	fires(zero, firstStart, time.Second)
	left := n - firstStart
	if firing {
		for _, w := range []time.Duration{quietWindow, busyWindow, backlogWindow} {
			fires(zero.Add(w), burst, time.Second/perSecond)
			left -= burst
		}
	}
	random := rand.New(rand.NewPCG(1, 1))
	for done := 0; done < left; done += chunk {
		record(b, s, func(tx *store.Tx) {
			household := uint64(0)
			for i := done; i < min(left, done+chunk); i++ {
				if i%perKitchen == 0 {
					household = resident(tx, person, zero.Add(-3*time.Hour))
					person++
				}
				due := zero.Add(othersFrom + time.Duration(random.Int64N(int64(othersSpread))))
				tx.SetTimer(store.Timer{Key: fmt.Sprintf("item-%d", many+i), Kind: kinds[i%4], Due: due, Household: household,
					Item: uint64(many + i), Person: person - 1})
			}
		})
	}
	require.NoError(b, s.Close())
}

// BenchmarkTimers shows that a million pending timers cost neither memory nor time: what a start takes, in a process of its
// own; how late 200 a second are, from the moment at which each is due to its committed row in the outbox, with the writer's real
// look at the clock; and how fast what was held back is worked off.
func BenchmarkTimers(b *testing.B) {
	if testing.Short() {
		b.Skip("a million timers take half a minute to write, and each burst a minute")
	}
	small, big := b.TempDir(), b.TempDir()
	begun := time.Now()
	fill(b, small, few, false)
	fill(b, big, many, true)
	b.Logf("written in %.0f s", time.Since(begun).Seconds())
	for _, size := range []struct {
		name, dir string
	}{{"1000", small}, {"1000000", big}} {
		b.Run("start-"+size.name, func(b *testing.B) { benchmarkStart(b, size.dir, false) })
		b.Run("start-after-long-stop-"+size.name, func(b *testing.B) { benchmarkStart(b, size.dir, true) })
	}
	b.Run("lateness-quiet", func(b *testing.B) { benchmarkLateness(b, big, quietWindow, false) })
	b.Run("lateness-busy", func(b *testing.B) { benchmarkLateness(b, big, busyWindow, true) })
	b.Run("backlog", func(b *testing.B) { benchmarkBacklog(b, big) })
}

// postman is a courier that notes when rows come to it, each at once after its commit. It is asked for nothing by the writer, so
// that what is measured is the writer.
type postman struct {
	silent
	household clock.Clock
	rows      chan handed
}

type handed struct {
	chat.Post
	when time.Time
}

func (p *postman) Add(posts []chat.Post) {
	now := p.household.Now()
	for _, post := range posts {
		p.rows <- handed{post, now}
	}
}

// follow notes how late each of those was who have something due, until the rows end; all is closed when everybody's came. Where
// it delivers, every delivery succeeds at once, and its result goes back to the writer.
func (p *postman) follow(w *bot.Bot, due map[int64]time.Time, deliver bool, all chan<- struct{}) map[int64]time.Duration {
	late := map[int64]time.Duration{}
	for row := range p.rows {
		at, mine := due[int64(row.Chat)]
		if _, again := late[int64(row.Chat)]; mine && !again {
			late[int64(row.Chat)] = row.when.Sub(at)
			if len(late) == len(due) {
				close(all)
			}
		}
		if deliver {
			w.Delivered(courier.Result{Post: row.Post, Receipt: courier.Receipt{Fate: courier.Delivered, Message: int(row.Seq)}})
		}
	}
	return late
}

// benchmarkLateness lets one burst fire, in real time, and reports how late its rows were committed.
func benchmarkLateness(b *testing.B, dir string, window time.Duration, deliver bool) {
	s, err := store.Open(dir)
	require.NoError(b, err)
	from := windowStart().Add(window)
	due := dueIn(b, s, from)
	household := clock.NewMovable(clock.System{}, from.Add(-2*time.Second)) // the start itself is not measured
	p := &postman{household: household, rows: make(chan handed, 2*burst)}
	w := writer(b, s, p, household, clock.System{}, slog.New(slog.DiscardHandler))
	all, noted := make(chan struct{}), make(chan map[int64]time.Duration, 1)
	go func() { noted <- p.follow(w, due, deliver, all) }()
	stop := begin(b, w)
	b.ResetTimer()
	select {
	case <-all:
	case <-time.After((seconds + 60) * time.Second):
		b.Error("not all came")
	}
	b.StopTimer()
	require.NoError(b, w.Settled(b.Context()))
	close(p.rows) // nothing else is due for minutes
	report(b, <-noted)
	m := measureMemory(b)
	b.ReportMetric(m.Heap, "heap-MB")
	b.ReportMetric(m.Resident, "rss-MB")
	b.ReportMetric(m.Anon, "anon-MB")
	b.ReportMetric(burst/b.Elapsed().Seconds(), "timers/s")
	b.ReportMetric(0, "ns/op")
	stop()
	require.NoError(b, s.Close())
}

// dueIn lists who has a timer in the burst that begins at the moment, and when it is due.
func dueIn(b *testing.B, s *store.Store, from time.Time) map[int64]time.Time {
	due := map[int64]time.Time{}
	require.NoError(b, s.View(func(tx *store.Tx) error {
		for tm := range tx.Timers() {
			if !tm.Due.Before(from.Add(seconds * time.Second)) {
				break
			}
			if !tm.Due.Before(from) {
				due[tm.Person] = tm.Due
			}
		}
		return nil
	}))
	require.Equal(b, burst, len(due))
	return due
}

// report says how late they were, in milliseconds.
func report(b *testing.B, late map[int64]time.Duration) {
	all := make([]time.Duration, 0, len(late))
	for _, l := range late {
		all = append(all, l)
	}
	require.NotEmpty(b, all)
	slices.Sort(all)
	for _, q := range []struct {
		unit string
		at   int
	}{{"p50-ms", len(all) / 2}, {"p99-ms", len(all) * 99 / 100}, {"max-ms", len(all) - 1}} {
		b.ReportMetric(float64(all[q.at].Microseconds())/1000, q.unit)
	}
}

// benchmarkBacklog lets the clock stand behind a burst that is due as a whole, as after a rest span.
func benchmarkBacklog(b *testing.B, dir string) {
	s, err := store.Open(dir)
	require.NoError(b, err)
	household := clock.NewManual(windowStart().Add(backlogWindow - time.Second))
	hear := &listener{household: household}
	w := writer(b, s, hear, household, clock.System{}, slog.New(slog.DiscardHandler))
	stop := begin(b, w)
	dueIn(b, s, windowStart().Add(backlogWindow))
	hear.heard()
	b.ResetTimer()
	household.Advance((seconds + 1) * time.Second)
	require.NoError(b, w.Settled(b.Context()))
	b.StopTimer()
	posts, _ := hear.heard()
	require.GreaterOrEqual(b, len(posts), burst)
	b.ReportMetric(burst/b.Elapsed().Seconds(), "timers/s")
	b.ReportMetric(0, "ns/op")
	stop()
	require.NoError(b, s.Close())
}
