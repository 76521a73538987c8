package courier

import (
	"container/heap"
	"math/rand/v2"
	"slices"
	"sync"
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/clock"
)

// Courier delivers the outbox. It is safe for use by several goroutines. Everything that is not in the outbox it may
// forget: pauses, pacing and toasts live in memory.
type Courier struct {
	o         Options
	bulkSlots int            // how many of the slots announcements may take
	jitter    func() float64 // from 0 to 1

	wake chan struct{} // the loop has something to look at

	mu       sync.Mutex
	changed  chan struct{} // closed and replaced at every change, for Settled
	running  bool
	rows     map[uint64]*row
	rooms    map[chat.ID]*room
	sweepAt  int    // how many rooms are too many to keep the idle ones
	ready    *queue // rooms that could send now, the most urgent first
	later    *queue // rooms that wait for their own pause or rate, the soonest first
	asleep   *queue // rooms that were found in a time of rest, until Wake
	all      bucket
	flights  int // rows sending or recording
	bulk     int // of these, announcements
	toasts   []toast
	toasting int

	pause time.Time // nothing goes before
	when  time.Time // when the messenger last said that it was too much,
	until time.Time // and until when it wanted that chat to wait
}

// toast is an answer to a button press.
type toast struct {
	to          chat.ID
	press, text string
	alert       bool
}

// Bounds on answers to button presses: how many are under way at once, and how many wait. Beyond that the oldest are let
// go, since the messenger takes an answer only for a short time anyway.
const (
	toastsAtOnce = 16
	toastsKept   = 256
)

// New returns a Courier that owes nothing yet. It panics when Sender or Results is missing: that is a mistake of the
// program.
func New(o Options) *Courier {
	if o.Sender == nil || o.Results == nil {
		panic("courier without a Sender or without Results")
	}
	if o.Machine == nil {
		o.Machine = clock.System{}
	}
	if o.Resting == nil {
		o.Resting = func(chat.ID) bool { return false }
	}
	if o.Lookup == nil {
		o.Lookup = func(chat.ID, chat.Handle) int { return 0 }
	}
	if o.InFlight <= 0 {
		o.InFlight = DefaultInFlight
	}
	if o.Grace <= 0 {
		o.Grace = DefaultGrace
	}
	o.Rates = o.Rates.withDefaults()
	return &Courier{
		o:         o,
		bulkSlots: max(1, o.InFlight*3/4), // announcements that hang must leave room for people
		jitter:    rand.Float64,
		wake:      make(chan struct{}, 1),
		changed:   make(chan struct{}),
		rows:      map[uint64]*row{},
		rooms:     map[chat.ID]*room{},
		sweepAt:   1024,
		ready:     &queue{less: byUrgency},
		later:     &queue{less: byTime},
		asleep:    &queue{less: byUrgency},
		all:       o.Rates.all(),
	}
}

// Load takes over what the outbox holds at the start. A row that is known already is left as it is.
func (c *Courier) Load(posts []chat.Post) { c.Add(posts) }

// Add takes over rows that were committed. A row that is known already is left as it is.
func (c *Courier) Add(posts []chat.Post) {
	if len(posts) == 0 {
		return
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	touched := map[*room]bool{}
	for _, p := range posts {
		if c.rows[p.Seq] != nil {
			continue
		}
		r := c.room(p.Chat)
		w := &row{post: p}
		c.rows[p.Seq] = w
		r.insert(w)
		touched[r] = true
	}
	now := c.o.Machine.Now()
	for r := range touched {
		c.place(now, r)
	}
	c.touch()
}

// Drop forgets rows that were taken out of the outbox. A row that is on its way cannot be called back: when it is
// delivered its Result is handed over all the same, when it fails it is not tried again.
func (c *Courier) Drop(seqs []uint64) {
	if len(seqs) == 0 {
		return
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	now := c.o.Machine.Now()
	for _, seq := range seqs {
		w := c.rows[seq]
		switch {
		case w == nil:
		case w.state == waiting:
			w.room.remove(w)
			delete(c.rows, seq)
			c.place(now, w.room)
		default:
			w.dropped = true
		}
	}
	c.touch()
}

// Recorded says that the writer has committed a row's Result, whatever it made of it. The row is forgotten and the chat's
// next one may go. Only a row whose group has moved is owed still, if Rekey was told so and Drop was not.
func (c *Courier) Recorded(seq uint64) {
	c.mu.Lock()
	defer c.mu.Unlock()
	w := c.rows[seq]
	if w == nil || w.state != recording {
		return
	}
	now := c.o.Machine.Now()
	c.land(now, w, w.again && !w.dropped)
	c.sweep(now)
	c.touch()
}

// Hold stops deliveries to a chat; a row on its way is not stopped. Call it before Recorded when a Result said Gone.
func (c *Courier) Hold(id chat.ID) { c.setHeld(id, true) }

// Release lets deliveries to a chat go again.
func (c *Courier) Release(id chat.ID) { c.setHeld(id, false) }

func (c *Courier) setHeld(id chat.ID, held bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	r := c.room(id)
	r.held = held
	c.place(c.o.Machine.Now(), r)
	c.touch()
}

// Rekey says that what is owed to one chat is owed to another from now on, under the same numbers: a group has a new id.
// A row on its way is looked after too. A hold does not move along.
func (c *Courier) Rekey(from, to chat.ID) {
	c.mu.Lock()
	defer c.mu.Unlock()
	old := c.rooms[from]
	if old == nil || from == to {
		return
	}
	known := c.rooms[to] != nil
	r := c.room(to)
	if !known {
		r.buckets = old.buckets // it is the same group to the messenger, as far as anybody knows
	}
	for _, w := range slices.Concat(old.people, old.bulk) {
		r.insert(w)
	}
	for _, w := range c.rows {
		if w.room == old {
			w.room = r
			w.again = w.again || w.state == recording && w.moved
		}
	}
	r.busy += old.busy
	old.people, old.bulk, old.busy = nil, nil, 0
	now := c.o.Machine.Now()
	c.place(now, old)
	c.place(now, r)
	if !old.held {
		delete(c.rooms, from)
	}
	c.touch()
}

// Toast answers a button press in a chat at once, in the background, without a row. In the chat's time of rest only the
// answer without words is sent, which does no more than end the button's spinning.
func (c *Courier) Toast(to chat.ID, press, text string, alert bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if len(c.toasts) == toastsKept {
		c.toasts = c.toasts[1:]
	}
	c.toasts = append(c.toasts, toast{to, press, text, alert})
	c.touch()
}

// Wake makes the courier look again: a time of rest may have ended, a clock may have been moved.
func (c *Courier) Wake() {
	c.mu.Lock()
	defer c.mu.Unlock()
	now := c.o.Machine.Now()
	for c.asleep.Len() > 0 {
		c.place(now, c.asleep.rooms[0])
	}
	c.touch()
}

// touch tells the loop and everybody in Settled that something changed. The mutex is held.
func (c *Courier) touch() {
	close(c.changed)
	c.changed = make(chan struct{})
	select {
	case c.wake <- struct{}{}:
	default: // it is told already
	}
}

// room finds or makes a chat's room. The mutex is held.
func (c *Courier) room(id chat.ID) *room {
	r := c.rooms[id]
	if r == nil {
		r = &room{id: id, buckets: c.o.Rates.chat(id)}
		c.rooms[id] = r
	}
	return r
}

// place lines a room up where it belongs now. The mutex is held.
func (c *Courier) place(now time.Time, r *room) {
	if r.queue != nil {
		heap.Remove(r.queue, r.index)
	}
	w := r.next()
	if w == nil || r.held || r.busy > 0 {
		return
	}
	r.class, r.seq, r.at = r.urgency(), w.post.Seq, r.ready(now, w)
	if r.at.After(now) {
		heap.Push(c.later, r)
	} else {
		heap.Push(c.ready, r)
	}
}

// land gives a row's slot back; the row waits again, or is forgotten. The mutex is held.
func (c *Courier) land(now time.Time, w *row, owed bool) {
	c.flights--
	if w.bulk {
		c.bulk--
	}
	w.room.busy--
	w.bulk, w.moved, w.again = false, false, false
	if owed {
		w.room.insert(w)
	} else {
		delete(c.rows, w.post.Seq)
	}
	c.place(now, w.room)
}

// sweep forgets idle rooms when there are many. The mutex is held.
func (c *Courier) sweep(now time.Time) {
	if len(c.rooms) < c.sweepAt {
		return
	}
	for id, r := range c.rooms {
		if r.forgettable(now) {
			delete(c.rooms, id)
		}
	}
	c.sweepAt = max(1024, 2*len(c.rooms))
}
