package plan

import (
	"time"

	"benyomo/internal/idea/kitchen"
	"benyomo/internal/idea/luach"
)

// calendar is the household's time on the grid, from now to the end of the plan. Slot t is the five minutes that begin at
// at(t).
type calendar struct {
	zone    *time.Location
	base    int64 // number of the first slot since 1970
	n       int   // slots; the end of the plan is at(n)
	awake   []int32
	asleep  []bool  // at the slot the household sleeps; a rest span is no sleep
	rest    []bool  // the slot touches a rest span
	win     []int16 // number of the window of work, or -1
	open    []bool  // work outside the house is possible
	winCap  []int32 // of a window, slots of work by one person each, over all persons
	winEnd  []int32
	winPast []int32 // the position that is past a window, for one who goes backwards
	capped  []bool  // of a window: its cap can bind
	spans   []luach.Span
	shapes  map[string][]int32 // what is known of tasks of a shape: by position, the next that is allowed
}

const slotSeconds = int64(slot / time.Second)

// slotUp and slotDown are the slots at whose beginning the instant is, rounded up and down, counted from 1970.
func slotUp(t time.Time) int64 {
	d := slotDown(t)
	if time.Unix(d*slotSeconds, 0).Before(t) {
		d++
	}
	return d
}

func slotDown(t time.Time) int64 {
	u := t.Unix()
	d := u / slotSeconds
	if u%slotSeconds < 0 {
		d--
	}
	return d
}

// at is the instant at which a slot begins, in UTC.
func (c *calendar) at(t int) time.Time {
	return time.Unix((c.base+int64(t))*slotSeconds, 0).UTC()
}

// up and down are slots from the beginning of the plan; they may lie outside it.
func (c *calendar) up(t time.Time) int   { return int(slotUp(t) - c.base) }
func (c *calendar) down(t time.Time) int { return int(slotDown(t) - c.base) }

// clip brings a slot into the plan.
func (c *calendar) clip(t int) int { return min(max(t, 0), c.n) }

// local is the instant of minutes after midnight on a civil date, which may be 1440. Where clocks are put back over it, it is
// the first or the last of the two; where they are put forward over it, the moment at which they are.
func local(zone *time.Location, y int, m time.Month, d, minutes int, last bool) time.Time {
	day := time.Date(y, m, d+minutes/(24*60), 12, 0, 0, 0, time.UTC)
	minutes %= 24 * 60
	found := luach.Local(zone, day.Year(), day.Month(), day.Day(), minutes/60, minutes%60)
	switch {
	case len(found) == 0:
		return time.Date(day.Year(), day.Month(), day.Day(), minutes/60, minutes%60, 0, 0, zone)
	case last:
		return found[len(found)-1]
	}
	return found[0]
}

// restsBetween lists the rest spans that touch the time from one instant to another.
func restsBetween(p luach.Place, from, to time.Time) []luach.Span {
	var out []luach.Span
	for s := luach.NextRest(p, from); s.Begins.Before(to); s = luach.NextRest(p, s.Ends) {
		out = append(out, s)
	}
	return out
}

// newCalendar lays the household's time on the grid.
func newCalendar(k *Kitchen, now, ready time.Time) *calendar {
	c := &calendar{zone: k.Place.Zone, base: slotUp(now), shapes: map[string][]int32{}}
	c.n = max(c.down(ready), 0)
	c.spans = restsBetween(k.Place, now, ready)
	c.awake, c.rest, c.asleep = make([]int32, c.n), make([]bool, c.n), make([]bool, c.n)
	c.win, c.open = make([]int16, c.n), make([]bool, c.n)
	for _, s := range c.spans {
		for t := c.clip(c.down(s.Begins)); t < c.clip(c.up(s.Ends)); t++ {
			c.rest[t] = true
		}
	}
	for t := range c.n {
		c.asleep[t], c.win[t] = true, -1
	}
	first := now.In(c.zone).AddDate(0, 0, -1)
	for i := 0; ; i++ {
		y, m, d := first.AddDate(0, 0, i).Date()
		wakes := local(c.zone, y, m, d, k.Wake, true)
		if i > 1 && !wakes.Before(ready) {
			break
		}
		sleeps := local(c.zone, y, m, d, k.Bedtime, false)
		for t := c.clip(c.up(wakes)); t < c.clip(c.down(sleeps)); t++ {
			c.asleep[t] = false
		}
	}
	c.runs()
	for i := 0; ; i++ { // after the nights are known
		y, m, d := first.AddDate(0, 0, i).Date()
		if i > 1 && !local(c.zone, y, m, d, 0, false).Before(ready) {
			break
		}
		c.day(k, y, m, d)
	}
	return c
}

// margin is kept free between what cools or runs and a rest span or bedtime, in slots.
const margin = int32(kitchen.Margin / slot)

// runs finds for each slot how long what heats may run from it: until the margin before the next sleep or rest span. What
// reaches over the end of the plan is cut by the plan.
func (c *calendar) runs() {
	end := int32(c.n) + margin // sleep may begin with the end of the plan, but nobody can know more of it than the plan holds
	for t := c.n - 1; t >= 0; t-- {
		if c.asleep[t] || c.rest[t] {
			end = int32(t)
			continue
		}
		c.awake[t] = end - margin
	}
}

// day adds the windows of one civil day.
func (c *calendar) day(k *Kitchen, y int, m time.Month, d int) {
	today := func(ws []Window) []Window {
		var weekly, dated []Window
		for _, w := range ws {
			switch {
			case !w.on(y, m, d):
			case w.Year != 0:
				dated = append(dated, w)
			default:
				weekly = append(weekly, w)
			}
		}
		if len(dated) > 0 {
			return dated
		}
		return weekly
	}
	slots := func(w Window) (from, to int) {
		return c.clip(c.up(local(c.zone, y, m, d, w.From, true))), c.clip(c.down(local(c.zone, y, m, d, w.To, false)))
	}
	for _, w := range today(k.Opening) {
		for t, to := slots(w); t < to; t++ {
			c.open[t] = true
		}
	}
	for _, w := range today(k.Work) {
		t, to := slots(w)
		for t < to {
			for t < to && !c.canWork(t) {
				t++
			}
			from := t
			for t < to && c.canWork(t) {
				c.win[t] = int16(len(c.winEnd))
				t++
			}
			if t > from {
				most := w.Most / grid
				c.capped = append(c.capped, w.Most > 0 && most < t-from)
				if w.Most == 0 {
					most = t - from
				}
				c.winCap = append(c.winCap, int32(min(most, t-from)*k.Hands))
				c.winEnd = append(c.winEnd, int32(t))
				c.winPast = append(c.winPast, int32(c.n-from))
			}
		}
	}
}

// canWork reports whether work is possible at a slot that no window has yet.
func (c *calendar) canWork(t int) bool { return !c.asleep[t] && !c.rest[t] && c.win[t] < 0 }
