package ink

import (
	"image"
	"image/color"
	"math"
)

// Pattern tells areas apart without colour.
type Pattern int

// The patterns.
const (
	Plain     Pattern = iota
	Diagonals         // broad, rising
	Dotted
	Stripes // upright, narrow and far apart
	Strokes // level, narrow and far apart
	Crosses // falling and rising
)

// weave is a pattern over the whole picture, so that areas that touch go on in each other.
type weave struct {
	pattern Pattern
	ink     color.RGBA
	bounds  image.Rectangle
}

func (w weave) ColorModel() color.Model { return color.RGBAModel }
func (w weave) Bounds() image.Rectangle { return w.bounds }

// At is the ink as far as it covers the dot.
func (w weave) At(x, y int) color.Color {
	c := w.cover(float64(x)+0.5, float64(y)+0.5)
	part := func(v uint8) uint8 { return uint8(float64(v)*c + 0.5) }
	return color.RGBA{part(w.ink.R), part(w.ink.G), part(w.ink.B), part(w.ink.A)}
}

// cover is how much of the dot is ink, from 0 to 1.
func (w weave) cover(x, y float64) float64 {
	switch w.pattern {
	case Diagonals:
		return lineCover((x+y)/math.Sqrt2, 9, 4)
	case Dotted:
		dx, dy := fold(x, 10), fold(y, 10)
		return clamp(2.2 + 0.5 - math.Hypot(dx, dy))
	case Stripes:
		return lineCover(x, 12, 2)
	case Strokes:
		return lineCover(y, 10, 2)
	case Crosses:
		return max(lineCover((x+y)/math.Sqrt2, 10, 2), lineCover((x-y)/math.Sqrt2, 10, 2))
	}
	return 0
}

// fold is the distance to the nearest multiple of the period.
func fold(v, period float64) float64 {
	r := math.Mod(v, period)
	if r < 0 {
		r += period
	}
	return min(r, period-r)
}

// lineCover is that of lines of a width, at every period.
func lineCover(v, period, width float64) float64 { return clamp(width/2 + 0.5 - fold(v, period)) }

func clamp(v float64) float64 { return min(1, max(0, v)) }
