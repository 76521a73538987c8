package store

import (
	"iter"
	"time"

	"benyomo/internal/idea/people"
)

// active lists people by when they were last active, so that after a stop nobody has to look through all of them.
const active = "active" // time of the last activity | person → nothing

// listsActive is the name of the number that is set once the list is complete: a file of an earlier program has none.
const listsActive = "lists-active"

func activeKey(p people.Person) []byte { return key(p.LastActive.UnixNano(), p.ID) }

// listActive moves a person who is about to be stored to his place in the list.
func (tx *Tx) listActive(p people.Person) {
	if old, ok := tx.Person(p.ID); ok && !old.LastActive.IsZero() {
		tx.set(active, activeKey(old), nil)
	}
	if !p.LastActive.IsZero() {
		tx.set(active, activeKey(p), []byte{1})
	}
}

// ActiveSince yields those who were last active at the moment or after it, the longest ago first.
func (tx *Tx) ActiveSince(since time.Time) iter.Seq[people.Person] {
	return func(yield func(people.Person) bool) {
		if tx.number(listsActive) == 0 {
			tx.completeActive(since)
		}
		for k := range tx.rowsFrom(active, key(since.UnixNano()), nil) {
			if p, ok := persons.get(tx, k[8:]); !ok || !yield(p) {
				return
			}
		}
	}
}

// completeActive lists those of an earlier program's file who were active since the moment. Nobody asks for an earlier one: the
// moments at which the program stops go forward.
func (tx *Tx) completeActive(since time.Time) {
	for p := range tx.Persons() {
		if !p.LastActive.IsZero() && !p.LastActive.Before(since) {
			tx.listActive(p)
		}
	}
	tx.setNumber(listsActive, 1)
}
