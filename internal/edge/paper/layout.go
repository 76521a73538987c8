package paper

import (
	"bytes"
	"context"
	"fmt"
	"strconv"
	"strings"
	"sync"

	"github.com/goccy/go-graphviz"
)

// inch is Graphviz' unit of length, in units of the drawing.
const inch = 72.0

// Gaps between boxes: beside each other, and above each other.
const (
	nodeGap = 11.5
	rankGap = 13.0
)

// engine is the one Graphviz of the process. It is a machine with a single memory, and so is used by one at a time.
var engine struct {
	sync.Mutex
	dot *graphviz.Graphviz
}

// point is a place on the sheet, in units of the drawing, from its upper left.
type point struct{ x, y float64 }

// node is a box at its place.
type node struct {
	box
	at point // its middle
}

// link joins two nodes of a piece. Between them runs a curve.
type link struct {
	from, to int
	length   int     // ranks that it spans at least
	arrow    bool    // it ends in an arrow
	curve    []point // start, then three points for each Bézier curve
}

// piece is a connected part of a picture, laid out by itself.
type piece struct {
	nodes []node
	links []link
	w, h  float64

	crossings int // pairs of lines that cross
}

// lay places the nodes and bends the links. Graphviz sees boxes without words.
func (p *piece) lay() error {
	var src strings.Builder
	fmt.Fprintf(&src, "digraph{graph[rankdir=TB,nodesep=%.3f,ranksep=%.3f,margin=0];node[shape=box,fixedsize=true,label=\"\"];edge[arrowhead=none,tailport=s,headport=n];\n", nodeGap/inch, rankGap/inch)
	for i, n := range p.nodes {
		fmt.Fprintf(&src, "n%d[width=%.4f,height=%.4f];\n", i, n.w/inch, n.h/inch)
	}
	for _, l := range p.links {
		fmt.Fprintf(&src, "n%d->n%d[minlen=%d];\n", l.from, l.to, max(1, l.length))
	}
	src.WriteString("}\n")
	plain, err := runDot(src.String())
	if err != nil {
		return err
	}
	return p.place(plain)
}

// runDot gives a graph's layout in Graphviz' plain format.
func runDot(src string) (string, error) {
	engine.Lock()
	defer engine.Unlock()
	ctx := context.Background()
	if engine.dot == nil {
		g, err := graphviz.New(ctx)
		if err != nil {
			return "", fmt.Errorf("start the layout engine: %w", err)
		}
		engine.dot = g
	}
	graph, err := graphviz.ParseBytes([]byte(src))
	if err != nil {
		return "", fmt.Errorf("hand the graph to the layout engine: %w", err)
	}
	var out bytes.Buffer
	err = engine.dot.Render(ctx, graph, "plain", &out)
	if closed := graph.Close(); err == nil {
		err = closed
	}
	if err != nil {
		return "", fmt.Errorf("lay out the graph: %w", err)
	}
	return out.String(), nil
}

// place takes positions and curves over from a layout in the plain format: `graph scale w h`, then
// `node name x y w h …` and `edge tail head n x1 y1 … xn yn …`, in inches from the lower left (Graphviz, output format "plain").
func (p *piece) place(plain string) error {
	between := map[[2]int]int{}
	for i, l := range p.links {
		between[[2]int{l.from, l.to}] = i
	}
	nodes, links := 0, 0
	for _, row := range strings.Split(plain, "\n") {
		r := &fields{list: strings.Fields(row)}
		switch r.word() {
		case "graph":
			r.number()
			p.w, p.h = r.number()*inch, r.number()*inch
		case "node":
			if i := r.name(); r.err == nil && i < len(p.nodes) {
				p.nodes[i].at = point{r.number() * inch, p.h - r.number()*inch}
				nodes++
			}
		case "edge":
			at, known := between[[2]int{r.name(), r.name()}]
			if n := int(r.number()); r.err == nil && known {
				curve := make([]point, n)
				for i := range curve {
					curve[i] = point{r.number() * inch, p.h - r.number()*inch}
				}
				p.links[at].curve = curve
				if n >= 4 && n%3 == 1 {
					links++
				}
			}
		}
		if r.err != nil {
			return fmt.Errorf("read the layout: %w", r.err)
		}
	}
	if nodes != len(p.nodes) || links != len(p.links) {
		return fmt.Errorf("read the layout: it has %d of %d boxes and %d of %d lines", nodes, len(p.nodes), links, len(p.links))
	}
	return nil
}

// fields reads the fields of a row, and keeps the first failure.
type fields struct {
	list []string
	err  error
}

func (f *fields) word() string {
	if len(f.list) == 0 {
		return ""
	}
	w := f.list[0]
	f.list = f.list[1:]
	return w
}

func (f *fields) number() float64 {
	v, err := strconv.ParseFloat(f.word(), 64)
	if err != nil && f.err == nil {
		f.err = err
	}
	return v
}

func (f *fields) name() int {
	n, err := strconv.Atoi(strings.TrimPrefix(f.word(), "n"))
	if err != nil && f.err == nil {
		f.err = err
	}
	return n
}
