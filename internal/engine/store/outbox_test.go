package store

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/internal/engine/chat"
)

func send(c chat.ID, h chat.Handle) chat.Post {
	return chat.Post{Chat: c, Op: chat.Send, Handle: h, Message: chat.Say("words")}
}

func edit(c chat.ID, h chat.Handle) chat.Post { return chat.Post{Chat: c, Op: chat.Edit, Handle: h} }

// TestAnEditReplacesAPendingOne: of several edits of one message only the newest is owed, at its own place in the order; a
// send, another message, another chat and another operation stay.
func TestAnEditReplacesAPendingOne(t *testing.T) {
	s := open(t, t.TempDir())
	b := write(t, s, func(tx *Tx) {
		tx.Post(send(1, "a"))                                             // 1
		tx.Post(edit(1, "a"))                                             // 2
		tx.Post(edit(1, "b"))                                             // 3
		tx.Post(edit(2, "a"))                                             // 4
		tx.Post(chat.Post{Chat: 1, Op: chat.Strip, Handle: "a"})          // 5
		tx.Post(send(1, "a"))                                             // 6
		tx.Post(chat.Post{Chat: 1, Op: chat.Edit, Handle: "c", Class: 2}) // 7
	})
	require.Equal(t, []uint64{1, 2, 3, 4, 5, 6, 7}, seqs(b.Posts))
	b = write(t, s, func(tx *Tx) {
		tx.Post(edit(1, "a")) // 8, in the place of 2
		tx.Post(edit(1, "a")) // 9, in the place of 8, which the courier never hears of
	})
	require.Equal(t, []uint64{9}, seqs(b.Posts))
	require.Equal(t, []uint64{2}, b.Dropped)
	read(t, s, func(tx *Tx) {
		require.Equal(t, []uint64{1, 3, 5, 6, 7, 9}, seqs(slices.Collect(tx.Outbox(1))))
		require.Equal(t, []uint64{4}, seqs(slices.Collect(tx.Outbox(2))))
		require.Empty(t, slices.Collect(tx.Outbox(3)))
		require.Len(t, slices.Collect(tx.AllPosts()), 7)
	})
}

// TestALaterPartTakesBack: the courier must not be given what a later part of the same batch took back, or it would deliver
// what nobody owes any more.
func TestALaterPartTakesBack(t *testing.T) {
	s := open(t, t.TempDir())
	write(t, s, func(tx *Tx) { tx.Post(send(1, "old")) })
	var batch *Batch
	require.NoError(t, s.Update(func(b *Batch) error {
		batch = b
		require.NoError(t, b.Try(func(tx *Tx) error { tx.Post(edit(1, "a")); tx.Post(send(1, "b")); tx.Post(send(2, "c")); return nil }))
		return b.Try(func(tx *Tx) error { tx.Post(edit(1, "a")); tx.Unpost(1, 3); tx.Unpost(1, 1); return nil })
	}))
	require.Equal(t, []uint64{4, 5}, seqs(batch.Posts))
	require.Equal(t, []uint64{1}, batch.Dropped)
	read(t, s, func(tx *Tx) {
		var owed []uint64
		for p := range tx.AllPosts() {
			owed = append(owed, p.Seq)
		}
		require.ElementsMatch(t, seqs(batch.Posts), owed, "the courier knows what the file does")
	})
}

func TestSettle(t *testing.T) {
	s := open(t, t.TempDir())
	write(t, s, func(tx *Tx) { tx.Post(send(1, "a")); tx.Post(send(1, "b")) })
	b := write(t, s, func(tx *Tx) {
		tx.Settle(1, 1)
		tx.Settle(1, 99) // is gone already
		_, ok := tx.Pending(1, 1)
		require.False(t, ok)
	})
	require.Empty(t, b.Dropped, "it has ended: the courier knows")
	read(t, s, func(tx *Tx) { require.Equal(t, []uint64{2}, seqs(slices.Collect(tx.AllPosts()))) })
}

func TestPosted(t *testing.T) {
	s := open(t, t.TempDir())
	write(t, s, func(tx *Tx) {
		tx.SetPosted(1, "shayla-1", 10)
		tx.SetPosted(1, "shayla-12", 11)
		tx.SetPosted(-1, "shayla-1", 12)
		tx.SetPosted(1, "gone", 13)
	})
	write(t, s, func(tx *Tx) {
		tx.SetPosted(1, "gone", 0)
		tx.SetPosted(1, "shayla-1", 14)
	})
	read(t, s, func(tx *Tx) {
		for h, want := range map[chat.Handle]int{"shayla-1": 14, "shayla-12": 11, "gone": 0, "never": 0} {
			n, ok := tx.Posted(1, h)
			require.Equal(t, want, n)
			require.Equal(t, want != 0, ok)
		}
		h, ok := tx.HandleOf(1, 11)
		require.True(t, ok)
		require.Equal(t, chat.Handle("shayla-12"), h)
		_, ok = tx.HandleOf(1, 12)
		require.False(t, ok, "that is a message of another chat")
		_, ok = tx.HandleOf(1, 10)
		require.False(t, ok, "a newer message has the name")
	})
}

// TestRekey: what is owed to a group goes to its new id under the same numbers and in the same order; what is known of its
// old messages is forgotten, and other chats are left alone.
func TestRekey(t *testing.T) {
	s := open(t, t.TempDir())
	write(t, s, func(tx *Tx) {
		tx.Post(send(-5, "shayla-1"))
		tx.Post(send(-50, "x"))
		tx.Post(edit(-5, "shayla-1"))
		tx.SetPosted(-5, "shayla-0", 3)
		tx.SetPosted(-50, "y", 4)
		tx.SetHold(Hold{Chat: -5, Why: "closed", Since: at})
		tx.PutScreen(chat.Screen{Chat: -5, Step: 6, Name: "rabbi/home", Handle: "screen-6"})
	})
	const to = -1000000000005
	var batch *Batch
	require.NoError(t, s.Update(func(b *Batch) error {
		batch = b
		require.NoError(t, b.Try(func(tx *Tx) error { tx.Post(send(-5, "before")); return nil })) // by an earlier part of the batch
		return b.Try(func(tx *Tx) error {
			tx.Post(send(-5, "same part"))
			tx.Rekey(-5, to)
			tx.Post(send(tx.Moved(-5), "after"))
			return nil
		})
	}))
	require.Equal(t, []uint64{4, 5, 6}, seqs(batch.Posts))
	for _, p := range batch.Posts {
		require.Equal(t, chat.ID(to), p.Chat, "the courier hears of the new id")
	}
	read(t, s, func(tx *Tx) {
		require.Empty(t, slices.Collect(tx.Outbox(-5)))
		require.Equal(t, []uint64{1, 3, 4, 5, 6}, seqs(slices.Collect(tx.Outbox(to))))
		for p := range tx.Outbox(to) {
			require.Equal(t, chat.ID(to), p.Chat)
		}
		require.Equal(t, []uint64{2}, seqs(slices.Collect(tx.Outbox(-50))))
		require.Equal(t, chat.ID(to), tx.Moved(-5))
		_, ok := tx.Hold(-5)
		require.False(t, ok)
		_, ok = tx.Posted(to, "shayla-0")
		require.False(t, ok, "the number is no good in the new group")
		_, ok = tx.Posted(-50, "y")
		require.True(t, ok)
		_, ok = tx.Screen(-5)
		require.False(t, ok)
		screen, ok := tx.Screen(to)
		require.True(t, ok)
		require.Equal(t, chat.Screen{Chat: to, Step: 6, Name: "rabbi/home"}, screen)
	})
}
