package page

import (
	"context"
	"net/http"
	"time"
)

const (
	// farthest bounds one move, so that a slip in the year does not send the household into another century. A year to
	// the next season fits.
	farthest = 400 * 24 * time.Hour
	// catchUp is how long the bot may take to settle after a move.
	catchUp = 60 * time.Second

	longForm  = "Monday 2 January 2006, 15:04"
	shortForm = "Mon 2 January, 15:04"
	typed     = "2006-01-02T15:04" // what a date-time field sends
)

// clockState is household time in the place's zone.
type clockState struct {
	Now   string `json:"now"` // as a date-time field has it
	Shown string `json:"shown"`
	Zone  string `json:"zone"`
	Rest  string `json:"rest,omitempty"` // when the rest span ends, in short; empty when none is known
}

func (p *Page) clockState() clockState {
	now := p.clock.Now().In(p.zone)
	s := clockState{Now: now.Format(typed), Shown: now.Format(longForm), Zone: p.zone.String() + ", UTC" + now.Format("-07:00")}
	if end, ok := p.rest(now); ok {
		s.Rest = end.In(p.zone).Format(shortForm)
	}
	return s
}

// rest is the end of the rest span that is running or comes next, when it is ahead.
func (p *Page) rest(now time.Time) (time.Time, bool) {
	if p.restEnd == nil {
		return time.Time{}, false
	}
	end, ok := p.restEnd(now)
	return end, ok && end.After(now)
}

// moveClock moves household time forward, by "advance", to the end of the rest span, or to a local time, and lets the bot
// catch up.
func (p *Page) moveClock(w http.ResponseWriter, r *http.Request) (any, error) {
	var q struct {
		Advance string `json:"advance"` // a duration such as "1h"
		To      string `json:"to"`      // "rest-end"
		At      string `json:"at"`      // a local time such as "2026-03-25T18:30"
	}
	if err := decode(w, r, &q); err != nil {
		return nil, err
	}
	if !p.moving.TryLock() {
		return nil, &problem{http.StatusConflict, "The clock is moving already; wait until the bot has caught up."}
	}
	defer p.moving.Unlock()
	now := p.clock.Now()
	target, remark, err := p.target(q.Advance, q.To, q.At, now)
	if err != nil {
		return nil, err
	}
	if target.Sub(now) > farthest {
		return nil, bad("That is more than 400 days ahead. Move in smaller steps.")
	}
	if q.Advance != "" {
		p.clock.Advance(target.Sub(now))
	} else if err := p.clock.AdvanceTo(target); err != nil {
		return nil, bad("Household time only moves forward, and this moment is no longer ahead.")
	}
	if p.settle != nil {
		ctx, cancel := context.WithTimeout(r.Context(), catchUp)
		defer cancel()
		if err := p.settle(ctx); err != nil {
			remark = "The clock has moved, but the bot has not caught up yet: " + err.Error() + "."
		}
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.poke()
	return struct {
		clockState
		Remark string `json:"remark,omitempty"`
	}{p.clockState(), remark}, nil
}

// target is the moment asked for. Exactly one of the three ways to ask must be used.
func (p *Page) target(advance, to, at string, now time.Time) (t time.Time, remark string, err error) {
	asked := 0
	for _, text := range []string{advance, to, at} {
		if text != "" {
			asked++
		}
	}
	switch {
	case asked != 1:
		return t, "", bad("Say one of “advance”, “to” and “at”.")
	case advance != "":
		d, err := time.ParseDuration(advance)
		if err != nil {
			return t, "", bad("“advance” is a length of time such as “1h” or “24h”.")
		}
		if d <= 0 {
			return t, "", bad("Household time only moves forward.")
		}
		return now.Add(d), "", nil
	case to != "":
		if to != "rest-end" {
			return t, "", bad("“to” can only be “rest-end”.")
		}
		end, ok := p.rest(now)
		if !ok {
			return t, "", bad("No rest span is known that lies ahead.")
		}
		return end, "", nil
	}
	return localTime(at, now, p.zone)
}

// localTime reads a local time as a moment after now. A time that the zone skips is an error, because moving it silently
// would be a different time than the one typed. One that comes twice means the first that is still ahead.
func localTime(text string, now time.Time, zone *time.Location) (t time.Time, remark string, err error) {
	wall, err := time.Parse(typed, text)
	if err != nil {
		if wall, err = time.Parse(typed+":05", text); err != nil {
			return t, "", bad("Write a date and a time, such as 2026-03-25T18:30.")
		}
	}
	found := moments(wall, zone)
	if len(found) == 0 {
		return t, "", bad("The time " + wall.Format(longForm) + " does not exist in " + zone.String() +
			": the clocks are put forward over it.")
	}
	for _, t := range found {
		if t.After(now) {
			if len(found) > 1 {
				remark = "That local time comes twice; this is the one at UTC" + t.Format("-07:00") + "."
			}
			return t, remark, nil
		}
	}
	return t, "", bad("Household time only moves forward: " + wall.Format(longForm) + " is not after " +
		now.In(zone).Format(longForm) + ".")
}

// moments lists the moments at which clocks in zone show wall (given as if in UTC), earliest first: none when the clocks
// jump over it, two when they are put back over it. The offsets in force a day before and a day after are the only ones
// that can apply, since no zone changes twice within two days.
func moments(wall time.Time, zone *time.Location) []time.Time {
	var found []time.Time
	for _, near := range []time.Duration{-24 * time.Hour, 24 * time.Hour} {
		_, offset := wall.Add(near).In(zone).Zone()
		t := wall.Add(-time.Duration(offset) * time.Second).In(zone)
		if t.Format(time.DateTime) != wall.Format(time.DateTime) {
			continue
		}
		if len(found) == 0 || !found[0].Equal(t) {
			found = append(found, t)
		}
	}
	if len(found) == 2 && found[1].Before(found[0]) {
		found[0], found[1] = found[1], found[0]
	}
	return found
}
