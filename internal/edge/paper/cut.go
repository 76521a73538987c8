package paper

import (
	"fmt"
	"slices"

	"benyomo/internal/idea/dialog"
)

// cutter cuts a chart into pieces that each fit a sheet. Where a line is cut, both ends get a connector.
type cutter struct {
	chart *chart
	opts  Options
	memo  map[string]*piece // laid out pieces by their places; nil where they do not fit
	err   error
}

// cut lays out the whole chart, piece by piece, each with the places that it holds.
func (k *cutter) cut() ([]*piece, [][]int, error) {
	c := k.chart
	if c.start.to < 0 {
		p := k.build(nil, form{})
		return []*piece{p}, [][]int{nil}, p.lay()
	}
	var pieces []*piece
	var holds [][]int
	placed := make([]bool, len(c.places))
	for e := range c.places {
		if placed[e] {
			continue
		}
		set := k.grow(e, placed) // all that lead to e are placed: the order sees to that
		pieces, holds = append(pieces, k.whole(set)), append(holds, set)
		for _, i := range set {
			placed[i] = true
		}
		if k.err != nil {
			return nil, nil, k.err
		}
	}
	return pieces, holds, nil
}

// grow takes as many places into the piece that begins at e as a sheet holds. It takes a branch whole where it can; a branch that is too
// large for what is left of the sheet but not for one of its own is left for that.
func (k *cutter) grow(e int, placed []bool) []int {
	set := []int{e}
	refused := map[int]bool{}
	for grown := true; grown && k.err == nil; {
		grown = false
		for c := e + 1; c < len(k.chart.places); c++ {
			if refused[c] || placed[c] || slices.Contains(set, c) || !k.leads(set, c) || !k.ready(set, placed, c) {
				continue
			}
			branch := k.branch(set, placed, c)
			if with := union(set, branch); k.fits(with) {
				set, grown = with, true
				break
			}
			if with := union(set, []int{c}); !k.fits(branch) && k.fits(with) {
				set, grown = with, true
				break
			}
			refused[c] = true
		}
	}
	return set
}

// leads reports whether a place of the set leads to c.
func (k *cutter) leads(set []int, c int) bool {
	return slices.ContainsFunc(k.chart.places[c].from, func(f int) bool { return slices.Contains(set, f) })
}

// ready reports whether all that lead to c are placed or in the set.
func (k *cutter) ready(set []int, placed []bool, c int) bool {
	return !slices.ContainsFunc(k.chart.places[c].from, func(f int) bool { return !placed[f] && !slices.Contains(set, f) })
}

// branch is c with everything that is reached by way of it alone, once the set is there.
func (k *cutter) branch(set []int, placed []bool, c int) []int {
	out := []int{c}
	for d := c + 1; d < len(k.chart.places); d++ {
		if !placed[d] && k.leads(out, d) && k.ready(union(set, out), placed, d) {
			out = append(out, d)
		}
	}
	return out
}

func union(a, b []int) []int {
	out := slices.Concat(a, b)
	slices.Sort(out)
	return slices.Compact(out)
}

// fits reports whether the places fit one sheet.
func (k *cutter) fits(set []int) bool { return k.fitting(set) != nil }

func (k *cutter) fitting(set []int) *piece {
	key := fmt.Sprint(set)
	if p, ok := k.memo[key]; ok {
		return p
	}
	k.memo[key] = nil
	var best *piece
	for _, f := range []form{{}, {ownEnds: true}} {
		p := k.build(set, f)
		if p.area() > fullest*sheetWidth*sheetHeight || p.tallest() > k.height(set) {
			continue // it need not be laid out
		}
		if err := p.lay(); err != nil {
			k.err = err
			return nil
		}
		if p.w > sheetWidth || p.h > k.height(set) {
			continue
		}
		p.crossings = p.clutter()
		if best == nil || p.crossings < best.crossings {
			best = p
		}
		if p.crossings <= fewCrossings {
			break
		}
	}
	if best != nil && (best.crossings <= mostCrossings || len(set) == 1) {
		k.memo[key] = best
	}
	return k.memo[key]
}

// height is the most that a piece of the places may take.
func (k *cutter) height(set []int) float64 {
	if slices.Contains(set, k.chart.start.to) {
		return firstHeight
	}
	return sheetHeight
}

// fullest is the share of a sheet above which boxes are not known to fit: lines and ranks take the rest. Of the built-in
// dialogs' pieces that fit, none fills more than 0.33.
const fullest = 0.36

// Lines that cross: up to so many nothing is tried against them, and with more than so many a piece is too cluttered to be read.
const (
	fewCrossings  = 0
	mostCrossings = 2
)

// form is how a piece is built.
type form struct {
	ownEnds bool // each step has outcomes and connectors of its own, where otherwise all share them
	stagger int  // the ends of one step hang at different heights: 0 is one height, 1 is two, 2 is three
}

// whole is the piece of the places, even where a single step is too large for a sheet: it is then the one that shrinks least.
func (k *cutter) whole(set []int) *piece {
	if p := k.fitting(set); p != nil {
		return p
	}
	var best *piece
	for s := range 3 {
		p := k.build(set, form{stagger: s})
		if err := p.lay(); err != nil {
			k.err = err
			return p
		}
		if best == nil || p.shrink() > best.shrink() {
			best = p
		}
	}
	return best
}

// shrink is the factor by which the piece must be drawn smaller to fit, at most 1.
func (p *piece) shrink() float64 { return min(1, sheetWidth/p.w, sheetHeight/p.h) }

// area is that of the boxes.
func (p *piece) area() float64 {
	a := 0.0
	for _, n := range p.nodes {
		a += n.w * n.h
	}
	return a
}

// tallest is the height below which no layout of the boxes can stay: that of the highest column of boxes that lead one to the next.
func (p *piece) tallest() float64 {
	next := make([][]int, len(p.nodes))
	for _, l := range p.links {
		next[l.from] = append(next[l.from], l.to)
	}
	memo := make([]float64, len(p.nodes))
	var below func(int) float64
	below = func(i int) float64 {
		if memo[i] == 0 {
			h := 0.0
			for _, n := range next[i] {
				h = max(h, rankGap+below(n))
			}
			memo[i] = p.nodes[i].h + h
		}
		return memo[i]
	}
	h := 0.0
	for i := range p.nodes {
		h = max(h, below(i))
	}
	return h
}

// build makes the boxes and lines of the places, not yet laid out.
func (k *cutter) build(set []int, f form) *piece {
	b := &builder{cutter: k, form: f, piece: &piece{}, set: set, steps: map[int]int{}, ends: map[string]int{}, outs: map[int]int{}}
	b.begin()
	for _, i := range set {
		b.step(i)
	}
	for _, i := range set {
		if f.ownEnds {
			clear(b.ends)
			clear(b.outs)
		}
		b.ways(k.chart.places[i])
	}
	b.hang(f.stagger)
	return b.piece
}

// builder makes one piece.
type builder struct {
	*cutter
	form
	piece *piece
	set   []int
	steps map[int]int    // place → node
	ends  map[string]int // outcome → node
	outs  map[int]int    // place on another piece → node of the connector to it
	last  []twig
}

// twig is the last link of a way, which may be made longer.
type twig struct{ step, link, node int }

func (b *builder) node(x box) int {
	b.piece.nodes = append(b.piece.nodes, node{box: x})
	return len(b.piece.nodes) - 1
}

func (b *builder) link(from, to int, arrow bool) int {
	b.piece.links = append(b.piece.links, link{from: from, to: to, arrow: arrow, length: 1})
	return len(b.piece.links) - 1
}

// begin draws the start, where it belongs to this piece.
func (b *builder) begin() {
	c := b.chart
	if c.start.to >= 0 && !slices.Contains(b.set, c.start.to) {
		return
	}
	lines := append([]line{{text: c.words.say("start"), face: boxHead}}, setText(boxText, c.words.text(c.tree.Name), narrowBox, wideBox)...)
	at := b.node(newBox(terminator, lines))
	if first := c.words.text(c.tree.First); first != "" {
		next := b.node(newBox(process, setText(boxText, first, narrowBox, wideBox*1.4)))
		b.link(at, next, true)
		at = next
	}
	if c.start.end != nil {
		b.link(at, b.outcome(c.start.end), true)
		return
	}
	b.link(at, b.step(c.start.to), true)
}

// step draws a place, with a connector where other pieces lead to it.
func (b *builder) step(i int) int {
	if at, ok := b.steps[i]; ok {
		return at
	}
	p := b.chart.places[i]
	x := b.chart.sized(p, func() box { return b.chart.stepBox(p) })
	if b.opts.Anchor != "" {
		x.link = stepAnchor(b.opts.Anchor, p.step)
	}
	b.steps[i] = b.node(x)
	if slices.ContainsFunc(p.from, func(f int) bool { return !slices.Contains(b.set, f) }) {
		b.link(b.node(newConnector(i, true)), b.steps[i], true)
	}
	return b.steps[i]
}

// ways draws what leads out of a place.
func (b *builder) ways(p *place) {
	for i := range p.ways {
		w := &p.ways[i]
		label := b.node(b.chart.sized(w, func() box { return labelBox(w.labels) }))
		b.link(b.steps[p.index], label, false)
		to := -1
		switch {
		case w.end != nil:
			to = b.outcome(w.end)
		case slices.Contains(b.set, w.to):
			to = b.steps[w.to]
		default:
			to = b.out(w.to)
		}
		b.last = append(b.last, twig{p.index, b.link(label, to, true), to})
	}
}

func (b *builder) outcome(o *dialog.Outcome) int {
	if at, ok := b.ends[o.ID]; ok {
		return at
	}
	x := b.chart.sized(o, func() box { return b.chart.outcomeBox(o) })
	if b.opts.Anchor != "" {
		x.link = outcomeAnchor(b.opts.Anchor, o)
	}
	b.ends[o.ID] = b.node(x)
	return b.ends[o.ID]
}

func (b *builder) out(i int) int {
	if at, ok := b.outs[i]; ok {
		return at
	}
	b.outs[i] = b.node(newConnector(i, false))
	return b.outs[i]
}

// hang lets the ends that one step alone leads to hang at different heights: none, two or three.
func (b *builder) hang(levels int) {
	if levels == 0 {
		return
	}
	into := map[int]int{}
	for _, l := range b.piece.links {
		into[l.to]++
	}
	hung := map[int]int{}
	for _, t := range b.last {
		if b.piece.nodes[t.node].shape == terminator && into[t.node] == 1 {
			b.piece.links[t.link].length = 1 + hung[t.step]%(levels+1)
			hung[t.step]++
		}
	}
}

// outcomeBox is the symbol of an outcome: its number, what it comes to, and what it says first.
func (c *chart) outcomeBox(o *dialog.Outcome) box {
	head := []line{{text: c.words.say("outcome", "n", c.number[o.ID]), face: boxHead}, {text: c.words.say("verdict-" + o.Whether.S), face: boxHead}}
	return newBox(terminator, append(head, setText(boxText, c.words.text(o.Headline), narrowBox+20, wideOutcome)...))
}
