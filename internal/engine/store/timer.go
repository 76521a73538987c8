package store

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"iter"
	"time"
)

// Timer is something that will be due. Timers of the same Key replace each other.
type Timer struct {
	Due       time.Time `json:"due"`
	Key       string    `json:"key"`  // such as "item-7-idle": at most one timer has it
	Kind      string    `json:"kind"` // which handler it goes to
	Household uint64    `json:"household,omitempty"`
	Item      uint64    `json:"item,omitempty"`
	Rev       uint64    `json:"rev,omitempty"` // of the item when it was set: a later change makes it void
	Person    int64     `json:"person,omitempty"`
	Arg       string    `json:"arg,omitempty"`
}

var timers = table[Timer]{"timer", 1} // due time | key → timer

const timerKeys = "timer-key" // key → due time

func timerKey(due time.Time, k string) []byte {
	return append(binary.BigEndian.AppendUint64(nil, uint64(due.UnixNano())), k...)
}

// SetTimer sets a timer, in the place of the one with its key.
func (tx *Tx) SetTimer(t Timer) {
	tx.StopTimer(t.Key)
	timers.put(tx, timerKey(t.Due, t.Key), t)
	tx.set(timerKeys, []byte(t.Key), binary.BigEndian.AppendUint64(nil, uint64(t.Due.UnixNano())))
}

// StopTimer removes the timer of the key, if there is one.
func (tx *Tx) StopTimer(k string) {
	if v := tx.raw(timerKeys, []byte(k)); len(v) == 8 {
		timers.delete(tx, timerKey(time.Unix(0, int64(binary.BigEndian.Uint64(v))), k))
		tx.set(timerKeys, []byte(k), nil)
	}
}

// StopTimerAt removes this very timer, if it is still set for this time: not a newer one of its key.
func (tx *Tx) StopTimerAt(t Timer) {
	if v := tx.raw(timerKeys, []byte(t.Key)); len(v) == 8 && int64(binary.BigEndian.Uint64(v)) == t.Due.UnixNano() {
		tx.StopTimer(t.Key)
	}
}

// TimerOf returns the timer of the key, if there is one.
func (tx *Tx) TimerOf(k string) (Timer, bool) {
	v := tx.raw(timerKeys, []byte(k))
	if len(v) != 8 {
		return Timer{}, false
	}
	return timers.get(tx, timerKey(time.Unix(0, int64(binary.BigEndian.Uint64(v))), k))
}

// TimersOf yields the timers of one kind that are due at the moment, in the order in which they are due. It does not read
// the others, of which there may be many.
func (tx *Tx) TimersOf(kind string, at time.Time) iter.Seq[Timer] {
	word, _ := json.Marshal(kind) // a string can be written
	return func(yield func(Timer) bool) {
		for k, raw := range tx.rows(timers.bucket, nil) {
			if int64(binary.BigEndian.Uint64(k)) > at.UnixNano() {
				return
			}
			if !bytes.Contains(raw, word) {
				continue
			}
			if t, ok := timers.decode(tx, raw); !ok || t.Kind == kind && !yield(t) {
				return
			}
		}
	}
}

// Timers yields the timers in the order in which they are due.
func (tx *Tx) Timers() iter.Seq[Timer] { return values(timers.all(tx, nil)) }
