package bot

import (
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/courier"
	"benyomo/internal/engine/store"
	"benyomo/internal/engine/turn"
)

// effects are what the courier must hear after a commit, in this order.
type effects struct {
	hold, release []chat.ID
	rekey         [][2]chat.ID
	toasts        []toast
	recorded      []uint64
	asked         bool          // for a job
	behind        time.Duration // by which the clock is behind
	more          bool          // timers that are due are left
}

type toast struct {
	to    chat.ID
	press string
	turn.Toast
}

// commit writes a batch of work, and what is due, as one transaction, and then lets the courier go on.
func (b *Bot) commit(batch []piece) error {
	now := b.Household.Now().In(b.Env.Community.Place.Zone)
	rest := b.Gate.at(now)
	if len(batch) == 0 && !b.anythingDue(now, rest) {
		b.left = false
		return b.reply(batch, nil)
	}
	var fx effects
	var posts []chat.Post
	var dropped []uint64
	err := b.Store.Update(func(w *store.Batch) error {
		fx = effects{}
		p := pass{Bot: b, batch: w, now: now, rest: rest, fx: &fx}
		p.readClock()
		if !rest.all {
			p.afterRest()
		}
		for _, pc := range batch {
			for _, e := range pc.events {
				p.event(e)
			}
			if pc.result != nil {
				p.result(*pc.result)
			}
			if pc.job != nil {
				p.finish(*pc.job)
			}
		}
		p.timers()
		p.note(b.Machine.Now())
		posts, dropped, fx.asked = w.Posts, w.Dropped, w.Asked || p.jobsAgain()
		fx.behind = p.by
		return p.err
	})
	if err != nil {
		return b.reply(batch, err)
	}
	b.tell(fx, posts, dropped, rest)
	b.alarm(fx.behind)
	b.goOn(fx.more)
	return b.reply(batch, nil)
}

// tell passes the commit's effects on to the courier.
func (b *Bot) tell(fx effects, posts []chat.Post, dropped []uint64, rest repose) {
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
		b.Courier.Toast(t.to, t.press, t.Text, t.Alert)
	}
	if b.rested != rest.which {
		b.Courier.Wake()
	}
	if fx.asked {
		b.worker.wake()
	}
	b.rested = rest.which
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

// stale reports whether it is time to note again that the program runs, by either clock: a rehearsal moves the one alone.
func (b *Bot) stale(now time.Time) bool {
	return b.Machine.Now().Sub(b.noted) >= alive || now.Sub(b.notedHere) >= alive
}

// pass is one transaction's work.
type pass struct {
	*Bot
	batch *store.Batch
	now   time.Time
	rest  repose
	by    time.Duration // by which the clock is behind the last commit
	fx    *effects
	err   error // of the transaction itself, not of one of its parts
}

// newTurn begins an exchange in a part of the transaction.
func (p *pass) newTurn(tx *store.Tx, e chat.Event) *turn.Turn {
	return &turn.Turn{Env: p.Env, Tx: tx, Now: p.now, Event: e, Rests: func(c chat.ID) bool { return p.chatRests(tx, c) }}
}

// chatRests reports whether it is a time of rest for a chat.
func (p *pass) chatRests(tx *store.Tx, c chat.ID) bool {
	return p.rest.all || p.rest.some && p.Gate.chat(tx, c, p.now)
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
