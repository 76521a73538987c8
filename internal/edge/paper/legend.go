package paper

import (
	"strconv"
	"strings"

	"benyomo/internal/idea/dialog"
)

// band is a strip of words and symbols above or under a picture.
type band struct {
	nodes []node
	lines []placedLine
	rules []float64 // heights of thin lines across
	h     float64
}

type placedLine struct {
	line
	at point // upper edge of its beginning
}

func (b band) draw(p *pen, x, y float64) {
	if b.h == 0 {
		return
	}
	p.WriteString("<g>\n")
	p.dx, p.dy, p.scale = x, y, 1
	for _, r := range b.rules {
		p.WriteString(`<path d="M` + p.at(point{0, r}) + "L" + p.at(point{sheetWidth, r}) + `" stroke="#000" stroke-width="0.7"/>` + "\n")
	}
	for _, n := range b.nodes {
		p.outline(n)
		if n.shape == connector {
			p.WriteString(`<circle cx="` + num(p.x(n.at.x)) + `" cy="` + num(p.y(n.at.y)) + `" r="` + num(n.w/2) + `" fill="#fff" stroke="#000" stroke-width="1.3"/>`)
			p.lines(n.at, n.lines)
		}
	}
	for _, l := range b.lines {
		p.text(l.at.x, l.at.y, "start", l.line)
		p.WriteByte('\n')
	}
	p.dx, p.dy, p.scale = 0, 0, 0
	p.WriteString("</g>\n")
}

var (
	titleText = face{size: 19, bold: true}
	noteText  = face{size: 11}
)

// heading is the title, and from what it was drawn.
func (d *drawing) heading(i int) band {
	w, t := d.chart.words, d.chart.tree
	var b band
	for _, l := range titleText.wrap(w.text(t.Name), sheetWidth) {
		b.lines = append(b.lines, placedLine{line{text: l, face: titleText}, point{0, b.h}})
		b.h += titleText.height()
	}
	b.h += 2
	notes := []string{
		w.say("kind-id", "id", t.Kind.S), w.say("language", "name", w.languageName()), w.say("logic", "hash", t.Logic()), w.say("words", "hash", t.Words(w.Lang)),
	}
	if len(d.sheets) > 1 {
		notes = append([]string{w.say("sheet", "n", i+1, "most", len(d.sheets))}, notes...)
	}
	x := 0.0
	for _, n := range notes {
		wide := noteText.width(n)
		if x > 0 && x+wide > sheetWidth {
			x, b.h = 0, b.h+noteText.height()
		}
		b.lines = append(b.lines, placedLine{line{text: n, face: noteText}, point{x, b.h}})
		x += wide + 18
	}
	b.h += noteText.height() + 4
	b.rules = append(b.rules, b.h)
	return b
}

// languageName is the language's own name for itself.
func (w words) languageName() string {
	for _, l := range w.pack.Languages {
		if l.Code.S == w.Lang {
			return l.Name.S
		}
	}
	return w.Lang
}

// legend explains the symbols that the drawing uses.
func (d *drawing) legend() band {
	used := map[shape]bool{terminator: true}
	bars := false
	for _, s := range d.sheets {
		for _, pp := range s.pieces {
			for _, n := range pp.nodes {
				used[n.shape] = true
				bars = bars || n.bars
			}
		}
	}
	return legendOf(d.chart.words, used, bars)
}

func legendOf(w words, used map[shape]bool, bars bool) band {
	b := band{rules: []float64{0}, h: 8}
	x := noteText.width(w.say("legend")) + 20
	b.lines = append(b.lines, placedLine{line{text: w.say("legend"), face: face{size: noteText.size, bold: true}}, point{0, b.h + 3}})
	const rowHeight = 25.0
	add := func(n node, words string) {
		wide := n.w + 6 + noteText.width(words)
		if x > 0 && x+wide > sheetWidth {
			x, b.h = 0, b.h+rowHeight
		}
		n.at = point{x + n.w/2, b.h + 10}
		b.nodes = append(b.nodes, n)
		b.lines = append(b.lines, placedLine{line{text: words, face: noteText}, point{x + n.w + 6, b.h + 3}})
		x += wide + 18
	}
	for _, s := range []struct {
		shape shape
		key   string
	}{{terminator, "legend-end"}, {process, "legend-first"}, {decision, "legend-question"}, {preparation, "legend-switch"}, {predefined, "legend-purpose"}} {
		if used[s.shape] {
			add(node{box: box{shape: s.shape, w: 44, h: 19}}, w.say(s.key))
		}
	}
	if bars {
		add(node{box: box{shape: decision, w: 52, h: 21, bars: true}}, w.say("legend-shared"))
	}
	if used[connector] {
		add(node{box: box{shape: connector, w: 19, h: 19, lines: []line{{text: w.letter(0), face: face{size: 11, bold: true}}}}}, w.say("legend-connector"))
	}
	b.h += rowHeight - 3
	return b
}

// names are the title of a sheet, and its content in words for those who do not see it.
func (d *drawing) names(i int) (name, about string) {
	w, c := d.chart.words, d.chart
	item := w.text(c.tree.Name)
	name = w.say("chart-title", "item", item)
	if len(d.sheets) > 1 {
		name = w.say("chart-sheet", "item", item, "n", i+1, "most", len(d.sheets))
	}
	if d.opts.Anchor != "" {
		return name, w.say("in-words")
	}
	var rows []string
	if i == 0 {
		if first := w.text(c.tree.First); first != "" {
			rows = append(rows, w.say("desc-first", "text", first))
		}
		if c.start.end != nil {
			rows = append(rows, w.say("desc-begins", "to", d.inWords(c.start.end, -1, i)))
		}
	}
	for _, p := range c.places {
		if d.on[p.index] != i {
			continue
		}
		var ways []string
		for _, e := range p.exits {
			to := -1
			if e.to != nil {
				to = c.indexOf(e.to)
			}
			ways = append(ways, w.say("desc-way", "label", e.label, "to", d.inWords(e.end, to, i)))
		}
		rows = append(rows, w.say("desc-step", "n", p.index+1, "text", c.text(p.step), "ways", strings.Join(ways, " ")))
	}
	return name, strings.Join(rows, "\n")
}

// inWords says where a line leads.
func (d *drawing) inWords(end *dialog.Outcome, to, here int) string {
	w := d.chart.words
	switch {
	case end != nil:
		return w.say("outcome", "n", strconv.Itoa(d.chart.number[end.ID])) + ", " + w.say("verdict-"+end.Whether.S)
	case d.on[to] != here:
		return w.say("desc-to-sheet", "n", to+1, "sheet", d.on[to]+1)
	}
	return w.say("desc-to-step", "n", to+1)
}

// indexOf is the place of a step.
func (c *chart) indexOf(s *dialog.Step) int {
	for _, p := range c.places {
		if p.step == s {
			return p.index
		}
	}
	return -1
}
