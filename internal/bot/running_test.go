package bot_test

import (
	"fmt"
	"log/slog"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/dialogs"
	"benyomo/internal/bot"
	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/clock"
	"benyomo/internal/engine/store"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/kitchen"
	"benyomo/internal/idea/people"
	"benyomo/internal/idea/triage"
	"benyomo/internal/stage"
)

// The kinds of timers about an item, as the member's room names them.
const (
	idle = "member/idle"
	heat = "member/heat"
	cool = "member/cool"
	look = "member/look"
)

const runningKind = "pot" // of the items that run

var loadPack = sync.OnceValues(func() (*dialog.Pack, error) { return dialog.Load(dialogs.FS) })

func thePack(t testing.TB) *dialog.Pack {
	p, err := loadPack()
	require.NoError(t, err)
	return p
}

// writer is the writer of the invented community, by the clocks, in front of the courier.
func writer(t testing.TB, s *store.Store, c bot.Deliverer, household, machine clock.Clock, log *slog.Logger) *bot.Bot {
	env := &turn.Env{Pack: thePack(t), Token: func() string { return "token" }, BotName: "bot", Version: "test",
		Community: turn.Community{Name: "Kehillas Emek Rimon (invented)", Lang: "en", Place: stage.Place(), Bedtime: 23 * 60, Inbox: 1}}
	return bot.New(bot.Options{Store: s, Env: env, Courier: c, Household: household, Machine: machine, Log: log})
}

// record commits one part.
func record(t testing.TB, s *store.Store, fn func(*store.Tx)) {
	t.Helper()
	require.NoError(t, s.Update(func(b *store.Batch) error {
		return b.Try(func(tx *store.Tx) error { fn(tx); return nil })
	}))
}

// waited is an outcome whose wait without hot use is followed by a heating.
func waited(t testing.TB, p *dialog.Pack) *dialog.Outcome {
	for _, o := range p.Tree(runningKind).Outcomes.List {
		if len(o.Timeline) == 2 && o.Timeline[0].Heating.S == "" && o.Timeline[1].Heating.S != "" {
			return o
		}
	}
	require.Fail(t, "no outcome waits and then heats")
	return nil
}

// resident stores a member with a household of his own, who was last here at the moment.
func resident(tx *store.Tx, id int64, last time.Time) uint64 {
	h := tx.NewHousehold(people.Household{Members: []int64{id}, Purpose: dialog.Pesach, Custom: triage.Ashkenazi, Place: people.Abroad, Since: last})
	tx.PutPerson(people.Person{ID: id, Roles: []people.Role{people.Member}, Lang: "en", Household: h.ID, LastActive: last})
	return h.ID
}

// run stores an item of the household with what was told of it, in the state in which the timer of the kind is due at the
// moment, and that timer.
func run(tx *store.Tx, o *dialog.Outcome, household uint64, person int64, kind string, due time.Time) {
	wait := kitchen.Stage{Name: "idle", Minutes: 24 * 60}
	fire := kitchen.Stage{Name: "boil", Heats: true, Minutes: 60, Cool: 30}
	it := kitchen.Item{Household: household, Kind: runningKind, Asker: person, Rev: 1, Purpose: dialog.Pesach}
	switch kind {
	case idle:
		wait.Started = due.Add(-24 * time.Hour)
		it.State, it.LastHot = kitchen.Waiting, wait.Started
	case heat:
		wait.Ended, fire.Started = true, due.Add(-time.Hour)
		it.State = kitchen.Heating
	case cool:
		wait.Ended, fire.Ended, fire.Started = true, true, due.Add(-90*time.Minute)
		it.State = kitchen.Cooling
	case look:
		it.State = kitchen.Asking
	}
	it = tx.NewItem(it)
	key := fmt.Sprintf("item-%d", it.ID)
	if kind == look {
		key = fmt.Sprintf("look-%d", person)
	} else {
		it.Timeline = []kitchen.Stage{wait, fire}
		it.Told = tx.NewTelling(kitchen.Telling{Household: household, Item: it.ID, Kind: runningKind, Outcome: o.ID, Lang: "en",
			Purpose: dialog.Pesach, Custom: triage.Ashkenazi, At: due.Add(-25 * time.Hour), Version: "test"}).ID
		tx.PutItem(it)
	}
	tx.SetTimer(store.Timer{Key: key, Kind: kind, Due: due, Household: household, Item: it.ID, Person: person})
}

// listener is a courier that keeps what the writer hands it after each commit, and when that was.
type listener struct {
	silent
	household clock.Clock

	mu    sync.Mutex
	posts []chat.Post
	when  []time.Time
}

func (l *listener) Add(posts []chat.Post) {
	now := l.household.Now()
	l.mu.Lock()
	defer l.mu.Unlock()
	for _, p := range posts {
		l.posts, l.when = append(l.posts, p), append(l.when, now)
	}
}

// heard returns what was handed over since it was last asked.
func (l *listener) heard() (posts []chat.Post, when []time.Time) {
	l.mu.Lock()
	defer l.mu.Unlock()
	posts, when = l.posts, l.when
	l.posts, l.when = nil, nil
	return posts, when
}
