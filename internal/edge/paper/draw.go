package paper

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// svg writes one sheet.
func (d *drawing) svg(i int) []byte {
	s, w := d.sheets[i], d.chart.words
	head, legend := d.heading(i), d.legend()
	if d.opts.Bare {
		head, legend = band{}, band{}
	}
	margin := 4.0 // so that outlines at the rim are not cut
	top := margin
	if head.h > 0 {
		top += head.h + 12
	}
	height := top + s.height + margin
	if legend.h > 0 {
		height += 16 + legend.h
	}
	full := sheetWidth + 2*margin

	p := &pen{flip: w.rtl(), width: full}
	name, about := d.names(i)
	id := d.opts.Anchor
	if id == "" {
		id = d.chart.tree.Kind.S + "-" + w.Lang
	}
	id += "-sheet-" + strconv.Itoa(i+1)
	role := "img"
	if d.opts.Anchor != "" {
		role = "group" // it holds links
	}
	size := ""
	if !d.opts.Bare {
		size = fmt.Sprintf(` width="%smm" height="%smm"`, num(full*unit), num(height*unit))
	}
	fmt.Fprintf(p, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s"%s xml:lang="%s" lang="%s" direction="%s" role="%s" aria-labelledby="%s-title" aria-describedby="%s-desc" font-family="sans-serif" fill="#000">`+"\n",
		num(full), num(height), size, clean(w.Lang), clean(w.Lang), w.direction(), role, clean(id), clean(id))
	fmt.Fprintf(p, "<title id=\"%s-title\">%s</title>\n<desc id=\"%s-desc\">%s</desc>\n", clean(id), clean(name), clean(id), clean(about))
	if !d.opts.Bare {
		fmt.Fprintf(p, `<rect width="%s" height="%s" fill="#fff"/>`+"\n", num(full), num(height))
	}
	head.draw(p, margin, margin)
	for _, pp := range s.pieces {
		x := margin + pp.at.x + (sheetWidth-s.rows[pp.row].w)/2
		d.drawPiece(p, pp, point{x, top + pp.at.y})
	}
	legend.draw(p, margin, height-margin-legend.h)
	p.WriteString("</svg>\n")
	return p.Bytes()
}

// unit is the length of a unit of a sheet that stands by itself, in mm: A4 and Letter then keep margins of 12 mm or more.
const unit = 0.22

// pen writes SVG. All places are given as for a script that runs from left to right; for the other it mirrors them.
type pen struct {
	bytes.Buffer
	flip  bool
	width float64
	dx    float64
	dy    float64
	scale float64
}

func (p *pen) x(x float64) float64 {
	if p.scale > 0 {
		x = p.dx + x*p.scale
	}
	if p.flip {
		return p.width - x
	}
	return x
}

func (p *pen) y(y float64) float64 {
	if p.scale > 0 {
		return p.dy + y*p.scale
	}
	return y
}

func (p *pen) at(q point) string { return num(p.x(q.x)) + " " + num(p.y(q.y)) }

// factor is how much smaller things are drawn.
func (p *pen) factor() float64 {
	if p.scale > 0 {
		return p.scale
	}
	return 1
}

func num(f float64) string {
	f = math.Round(f*10) / 10
	if f == 0 {
		f = 0 // no minus zero
	}
	return strconv.FormatFloat(f, 'f', -1, 64)
}

// drawPiece draws a piece: lines first, for words and symbols lie over them.
func (d *drawing) drawPiece(p *pen, pp placedPiece, at point) {
	p.dx, p.dy, p.scale = at.x, at.y, pp.scale
	p.WriteString(`<g fill="none" stroke="#000" stroke-width="1">` + "\n")
	for _, l := range pp.links {
		p.curve(l.curve)
	}
	p.WriteString("</g>\n<g>\n")
	for _, l := range pp.links {
		if l.arrow {
			p.arrow(l.curve)
		}
	}
	p.WriteString("</g>\n")
	for _, n := range pp.nodes {
		d.node(p, n)
	}
	p.dx, p.dy, p.scale = 0, 0, 0
}

func (p *pen) curve(c []point) {
	fmt.Fprintf(p, `<path d="M%s`, p.at(c[0]))
	for i := 1; i+2 < len(c); i += 3 {
		fmt.Fprintf(p, "C%s %s %s", p.at(c[i]), p.at(c[i+1]), p.at(c[i+2]))
	}
	p.WriteString("\"/>\n")
}

// arrow draws the head at the end of a curve, in the direction in which the curve ends.
func (p *pen) arrow(c []point) {
	tip := c[len(c)-1]
	back := c[len(c)-2]
	for i := len(c) - 2; i >= 0 && math.Hypot(tip.x-back.x, tip.y-back.y) < 1; i-- {
		back = c[i]
	}
	length := math.Hypot(tip.x-back.x, tip.y-back.y)
	if length == 0 {
		return
	}
	ux, uy := (tip.x-back.x)/length, (tip.y-back.y)/length
	const long, wide = 7.0, 3.2
	left := point{tip.x - long*ux - wide*uy, tip.y - long*uy + wide*ux}
	right := point{tip.x - long*ux + wide*uy, tip.y - long*uy - wide*ux}
	fmt.Fprintf(p, "<path d=\"M%sL%sL%sZ\"/>\n", p.at(tip), p.at(left), p.at(right))
}

// node draws a symbol with its words.
func (d *drawing) node(p *pen, n node) {
	if n.link != "" {
		fmt.Fprintf(p, "<a href=\"#%s\">", clean(n.link))
	} else {
		p.WriteString("<g>")
	}
	if n.shape == connector {
		d.connector(p, n)
	} else {
		p.outline(n)
		p.words(n)
	}
	if n.link != "" {
		p.WriteString("</a>\n")
	} else {
		p.WriteString("</g>\n")
	}
}

// connector draws the circle with its letter, and beside it on which sheet it goes on.
func (d *drawing) connector(p *pen, n node) {
	mid, words := n.at, n.at
	half := smallText.height() / 2
	if n.into {
		mid.y, words.y = mid.y+half, words.y-circle
	} else {
		mid.y, words.y = mid.y-half, words.y+circle
	}
	fmt.Fprintf(p, `<circle cx="%s" cy="%s" r="%s" fill="#fff" stroke="#000" stroke-width="1.3"/>`, num(p.x(mid.x)), num(p.y(mid.y)), num(circle*p.factor()))
	p.lines(mid, []line{{text: d.letters[n.goes], face: letters}})
	if ref := d.reference(n); ref != "" {
		p.lines(words, []line{{text: ref, face: smallText}})
	}
}

// reference says on which sheet a connector goes on, or from which it comes; nothing where there is but one sheet.
func (d *drawing) reference(n node) string {
	w := d.chart.words
	if len(d.sheets) == 1 {
		return ""
	}
	here := d.on[n.goes]
	if !n.into {
		return w.say("to-sheet", "n", here+1)
	}
	var from []string
	for i := range d.sheets {
		for _, f := range d.chart.places[n.goes].from {
			if d.on[f] == i && d.piece[f] != d.piece[n.goes] {
				from = append(from, strconv.Itoa(i+1))
				break
			}
		}
	}
	return w.say("from-sheet", "n", strings.Join(from, w.say("list-and")))
}

// outline draws the symbol around the words.
func (p *pen) outline(n node) {
	const style = `fill="#fff" stroke="#000" stroke-width="1.3"`
	side, top := min(sideTip, n.w/4), min(topTip, n.h/4) // small ones stand in the legend
	l, r, t, b := n.at.x-n.w/2, n.at.x+n.w/2, n.at.y-n.h/2, n.at.y+n.h/2
	rect := func(radius float64, style string) {
		x := min(p.x(l), p.x(r))
		fmt.Fprintf(p, `<rect x="%s" y="%s" width="%s" height="%s" rx="%s" %s/>`, num(x), num(p.y(t)), num(n.w*p.factor()), num(n.h*p.factor()), num(radius*p.factor()), style)
	}
	poly := func(corners ...point) {
		p.WriteString(`<polygon points="`)
		for i, c := range corners {
			if i > 0 {
				p.WriteByte(' ')
			}
			p.WriteString(p.at(c))
		}
		fmt.Fprintf(p, `" %s/>`, style)
	}
	bars := func(in, down float64) {
		fmt.Fprintf(p, `<path d="M%sL%sM%sL%s" fill="none" stroke="#000" stroke-width="1.3"/>`,
			p.at(point{l + in, t + down}), p.at(point{l + in, b - down}), p.at(point{r - in, t + down}), p.at(point{r - in, b - down}))
	}
	switch n.shape {
	case noShape:
		rect(0, `fill="#fff"`)
	case terminator:
		rect(min(roundEnd, n.h/2), style)
	case process:
		rect(0, style)
	case predefined:
		rect(0, style)
		bars(barInset, 0)
	case preparation:
		poly(point{l, n.at.y}, point{l + side, t}, point{r - side, t}, point{r, n.at.y}, point{r - side, b}, point{l + side, b})
		if n.bars {
			bars(side, 0)
		}
	case decision:
		poly(point{l, n.at.y}, point{l + side, t + top}, point{n.at.x, t}, point{r - side, t + top},
			point{r, n.at.y}, point{r - side, b - top}, point{n.at.x, b}, point{l + side, b - top})
		if n.bars {
			bars(side, top)
		}
	}
}

// words writes the words of a box.
func (p *pen) words(n node) {
	if len(n.lines) == 0 || n.lines[0].from == 0 {
		p.lines(n.at, n.lines)
		return
	}
	y := n.at.y - n.h/2 + labelPad
	for _, l := range n.lines {
		p.text(n.at.x-n.w/2+labelPad+l.from-1, y, "start", l)
		y += l.face.height()
	}
}

// lines writes lines around a middle. Each is a text of its own: the order of letters in a right-to-left line is then the reader's
// business alone, whatever lines stand around it.
func (p *pen) lines(mid point, lines []line) {
	h := 0.0
	for _, l := range lines {
		h += l.face.height()
	}
	y := mid.y - h/2
	for _, l := range lines {
		p.text(mid.x, y, "middle", l)
		y += l.face.height()
	}
}

// text writes one line; y is its upper edge.
func (p *pen) text(x, y float64, anchor string, l line) {
	const base = 0.97 // of the font's size, from the upper edge of a line to where its letters stand
	bold := ""
	if l.face.bold {
		bold = ` font-weight="bold"`
	}
	fmt.Fprintf(p, `<text x="%s" y="%s" font-size="%s" text-anchor="%s"%s>%s</text>`,
		num(p.x(x)), num(p.y(y+l.face.size*base)), num(l.face.size*p.factor()), anchor, bold, clean(l.text))
}
