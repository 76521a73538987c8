// Package clock is the only reader of the clock. Household time stamps what people do, times their waits and rests; machine
// time paces deliveries, backs off and bounds requests. They are the same in service, and differ in a rehearsal, where
// household time is moved.
//
// Decisions never read a clock: they are given `now`.
package clock

import (
	"fmt"
	"sync"
	"time"
)

// Clock tells the time.
type Clock interface{ Now() time.Time }

// System is the machine's own clock.
type System struct{}

// Now reads the machine's clock.
func (System) Now() time.Time { return time.Now() }

// Movable is a clock that runs with another one and can be moved forward, never back. It is safe for concurrent use.
type Movable struct {
	base   Clock
	mu     sync.Mutex
	offset time.Duration
}

// NewMovable returns a clock that shows start now and runs on with base.
func NewMovable(base Clock, start time.Time) *Movable {
	return &Movable{base: base, offset: start.Sub(base.Now())}
}

// Now is the base's time, moved.
func (m *Movable) Now() time.Time {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.base.Now().Add(m.offset)
}

// Advance moves the clock forward. A negative duration is ignored: this clock never goes back.
func (m *Movable) Advance(d time.Duration) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.offset += max(d, 0)
}

// AdvanceTo moves the clock to t, and refuses a moment that has passed.
func (m *Movable) AdvanceTo(t time.Time) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	now := m.base.Now().Add(m.offset)
	if t.Before(now) {
		return fmt.Errorf("the clock shows %s and cannot go back to %s", now.Format(time.DateTime), t.Format(time.DateTime))
	}
	m.offset += t.Sub(now)
	return nil
}

// Manual stands still until it is moved. Tests use it. It is safe for concurrent use.
type Manual struct {
	mu  sync.Mutex
	now time.Time
}

// NewManual returns a clock that stands at t.
func NewManual(t time.Time) *Manual { return &Manual{now: t} }

// Now is where the clock stands.
func (m *Manual) Now() time.Time {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.now
}

// Advance moves the clock; tests may move it back to play a machine whose clock was set.
func (m *Manual) Advance(d time.Duration) {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.now = m.now.Add(d)
}

// AdvanceTo moves the clock to t, and refuses a moment that has passed.
func (m *Manual) AdvanceTo(t time.Time) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if t.Before(m.now) {
		return fmt.Errorf("the clock shows %s and cannot go back to %s", m.now.Format(time.DateTime), t.Format(time.DateTime))
	}
	m.now = t
	return nil
}
