package bot_test

import (
	"context"
	"log/slog"
	"strings"
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
	"benyomo/internal/idea/luach"
	"benyomo/internal/idea/people"
	"benyomo/internal/stage"
)

// world is a writer over a real file, whose deliveries stay in the outbox.
type world struct {
	t         *testing.T
	store     *store.Store
	household *clock.Manual
	bot       *bot.Bot
	gate      *bot.Gate
}

// harTomer is the invented place in which some households are.
func harTomer(t *testing.T) luach.Place {
	zone, err := time.LoadLocation("Asia/Jerusalem")
	require.NoError(t, err)
	return luach.Place{Name: "Har Tomer", Latitude: 31.9, Longitude: 35.1, Zone: zone, Israel: true, CandleMinutes: 40}
}

func newWorld(t *testing.T, now time.Time, fill func(*store.Tx)) *world {
	p, err := dialog.Load(dialogs.FS)
	require.NoError(t, err)
	s, err := store.Open(t.TempDir())
	require.NoError(t, err)
	w := &world{t: t, store: s, household: clock.NewManual(now)}
	w.write(fill)
	env := &turn.Env{Pack: p, Token: func() string { return "token" }, BotName: "bot", Version: "test",
		Community: turn.Community{Name: "Kehillas Emek Rimon (invented)", Lang: "en", Place: stage.Place(), Places: []luach.Place{harTomer(t)}, Bedtime: 23 * 60}}
	log := slog.New(slog.DiscardHandler)
	w.gate = bot.NewGate(env.Community, s, w.household, log)
	w.bot = bot.New(bot.Options{Store: s, Env: env, Gate: w.gate, Courier: silent{}, Household: w.household, Machine: clock.System{}, Log: log})
	quit, over := make(chan struct{}), make(chan error, 1)
	go func() { over <- w.bot.Run(context.Background(), quit) }()
	t.Cleanup(func() {
		close(quit)
		require.NoError(t, <-over)
		require.NoError(t, s.Close())
	})
	return w
}

func (w *world) write(fn func(*store.Tx)) {
	require.NoError(w.t, w.store.Update(func(b *store.Batch) error {
		return b.Try(func(tx *store.Tx) error { fn(tx); return nil })
	}))
}

// firsts are the first paragraphs of what is in the outbox, in order, and whose it is.
func (w *world) firsts() (out []string) {
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	require.NoError(w.t, w.bot.Settled(ctx))
	require.NoError(w.t, w.store.View(func(tx *store.Tx) error {
		for _, c := range []chat.ID{1, 2, 3, 4} {
			for p := range tx.Outbox(c) {
				if len(p.Message.Blocks) > 0 {
					out = append(out, p.Message.Blocks[0].Text)
				}
			}
		}
		return nil
	}))
	return out
}

// home stores a member with a household.
func home(tx *store.Tx, id int64, town string) uint64 {
	h := tx.NewHousehold(people.Household{Members: []int64{id}, Purpose: dialog.Pesach, Custom: "ashkenazi", Place: people.Israel, Town: town})
	tx.PutPerson(people.Person{ID: id, Roles: []people.Role{people.Member}, Lang: "en", Household: h.ID})
	return h.ID
}

// running stores an item whose stage began at the moment, with its timer.
func running(tx *store.Tx, household uint64, kind string, state kitchen.State, stage kitchen.Stage) {
	it := tx.NewItem(kitchen.Item{Household: household, Kind: kind, Rev: 1, State: state, Purpose: dialog.Pesach, Timeline: []kitchen.Stage{stage}})
	tm := store.Timer{Key: "item-" + string(rune('0'+it.ID)), Household: household, Item: it.ID, Due: stage.Ends(), Kind: "member/idle"}
	if state == kitchen.Heating {
		tm.Kind = "member/heat"
	}
	tx.SetTimer(tm)
}

func local(t *testing.T, text string) time.Time {
	at, err := time.ParseInLocation("2006-01-02 15:04", text, stage.Place().Zone)
	require.NoError(t, err)
	return at
}

// What a rest held back comes at its end: ends of heatings first, by due time, then what follows from them and the other
// reminders, by due time.
func TestAfterARestEndsOfHeatingsComeFirst(t *testing.T) {
	day := local(t, "2027-04-17 00:00") // a Sabbath
	at := func(hours int) time.Time { return day.Add(time.Duration(hours) * time.Hour) }
	w := newWorld(t, at(-3), func(tx *store.Tx) {
		h := home(tx, 1, "")
		running(tx, h, "pot", kitchen.Waiting, kitchen.Stage{Name: "idle", Minutes: 24 * 60, Started: at(-20)})                       // due at 4
		running(tx, h, "oven", kitchen.Heating, kitchen.Stage{Name: "heat", Heats: true, Minutes: 60, Cool: 60, Started: at(9)})      // due at 10, cool at 11
		running(tx, h, "cutlery", kitchen.Waiting, kitchen.Stage{Name: "idle", Minutes: 24 * 60, Started: at(-12)})                   // due at 12
		running(tx, h, "microwave", kitchen.Heating, kitchen.Stage{Name: "heat", Heats: true, Minutes: 60, Cool: 30, Started: at(6)}) // due at 7, cool at 7:30
	})
	require.Empty(t, w.firsts())
	require.NoError(t, w.household.AdvanceTo(at(20)))
	require.Empty(t, w.firsts(), "at 20:00 it is still Sabbath")
	require.NoError(t, w.household.AdvanceTo(at(21)))
	got := w.firsts()
	require.Len(t, got, 6)
	for i, begins := range []string{"Microwave: the heating", "Oven: the heating", "Pot: the 24 hours", "Microwave should be cool", "Oven should be cool", "Cutlery: the 24 hours"} {
		require.True(t, strings.HasPrefix(got[i], begins), "%d: %q in %q", i, begins, got)
	}
}

// Each household rests where it is: what is due to one that rests waits, and holds up nobody else's.
func TestEachHouseholdRestsWhereItIs(t *testing.T) {
	friday := local(t, "2027-04-16 13:00") // 20:00 in Har Tomer: its Sabbath began at about 18:30 there
	idle := func(due time.Time) kitchen.Stage {
		return kitchen.Stage{Name: "idle", Minutes: 24 * 60, Started: due.Add(-24 * time.Hour)}
	}
	w := newWorld(t, friday, func(tx *store.Tx) {
		there := home(tx, 1, "Har Tomer")
		running(tx, home(tx, 2, ""), "pot", kitchen.Waiting, idle(friday.Add(10*time.Minute)))
		running(tx, home(tx, 3, "a place that is no longer listed"), "sink", kitchen.Waiting, idle(friday.Add(20*time.Minute)))
		for i := range 3 {
			running(tx, there, "cutlery", kitchen.Waiting, idle(friday.Add(time.Duration(i)*time.Minute)))
		}
	})
	send := func(update int64, c chat.ID) {
		require.NoError(t, w.bot.Handle(context.Background(), []chat.Event{{Update: update, Kind: chat.Typed, Chat: c, User: int64(c), Text: "/kitchen", Command: "kitchen"}}))
	}
	require.True(t, w.gate.Resting(1))
	require.False(t, w.gate.Resting(2))
	require.False(t, w.gate.Resting(-77), "a group rests with the community")
	send(1, 1)
	require.NoError(t, w.household.AdvanceTo(friday.Add(time.Hour)))
	require.Equal(t, []string{"Pot: the 24 hours are over.", "Sink: the 24 hours are over."}, w.firsts())

	// On Saturday afternoon it is over there, and not yet here.
	send(2, 2)
	shown := len(w.firsts())
	require.NoError(t, w.household.AdvanceTo(local(t, "2027-04-17 13:00")))
	send(3, 2)
	require.False(t, w.gate.Resting(1))
	require.True(t, w.gate.Resting(2))
	require.True(t, w.gate.Resting(3))
	got := w.firsts()
	require.Equal(t, "Shabbos or Yom Tov is over. Here is where you are.", got[0])
	require.Len(t, got, shown+4, "one view and three reminders there; nothing here")
	require.NoError(t, w.household.AdvanceTo(local(t, "2027-04-17 20:30")))
	require.Len(t, w.firsts(), shown+5, "and one view here")
}

// Whoever also answers or announces rests by the community's calendar and his own.
func TestTheStricterOfTwoRests(t *testing.T) {
	w := newWorld(t, local(t, "2027-04-16 09:00"), func(tx *store.Tx) {
		home(tx, 1, "Har Tomer")
		home(tx, 2, "Har Tomer")
		p, _ := tx.Person(2)
		p.Grant(people.Rabbi)
		tx.PutPerson(p)
		h := home(tx, 3, "Har Tomer") // keeps two days: in Har Tomer too
		two, _ := tx.Household(h)
		two.Place = people.Abroad
		tx.PutHousehold(two)
		home(tx, 4, "")
	})
	for _, c := range []struct {
		at    string
		rests []bool // chats 1 to 4
	}{
		{"2027-04-16 10:00", []bool{false, false, false, false}},
		{"2027-04-16 13:00", []bool{true, true, true, false}},
		{"2027-04-17 10:00", []bool{true, true, true, true}},
		{"2027-04-17 16:00", []bool{false, true, false, true}},
		{"2027-04-17 21:00", []bool{false, false, false, false}},
		{"2027-04-28 16:00", []bool{false, true, true, true}}, // the seventh day of Pesach is over in Israel; abroad the eighth follows
		{"2027-04-29 16:00", []bool{false, true, false, true}},
		{"2027-04-29 21:00", []bool{false, false, false, false}},
	} {
		require.NoError(t, w.household.AdvanceTo(local(t, c.at).Add(time.Second)))
		for i, want := range c.rests {
			require.Equal(t, want, w.gate.Resting(chat.ID(i+1)), "chat %d at %s", i+1, c.at)
		}
	}
}
