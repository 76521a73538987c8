package bot_test

import (
	"bytes"
	"context"
	"fmt"
	"log/slog"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/bot"
	"benyomo/internal/engine/clock"
	"benyomo/internal/engine/store"
	"benyomo/internal/idea/luach"
	"benyomo/internal/idea/people"
	"benyomo/internal/stage"
)

// The people of these tests. Whoever has something running has a number from firstResident on.
const (
	officeWorker  = 900
	firstResident = 1000
)

// logged is a log that can be read while it is written.
type logged struct {
	mu   sync.Mutex
	buf  bytes.Buffer
	news chan struct{} // something was written since it was last looked at
}

func (l *logged) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	select {
	case l.news <- struct{}{}:
	default:
	}
	return l.buf.Write(p)
}

func (l *logged) count(what string) int {
	l.mu.Lock()
	defer l.mu.Unlock()
	return strings.Count(l.buf.String(), what)
}

// What the log says.
const (
	saysBehind = "the clock is behind the last commit"
	saysRight  = "the clock has caught up"
)

// jumps is a writer whose clock jumps.
type jumps struct {
	t         *testing.T
	dir       string
	store     *store.Store
	bot       *bot.Bot
	courier   *listener
	household *clock.Manual
	machine   *clock.Manual
	log       *logged
	quit      chan struct{}
	over      chan error

	due  map[int64]time.Time // person → when the timer is due
	kind map[int64]string
	came map[int64][]string // person → first lines of the reminders that came, and nothing else
	told []string           // what the office was told
}

// newJumps starts the writer at a local time, with a worker in the office.
func newJumps(t *testing.T, at string) *jumps {
	now := on(t, at)
	j := &jumps{t: t, dir: t.TempDir(), household: clock.NewManual(now), machine: clock.NewManual(now), log: &logged{news: make(chan struct{}, 1)},
		due: map[int64]time.Time{}, kind: map[int64]string{}, came: map[int64][]string{}}
	j.courier = &listener{household: j.household}
	s, err := store.Open(j.dir)
	require.NoError(t, err)
	record(t, s, func(tx *store.Tx) {
		tx.PutPerson(people.Person{ID: officeWorker, Roles: []people.Role{people.Office}, Lang: "en", LastActive: now})
	})
	require.NoError(t, s.Close())
	j.up()
	t.Cleanup(j.down)
	return j
}

func on(t *testing.T, text string) time.Time {
	at, err := time.ParseInLocation("2006-01-02 15:04", text, stage.Place().Zone)
	require.NoError(t, err)
	return at
}

func (j *jumps) up() {
	s, err := store.Open(j.dir)
	require.NoError(j.t, err)
	j.store, j.quit, j.over = s, make(chan struct{}), make(chan error, 1)
	j.bot = writer(j.t, s, j.courier, j.household, j.machine, slog.New(slog.NewTextHandler(j.log, nil)))
	go func(b *bot.Bot, quit chan struct{}, over chan error) { over <- b.Run(context.Background(), quit) }(j.bot, j.quit, j.over)
	j.settle()
}

func (j *jumps) down() {
	if j.store == nil {
		return
	}
	close(j.quit)
	require.NoError(j.t, <-j.over)
	require.NoError(j.t, j.store.Check())
	require.NoError(j.t, j.store.Close())
	j.store = nil
}

func (j *jumps) restart() {
	j.down()
	j.up()
}

// set lets something run in a household of its own, due after the time.
func (j *jumps) set(kind string, after time.Duration) (person int64) {
	person = firstResident + int64(len(j.due))
	due := j.household.Now().Add(after)
	o := waited(j.t, thePack(j.t))
	record(j.t, j.store, func(tx *store.Tx) { run(tx, o, resident(tx, person, j.household.Now()), person, kind, due) })
	j.due[person], j.kind[person] = due, kind
	return person
}

// jump sets the clock, forward or back, while nothing runs in between.
func (j *jumps) jump(d time.Duration) {
	j.household.Advance(d)
	j.settle()
}

// settle waits until all that is due is committed, and takes note of what came: never before its time, never in a rest.
func (j *jumps) settle() {
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
	defer cancel()
	require.NoError(j.t, j.bot.Settled(ctx))
	restSoon, _, _ := strings.Cut(thePack(j.t).Sentences["en"]["rest-soon"], "{")
	require.NotEmpty(j.t, restSoon)
	posts, when := j.courier.heard()
	for i, p := range posts {
		require.NotEmpty(j.t, p.Message.Blocks)
		person, line := int64(p.Chat), p.Message.Blocks[0].Text
		_, rest := luach.RestAt(stage.Place(), when[i])
		require.False(j.t, rest, "%q at %s, in a rest span", line, when[i])
		switch {
		case person == officeWorker:
			j.told = append(j.told, line)
			continue
		case strings.HasPrefix(line, restSoon):
			require.NotContains(j.t, j.came[-person], line, "people are told of a rest once")
			j.came[-person] = append(j.came[-person], line)
			continue
		}
		due, known := j.due[person]
		require.True(j.t, known, "%q to %d", line, person)
		if len(j.came[person]) > 0 { // of a heating, that it has cooled
			due = due.Add(30 * time.Minute)
		}
		require.False(j.t, when[i].Before(due), "%q at %s, before its time %s", line, when[i], due)
		j.came[person] = append(j.came[person], line)
	}
}

// owed is how many reminders come of a kind in all: at the end of a heating, and when it has cooled.
func owed(kind string) int {
	if kind == heat {
		return 2
	}
	return 1
}

// all checks that everything came, once.
func (j *jumps) all() {
	for person, kind := range j.kind {
		require.Len(j.t, j.came[person], owed(kind), "reminders of %s, due %s", kind, j.due[person])
	}
	require.NoError(j.t, j.store.View(func(tx *store.Tx) error {
		for tm := range tx.Timers() {
			require.Equal(j.t, "rest", tm.Key, "no timer is left but that of the next rest")
		}
		for q := range tx.Quarantines() {
			require.Fail(j.t, "quarantined", "%+v", q)
		}
		return nil
	}))
}

// none checks that nothing more came than the number.
func (j *jumps) none(so int) {
	n := 0
	for person := range j.kind {
		n += len(j.came[person])
	}
	require.Equal(j.t, so, n, "reminders so far: %v", j.came)
}

// A clock jumps at random, for a week with a Sabbath in it, while much runs, with restarts. Every reminder comes once, by the
// clock not before its time, never in a rest span, and none while the clock is behind.
func TestRandomJumps(t *testing.T) {
	for seed := range uint64(8) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			random := rand.New(rand.NewPCG(seed, 26))
			j := newJumps(t, "2027-04-08 09:00")
			between := func(unit time.Duration, from, to int) time.Duration {
				return time.Duration(from+random.IntN(to-from+1)) * unit
			}
			for range 40 {
				j.set([]string{idle, heat, cool, look}[random.IntN(4)], between(time.Minute, 1, 6*24*60))
			}
			high, behind := j.household.Now(), 0
			for range 60 {
				switch random.IntN(8) {
				case 0:
					j.household.Advance(-between(time.Second, 1, 59))
				case 1:
					j.household.Advance(-between(time.Minute, 2, 50))
				case 2:
					j.household.Advance(-between(time.Hour, 1, 30))
				case 3: // suspended, or set right
					j.household.Advance(between(time.Hour, 1, 12))
				case 4: // there and back before anybody looks
					d := between(time.Hour, 1, 30)
					j.household.Advance(-d)
					j.household.Advance(d)
				case 5:
					j.household.Advance(high.Sub(j.household.Now())) // right again
				default:
					j.household.Advance(between(time.Minute, 1, 90))
				}
				if random.IntN(5) == 0 {
					j.down()
					j.machine.Advance(between(time.Minute, 0, 30))
					j.up()
				}
				before := fmt.Sprint(j.came)
				j.settle()
				now := j.household.Now()
				if now.Before(high.Add(-time.Minute)) {
					behind++
					require.Equal(t, before, fmt.Sprint(j.came), "at %s something came, though it had been %s", now, high)
				}
				if now.After(high) {
					high = now
				}
			}
			require.Positive(t, behind, "the clock was behind at times")
			j.household.Advance(max(high.Sub(j.household.Now()), 0))
			for range 2 { // the day after that may be one of rest
				j.jump(7 * 24 * time.Hour)
				j.jump(36 * time.Hour)
			}
			j.all()
		})
	}
}
