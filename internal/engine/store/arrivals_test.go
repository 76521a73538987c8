package store

import (
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/engine/chat"
)

// TestSeenWindow: an update is known as long as it is among the last keptUpdates, whatever its number is, and the file does
// not grow beyond them.
func TestSeenWindow(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	number := func(i int) int64 { return int64(i%7)*1_000_000_007 + int64(i) } // they jump up and down
	const more = 100
	write(t, s, func(tx *Tx) {
		for i := range keptUpdates + more {
			require.False(t, tx.Seen(number(i)), "update %d is new", i)
			require.True(t, tx.Seen(number(i)), "update %d comes twice", i)
		}
	})
	require.NoError(t, s.Close())
	s = open(t, dir)
	kept := func(tx *Tx) (n int) {
		for range tx.rows(updates, nil) {
			n++
		}
		return n
	}
	write(t, s, func(tx *Tx) {
		require.Equal(t, keptUpdates, kept(tx))
		for i := more; i < keptUpdates+more; i++ {
			require.True(t, tx.Seen(number(i)), "update %d is remembered", i)
		}
		for i := range more {
			require.False(t, tx.Seen(number(i)), "update %d is forgotten", i)
		}
		require.Equal(t, keptUpdates, kept(tx))
	})
}

// TestSeenOfAFailedPart: an update whose part failed was not handled.
func TestSeenOfAFailedPart(t *testing.T) {
	s := open(t, t.TempDir())
	require.NoError(t, s.Update(func(b *Batch) error {
		require.ErrorIs(t, b.Try(func(tx *Tx) error { require.False(t, tx.Seen(5)); return errTest }), errTest)
		return b.Try(func(tx *Tx) error {
			require.False(t, tx.Seen(5))
			require.True(t, tx.Seen(5))
			return nil
		})
	}))
}

func TestHeldEventsAndTheDebt(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	var want []chat.Event
	for i, c := range []chat.ID{9, -5, 9, 3} {
		e := chat.Event{Update: int64(100 - i), Kind: chat.Typed, Chat: c, User: 9, Text: "words"}
		want = append(want, e)
		write(t, s, func(tx *Tx) { tx.HoldEvent(e) })
	}
	require.NoError(t, s.Close())
	s = open(t, dir)
	write(t, s, func(tx *Tx) {
		require.True(t, tx.AnyHeld())
		require.Equal(t, want, tx.TakeHeld(every), "in the order in which they came")
		require.Equal(t, []chat.ID{-5, 3, 9}, tx.TakeOwed(every), "each chat once")
		require.False(t, tx.AnyHeld())
		require.Empty(t, tx.TakeHeld(every))
		require.Empty(t, tx.TakeOwed(every))
	})
	read(t, s, func(tx *Tx) { require.False(t, tx.AnyHeld()) })
}

func TestMovedFollowsTheChain(t *testing.T) {
	s := open(t, t.TempDir())
	write(t, s, func(tx *Tx) {
		tx.SetMoved(-1, -2)
		tx.SetMoved(-2, -3)
		tx.SetMoved(-10, -11)
		tx.SetMoved(-11, -10) // a circle ends all the same
	})
	read(t, s, func(tx *Tx) {
		require.Equal(t, chat.ID(-3), tx.Moved(-1))
		require.Equal(t, chat.ID(-3), tx.Moved(-2))
		require.Equal(t, chat.ID(7), tx.Moved(7))
		require.Contains(t, []chat.ID{-10, -11}, tx.Moved(-10))
	})
}

// TestTimersOrder: timers come by due time, then by key, also those set in the same part.
func TestTimersOrder(t *testing.T) {
	s := open(t, t.TempDir())
	set := func(tx *Tx, k string, after time.Duration) {
		tx.SetTimer(Timer{Due: at.Add(after), Key: k, Kind: "kind"})
	}
	keys := func(tx *Tx) (out []string) {
		for tm := range tx.Timers() {
			out = append(out, tm.Key)
		}
		return out
	}
	write(t, s, func(tx *Tx) {
		set(tx, "late", time.Hour)
		set(tx, "b", time.Second)
		set(tx, "early", -time.Hour)
		set(tx, "a", time.Second)
		set(tx, "nanosecond", time.Second+1)
	})
	write(t, s, func(tx *Tx) {
		set(tx, "between", time.Minute)
		require.Equal(t, []string{"early", "a", "b", "nanosecond", "between", "late"}, keys(tx))
	})
}

// TestATimerReplacesItsKey: at most one timer has a key, and a timer that was replaced cannot be stopped by its old due time.
func TestATimerReplacesItsKey(t *testing.T) {
	s := open(t, t.TempDir())
	first, second := Timer{Due: at, Key: "item-7", Rev: 1}, Timer{Due: at.Add(-time.Hour), Key: "item-7", Rev: 2}
	other := Timer{Due: at, Key: "item-70", Rev: 9}
	all := func(tx *Tx) []Timer { return slices.Collect(tx.Timers()) }
	write(t, s, func(tx *Tx) { tx.SetTimer(first); tx.SetTimer(other) })
	write(t, s, func(tx *Tx) {
		tx.SetTimer(second)
		require.Equal(t, []Timer{second, other}, all(tx))
		tx.StopTimerAt(first) // the one that fired, not the one that it set
		require.Equal(t, []Timer{second, other}, all(tx))
	})
	write(t, s, func(tx *Tx) {
		tx.SetTimer(second) // the same once more
		require.Equal(t, []Timer{second, other}, all(tx))
		tx.StopTimerAt(second)
		tx.StopTimer("item-7")
		tx.StopTimer("never set")
		require.Equal(t, []Timer{other}, all(tx))
	})
	read(t, s, func(tx *Tx) {
		require.Equal(t, []Timer{other}, all(tx))
		n := 0
		for range tx.rows(timerKeys, nil) {
			n++
		}
		require.Equal(t, 1, n, "the list of keys keeps step")
	})
}

// every is for all chats.
func every(chat.ID) bool { return true }

// Places rest at different times: what came from one that rests still stays on the shelf, in its order.
func TestHeldOfSomeChats(t *testing.T) {
	s := open(t, t.TempDir())
	write(t, s, func(tx *Tx) {
		for i, c := range []chat.ID{1, 2, 1, 3, 2} {
			tx.HoldEvent(chat.Event{Update: int64(i), Chat: c})
		}
	})
	numbers := func(events []chat.Event) (out []int64) {
		for _, e := range events {
			out = append(out, e.Update)
		}
		return out
	}
	write(t, s, func(tx *Tx) {
		not2 := func(c chat.ID) bool { return c != 2 }
		require.Equal(t, []int64{0, 2, 3}, numbers(tx.TakeHeld(not2)))
		require.Equal(t, []chat.ID{1, 3}, tx.TakeOwed(not2))
		require.True(t, tx.AnyHeld())
		require.Equal(t, []chat.ID{2}, slices.Collect(tx.Owed()))
		tx.HoldEvent(chat.Event{Update: 9, Chat: 2})
	})
	write(t, s, func(tx *Tx) {
		require.Equal(t, []int64{1, 4, 9}, numbers(tx.TakeHeld(every)))
		require.Equal(t, []chat.ID{2}, tx.TakeOwed(every))
		require.False(t, tx.AnyHeld())
	})
}

func TestTimersOfAKind(t *testing.T) {
	s := open(t, t.TempDir())
	at := time.Date(2027, time.April, 17, 12, 0, 0, 0, time.UTC)
	write(t, s, func(tx *Tx) {
		for i, kind := range []string{"heat", "heat", "idle", "heat", "heated"} {
			tx.SetTimer(Timer{Due: at.Add(time.Duration(i) * time.Hour), Kind: kind, Key: strconv.Itoa(i), Arg: "heat"})
		}
	})
	write(t, s, func(tx *Tx) {
		var keys []string
		tx.SetTimer(Timer{Due: at.Add(-time.Hour), Kind: "heat", Key: "new"})
		for tm := range tx.TimersOf("heat", at.Add(2*time.Hour)) {
			keys = append(keys, tm.Key)
		}
		require.Equal(t, []string{"new", "0", "1"}, keys, "not those of other kinds, nor those that are due later")
		tm, ok := tx.TimerOf("3")
		require.True(t, ok)
		require.Equal(t, at.Add(3*time.Hour), tm.Due.UTC())
		_, ok = tx.TimerOf("none")
		require.False(t, ok)
	})
}
