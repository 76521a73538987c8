package paper

// clutter counts the pairs of lines of a piece that cross, though they have no end in common: where many do, nobody can follow them.
func (p *piece) clutter() int {
	runs := make([][]point, len(p.links))
	for i, l := range p.links {
		runs[i] = flatten(l.curve)
	}
	n := 0
	for i, a := range p.links {
		for j, b := range p.links[:i] {
			if a.from != b.from && a.to != b.to && a.from != b.to && a.to != b.from && meet(runs[i], runs[j]) {
				n++
			}
		}
	}
	return n
}

// flatten makes a curve a chain of straight pieces.
func flatten(c []point) []point {
	const pieces = 8
	out := c[:1:1]
	for i := 1; i+2 < len(c); i += 3 {
		a, b, d, e := c[i-1], c[i], c[i+1], c[i+2]
		for k := 1; k <= pieces; k++ {
			t := float64(k) / pieces
			u := 1 - t
			out = append(out, point{
				u*u*u*a.x + 3*u*u*t*b.x + 3*u*t*t*d.x + t*t*t*e.x,
				u*u*u*a.y + 3*u*u*t*b.y + 3*u*t*t*d.y + t*t*t*e.y,
			})
		}
	}
	return out
}

// meet reports whether two chains cross.
func meet(a, b []point) bool {
	for i := 1; i < len(a); i++ {
		for j := 1; j < len(b); j++ {
			if cross(a[i-1], a[i], b[j-1], b[j]) {
				return true
			}
		}
	}
	return false
}

// cross reports whether two straight pieces cross.
func cross(a, b, c, d point) bool {
	if max(a.x, b.x) < min(c.x, d.x) || max(c.x, d.x) < min(a.x, b.x) || max(a.y, b.y) < min(c.y, d.y) || max(c.y, d.y) < min(a.y, b.y) {
		return false
	}
	side := func(p, q, r point) float64 { return (q.x-p.x)*(r.y-p.y) - (q.y-p.y)*(r.x-p.x) }
	return side(a, b, c)*side(a, b, d) < 0 && side(c, d, a)*side(c, d, b) < 0
}
