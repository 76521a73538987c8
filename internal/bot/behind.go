package bot

import (
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/store"
	"benyomo/internal/person/office"
)

// leeway is how far the clock may be behind the last commit: one that is kept right over a network is set back by less.
const leeway = time.Minute

// shown is how the office reads the two times, in any language.
const shown = "2006-01-02 15:04"

// noteClock remembers that the office was told of the clock, so that it is told too when the clock is right again.
const noteClock = "clock"

// toldOfClock is the word under noteClock.
const toldOfClock = "told"

// behindBy is by how much a clock that shows now is behind the last commit; 0 within the leeway.
func behindBy(tx *store.Tx, now time.Time) time.Duration {
	if by := tx.LastCommit().Sub(now); by > leeway {
		return by
	}
	return 0
}

// readClock compares the clock with the last commit. While it is behind, no timer fires: by a clock that was set back nobody
// knows what is due. The office is told, since only people can set a clock; in a rest span it waits, as everybody does.
func (p *pass) readClock() {
	p.try(0, "clock", func(tx *store.Tx) error {
		p.by = behindBy(tx, p.now)
		if p.Gate.rests(p.Env.Community.Place, p.now) {
			return nil
		}
		t := p.newTurn(tx, chat.Event{})
		switch told := tx.Note(noteClock) == toldOfClock; {
		case p.by > 0:
			if office.Warn(t, "office-clock-behind", "shown", p.now.Format(shown), "last", tx.LastCommit().In(p.now.Location()).Format(shown)) {
				tx.SetNote(noteClock, toldOfClock)
			}
		case told:
			office.Tell(t, "office-clock-right")
			tx.SetNote(noteClock, "")
		}
		return nil
	})
}

// alarm logs, once for each time, that the clock fell behind and that it is right again. It is called after the commit.
func (b *Bot) alarm(by time.Duration) {
	switch behind := by > 0; {
	case behind && !b.behind:
		b.Log.Error("the clock is behind the last commit: no reminder is sent until it has caught up", "by", by.String())
	case !behind && b.behind:
		b.Log.Info("the clock has caught up: reminders are sent again")
	}
	b.behind = by > 0
}
