package chart

import (
	"image/color"

	"benyomo/internal/edge/paper/ink"
)

// label says what a bar is: a symbol and words, below the bar.
type label struct {
	symbols []ink.Symbol
	color   color.RGBA
	lines   []string
	x, w    float64
	line    int // of the labels' lines in the row, the first that it takes
}

// labels places what is said of a row's bars: each as near as may be below the beginning of its bar, in the first line in which
// there is room.
func (c *chart) labels(b *band, r row) (out []label, lines int) {
	var ends []float64
	put := func(l label, at float64) {
		l.x = max(laneFrom, min(at, laneFrom+lane-l.w))
		for l.line = 0; l.line < len(ends) && (ends[l.line] > l.x || len(l.lines) > 1); {
			l.line++
		}
		for len(ends) < l.line+len(l.lines) {
			ends = append(ends, 0)
		}
		for i := range l.lines {
			ends[l.line+i] = l.x + l.w + 22
		}
		out = append(out, l)
	}
	if r.last {
		put(c.label([]ink.Symbol{ink.NoBowl}, c.look.meal, c.words.Say("last-use-label", "time", c.clock(r.strand.last.At))), b.x(r.strand.last.At))
	}
	for _, t := range r.shown {
		if t.long() && !b.holds(t.Begins) && len(r.shown) > 1 {
			continue // the bar says it, and the label at its beginning did
		}
		x0, _ := b.span(t.Begins, t.Ends)
		put(c.labelOf(b, t), x0)
	}
	return out, len(ends)
}

// labelOf says a task.
func (c *chart) labelOf(b *band, t *task) label {
	var text string
	step := c.words.Step(t.Name)
	if t.long() || t.Ends.After(b.until) || t.Begins.Before(b.from) {
		text = c.words.Say("wait-until", "from", c.soon(t.Begins, b.from), "step", step, "until", c.soon(t.Ends, b.from))
	} else {
		text = c.words.Say("span", "from", c.clock(t.Begins), "until", c.clock(t.Ends), "step", step)
	}
	symbols, color := []ink.Symbol{t.sort.symbol()}, c.look.ink
	switch {
	case t.Done && t.Name != idle:
		symbols, color = []ink.Symbol{ink.Tick}, c.look.done
	case t.sort == work:
		for range min(t.Uses["hands"], 4) - 1 {
			symbols = append(symbols, ink.Person)
		}
	}
	return c.label(symbols, color, text)
}

// label breaks the words, where the row is too narrow for them.
func (c *chart) label(symbols []ink.Symbol, color color.RGBA, text string) label {
	style := c.look.text(small, false)
	before := float64(len(symbols)) * (iconSize + 4)
	l := label{symbols: symbols, color: color, lines: c.d.Wrap(text, style, lane-before-4)}
	for _, s := range l.lines {
		l.w = max(l.w, before+4+c.d.Width(s, style))
	}
	return l
}

// draw puts the label at a height.
func (l label) draw(c *chart, y float64) {
	style := c.look.text(small, false)
	x := l.x
	for _, s := range l.symbols {
		c.d.Draw("step symbol", s, ink.Box{X: x, Y: y + 3, W: iconSize - 2, H: iconSize - 2}, l.color)
		x += iconSize + 4
	}
	for i, s := range l.lines {
		c.d.Write("step", x+4, y+float64(i)*style.Height(), s, style)
	}
}
