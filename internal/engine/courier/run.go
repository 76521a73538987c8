package courier

import (
	"container/heap"
	"context"
	"errors"
	"sync"
	"time"

	"benyomo/internal/engine/chat"
)

// ErrRunning is returned by Run when it runs already.
var ErrRunning = errors.New("the courier runs already")

// Bounds of the back-off after failures of the messenger or the network.
const (
	shortest = time.Second
	longest  = time.Minute
)

// together is how close two refusals of different chats must be for the reason to be us rather than them.
const together = time.Second

// Run delivers until the context ends. Then it starts nothing more, gives sends on their way Options.Grace to finish,
// cancels the rest, and returns nil when all have ended and their results are handed over. What was not delivered is
// still in the outbox. A second Run at the same time returns ErrRunning.
func (c *Courier) Run(ctx context.Context) error {
	c.mu.Lock()
	if c.running {
		c.mu.Unlock()
		return ErrRunning
	}
	c.running = true
	c.mu.Unlock()

	// Sends outlive the context for a while: what was sent is better recorded than sent twice.
	sends, cancel := context.WithCancel(context.WithoutCancel(ctx))
	defer cancel()
	var under sync.WaitGroup
	for ctx.Err() == nil {
		rows, toasts, wait := c.pass()
		for _, w := range rows {
			under.Go(func() { c.send(sends, w) })
		}
		for _, t := range toasts {
			under.Go(func() { c.toast(sends, t) })
		}
		c.sleep(ctx, wait)
	}
	grace := time.AfterFunc(c.o.Grace, cancel)
	defer grace.Stop()
	under.Wait()

	c.mu.Lock()
	defer c.mu.Unlock()
	c.running = false
	return nil
}

// sleep waits until there is something to look at: told so, after the wait (0: never), or at the context's end.
func (c *Courier) sleep(ctx context.Context, wait time.Duration) {
	var due <-chan time.Time
	if wait > 0 {
		timer := time.NewTimer(wait)
		defer timer.Stop()
		due = timer.C
	}
	select {
	case <-c.wake:
	case <-due:
	case <-ctx.Done():
	}
}

// pass picks what goes now and says how long it will be until more can, 0 when only a call can change that.
func (c *Courier) pass() (rows []*row, toasts []toast, wait time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	now := c.o.Machine.Now()
	toasts = c.pickToasts()
	for c.later.Len() > 0 && !c.later.rooms[0].at.After(now) {
		heap.Push(c.ready, heap.Pop(c.later))
	}
	var until time.Time
	for c.ready.Len() > 0 && c.flights < c.o.InFlight {
		r := c.ready.rooms[0]
		if c.o.Resting(r.id) {
			heap.Remove(r.queue, r.index)
			heap.Push(c.asleep, r)
			continue
		}
		if r.class >= chat.Announcement && c.bulk >= c.bulkSlots {
			break // the ready are in order: there are only announcements left
		}
		w := r.next()
		if until = c.open(now, w); until.After(now) {
			break
		}
		c.depart(now, w)
		rows = append(rows, w)
	}
	if c.later.Len() > 0 && c.flights < c.o.InFlight {
		if at := c.later.rooms[0].at; !until.After(now) || at.Before(until) {
			until = at
		}
	}
	return rows, toasts, max(0, until.Sub(now))
}

// open is the first moment, from now on, at which the row may go as far as all chats together are concerned.
func (c *Courier) open(now time.Time, w *row) time.Time {
	if c.pause.After(now) {
		return c.pause
	}
	return c.all.ready(now, cost(w.post))
}

// depart takes a row out of its room and gives it a slot. The mutex is held.
func (c *Courier) depart(now time.Time, w *row) {
	r := w.room
	w.bulk = r.class >= chat.Announcement
	r.remove(w)
	w.state = sending
	r.busy++
	c.flights++
	if w.bulk {
		c.bulk++
	}
	n := cost(w.post)
	c.all.take(now, n)
	for _, b := range r.buckets {
		b.take(now, n)
	}
	c.place(now, r)
}

// send brings one row to its chat and sees to what comes of it.
func (c *Courier) send(ctx context.Context, w *row) {
	c.mu.Lock()
	post := w.post
	c.mu.Unlock()
	message := 0
	if post.Op != chat.Send {
		message = c.o.Lookup(post.Chat, post.Handle)
	}
	receipt := c.o.Sender.Deliver(ctx, post, message)
	if result, final := c.arrive(w, post.Chat, receipt); final {
		c.o.Results(result)
	}
}

// arrive notes what became of a row that was sent to a chat. A final fate is to be handed to the writer.
func (c *Courier) arrive(w *row, to chat.ID, receipt Receipt) (result Result, final bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	defer c.touch()
	now := c.o.Machine.Now()
	r := w.room
	switch {
	case receipt.Fate == Moved && to != r.id && !w.dropped:
		// It went to the group's old id, and the move is known already.
		c.land(now, w, true)
		return Result{}, false
	case receipt.Fate.Final():
		r.tries = 0
		w.state, w.moved = recording, receipt.Fate == Moved
		w.post.Chat = r.id
		return Result{Post: w.post, Receipt: receipt}, true
	case receipt.Fate == Later:
		c.scold(now, r, receipt.RetryAfter)
	default:
		r.tries++
		r.pause = now.Add(c.backOff(r.tries))
	}
	c.land(now, w, !w.dropped)
	return Result{}, false
}

// scold makes a chat wait because the messenger said so. When it says so of two chats at nearly the same time, it means
// all of them. The mutex is held.
func (c *Courier) scold(now time.Time, r *room, wait time.Duration) {
	if wait <= 0 {
		wait = time.Second
	}
	until := now.Add(wait)
	if until.After(r.pause) {
		r.pause = until
	}
	if now.Sub(c.when) <= together {
		// Of the two waits the shorter one: the longer may be the other chat's own, and can be hours. Should both be of
		// the same chat, the first is over, or it would not have been tried.
		all := until
		if c.until.Before(all) {
			all = c.until
		}
		if all.After(c.pause) {
			c.pause = all
		}
	}
	c.when, c.until = now, until
}

// backOff is the wait after so many failures in a row: it doubles each time, and half of it is left to chance so that
// chats which failed together do not all come back together.
func (c *Courier) backOff(tries int) time.Duration {
	whole := longest
	if tries < 6 {
		whole = min(longest, 2*shortest<<(tries-1))
	}
	return whole/2 + time.Duration(c.jitter()*float64(whole/2))
}

// pickToasts takes the answers to presses that go now. The mutex is held.
func (c *Courier) pickToasts() []toast {
	var due []toast
	for len(c.toasts) > 0 && c.toasting < toastsAtOnce {
		t := c.toasts[0]
		c.toasts = c.toasts[1:]
		if t.text != "" && c.o.Resting(t.to) {
			continue
		}
		c.toasting++
		due = append(due, t)
	}
	return due
}

// toast answers one press.
func (c *Courier) toast(ctx context.Context, t toast) {
	c.o.Sender.Toast(ctx, t.press, t.text, t.alert)
	c.mu.Lock()
	defer c.mu.Unlock()
	c.toasting--
	c.touch()
}

// Settled waits until nothing can be delivered now: nothing is owed, or only to held chats or in a time of rest; nothing
// is on its way, waits to be recorded, for a rate or for a back-off; no press waits for its answer. It returns the
// context's error when that ends first. It waits for signals and never looks twice at the same state.
func (c *Courier) Settled(ctx context.Context) error {
	for {
		c.mu.Lock()
		settled := c.flights == 0 && c.toasting == 0 && len(c.toasts) == 0 && !c.anyAwake()
		changed := c.changed
		c.mu.Unlock()
		if settled {
			return nil
		}
		select {
		case <-changed:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}

// anyAwake reports whether something is owed to a chat that is in no time of rest. Every room that owes something is busy,
// held, or in one of the queues. The mutex is held.
func (c *Courier) anyAwake() bool {
	for _, q := range []*queue{c.ready, c.later, c.asleep} {
		for _, r := range q.rooms {
			if !c.o.Resting(r.id) {
				return true
			}
		}
	}
	return false
}
