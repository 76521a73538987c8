package ink

import (
	"image"
	"image/color"
	"math"

	"golang.org/x/image/vector"
)

type point struct{ x, y float64 }

// painter puts shapes on a picture.
type painter struct {
	img *image.RGBA
	ras vector.Rasterizer
}

// outline is a shape that is being drawn, in dots of the picture.
type outline struct {
	ras  *vector.Rasterizer
	x, y float64 // of the rasterizer's corner
}

func (o *outline) move(a point) { o.ras.MoveTo(float32(a.x-o.x), float32(a.y-o.y)) }
func (o *outline) line(a point) { o.ras.LineTo(float32(a.x-o.x), float32(a.y-o.y)) }
func (o *outline) quad(a, b point) {
	o.ras.QuadTo(float32(a.x-o.x), float32(a.y-o.y), float32(b.x-o.x), float32(b.y-o.y))
}

func (o *outline) cube(a, b, c point) {
	o.ras.CubeTo(float32(a.x-o.x), float32(a.y-o.y), float32(b.x-o.x), float32(b.y-o.y), float32(c.x-o.x), float32(c.y-o.y))
}
func (o *outline) close() { o.ras.ClosePath() }

// fill paints an outline within the box with a colour.
func (p *painter) fill(b Box, c color.RGBA, draw func(*outline)) {
	p.fillFrom(b, image.NewUniform(c), draw)
}

// fillFrom paints an outline within the box from another picture, dot by dot.
func (p *painter) fillFrom(b Box, src image.Image, draw func(*outline)) {
	r := image.Rect(int(math.Floor(b.X)), int(math.Floor(b.Y)), int(math.Ceil(b.X+b.W)), int(math.Ceil(b.Y+b.H))).Intersect(p.img.Bounds())
	if r.Empty() {
		return
	}
	p.ras.Reset(r.Dx(), r.Dy())
	draw(&outline{&p.ras, float64(r.Min.X), float64(r.Min.Y)})
	p.ras.Draw(p.img, r, src, r.Min)
}

// polygon draws straight lines from point to point.
func polygon(points []point) func(*outline) {
	return func(o *outline) {
		for i, a := range points {
			if i == 0 {
				o.move(a)
			} else {
				o.line(a)
			}
		}
		o.close()
	}
}

// rounded draws a rectangle with round corners.
func rounded(b Box, r float64) func(*outline) {
	return func(o *outline) {
		const k = 0.5523 // of a quarter of a circle
		x0, y0, x1, y1, c := b.X, b.Y, b.X+b.W, b.Y+b.H, r*(1-k)
		o.move(point{x0 + r, y0})
		o.line(point{x1 - r, y0})
		o.cube(point{x1 - c, y0}, point{x1, y0 + c}, point{x1, y0 + r})
		o.line(point{x1, y1 - r})
		o.cube(point{x1, y1 - c}, point{x1 - c, y1}, point{x1 - r, y1})
		o.line(point{x0 + r, y1})
		o.cube(point{x0 + c, y1}, point{x0, y1 - c}, point{x0, y1 - r})
		o.line(point{x0, y0 + r})
		o.cube(point{x0, y0 + c}, point{x0 + c, y0}, point{x0 + r, y0})
		o.close()
	}
}

// inset is a smaller box.
func inset(b Box, by float64) Box {
	return Box{b.X + by, b.Y + by, max(0, b.W-2*by), max(0, b.H-2*by)}
}

// shape paints ground, pattern and outline of a mark.
func (p *painter) shape(m Mark) {
	f := m.Fill
	inner, r := m.Box, m.round
	path := rounded(inner, r)
	if m.points != nil {
		path = polygon(m.points)
	} else if f.Width > 0 && f.Edge.A > 0 {
		if !f.Dashed {
			p.fill(m.Box, f.Edge, rounded(m.Box, r))
			inner, r = inset(m.Box, f.Width), max(0, r-f.Width)
			path = rounded(inner, r)
		}
	}
	if f.Paper.A > 0 {
		p.fill(inner, f.Paper, path)
	}
	if f.Pattern != Plain {
		p.fillFrom(inner, weave{f.Pattern, f.Ink, p.img.Bounds()}, path)
	}
	if f.Dashed && f.Edge.A > 0 {
		for _, d := range dashes(m.Box, f.Width) {
			p.fill(d, f.Edge, rounded(d, 0))
		}
	}
}

// dashes are the pieces of a dashed outline inside the box.
func dashes(b Box, w float64) []Box {
	const on, off = 9.0, 6.0
	var out []Box
	run := func(n float64, piece func(from, length float64) Box) {
		for at := 0.0; at < n; at += on + off {
			out = append(out, piece(at, min(on, n-at)))
		}
	}
	run(b.W, func(at, n float64) Box { return Box{b.X + at, b.Y, n, w} })
	run(b.W, func(at, n float64) Box { return Box{b.X + at, b.Y + b.H - w, n, w} })
	run(b.H, func(at, n float64) Box { return Box{b.X, b.Y + at, w, n} })
	run(b.H, func(at, n float64) Box { return Box{b.X + b.W - w, b.Y + at, w, n} })
	return out
}
