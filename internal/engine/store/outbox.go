package store

import (
	"encoding/binary"
	"iter"
	"time"

	"benyomo/internal/engine/chat"
)

var (
	outbox = table[chat.Post]{"outbox", 1} // chat | sequence → delivery
	holds  = table[Hold]{"hold", 1}        // chat → why nothing is delivered to it
)

const posted = "posted" // chat | handle → message number

// Hold says that nothing can be delivered to a chat.
type Hold struct {
	Chat  chat.ID   `json:"chat"`
	Why   string    `json:"why"`
	Since time.Time `json:"since"`
}

// Post puts a delivery in the outbox. A pending edit of the same handle is replaced by a newer one.
func (tx *Tx) Post(p chat.Post) {
	if p.Op != chat.Send {
		for old := range tx.Outbox(p.Chat) {
			if old.Op == p.Op && old.Handle == p.Handle {
				tx.Unpost(old.Chat, old.Seq)
			}
		}
	}
	p.Seq = tx.next(outbox.bucket)
	outbox.put(tx, key(p.Chat, p.Seq), p)
	tx.posts = append(tx.posts, p)
}

// Unpost takes a delivery out of the outbox.
func (tx *Tx) Unpost(c chat.ID, seq uint64) {
	outbox.delete(tx, key(c, seq))
	for i, p := range tx.posts {
		if p.Seq == seq {
			tx.posts = append(tx.posts[:i], tx.posts[i+1:]...)
			return
		}
	}
	tx.dropped = append(tx.dropped, seq)
}

// Settle takes a delivery that has ended out of the outbox.
func (tx *Tx) Settle(c chat.ID, seq uint64) { outbox.delete(tx, key(c, seq)) }

// Rekey moves everything that is owed to a chat to another one, under the same numbers: a group has a new id. The old
// message numbers are no good there and are forgotten.
func (tx *Tx) Rekey(from, to chat.ID) {
	for k, p := range outbox.all(tx, key(from)) {
		outbox.delete(tx, k)
		p.Chat = to
		outbox.put(tx, key(to, p.Seq), p)
	}
	for k := range tx.rows(posted, key(from)) {
		tx.set(posted, k, nil)
	}
	if s, ok := tx.Screen(from); ok {
		screens.delete(tx, key(from))
		s.Chat, s.Handle = to, ""
		tx.PutScreen(s)
	}
	holds.delete(tx, key(from))
	tx.SetMoved(from, to)
	rekey(tx.posts, from, to)
	tx.moves = append(tx.moves, [2]chat.ID{from, to})
}

// Pending returns a delivery that is still owed.
func (tx *Tx) Pending(c chat.ID, seq uint64) (chat.Post, bool) { return outbox.get(tx, key(c, seq)) }

// Outbox yields what is owed to a chat, in order.
func (tx *Tx) Outbox(c chat.ID) iter.Seq[chat.Post] { return values(outbox.all(tx, key(c))) }

// AllPosts yields everything that is owed.
func (tx *Tx) AllPosts() iter.Seq[chat.Post] { return values(outbox.all(tx, nil)) }

// Posted returns the messenger's number of a message that we name.
func (tx *Tx) Posted(c chat.ID, h chat.Handle) (int, bool) {
	if v := tx.raw(posted, key(c, h)); len(v) == 8 {
		return int(binary.BigEndian.Uint64(v)), true
	}
	return 0, false
}

// SetPosted remembers the messenger's number of a message; 0 forgets it.
func (tx *Tx) SetPosted(c chat.ID, h chat.Handle, number int) {
	if number == 0 {
		tx.set(posted, key(c, h), nil)
		return
	}
	tx.set(posted, key(c, h), binary.BigEndian.AppendUint64(nil, uint64(number)))
}

// HandleOf finds our name for a message by the messenger's number: what somebody answered to.
func (tx *Tx) HandleOf(c chat.ID, number int) (chat.Handle, bool) {
	prefix := key(c)
	for k, v := range tx.rows(posted, prefix) {
		if len(v) == 8 && int(binary.BigEndian.Uint64(v)) == number {
			return chat.Handle(k[len(prefix):]), true
		}
	}
	return "", false
}

// Hold returns why nothing is delivered to a chat.
func (tx *Tx) Hold(c chat.ID) (Hold, bool) { return holds.get(tx, key(c)) }

// SetHold stops deliveries to a chat.
func (tx *Tx) SetHold(h Hold) { holds.put(tx, key(h.Chat), h) }

// Release lets deliveries to a chat go again.
func (tx *Tx) Release(c chat.ID) { holds.delete(tx, key(c)) }

// Holds yields all chats to which nothing is delivered.
func (tx *Tx) Holds() iter.Seq[Hold] { return values(holds.all(tx, nil)) }
