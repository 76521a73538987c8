package chart

import (
	"cmp"
	"image/color"
	"slices"

	"benyomo/internal/edge/paper/ink"
)

// pages divides the flow among sheets and draws them. Each sheet has the title and the legend, so that it stands by itself.
func (c *chart) pages() []*ink.Drawing {
	legend := c.legend()
	top := margin + 64.0
	room := float64(cmp.Or(c.opts.Tall, Tallest)) - top - legend.h - margin
	var sheets [][]element
	var now []element
	used := 0.0
	turn := func() {
		sheets, now, used = append(sheets, now), nil, 0
	}
	for i, e := range c.flow {
		need := e.h // with what has to stay with it
		for j := i; c.flow[j].keep && j+1 < len(c.flow); j++ {
			need += c.flow[j+1].h
		}
		if used > 0 && used+need > room {
			turn()
		}
		if e.head != nil && len(now) == 0 {
			now, used = append(now, *e.head), used+e.head.h
		}
		now, used = append(now, e), used+e.h
	}
	turn()
	var out []*ink.Drawing
	for i, s := range sheets {
		c.d = c.d.Next()
		c.titled(i, len(sheets))
		legend.draw(top)
		y := top + legend.h
		for _, e := range s {
			e.draw(y)
			y += e.h
		}
		c.d.H = int(y + margin)
		out = append(out, c.d)
	}
	return out
}

// titled is the title of a sheet.
func (c *chart) titled(i, n int) {
	style := c.look.text(title, true)
	c.d.Write("title", margin, margin-6, c.words.Say("title"), style)
	if n > 1 {
		quiet := c.look.quiet(body)
		text := c.words.Say("page", "n", i+1, "of", n)
		c.d.Write("page", margin+full-c.d.Width(text, quiet), margin+8, text, quiet)
	}
}

// sample is one thing that the legend explains.
type sample struct {
	key    string
	fill   ink.Fill
	symbol ink.Symbol
	color  color.RGBA
}

// legend explains patterns and symbols: patterns in two columns, and below them the symbols that stand alone.
func (c *chart) legend() element {
	l := c.look
	return stack(
		c.legendOf(2, 78, []sample{
			{"legend-work", l.bar(work), ink.Person, l.workInk},
			{"legend-heat", l.bar(heat), ink.Flame, l.ink},
			{"legend-wait", l.bar(wait), ink.Hourglass, l.ink},
			{"legend-done", ink.Fill{Paper: l.paper, Edge: l.done, Width: 4}, ink.Tick, l.done},
			{"legend-rest", l.resting(), ink.Candles, l.ink},
			{"legend-night", l.sleeping(), ink.Moon, l.ink},
		}),
		c.legendOf(4, 34, []sample{
			{"legend-meal", ink.Fill{}, ink.Bowl, l.meal},
			{"legend-last", ink.Fill{}, ink.NoBowl, l.meal},
			{"legend-finish", ink.Fill{}, ink.Flag, l.finish},
			{"legend-now", ink.Fill{}, ink.Clock, l.now},
		}),
		element{h: 12, draw: func(y float64) {
			c.d.Rect("legend end", ink.Box{X: margin, Y: y, W: full, H: 2}, ink.Fill{Paper: l.grid}, 0)
		}},
	)
}

// stack is several elements as one.
func stack(parts ...element) element {
	h := 0.0
	for _, p := range parts {
		h += p.h
	}
	return element{h: h, draw: func(y float64) {
		for _, p := range parts {
			p.draw(y)
			y += p.h
		}
	}}
}

// legendOf sets samples of a width in columns.
func (c *chart) legendOf(columns int, tile float64, samples []sample) element {
	const tileHeight, gap = 40.0, 8.0
	style := c.look.quiet(small)
	column := full / float64(columns)
	type cell struct {
		sample
		lines []string
		x, y  float64
	}
	var cells []cell
	y := 0.0
	for line := range slices.Chunk(samples, columns) {
		h := tileHeight
		for i, s := range line {
			lines := c.d.Wrap(c.words.Say(s.key), style, column-tile-20)
			h = max(h, float64(len(lines))*style.Height())
			cells = append(cells, cell{s, lines, margin + float64(i)*column, y})
		}
		y += h + gap
	}
	return element{h: y, draw: func(top float64) {
		for _, s := range cells {
			box := ink.Box{X: s.x, Y: top + s.y, W: tile, H: tileHeight}
			in := ink.Box{X: s.x + (tile-28)/2, Y: top + s.y + 6, W: 28, H: 28}
			if s.fill != (ink.Fill{}) {
				c.d.Rect(s.key, box, s.fill, 6)
			}
			if s.key == "legend-heat" || s.key == "legend-wait" {
				c.d.Rect("legend disc", ink.Box{X: in.X - 3, Y: in.Y - 3, W: 34, H: 34}, ink.Fill{Paper: c.look.paper}, 17)
				in = ink.Box{X: in.X + 3, Y: in.Y + 3, W: 22, H: 22}
			}
			c.d.Draw(s.key+" symbol", s.symbol, in, s.color)
			below := max(0, (tileHeight-float64(len(s.lines))*style.Height())/2)
			for i, line := range s.lines {
				c.d.Write("legend", s.x+tile+12, top+s.y+below+float64(i)*style.Height(), line, style)
			}
		}
	}}
}
