package bot

import (
	"log/slog"
	"sync"
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/clock"
	"benyomo/internal/engine/store"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/luach"
)

// Gate knows which chats are in a time of rest. The writer asks it within its transactions, the courier before each send; it
// is safe for both at once. Where all rest, or nobody does, no record is read.
type Gate struct {
	community turn.Community
	calendars []luach.Place
	household clock.Clock
	store     *store.Store
	log       *slog.Logger

	mu    sync.Mutex
	spans map[luach.Place]reckoned
}

// reckoned is a span that holds or comes next, and from when on that is known.
type reckoned struct {
	from time.Time
	span luach.Span
}

// NewGate returns the gate of a community and its places.
func NewGate(c turn.Community, s *store.Store, household clock.Clock, log *slog.Logger) *Gate {
	return &Gate{community: c, calendars: c.Calendars(), household: household, store: s, log: log, spans: map[luach.Place]reckoned{}}
}

// Resting reports whether nothing may be sent to a chat now. Where that cannot be found out, nothing may.
func (g *Gate) Resting(to chat.ID) bool {
	now := g.household.Now()
	r := g.at(now)
	if !r.some || r.all {
		return r.all
	}
	rests := true
	if err := g.store.View(func(tx *store.Tx) error { rests = g.chat(tx, to, now); return nil }); err != nil {
		g.log.Error("look up where a chat rests", "error", err)
		return true
	}
	return rests
}

// repose is who rests at a moment.
type repose struct {
	some, all bool
	which     string // the calendars by which there is rest: it differs when anybody's rest begins or ends
}

func (g *Gate) at(now time.Time) repose {
	r := repose{all: true}
	for _, p := range g.calendars {
		if g.rests(p, now) {
			r.some = true
			r.which += "1"
		} else {
			r.all = false
			r.which += "0"
		}
	}
	return r
}

// rests is luach.RestAt, which takes too long to be asked before each send.
func (g *Gate) rests(p luach.Place, now time.Time) bool {
	g.mu.Lock()
	defer g.mu.Unlock()
	k, ok := g.spans[p]
	if !ok || now.Before(k.from) || !now.Before(k.span.Ends) {
		k = reckoned{from: now, span: luach.NextRest(p, now)}
		g.spans[p] = k
	}
	return k.span.Contains(now)
}

// chat reports whether a chat rests, by the records as they are in the transaction.
func (g *Gate) chat(tx *store.Tx, to chat.ID, now time.Time) bool {
	for _, p := range g.community.CalendarsOf(tx, to) {
		if g.rests(p, now) {
			return true
		}
	}
	return false
}

// timer reports whether what a timer is for rests: its household, or the person. One that is for neither looks itself.
func (g *Gate) timer(tx *store.Tx, t store.Timer, now time.Time) bool {
	switch {
	case t.Household != 0:
		h, _ := tx.Household(t.Household)
		return g.rests(g.community.PlaceOf(h), now)
	case t.Person != 0:
		return g.chat(tx, chat.ID(t.Person), now)
	}
	return false
}

// job reports whether the household that asked for a job rests: what would be said of it must wait, and would be old.
func (g *Gate) job(tx *store.Tx, j store.Job, now time.Time) bool {
	h, ok := tx.Household(j.Household)
	if !ok {
		return g.rests(g.community.Place, now)
	}
	return g.rests(g.community.PlaceOf(h), now)
}
