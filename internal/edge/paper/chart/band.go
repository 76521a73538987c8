package chart

import (
	"slices"
	"time"
)

// band is a part of the time that is shown hour by hour: all bands of a picture are equally long, so that an hour is equally
// wide in all of them.
type band struct {
	from, until time.Time
	rows        []row
	waiting     []*strand // rows of which only a wait runs through the whole band
}

// row is one row of a band.
type row struct {
	*strand
	shown []*task
	last  bool // its last use falls into the band
}

// A band holds between these numbers of hours.
const (
	leastHours = 4
	mostHours  = 9
)

// divide finds the bands: as few as may be, against as wide an hour as may be. Only what asks something of the household, work
// and heat, needs one; hours that nothing needs are left out.
func (c *chart) divide() []*band {
	var busy []*task
	for _, l := range c.strands {
		for _, t := range l.tasks {
			if t.sort != wait {
				busy = append(busy, t)
			}
		}
	}
	slices.SortStableFunc(busy, func(a, b *task) int { return a.Begins.Compare(b.Begins) })
	var best []*band
	cost := 0.0
	for hours := leastHours; hours <= mostHours; hours++ {
		bands := c.cover(busy, time.Duration(hours)*time.Hour)
		x := float64(len(bands)) + 0.25*float64(hours)
		for _, b := range bands {
			if b.until.Sub(lastEnd(busy, b.from, b.until)) < after {
				x += 0.3
			}
		}
		if best == nil || x < cost {
			best, cost = bands, x
		}
	}
	for _, b := range best {
		c.fill(b)
	}
	return best
}

// cover lays bands of a length over all that is busy, each as late as its first task allows.
func (c *chart) cover(busy []*task, length time.Duration) []*band {
	var out []*band
	var covered time.Time
	for {
		next, found := time.Time{}, false // the first moment that no band holds and something needs
		for _, t := range busy {
			begins := later(t.Begins, covered)
			if begins.Before(t.Ends) && (!found || begins.Before(next)) {
				next, found = begins, true
			}
		}
		if !found {
			return out
		}
		from := later(c.hour(next), covered)
		from = c.early(busy, from, from.Add(length), covered)
		covered = from.Add(length)
		out = append(out, &band{from: from, until: covered})
	}
}

// after is what a band should show after its last task: that it is over, and what begins then.
const after = 15 * time.Minute

// lastEnd is when the last of the tasks that begin before the end of a time ends.
func lastEnd(busy []*task, from, until time.Time) time.Time {
	ends := from
	for _, t := range busy {
		if t.Begins.Before(until) {
			ends = later(ends, t.Ends)
		}
	}
	return ends
}

// early moves a band by hours to before its first task, as far as it holds nothing at its end, if it then shows less of a night.
func (c *chart) early(busy []*task, from, until, covered time.Time) time.Time {
	ends := lastEnd(busy, from, until).Add(after)
	asleep := func(from, until time.Time) (d time.Duration) {
		for _, s := range c.sleeps(from, until) {
			d += earlier(s[1], until).Sub(later(s[0], from))
		}
		return d
	}
	best, least := from, asleep(from, until)
	for k := time.Hour; !until.Add(-k).Before(ends) && !from.Add(-k).Before(covered); k += time.Hour {
		if d := asleep(from.Add(-k), until.Add(-k)); d < least {
			best, least = from.Add(-k), d
		}
	}
	return best
}

func earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}

func later(a, b time.Time) time.Time {
	if a.Before(b) {
		return b
	}
	return a
}

// hour is the full hour of the clock at or before the time.
func (c *chart) hour(t time.Time) time.Time {
	local := t.In(c.opts.Place.Zone)
	return local.Add(-time.Duration(local.Minute())*time.Minute - time.Duration(local.Second())*time.Second - time.Duration(local.Nanosecond()))
}

// holds reports whether the moment falls into the band.
func (b *band) holds(t time.Time) bool { return !t.Before(b.from) && t.Before(b.until) }

// touches reports whether a part of the time falls into the band.
func (b *band) touches(from, until time.Time) bool {
	return from.Before(b.until) && until.After(b.from)
}

// fill puts into the band what it shows. A row that only waits stands there if its wait begins in the band; one that waits all
// through it is named only.
func (c *chart) fill(b *band) {
	for _, l := range c.strands {
		r := row{strand: l, last: l.last != nil && b.holds(l.last.At) && !l.begins(l.last.At)}
		need := r.last
		for _, t := range l.tasks {
			if b.touches(t.Begins, t.Ends) {
				r.shown = append(r.shown, t)
				need = need || t.sort != wait || !t.long() || b.holds(t.Begins)
			}
		}
		switch {
		case need:
			b.rows = append(b.rows, r)
		case len(r.shown) > 0:
			b.waiting = append(b.waiting, l)
		}
	}
	b.waiting = slices.DeleteFunc(b.waiting, func(l *strand) bool { return b.works(l.items) })
	slices.SortStableFunc(b.rows, func(x, y row) int { return x.first(b).Compare(y.first(b)) })
}

// works reports whether the items take part in a row of the band.
func (b *band) works(items []string) bool {
	return slices.ContainsFunc(b.rows, func(r row) bool {
		return slices.ContainsFunc(r.shown, func(t *task) bool {
			return slices.ContainsFunc(items, func(id string) bool { return slices.Contains(t.items, id) })
		})
	})
}

// begins reports whether work or heat begins at the time: the end of the use then needs no sign of its own.
func (l *strand) begins(t time.Time) bool {
	return slices.ContainsFunc(l.tasks, func(k *task) bool { return k.sort != wait && k.Begins.Equal(t) })
}

// first is when something that asks for attention begins in the band, else its end.
func (r row) first(b *band) time.Time {
	at := b.until
	for _, t := range r.shown {
		if t.sort != wait && t.Begins.Before(at) {
			at = t.Begins
		}
	}
	return at
}

// x is where a moment stands, from the beginning of writing.
func (b *band) x(t time.Time) float64 {
	return laneFrom + lane*float64(t.Sub(b.from))/float64(b.until.Sub(b.from))
}

// span is where a time stands, as far as it falls into the band.
func (b *band) span(from, until time.Time) (x0, x1 float64) {
	return b.x(later(from, b.from)), b.x(earlier(until, b.until))
}
