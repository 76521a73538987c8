package store

import (
	"encoding/binary"
	"iter"
	"time"

	"benyomo/internal/engine/chat"
)

// keptUpdates is how many numbers of handled updates are remembered. The messenger repeats only what was not confirmed,
// at most a few hundred; its numbers may jump after a silence, so repeats are known by equality and not by order.
const keptUpdates = 4096

const (
	updates = "update" // update number → order of arrival
	owed    = "owed"   // chat → nothing: it wrote in a rest span
	moved   = "moved"  // old chat → new chat
)

var (
	quarantines = table[Quarantine]{"quarantine", 1}
	held        = table[chat.Event]{"held", 1} // order of arrival → event of a rest span
)

// Quarantine is an event that could not be handled: what kind, and the error; never its words.
type Quarantine struct {
	ID     uint64    `json:"id"`
	Update int64     `json:"update"`
	Kind   string    `json:"kind"`
	Error  string    `json:"error"`
	At     time.Time `json:"at"`
}

// Seen reports whether an update was handled, and marks it.
func (tx *Tx) Seen(update int64) bool {
	k := key(update)
	if tx.raw(updates, k) != nil {
		return true
	}
	n := tx.next(updates)
	tx.set(updates, k, binary.BigEndian.AppendUint64(nil, n))
	ring := key("#", n%keptUpdates)
	if old := tx.raw(bucketMeta, ring); old != nil {
		tx.set(updates, old, nil)
	}
	tx.set(bucketMeta, ring, k)
	return false
}

// AddQuarantine keeps what could not be handled.
func (tx *Tx) AddQuarantine(q Quarantine) {
	q.ID = tx.next(quarantines.bucket)
	quarantines.put(tx, key(q.ID), q)
}

// Quarantines yields what could not be handled.
func (tx *Tx) Quarantines() iter.Seq[Quarantine] { return values(quarantines.all(tx, nil)) }

// HoldEvent keeps an event of a rest span until its end, and marks the chat as owed a view.
func (tx *Tx) HoldEvent(e chat.Event) {
	held.put(tx, key(tx.next(held.bucket)), e)
	tx.set(owed, key(e.Chat), []byte{1})
}

// TakeHeld returns the events kept in a rest span in their order, of the chats for which over is true, and takes them off
// the shelf.
func (tx *Tx) TakeHeld(over func(chat.ID) bool) []chat.Event {
	var out []chat.Event
	for k, e := range held.all(tx, nil) {
		if over(e.Chat) {
			out = append(out, e)
			held.delete(tx, k)
		}
	}
	return out
}

// AnyHeld reports whether events of a rest span are kept.
func (tx *Tx) AnyHeld() bool {
	for range tx.rows(held.bucket, nil) {
		return true
	}
	return false
}

// Owed yields the chats that wrote in a rest span and are owed a view.
func (tx *Tx) Owed() iter.Seq[chat.ID] {
	return func(yield func(chat.ID) bool) {
		for k := range tx.rows(owed, nil) {
			if !yield(chat.ID(int64(binary.BigEndian.Uint64(k) ^ (1 << 63)))) {
				return
			}
		}
	}
}

// TakeOwed returns the chats that wrote in a rest span and for which over is true, and settles the debt.
func (tx *Tx) TakeOwed(over func(chat.ID) bool) []chat.ID {
	var out []chat.ID
	for c := range tx.Owed() {
		if over(c) {
			out = append(out, c)
			tx.set(owed, key(c), nil)
		}
	}
	return out
}

// SetMoved remembers that a group has a new id.
func (tx *Tx) SetMoved(from, to chat.ID) {
	tx.set(moved, key(from), key(to))
}

// Moved follows a group to its present id.
func (tx *Tx) Moved(c chat.ID) chat.ID {
	for range 8 { // a chain longer than this is a circle
		v := tx.raw(moved, key(c))
		if len(v) != 8 {
			return c
		}
		c = chat.ID(int64(binary.BigEndian.Uint64(v) ^ (1 << 63)))
	}
	return c
}
