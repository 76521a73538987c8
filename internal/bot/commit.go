package bot

import (
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/courier"
	"benyomo/internal/engine/store"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/luach"
)

// effects are what the courier must hear after a commit, in this order.
type effects struct {
	hold, release []chat.ID
	rekey         [][2]chat.ID
	toasts        []toast
	recorded      []uint64
	behind        time.Duration // by which the clock is behind
	more          bool          // timers that are due are left
}

type toast struct {
	press string
	turn.Toast
}

// commit writes a batch of work, and what is due, as one transaction, and then lets the courier go on.
func (b *Bot) commit(batch []piece) error {
	now := b.Household.Now().In(b.Env.Community.Place.Zone)
	_, resting := luach.RestAt(b.Env.Community.Place, now)
	if len(batch) == 0 && !b.anythingDue(now, resting) {
		b.left = false
		return b.reply(batch, nil)
	}
	var fx effects
	var posts []chat.Post
	var dropped []uint64
	err := b.Store.Update(func(w *store.Batch) error {
		fx = effects{}
		p := pass{Bot: b, batch: w, now: now, resting: resting, fx: &fx}
		p.readClock()
		if !resting {
			p.afterRest()
		}
		for _, pc := range batch {
			for _, e := range pc.events {
				p.event(e)
			}
			if pc.result != nil {
				p.result(*pc.result)
			}
		}
		p.timers()
		p.note(b.Machine.Now())
		posts, dropped = w.Posts, w.Dropped
		fx.behind = p.by
		return p.err
	})
	if err != nil {
		return b.reply(batch, err)
	}
	b.tell(fx, posts, dropped, resting)
	b.alarm(fx.behind)
	b.goOn(fx.more)
	return b.reply(batch, nil)
}

// tell passes the commit's effects on to the courier.
func (b *Bot) tell(fx effects, posts []chat.Post, dropped []uint64, resting bool) {
	for _, c := range fx.hold {
		b.Courier.Hold(c)
	}
	for _, m := range fx.rekey {
		b.Courier.Rekey(m[0], m[1])
	}
	b.Courier.Drop(dropped)
	for _, c := range fx.release {
		b.Courier.Release(c)
	}
	b.Courier.Add(posts)
	for _, seq := range fx.recorded {
		b.Courier.Recorded(seq)
	}
	for _, t := range fx.toasts {
		b.Courier.Toast(t.press, t.Text, t.Alert)
	}
	if b.resting && !resting {
		b.Courier.Wake()
	}
	b.resting = resting
}

// goOn makes the writer look at the timers that are left at once, and not at the next tick: what is due after a rest span may
// be thousands.
func (b *Bot) goOn(more bool) {
	b.left = more
	if more {
		select {
		case b.more <- struct{}{}:
		default:
		}
	}
}

// reply tells those who wait that the batch is written. After a failure they go on waiting: it is tried again. Who waits for
// what is due waits until none of it is left.
func (b *Bot) reply(batch []piece, err error) error {
	if err != nil {
		return err
	}
	for _, p := range batch {
		switch {
		case p.done == nil:
		case p.settles() && b.left:
			b.unsettled = append(b.unsettled, p.done)
		default:
			p.done <- nil
		}
	}
	if !b.left {
		for _, done := range b.unsettled {
			done <- nil
		}
		b.unsettled = nil
	}
	return nil
}

// anythingDue asks, without writing, whether a pass over timers is needed.
func (b *Bot) anythingDue(now time.Time, resting bool) bool {
	due := b.resting != resting || b.stale(now)
	if due {
		return true
	}
	err := b.Store.View(func(tx *store.Tx) error {
		behind := behindBy(tx, now) > 0
		due = behind != b.behind || !resting && tx.AnyHeld()
		if due || resting || behind {
			return nil
		}
		for t := range tx.Timers() {
			due = !t.Due.After(now)
			break
		}
		return nil
	})
	if err != nil {
		b.Log.Error("looking for what is due", "error", err)
	}
	return due
}

// stale reports whether it is time to note again that the program runs, by either clock: a rehearsal moves the one alone.
func (b *Bot) stale(now time.Time) bool {
	return b.Machine.Now().Sub(b.noted) >= alive || now.Sub(b.notedHere) >= alive
}

// pass is one transaction's work.
type pass struct {
	*Bot
	batch   *store.Batch
	now     time.Time
	resting bool
	by      time.Duration // by which the clock is behind the last commit
	fx      *effects
	err     error // of the transaction itself, not of one of its parts
}

// newTurn begins an exchange in a part of the transaction.
func (p *pass) newTurn(tx *store.Tx, e chat.Event) *turn.Turn {
	return &turn.Turn{Env: p.Env, Tx: tx, Now: p.now, Event: e}
}

// try runs one part. A failure is kept in quarantine and poisons nothing else.
func (p *pass) try(update int64, kind string, fn func(*store.Tx) error) {
	err := p.batch.Try(fn)
	if err == nil {
		return
	}
	p.Log.Error("part of the work failed", "kind", kind, "update", update, "error", err)
	err = p.batch.Try(func(tx *store.Tx) error {
		if update != 0 {
			tx.Seen(update)
		}
		tx.AddQuarantine(store.Quarantine{Update: update, Kind: kind, Error: err.Error(), At: p.now})
		return nil
	})
	if err != nil && p.err == nil {
		p.err = err
	}
}

// timers fires what is due. In a rest span nothing is; with a clock that was set back nothing is either, since what was done
// would be done again.
func (p *pass) timers() {
	if p.resting || p.by > 0 {
		return
	}
	for range maxTimers {
		var due store.Timer
		found := false
		err := p.batch.Try(func(tx *store.Tx) error {
			for t := range tx.Timers() {
				due, found = t, !t.Due.After(p.now)
				break
			}
			return nil
		})
		if err != nil || !found {
			return
		}
		p.try(0, "timer "+due.Kind, func(tx *store.Tx) error {
			tx.StopTimer(due.Key)
			t := p.newTurn(tx, chat.Event{})
			if fire := timerTable[due.Kind]; fire != nil {
				fire(t, due)
			}
			p.react(t)
			return nil
		})
		if err := p.batch.Try(func(tx *store.Tx) error { // one that failed is not tried for ever
			tx.StopTimerAt(due)
			return nil
		}); err != nil {
			return
		}
	}
	p.fx.more = true
}

// note stamps the commit, and now and then that the program runs.
func (p *pass) note(machine time.Time) {
	stale := p.stale(p.now)
	err := p.batch.Try(func(tx *store.Tx) error {
		if p.now.After(tx.LastCommit()) { // a clock that is set back again and again, by a little, must not take it along
			tx.SetLastCommit(p.now)
		}
		if stale {
			tx.SetStamp(stampAlive, machine)
			tx.SetStamp(stampAliveHousehold, p.now)
		}
		return nil
	})
	if err != nil && p.err == nil {
		p.err = err
	}
	if stale {
		p.Bot.noted, p.Bot.notedHere = machine, p.now
	}
}

// result records what became of a delivery.
func (p *pass) result(r courier.Result) {
	p.fx.recorded = append(p.fx.recorded, r.Post.Seq)
	p.try(0, "delivery", func(tx *store.Tx) error {
		p.record(tx, r)
		return nil
	})
}
