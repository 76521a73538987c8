package chart

import (
	"time"

	"benyomo/internal/edge/paper/ink"
)

// Measures of a band.
const (
	dayHeight  = 46.0
	axisHeight = 38.0
	pinHeight  = 42.0
	barHeight  = 36.0
	barGap     = 6.0
	thinHeight = 14.0 // of long waits
	rowPad     = 7.0
	iconSize   = 26.0

	mostNameLines = 5 // of a name beside its bars
)

// band puts a band into the flow: its head, and its rows.
func (c *chart) band(b *band) {
	head := c.bandHead(b)
	c.put(head)
	for i, r := range b.rows {
		e := c.row(b, r)
		e.head = &head
		e.keep = i == 0 && len(b.rows) > 1
		c.put(e)
	}
	if len(b.waiting) > 0 {
		e := c.waiting(b)
		e.head = &head
		c.put(e)
	}
	c.put(element{h: 16, draw: func(y float64) {
		c.d.Rect("band end", ink.Box{X: margin, Y: y, W: full, H: 2}, ink.Fill{Paper: c.look.soft}, 0)
	}})
}

// pin is a moment within a band, with its label.
type pin struct {
	moment
	text string
	w    float64
	x    float64 // of the label
	line int
}

// pinsOf places the labels of the moments that fall into a band, so that none covers another.
func (c *chart) pinsOf(b *band) (out []pin, lines int) {
	style := c.look.text(small, true)
	var ends []float64 // of each line of labels
	for _, m := range c.moments() {
		if !b.holds(m.at) {
			continue
		}
		p := pin{moment: m, text: c.words.Say(m.name, "time", c.clock(m.at))}
		p.w = c.d.Width(p.text, style) + iconSize + 26
		p.x = max(margin, min(b.x(m.at)-p.w/2, margin+full-p.w))
		for p.line = 0; p.line < len(ends) && ends[p.line] > p.x; {
			p.line++
		}
		if p.line == len(ends) {
			ends = append(ends, 0)
		}
		ends[p.line] = p.x + p.w + 8
		out = append(out, p)
	}
	return out, len(ends)
}

// bandHead is the day, the labels of the moments that count, and the hours.
func (c *chart) bandHead(b *band) element {
	pins, lines := c.pinsOf(b)
	date := c.day(b.from)
	hours := c.words.Say("span", "from", c.clock(b.from), "until", c.clock(b.until), "step", "")
	return element{h: dayHeight + 6 + float64(lines)*pinHeight + axisHeight, keep: true, draw: func(y float64) {
		c.d.Rect("day", ink.Box{X: margin, Y: y, W: full, H: dayHeight}, ink.Fill{Paper: c.look.head}, 8)
		style := ink.Style{Size: large, Bold: true, Ink: c.look.headInk, On: c.look.head}
		c.d.Write("day words", margin+16, y+(dayHeight-style.Height())/2, date, style)
		style.Size, style.Bold = body, false
		c.d.Write("day hours", margin+full-16-c.d.Width(hours, style), y+(dayHeight-style.Height())/2, hours, style)
		y += dayHeight + 6
		bottom := y + float64(lines)*pinHeight + axisHeight
		for _, p := range pins {
			top := y + float64(p.line)*pinHeight
			c.d.Rect("line "+p.name, ink.Box{X: b.x(p.at) - 2, Y: top + 8, W: 4, H: bottom - top - 8}, ink.Fill{Paper: p.color}, 0)
		}
		c.hours(b, bottom-axisHeight)
		for _, p := range pins {
			top := y + float64(p.line)*pinHeight
			label := ink.Style{Size: small, Bold: true, Ink: c.look.onLine, On: p.color}
			c.d.Rect("label "+p.name, ink.Box{X: p.x, Y: top, W: p.w, H: pinHeight - 6}, ink.Fill{Paper: p.color}, 8)
			c.d.Draw("label "+p.name+" symbol", p.symbol, ink.Box{X: p.x + 8, Y: top + 6, W: 24, H: 24}, c.look.onLine)
			c.d.Write("label "+p.name+" words", p.x+iconSize+14, top+(pinHeight-6-label.Height())/2, p.text, label)
		}
	}}
}

// hours are the times of day above the rows.
func (c *chart) hours(b *band, y float64) {
	style := c.look.text(small, false)
	end := 0.0
	for t := b.from; !t.After(b.until); t = t.Add(time.Hour) {
		text := c.clock(t)
		w := c.d.Width(text, style)
		x := min(max(b.x(t)-w/2, laneFrom-16), margin+full-w)
		c.d.Rect("tick", ink.Box{X: min(b.x(t)-1, margin+full-2), Y: y + axisHeight - 8, W: 2, H: 8}, ink.Fill{Paper: c.look.soft}, 0)
		if x < end+10 {
			continue
		}
		c.d.Rect("hour paper", ink.Box{X: x - 3, Y: y, W: w + 6, H: axisHeight - 8}, ink.Fill{Paper: c.look.paper}, 0)
		c.d.Write("hour", x, y-2, text, style)
		end = x + w
	}
}

// ground is what lies below a row: nights, rest spans and the hours.
func (c *chart) ground(b *band, y, h float64) {
	shade := func(name string, from, until time.Time, f ink.Fill) {
		if b.touches(from, until) {
			x0, x1 := b.span(from, until)
			c.d.Rect(name, ink.Box{X: x0, Y: y, W: x1 - x0, H: h}, f, 0)
		}
	}
	for _, s := range c.sleeps(b.from, b.until) {
		shade("night ground", s[0], s[1], c.look.sleeping())
	}
	for _, s := range c.rests {
		shade("rest ground", s.Begins, s.Ends, c.look.resting())
	}
}

func (c *chart) grid(b *band, y, h float64) {
	for t := b.from; !t.After(b.until); t = t.Add(time.Hour) {
		c.d.Rect("grid", ink.Box{X: min(b.x(t)-1, margin+full-2), Y: y, W: 2, H: h}, ink.Fill{Paper: c.look.grid}, 0)
	}
	for _, m := range c.moments() {
		if b.holds(m.at) {
			c.d.Rect("line "+m.name, ink.Box{X: b.x(m.at) - 2, Y: y, W: 4, H: h}, ink.Fill{Paper: m.color}, 0)
		}
	}
}

// tracks gives each task of a row a level, so that no two bars cover each other. Long waits run along the first one, behind.
func tracks(shown []*task) (at []int, n int) {
	var ends []time.Time
	n = 1
	for _, t := range shown {
		if t.long() {
			at = append(at, 0)
			continue
		}
		i := 0
		for i < len(ends) && ends[i].After(t.Begins) {
			i++
		}
		if i == len(ends) {
			ends = append(ends, t.Ends)
		}
		ends[i] = t.Ends
		at = append(at, i)
	}
	return at, max(n, len(ends))
}

// row is the row of an item in a band: its name, its bars, and below them what they are.
func (c *chart) row(b *band, r row) element {
	at, n := tracks(r.shown)
	labels, lines := c.labels(b, r)
	style := c.look.text(body, true)
	names, above := c.d.Wrap(c.name(r.strand, r.shown), style, nameWidth), 0.0
	if len(names) > mostNameLines { // of many things together: above the bars
		names = c.d.Wrap(c.name(r.strand, r.shown), style, full)
		above = float64(len(names)) * style.Height()
	}
	bars := float64(n)*(barHeight+barGap) - barGap
	text := c.look.text(small, false)
	h := max(above+bars+6+float64(lines)*text.Height(), float64(len(names))*style.Height()+checkRoom(r)) + 2*rowPad
	return element{h: h, draw: func(y float64) {
		c.d.Rect("row", ink.Box{X: margin, Y: y, W: full, H: 2}, ink.Fill{Paper: c.look.grid}, 0)
		c.ground(b, y+2+above, rowPad+bars+4)
		c.grid(b, y+2+above, rowPad+bars+4)
		y += rowPad
		called := "name"
		if above > 0 {
			called = "names above"
		}
		for i, l := range names {
			c.d.Write(called, margin, y+float64(i)*style.Height(), l, style)
		}
		if r.done {
			c.check("done row", ink.Box{X: margin, Y: y + float64(len(names))*style.Height() + 4, W: 34, H: 34})
		}
		y += above
		for _, t := range r.shown {
			if t.long() {
				c.bar(b, t, y+(barHeight-thinHeight)/2, thinHeight)
			}
		}
		for i, t := range r.shown {
			if !t.long() {
				c.bar(b, t, y+float64(at[i])*(barHeight+barGap), barHeight)
			}
		}
		if r.last {
			c.d.Rect("use "+r.id, ink.Box{X: b.x(r.strand.last.At) - 3, Y: y - 4, W: 6, H: barHeight + 8}, ink.Fill{Paper: c.look.meal}, 0)
		}
		for _, l := range labels {
			top := y + bars + 6 + float64(l.line)*text.Height()
			l.draw(c, top)
		}
	}}
}

// checkRoom is the height of the sign of a row of which nothing is left to do.
func checkRoom(r row) float64 {
	if r.done {
		return 42
	}
	return 0
}

// check is the sign of what is done.
func (c *chart) check(name string, b ink.Box) {
	c.d.Rect(name, b, ink.Fill{Paper: c.look.done}, b.W/2)
	c.d.Draw(name+" symbol", ink.Tick, ink.Box{X: b.X + b.W*0.22, Y: b.Y + b.H*0.22, W: b.W * 0.56, H: b.H * 0.56}, c.look.onLine)
}

// bar is one task.
func (c *chart) bar(b *band, t *task, y, h float64) {
	const least = 8
	x0, x1 := b.span(t.Begins, t.Ends)
	if x1-x0 < least {
		x0 = min(x0, laneFrom+lane-least)
		x1 = x0 + least
	}
	if t.sort != wait && x1-x0 > 12 { // bars that touch stay apart
		x0, x1 = x0+1, x1-1
	}
	box := ink.Box{X: x0, Y: y, W: x1 - x0, H: h}
	fill, round := c.look.bar(t.sort), 6.0
	if t.sort == wait {
		round = 0
	}
	if t.Done && t.Name != idle {
		fill.Paper, fill.Pattern, fill.Edge, fill.Width = c.look.paper, ink.Plain, c.look.done, 4
	}
	c.d.Rect("bar "+t.sort.name(), box, fill, round)
	point := ink.Fill{Paper: c.look.waitEdge}
	if t.Begins.Before(b.from) {
		c.d.Arrow("goes back", ink.Box{X: laneFrom - 12, Y: y, W: 12, H: h}, point, false)
	}
	if t.Ends.After(b.until) {
		c.d.Arrow("goes on", ink.Box{X: laneFrom + lane, Y: y, W: 12, H: h}, point, true)
	}
	if s := 26.0; h >= barHeight && box.W >= s+6 {
		in := ink.Box{X: box.X + (box.W-s)/2, Y: y + (h-s)/2, W: s, H: s}
		switch {
		case t.Done:
			c.d.Draw("bar done", ink.Tick, in, c.look.done)
		case t.sort == work:
			c.people(t, box, in)
		default:
			disc := ink.Box{X: in.X - 4, Y: in.Y - 4, W: s + 8, H: s + 8}
			c.d.Rect("bar disc", disc, ink.Fill{Paper: c.look.paper}, disc.W/2)
			c.d.Draw("bar symbol", t.sort.symbol(), ink.Box{X: in.X + 2, Y: in.Y + 2, W: s - 4, H: s - 4}, c.look.ink)
		}
	}
}

// people are as many as stand at the work, as far as there is room.
func (c *chart) people(t *task, box, in ink.Box) {
	n := max(1, t.Uses["hands"])
	for n > 1 && float64(n)*(in.W+4) > box.W-6 {
		n--
	}
	x := in.X - float64(n-1)*(in.W+4)/2
	for range n {
		c.d.Draw("bar symbol", ink.Person, ink.Box{X: x, Y: in.Y, W: in.W, H: in.H}, c.look.workInk)
		x += in.W + 4
	}
}

// waiting names what only waits throughout the band.
func (c *chart) waiting(b *band) element {
	var ids []string
	for _, l := range b.waiting {
		ids = append(ids, l.items...)
	}
	style := c.look.quiet(small)
	const indent = 44.0
	lines := c.d.Wrap(c.words.Say("waiting", "items", c.listed(ids, " · ")), style, full-indent)
	return element{h: float64(len(lines))*style.Height() + 2*rowPad, draw: func(y float64) {
		c.d.Rect("row", ink.Box{X: margin, Y: y, W: full, H: 2}, ink.Fill{Paper: c.look.grid}, 0)
		c.d.Draw("waiting symbol", ink.Hourglass, ink.Box{X: margin + 4, Y: y + rowPad + 2, W: 26, H: 28}, c.look.waitEdge)
		for i, l := range lines {
			c.d.Write("waiting", margin+indent, y+rowPad+float64(i)*style.Height(), l, style)
		}
	}}
}
