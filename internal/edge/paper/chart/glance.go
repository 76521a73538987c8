package chart

import (
	"slices"
	"time"

	"benyomo/internal/edge/paper/ink"
)

// glance is the whole time in one line, by days, with everything in its true distance.
func (c *chart) glance() element {
	const symbols, days, strip = 40.0, 38.0, 60.0
	from, until := c.glanceFrom(), c.until().Add(time.Hour)
	x := func(t time.Time) float64 {
		return margin + full*min(1, max(0, float64(t.Sub(from))/float64(until.Sub(from))))
	}
	return element{h: symbols + strip + days + 18, draw: func(y float64) {
		y += symbols
		frame := ink.Box{X: margin, Y: y, W: full, H: strip}
		part := func(name string, a, b time.Time, top, h float64, f ink.Fill, least float64) {
			x0, x1 := x(a), x(b)
			if x1 > x0 {
				c.d.Rect(name, ink.Box{X: min(x0, margin+full-least), Y: y + top, W: max(x1-x0, least), H: h}, f, 0)
			}
		}
		c.d.Rect("glance", frame, ink.Fill{Paper: c.look.wait}, 0)
		for _, s := range c.sleeps(from, until) {
			part("glance night", s[0], s[1], 0, strip, c.look.sleeping(), 1)
		}
		for _, s := range c.rests {
			part("glance rest", s.Begins, s.Ends, 0, strip, c.look.resting(), 1)
		}
		for _, l := range c.strands {
			for _, t := range l.tasks {
				if t.sort == heat {
					part("glance heat", t.Begins, t.Ends, strip/2+4, strip/2-10, c.look.bar(heat), 5)
				}
			}
		}
		for _, l := range c.strands {
			for _, t := range l.tasks {
				if t.sort == work {
					part("glance work", t.Begins, t.Ends, 6, strip/2-6, c.look.bar(work), 4)
				}
			}
		}
		c.d.Rect("glance edge", ink.Box{X: margin, Y: y, W: full, H: 2}, ink.Fill{Paper: c.look.soft}, 0)
		c.d.Rect("glance edge", ink.Box{X: margin, Y: y + strip - 2, W: full, H: 2}, ink.Fill{Paper: c.look.soft}, 0)
		c.days(from, until, x, y+strip, strip)
		c.pins(x, y, symbols, strip)
	}}
}

// glanceFrom is the beginning of the day on which something is to be seen first.
func (c *chart) glanceFrom() time.Time {
	y, m, d := c.from().In(c.opts.Place.Zone).Date()
	return c.local(y, m, d, 0)
}

// days names the days below the line, each or every second or third, as they fit.
func (c *chart) days(from, until time.Time, x func(time.Time) float64, y, strip float64) {
	type day struct {
		at    time.Time
		label string
	}
	var all []day
	at := from
	for at.Before(until) && len(all) < 400 {
		yy, m, d := at.Date()
		all = append(all, day{at, c.words.weekday(at)})
		at = c.local(yy, m, d+1, 0)
	}
	style := c.look.quiet(small)
	var widths []float64
	for _, d := range all {
		widths = append(widths, c.d.Width(d.label, style))
	}
	slices.Sort(widths)
	step := 1 // by the usual name: a longer one is left out
	for step < 7 && x(all[0].at.Add(time.Duration(step)*24*time.Hour))-margin < widths[len(widths)/2]+10 {
		step++
	}
	for i, d := range all {
		left := x(d.at)
		c.d.Rect("glance day", ink.Box{X: min(left, margin+full-2), Y: y - strip, W: 2, H: strip + 8}, ink.Fill{Paper: c.look.soft}, 0)
		right := margin + full
		if i+step < len(all) {
			right = x(all[i+step].at)
		}
		if w := c.d.Width(d.label, style); i%step == 0 && left+6+w <= right {
			c.d.Write("glance day words", left+6, y+2, d.label, style)
		}
	}
}

// pins are the moments that count: a line through the days, with its symbol above.
func (c *chart) pins(x func(time.Time) float64, y, room, strip float64) {
	const size = 30.0
	end := margin - 6.0
	all := c.moments()
	all = slices.DeleteFunc(all, func(m moment) bool { return m.name == "ready" })
	for i, m := range all {
		at := x(m.at)
		rest := float64(len(all)-i-1) * (size + 6) // room for those that follow
		left := min(max(at-size/2, end+6), margin+full-size-rest)
		end = left + size
		c.d.Rect("glance "+m.name, ink.Box{X: min(max(at-2, margin), margin+full-4), Y: y - 4, W: 4, H: strip + 4}, ink.Fill{Paper: m.color}, 0)
		c.d.Draw("glance "+m.name+" symbol", m.symbol, ink.Box{X: left, Y: y - room, W: size, H: size}, m.color)
	}
}
