package ink

import (
	"image/color"
	"math"
)

// Symbol draws itself in a square.
type Symbol func(*pen)

// pen draws a symbol. Its places are in hundredths of the square's side.
type pen struct {
	p   *painter
	box Box
	ink color.RGBA
}

func (n *pen) at(x, y float64) point {
	return point{n.box.X + x*n.box.W/100, n.box.Y + y*n.box.H/100}
}

func (n *pen) area() Box { return inset(n.box, -n.box.W/4) }

// path fills a shape. Each entry is a line to its last point; with two points it is a quadratic curve, with three a cubic one.
func (n *pen) path(parts ...[]float64) {
	n.p.fill(n.area(), n.ink, func(o *outline) {
		for i, c := range parts {
			switch {
			case i == 0:
				o.move(n.at(c[0], c[1]))
			case len(c) == 2:
				o.line(n.at(c[0], c[1]))
			case len(c) == 4:
				o.quad(n.at(c[0], c[1]), n.at(c[2], c[3]))
			default:
				o.cube(n.at(c[0], c[1]), n.at(c[2], c[3]), n.at(c[4], c[5]))
			}
		}
		o.close()
	})
}

// disc fills a circle.
func (n *pen) disc(x, y, r float64) {
	c := n.at(x, y)
	r *= n.box.W / 100
	n.p.fill(n.area(), n.ink, rounded(Box{c.x - r, c.y - r, 2 * r, 2 * r}, r))
}

// bar draws a straight line with round ends.
func (n *pen) bar(x0, y0, x1, y1, width float64) {
	dx, dy := x1-x0, y1-y0
	l := math.Hypot(dx, dy)
	nx, ny := -dy/l*width/2, dx/l*width/2
	n.path([]float64{x0 + nx, y0 + ny}, []float64{x1 + nx, y1 + ny}, []float64{x1 - nx, y1 - ny}, []float64{x0 - nx, y0 - ny})
	n.disc(x0, y0, width/2)
	n.disc(x1, y1, width/2)
}

// Person is somebody at work.
func Person(n *pen) {
	n.disc(50, 22, 19)
	n.path([]float64{12, 96}, []float64{12, 48, 50, 48}, []float64{88, 48, 88, 96})
}

// Flame is heat.
func Flame(n *pen) {
	n.path([]float64{54, 2}, []float64{60, 26, 88, 36, 86, 66}, []float64{84, 90, 66, 98, 50, 98}, []float64{30, 98, 14, 86, 14, 64},
		[]float64{14, 46, 26, 38, 30, 26}, []float64{38, 34, 38, 42, 40, 46}, []float64{50, 36, 56, 22, 54, 2})
}

// Hourglass is waiting.
func Hourglass(n *pen) {
	n.path([]float64{14, 2}, []float64{86, 2}, []float64{86, 12}, []float64{14, 12})
	n.path([]float64{14, 88}, []float64{86, 88}, []float64{86, 98}, []float64{14, 98})
	n.path([]float64{22, 16}, []float64{78, 16}, []float64{78, 34, 55, 50}, []float64{78, 66, 78, 84}, []float64{22, 84}, []float64{22, 66, 45, 50}, []float64{22, 34, 22, 16})
}

// Tick is something done.
func Tick(n *pen) {
	n.bar(12, 54, 38, 82, 17)
	n.bar(38, 82, 90, 18, 17)
}

// Cross is something that is not possible.
func Cross(n *pen) {
	n.bar(16, 16, 84, 84, 17)
	n.bar(84, 16, 16, 84, 17)
}

// Moon is night.
func Moon(n *pen) {
	n.path([]float64{62, 4}, []float64{30, 2, 6, 24, 6, 52}, []float64{6, 80, 28, 98, 52, 98}, []float64{74, 98, 90, 84, 95, 68},
		[]float64{86, 74, 78, 75, 70, 75}, []float64{48, 75, 36, 58, 36, 42}, []float64{36, 24, 46, 12, 62, 4})
}

// Candles are a day of rest.
func Candles(n *pen) {
	for _, x := range []float64{27, 73} {
		n.path([]float64{x - 11, 42}, []float64{x + 11, 42}, []float64{x + 11, 98}, []float64{x - 11, 98})
		n.path([]float64{x, 0}, []float64{x + 4, 12, x + 13, 16, x + 13, 26}, []float64{x + 13, 36, x - 13, 36, x - 13, 26}, []float64{x - 13, 16, x - 4, 12, x, 0})
	}
}

// Bowl is a hot meal.
func Bowl(n *pen) {
	n.path([]float64{4, 52}, []float64{96, 52}, []float64{96, 80, 76, 96, 50, 96}, []float64{24, 96, 4, 80, 4, 52})
	for _, x := range []float64{28, 50, 72} {
		n.bar(x-4, 40, x+4, 28, 9)
		n.bar(x+4, 28, x-4, 16, 9)
		n.bar(x-4, 16, x+3, 5, 9)
	}
}

// NoBowl is an end of hot use.
func NoBowl(n *pen) {
	Bowl(n)
	n.bar(9, 92, 92, 8, 12)
}

// Flag is the finish.
func Flag(n *pen) {
	n.path([]float64{12, 2}, []float64{24, 2}, []float64{24, 98}, []float64{12, 98})
	n.path([]float64{28, 6}, []float64{94, 6}, []float64{76, 30}, []float64{94, 54}, []float64{28, 54})
}

// Clock is now.
func Clock(n *pen) {
	for i := range 24 {
		a, b := float64(i)*math.Pi/12, float64(i+1)*math.Pi/12
		n.bar(50+40*math.Sin(a), 50-40*math.Cos(a), 50+40*math.Sin(b), 50-40*math.Cos(b), 14)
	}
	n.bar(50, 50, 50, 26, 11)
	n.bar(50, 50, 68, 60, 11)
}
