package chart

import (
	"image/color"
	"slices"
	"strings"
	"time"

	"benyomo/internal/edge/paper/ink"
	"benyomo/internal/idea/luach"
)

// element is a level part of the picture. Elements stand below each other.
type element struct {
	h    float64
	draw func(y float64)
	// head, where it is set, is drawn above where the element comes first on a sheet: the head of its band.
	head *element
	keep bool // it is not the last one on a sheet: what follows belongs to it
}

func (c *chart) put(e element) { c.flow = append(c.flow, e) }

func (c *chart) gap(h float64) { c.put(element{h: h, draw: func(float64) {}, keep: true}) }

// event is what stands between the bands.
type event struct {
	at   time.Time
	tell func()
}

// story is all that happens, in order: bands, and between them the nights, the rest spans and the moments that count.
func (c *chart) story() {
	var events []event
	add := func(at time.Time, tell func()) { events = append(events, event{at, tell}) }
	for _, b := range c.bands {
		add(b.from, func() { c.band(b) })
	}
	for _, s := range c.rests {
		if !slices.ContainsFunc(c.bands, func(b *band) bool { return b.holds(s.Begins) && !s.Ends.After(b.until) }) {
			add(s.Begins, func() { c.rest(s) })
		}
	}
	for _, m := range c.moments() {
		if !slices.ContainsFunc(c.bands, func(b *band) bool { return b.holds(m.at) }) {
			add(m.at, func() {
				c.strip("moment "+m.name, m.symbol, ink.Fill{Paper: m.color}, c.look.onLine, c.words.Say(m.name, "time", c.moment(m.at)), true)
			})
		}
	}
	for _, u := range c.lastUses() {
		add(u.at, func() {
			text := c.words.Say("last-use", "time", c.moment(u.at), "items", c.list(u.items))
			c.strip("moment last-use", ink.NoBowl, ink.Fill{Paper: c.look.meal}, c.look.onLine, text, false)
		})
	}
	slices.SortStableFunc(events, func(a, b event) int { return a.at.Compare(b.at) })
	last := c.from()
	for _, e := range events {
		c.nights(last, e.at)
		e.tell()
		last = e.at
		for _, b := range c.bands {
			if b.from.Equal(e.at) && b.until.After(last) {
				last = b.until
			}
		}
		for _, s := range c.rests {
			if s.Begins.Equal(e.at) {
				last = s.Ends
			}
		}
	}
}

// moment is a time that counts for the whole kitchen.
type moment struct {
	name   string // of its sentence
	at     time.Time
	symbol ink.Symbol
	color  color.RGBA
}

// moments are those times, in order.
func (c *chart) moments() []moment {
	out := []moment{{"now", c.now, ink.Clock, c.look.now}}
	if m := c.plan.LastMeal; m != nil {
		out = append(out, moment{"meal", m.At, ink.Bowl, c.look.meal})
	}
	if !c.plan.Ready.At.Equal(c.plan.Finish.At) && !c.plan.Ready.At.IsZero() {
		out = append(out, moment{"ready", c.plan.Ready.At, ink.Tick, c.look.finish})
	}
	if !c.plan.Finish.At.IsZero() {
		out = append(out, moment{"finish", c.plan.Finish.At, ink.Flag, c.look.finish})
	}
	slices.SortStableFunc(out, func(a, b moment) int { return a.at.Compare(b.at) })
	return out
}

// lastUse is an end of use, of all items whose use ends then.
type lastUse struct {
	at    time.Time
	items []string
}

// lastUses are the ends of use that no band shows.
func (c *chart) lastUses() []lastUse {
	var out []lastUse
	for _, l := range c.strands {
		if l.last == nil || l.begins(l.last.At) || slices.ContainsFunc(c.bands, func(b *band) bool { return b.holds(l.last.At) }) {
			continue
		}
		i := slices.IndexFunc(out, func(u lastUse) bool { return u.at.Equal(l.last.At) })
		if i < 0 {
			i, out = len(out), append(out, lastUse{at: l.last.At})
		}
		out[i].items = append(out[i].items, l.items...)
	}
	return out
}

// strip is one line about something between the bands: a symbol on its ground, and words.
func (c *chart) strip(name string, s ink.Symbol, ground ink.Fill, on color.RGBA, text string, bold bool) {
	const tile, pad = 58.0, 7.0
	style := c.look.text(body, bold)
	lines := c.d.Wrap(text, style, full-tile-2*pad)
	h := max(42, float64(len(lines))*style.Height()+pad)
	c.put(element{h: h + 8, draw: func(y float64) {
		c.d.Rect(name, ink.Box{X: margin, Y: y, W: tile, H: h}, ground, 8)
		c.d.Draw(name+" symbol", s, ink.Box{X: margin + (tile-32)/2, Y: y + (h-32)/2, W: 32, H: 32}, on)
		for i, l := range lines {
			c.d.Write(name+" words", margin+tile+pad+4, y+(h-float64(len(lines))*style.Height())/2+float64(i)*style.Height(), l, style)
		}
	}})
}

// rest is a rest span.
func (c *chart) rest(s luach.Span) {
	var names []string
	for _, d := range s.Days {
		if n := luach.Name(d, c.words.Lang); !slices.Contains(names, n) {
			names = append(names, n)
		}
	}
	text := c.words.Say("rest", "name", strings.Join(names, ", "), "from", c.moment(luach.ShownStart(s.Begins)), "until", c.moment(luach.ShownEnd(s.Ends)))
	c.strip("rest", ink.Candles, c.look.resting(), c.look.ink, text, true)
}

// nights says how many nights lie between two times, if any.
func (c *chart) nights(from, until time.Time) {
	n := 0
	for _, s := range c.sleeps(from, until) {
		if !s[0].Before(from) && !s[1].After(until) {
			n++
		}
	}
	if n == 0 {
		return
	}
	text := c.words.Say("night")
	if n > 1 {
		text = c.words.Say("nights", "n", n)
	}
	c.strip("night", ink.Moon, c.look.sleeping(), c.look.ink, text, false)
}

// sleeps are the times between bedtime and waking that touch the time.
func (c *chart) sleeps(from, until time.Time) [][2]time.Time {
	if c.opts.Bedtime <= c.opts.Wake || !from.Before(until) {
		return nil
	}
	var out [][2]time.Time
	y, m, d := from.In(c.opts.Place.Zone).Date()
	for i := -1; ; i++ {
		begins := c.local(y, m, d+i, c.opts.Bedtime)
		ends := c.local(y, m, d+i+1, c.opts.Wake)
		if !begins.Before(until) {
			return out
		}
		if ends.After(from) {
			out = append(out, [2]time.Time{begins, ends})
		}
	}
}

// local is a time of day on a civil date, to the hour that clocks show.
func (c *chart) local(y int, m time.Month, d, minutes int) time.Time {
	return time.Date(y, m, d, minutes/60, minutes%60, 0, 0, c.opts.Place.Zone)
}

// heading is the title, what does not fit, and the whole time at a glance.
func (c *chart) heading() {
	text := c.words.Say("fits")
	symbol, color := ink.Symbol(ink.Tick), c.look.done
	if !c.plan.Fits {
		text, symbol, color = c.words.Say("misfit"), ink.Cross, c.look.now
	}
	bold := c.look.text(large, true)
	c.put(element{h: 52, draw: func(y float64) {
		c.d.Draw("verdict", symbol, ink.Box{X: margin, Y: y + 4, W: 34, H: 34}, color)
		c.d.Write("verdict words", margin+48, y, text, bold)
	}})
	c.unfit()
	if len(c.strands) > 0 {
		c.put(c.glance())
	}
}

// unfit lists what does not fit, together what has the same reason and the same way out.
func (c *chart) unfit() {
	var said []string
	for _, u := range c.plan.Unfit {
		why, away := c.words.Why(u.Why, u.Item), ""
		if u.Away != "" {
			away = c.words.Why(u.Away, u.Item)
		}
		key := why + "\x00" + away
		if slices.Contains(said, key) {
			continue
		}
		said = append(said, key)
		var ids []string
		for _, o := range c.plan.Unfit {
			if o.Away == u.Away && c.words.Why(o.Why, o.Item) == why {
				ids = append(ids, o.Item)
			}
		}
		for some := range slices.Chunk(ids, mostNames) {
			text := c.words.Say("unfit-item", "item", c.listed(some, " · "), "why", why)
			if away != "" {
				text = c.words.Say("unfit-away", "item", c.listed(some, " · "), "why", why, "away", away)
			}
			c.strip("unfit", ink.Cross, ink.Fill{Paper: c.look.now}, c.look.onLine, text, false)
		}
	}
	if len(said) > 0 {
		c.gap(10)
	}
}

// closing is what is said at the end.
func (c *chart) closing() {
	style := c.look.quiet(small)
	lines := c.d.Wrap(c.words.Say("estimates"), style, full)
	c.put(element{h: float64(len(lines))*style.Height() + 8, draw: func(y float64) {
		for i, l := range lines {
			c.d.Write("estimates", margin, y+8+float64(i)*style.Height(), l, style)
		}
	}})
}
