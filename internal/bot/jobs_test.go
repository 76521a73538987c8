package bot

import (
	"context"
	"errors"
	"log/slog"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/clock"
	"benyomo/internal/engine/store"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/luach"
)

// deaf is a courier that forgets what it is given.
type deaf struct{}

func (deaf) Load([]chat.Post)                    {}
func (deaf) Add([]chat.Post)                     {}
func (deaf) Drop([]uint64)                       {}
func (deaf) Recorded(uint64)                     {}
func (deaf) Hold(chat.ID)                        {}
func (deaf) Release(chat.ID)                     {}
func (deaf) Rekey(_, _ chat.ID)                  {}
func (deaf) Toast(chat.ID, string, string, bool) {}
func (deaf) Wake()                               {}

// workshop is a writer with its worker, in a community in New York (civil zone and place of the reference tables).
type workshop struct {
	*Bot
	t            *testing.T
	store        *store.Store
	clock        *clock.Manual
	cancel, stop func()
}

func newWorkshop(t *testing.T, dir string, now time.Time, table map[string]turn.Job) *workshop {
	old := jobTable
	jobTable = table
	t.Cleanup(func() { jobTable = old })
	s, err := store.Open(dir)
	require.NoError(t, err)
	zone, err := time.LoadLocation("America/New_York")
	require.NoError(t, err)
	place := luach.Place{Name: "New York", Latitude: 40.7128, Longitude: -74.006, Zone: zone, CandleMinutes: 18}
	c := clock.NewManual(now)
	b := New(Options{Store: s, Env: &turn.Env{Community: turn.Community{Place: place, Inbox: 1}}, Courier: deaf{}, Household: c, Machine: c,
		Log: slog.New(slog.DiscardHandler)})
	quit, written, worked := make(chan struct{}), make(chan error, 1), make(chan error, 1)
	ctx, cancel := context.WithCancel(context.Background())
	go func() { written <- b.Run(context.Background(), quit) }()
	go func() { worked <- b.Work(ctx) }()
	w := &workshop{Bot: b, t: t, store: s, clock: c, cancel: cancel}
	w.stop = func() {
		cancel()
		<-worked
		close(quit)
		require.NoError(t, <-written)
		require.NoError(t, s.Close())
		w.stop = func() {}
	}
	t.Cleanup(func() { w.stop() })
	return w
}

// ask asks for jobs as a turn does: the worker is woken by the commit.
func (w *workshop) ask(jobs ...store.Job) {
	w.t.Helper()
	require.NoError(w.t, w.store.Update(func(b *store.Batch) error {
		return b.Try(func(tx *store.Tx) error {
			for _, j := range jobs {
				tx.AskFor(j)
			}
			return nil
		})
	}))
	w.worker.wake()
}

func (w *workshop) settle() {
	w.t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	require.NoError(w.t, w.Settled(ctx))
}

// notes are what the jobs of these tests have written.
func (w *workshop) note(name string) (word string) {
	w.t.Helper()
	require.NoError(w.t, w.store.View(func(tx *store.Tx) error { word = tx.Note(name); return nil }))
	return word
}

func (w *workshop) waiting() (n int) {
	w.t.Helper()
	require.NoError(w.t, w.store.View(func(tx *store.Tx) error {
		for range tx.Jobs() {
			n++
		}
		return nil
	}))
	return n
}

// writes is a job that notes what its work gave, or why it failed.
func writes(work func(store.Job) (any, error)) turn.Job {
	return turn.Job{
		Read: func(_ *turn.Turn, j store.Job) func() (any, error) { return func() (any, error) { return work(j) } },
		Done: func(t *turn.Turn, j store.Job, result any, failure error) {
			if failure != nil {
				t.Tx.SetNote(j.Key, "failed")
				return
			}
			t.Tx.SetNote(j.Key, t.Tx.Note(j.Key)+result.(string))
		},
	}
}

var monday = time.Date(2027, time.April, 12, 14, 0, 0, 0, time.UTC)

func TestJobsAreDone(t *testing.T) {
	w := newWorkshop(t, t.TempDir(), monday, map[string]turn.Job{
		"good":  writes(func(j store.Job) (any, error) { return "did " + j.Arg, nil }),
		"bad":   writes(func(store.Job) (any, error) { return nil, errors.New("no") }),
		"worse": writes(func(store.Job) (any, error) { panic("no") }),
		"over":  {Read: func(*turn.Turn, store.Job) func() (any, error) { return nil }},
	})
	w.ask(store.Job{Key: "a", Kind: "worse"}, store.Job{Key: "b", Kind: "bad"}, store.Job{Key: "c", Kind: "good", Arg: "it"},
		store.Job{Key: "d", Kind: "over"}, store.Job{Key: "e", Kind: "of another version"})
	w.settle()
	require.Equal(t, "failed", w.note("a"))
	require.Equal(t, "failed", w.note("b"))
	require.Equal(t, "did it", w.note("c"))
	require.Zero(t, w.waiting(), "none is tried for ever")
	n := 0
	require.NoError(t, w.store.View(func(tx *store.Tx) error {
		for range tx.Quarantines() {
			n++
		}
		return nil
	}))
	require.Equal(t, 2, n, "failures are kept for whoever looks")
}

// What was asked for anew while it was computed is computed again, and the old result is nowhere.
func TestJobAskedForAnew(t *testing.T) {
	begun, goOn := make(chan struct{}), make(chan struct{})
	w := newWorkshop(t, t.TempDir(), monday, map[string]turn.Job{"slow": writes(func(j store.Job) (any, error) {
		if j.Arg == "old" {
			close(begun)
			<-goOn
		}
		return j.Arg, nil
	})})
	w.ask(store.Job{Key: "a", Kind: "slow", Arg: "old"})
	<-begun
	w.ask(store.Job{Key: "a", Kind: "slow", Arg: "new"})
	close(goOn)
	w.settle()
	require.Equal(t, "new", w.note("a"))
}

// A job that a stop interrupts is done after the next start; its old result finds nobody.
func TestJobOverAStop(t *testing.T) {
	dir := t.TempDir()
	begun, goOn := make(chan struct{}), make(chan struct{})
	first := newWorkshop(t, dir, monday, map[string]turn.Job{"slow": writes(func(store.Job) (any, error) {
		close(begun)
		<-goOn
		return "first", nil
	})})
	first.ask(store.Job{Key: "a", Kind: "slow"})
	<-begun
	first.cancel() // the stop has begun; whether the result still finds the writer is left open
	close(goOn)
	first.stop()
	second := newWorkshop(t, dir, monday.Add(time.Hour), map[string]turn.Job{"slow": writes(func(store.Job) (any, error) { return "second", nil })})
	second.settle()
	require.Contains(t, []string{"first", "second"}, second.note("a"), "once, and not twice")
	require.Zero(t, second.waiting())
}

// In a rest span no job is done; after it, it is. In New York the sun sets near 19:36 on Friday 2027-04-16, and it is night near
// 20:17 on the day after (from memory).
func TestJobsRest(t *testing.T) {
	friday := time.Date(2027, time.April, 16, 23, 45, 0, 0, time.UTC)
	w := newWorkshop(t, t.TempDir(), friday, map[string]turn.Job{"good": writes(func(store.Job) (any, error) { return "done", nil })})
	w.ask(store.Job{Key: "a", Kind: "good"})
	w.settle()
	require.Equal(t, 1, w.waiting())
	require.Empty(t, w.note("a"))
	require.NoError(t, w.clock.AdvanceTo(time.Date(2027, time.April, 18, 2, 0, 0, 0, time.UTC)))
	w.settle()
	require.Equal(t, "done", w.note("a"))
}
