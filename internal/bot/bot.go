// Package bot is the one writer. It takes what people did, what is due and what became of deliveries, and commits their
// effects, one transaction for all that is waiting; only then is anything sent, and only then is the next batch of updates
// asked for. A crash at any point loses nothing, and an update that comes twice changes nothing the second time.
//
// Basics: dispatch.go is the routing table; rest.go keeps what comes in a rest span until its end, and gate.go knows whose rest
// it is; timers.go fires what is due; deliveries.go records what was sent; jobs.go has the worker for what is heavy; start.go is
// who may come in, and what happens after a stop.
//
// Caveats: everything here runs in one goroutine, inside a transaction: nothing waits and nothing is sent. Heavy work never
// runs here.
package bot

import (
	"context"
	"errors"
	"log/slog"
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/clock"
	"benyomo/internal/engine/courier"
	"benyomo/internal/engine/store"
	"benyomo/internal/engine/turn"
)

const (
	tick       = 250 * time.Millisecond // how often due timers are looked for
	alive      = 30 * time.Second       // how often the program notes that it runs
	maxTimers  = 200                    // timers fired in one pass
	maxBatch   = 256                    // pieces of work committed together
	retryWrite = time.Second            // pause after a commit that failed, such as on a full disk
)

// Deliverer is the courier, as the writer knows it.
type Deliverer interface {
	Load(posts []chat.Post)
	Add(posts []chat.Post)
	Drop(seqs []uint64)
	Recorded(seq uint64)
	Hold(chat.ID)
	Release(chat.ID)
	Rekey(from, to chat.ID)
	Toast(to chat.ID, press, text string, alert bool)
	Wake()
}

// Options are what the bot stands on.
type Options struct {
	Store     *store.Store
	Env       *turn.Env
	Gate      *Gate // nil means that one is made
	Courier   Deliverer
	Household clock.Clock
	Machine   clock.Clock
	Log       *slog.Logger
}

// Bot is the writer.
type Bot struct {
	Options
	work      chan piece
	rested    string    // who rested at the last commit, to notice the beginning and the end of a rest span
	noted     time.Time // when it was noted that the program runs: machine time
	notedHere time.Time // and household time
	behind    bool      // the clock is behind the last commit, and that has been logged
	worker    *worker
	left      bool // the last pass left timers that were due
	more      chan struct{}
	unsettled []chan error // of those who wait for what is due
}

// piece is one piece of work for the writer.
type piece struct {
	events []chat.Event
	result *courier.Result
	job    *finished
	done   chan error // where somebody waits for the commit
}

// settles reports whether the piece is no work, but somebody who waits for all of it.
func (p piece) settles() bool { return p.events == nil && p.result == nil && p.job == nil }

// New returns a bot that is not running yet.
func New(o Options) *Bot {
	if o.Gate == nil {
		o.Gate = NewGate(o.Env.Community, o.Store, o.Household, o.Log)
	}
	return &Bot{Options: o, work: make(chan piece, maxBatch), worker: newWorker(), more: make(chan struct{}, 1)}
}

// Handle commits what people did. It returns when the commit is on disk: only then may the next updates be asked for.
func (b *Bot) Handle(ctx context.Context, events []chat.Event) error {
	return b.submit(ctx, piece{events: events, done: make(chan error, 1)})
}

// Settled returns when everything that was waiting for the writer, every timer that is due, and what came of the jobs that can
// be done now, is committed.
func (b *Bot) Settled(ctx context.Context) error {
	for {
		if err := b.submit(ctx, piece{done: make(chan error, 1)}); err != nil {
			return err
		}
		idle := b.worker.idle()
		if idle == nil {
			return nil
		}
		select {
		case <-idle:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}

func (b *Bot) submit(ctx context.Context, p piece) error {
	select {
	case b.work <- p:
	case <-ctx.Done():
		return ctx.Err()
	}
	select {
	case err := <-p.done:
		return err
	case <-ctx.Done():
		return ctx.Err()
	}
}

// Delivered takes the result of a delivery. It is called by the courier.
func (b *Bot) Delivered(r courier.Result) { b.work <- piece{result: &r} }

// Run writes until ctx ends and quit is closed: between the two only results of deliveries are still expected.
func (b *Bot) Run(ctx context.Context, quit <-chan struct{}) error {
	if err := b.begin(ctx); err != nil {
		return err
	}
	ticker := time.NewTicker(tick)
	defer ticker.Stop()
	for {
		var batch []piece
		select {
		case p := <-b.work:
			batch = b.gather(p)
		case <-ticker.C:
		case <-b.more:
		case <-quit:
			return b.last()
		}
		if err := b.commitWithRetry(quit, batch); err != nil {
			return err
		}
	}
}

// gather takes all that is waiting, so that one commit serves it.
func (b *Bot) gather(first piece) []piece {
	batch := []piece{first}
	for len(batch) < maxBatch {
		select {
		case p := <-b.work:
			batch = append(batch, p)
		default:
			return batch
		}
	}
	return batch
}

// last records the results that are left when everything else has stopped.
func (b *Bot) last() error {
	select {
	case p := <-b.work:
		return b.commit(b.gather(p))
	default:
		return nil
	}
}

// commitWithRetry does not give a batch up: a full disk may be cleared, and what is in the batch is nowhere else.
func (b *Bot) commitWithRetry(quit <-chan struct{}, batch []piece) error {
	for {
		err := b.commit(batch)
		if err == nil {
			return nil
		}
		b.Log.Error("commit failed; trying again", "error", err)
		select {
		case <-time.After(retryWrite):
		case <-quit:
			return errors.Join(errors.New("stopped with work that could not be written"), err)
		}
	}
}
