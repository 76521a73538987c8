package bot

import (
	"slices"
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/store"
	"benyomo/internal/person/member"
)

// timers fires what is due: ends of heatings first, then the others, by due time within each. In a time of rest what is for
// those who rest waits for its end; with a clock that was set back nothing fires, since what was done would be done again.
func (p *pass) timers() {
	if p.rest.all || p.by > 0 {
		return
	}
	for left := maxTimers; left > 0; {
		var due []store.Timer
		err := p.batch.Try(func(tx *store.Tx) error { due = p.due(tx, left); return nil })
		if err != nil || len(due) == 0 {
			return
		}
		for ; len(due) > 0 && left > 0; left-- {
			tm := due[0]
			due = due[1:]
			again, ok := p.fire(tm)
			if !ok {
				return
			}
			if again.Key != "" { // what follows it is due too: in its turn among the others
				at, _ := slices.BinarySearchFunc(due, again, inTurn)
				due = slices.Insert(due, at, again)
			}
		}
	}
	p.fx.more = true
}

// inTurn is the order in which timers fire.
func inTurn(a, b store.Timer) int {
	if first := member.Urgent(a.Kind); first != member.Urgent(b.Kind) {
		if first {
			return -1
		}
		return 1
	}
	return a.Due.Compare(b.Due)
}

// due lists at most n timers that may fire now, in the order in which they do.
func (p *pass) due(tx *store.Tx, n int) []store.Timer {
	var out []store.Timer
	for tm := range tx.TimersOf(member.UrgentTimer, p.now) {
		if len(out) == n {
			return out
		}
		if !p.timerRests(tx, tm) {
			out = append(out, tm)
		}
	}
	for tm := range tx.Timers() {
		if tm.Due.After(p.now) || len(out) == n {
			break
		}
		if !member.Urgent(tm.Kind) && !p.timerRests(tx, tm) {
			out = append(out, tm)
		}
	}
	return out
}

// fire fires one timer, unless it was stopped or set anew since it was looked up. again is the one that it has set in its own
// place, where that is due already.
func (p *pass) fire(tm store.Timer) (again store.Timer, ok bool) {
	p.try(0, "timer "+tm.Kind, func(tx *store.Tx) error {
		if set, ok := tx.TimerOf(tm.Key); !ok || !set.Due.Equal(tm.Due) || set.Kind != tm.Kind {
			return nil
		}
		tx.StopTimer(tm.Key)
		t := p.newTurn(tx, chat.Event{})
		if fire := timerTable[tm.Kind]; fire != nil {
			fire(t, tm)
		}
		p.react(t)
		return nil
	})
	err := p.batch.Try(func(tx *store.Tx) error {
		tx.StopTimerAt(tm) // one that failed is not tried for ever
		if next, set := tx.TimerOf(tm.Key); set && !next.Due.After(p.now) && !p.timerRests(tx, next) {
			again = next
		}
		return nil
	})
	return again, err == nil
}

// timerRests reports whether a timer has to wait for the end of a rest.
func (p *pass) timerRests(tx *store.Tx, tm store.Timer) bool {
	return p.rest.all || p.rest.some && p.Gate.timer(tx, tm, p.now)
}

// anythingDue asks, without writing, whether a pass is needed.
func (b *Bot) anythingDue(now time.Time, rest repose) bool {
	due := b.rested != rest.which || b.stale(now)
	if due {
		return true
	}
	p := pass{Bot: b, now: now, rest: rest}
	err := b.Store.View(func(tx *store.Tx) error {
		behind := behindBy(tx, now) > 0
		due = behind != b.behind
		if due || rest.all {
			return nil
		}
		for c := range tx.Owed() {
			if due = !p.chatRests(tx, c); due {
				return nil
			}
		}
		if behind {
			return nil
		}
		for tm := range tx.Timers() {
			if tm.Due.After(now) {
				break
			}
			if due = !p.timerRests(tx, tm); due {
				return nil
			}
		}
		return nil
	})
	if err != nil {
		b.Log.Error("looking for what is due", "error", err)
	}
	return due
}
