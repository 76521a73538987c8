package bot

import (
	"context"
	"fmt"
	"sync"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/store"
	"benyomo/internal/engine/turn"
)

// finished is a job with what came of it.
type finished struct {
	store.Job
	result  any
	failure error
}

// worker says when there are jobs to look for. It is woken after commits, and works when it is woken; in between it is idle.
type worker struct {
	woken chan struct{}

	mu      sync.Mutex
	pending bool          // woken since it began to look
	busy    chan struct{} // closed when the worker is idle again; nil while it is
}

func newWorker() *worker { return &worker{woken: make(chan struct{}, 1)} }

// wake makes the worker look for jobs. It does not wait.
func (w *worker) wake() {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.pending = true
	if w.busy == nil {
		w.busy = make(chan struct{})
	}
	select {
	case w.woken <- struct{}{}:
	default:
	}
}

// idle is closed when the worker has done what it was woken for; it is nil where it already has.
func (w *worker) idle() <-chan struct{} {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.busy
}

// begin says that the worker looks for jobs from now on.
func (w *worker) begin() {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.pending = false
}

// end says that it has found no more.
func (w *worker) end() {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.pending { // woken again in between
		return
	}
	if w.busy != nil {
		close(w.busy)
		w.busy = nil
	}
}

// Work does jobs, one after another, until ctx ends: each reads in a short View, computes outside it, and hands its result to
// the writer. A job that a stop interrupts is done after the next start.
func (b *Bot) Work(ctx context.Context) error {
	b.worker.wake() // for those of the last run
	for {
		select {
		case <-b.worker.woken:
		case <-ctx.Done():
			b.worker.end()
			return ctx.Err()
		}
		b.worker.begin()
		for ctx.Err() == nil {
			job, work, ok := b.nextJob()
			if !ok {
				break
			}
			result, failure := safely(work)
			if err := b.submit(ctx, piece{job: &finished{job, result, failure}, done: make(chan error, 1)}); err != nil {
				break
			}
		}
		b.worker.end()
	}
}

// nextJob reads what the next job needs, of those whose household does not rest.
func (b *Bot) nextJob() (job store.Job, work func() (any, error), ok bool) {
	now := b.Household.Now().In(b.Env.Community.Place.Zone)
	work = func() (any, error) { return nil, nil } // of a job about which nothing is left to do
	err := b.Store.View(func(tx *store.Tx) error {
		if job, ok = tx.NextJob(func(j store.Job) bool { return !b.Gate.job(tx, j, now) }); !ok {
			return nil
		}
		t := &turn.Turn{Env: b.Env, Tx: tx, Now: now}
		t.Who, _ = tx.Person(job.Person)
		if fn := jobTable[job.Kind].Read; fn != nil {
			if w := fn(t, job); w != nil {
				work = w
			}
		}
		return nil
	})
	if err != nil {
		b.Log.Error("reading for a job", "kind", job.Kind, "error", err)
		return job, func() (any, error) { return nil, err }, ok // it ends as a failure, and is not tried for ever
	}
	return job, work, ok
}

// jobsAgain reports whether a rest has begun or ended, and jobs wait: some may have waited for it.
func (p *pass) jobsAgain() (some bool) {
	if p.rested == p.rest.which {
		return false
	}
	err := p.batch.Try(func(tx *store.Tx) error {
		for range tx.Jobs() {
			some = true
			break
		}
		return nil
	})
	return some && err == nil
}

// safely computes; a panic is a failure of the job.
func safely(work func() (any, error)) (result any, err error) {
	defer func() {
		if r := recover(); r != nil {
			result, err = nil, fmt.Errorf("panic: %v", r)
		}
	}()
	return work()
}

// finish takes in what came of a job, unless it was asked for anew in between, or a rest has begun: then it is done again.
func (p *pass) finish(f finished) {
	rests := false
	if err := p.batch.Try(func(tx *store.Tx) error { rests = p.Gate.job(tx, f.Job, p.now); return nil }); err != nil || rests {
		return
	}
	if f.failure != nil {
		p.Log.Error("a job failed", "kind", f.Kind, "error", f.failure)
	}
	p.try(0, "job "+f.Kind, func(tx *store.Tx) error {
		if !tx.EndJob(f.Job) {
			return nil
		}
		if f.failure != nil {
			tx.AddQuarantine(store.Quarantine{Kind: "job " + f.Kind, Error: f.failure.Error(), At: p.now})
		}
		t := p.newTurn(tx, chat.Event{})
		if fn := jobTable[f.Kind].Done; fn != nil {
			fn(t, f.Job, f.result, f.failure)
		}
		p.react(t)
		return nil
	})
	if err := p.batch.Try(func(tx *store.Tx) error { // one whose end failed is not tried for ever
		tx.EndJob(f.Job)
		return nil
	}); err != nil && p.err == nil {
		p.err = err
	}
}
