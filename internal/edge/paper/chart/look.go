package chart

import (
	"image/color"

	"benyomo/internal/edge/paper/ink"
)

// look is the colours of a picture. None of them says anything that a pattern, a symbol or a word does not say too.
type look struct {
	paper, ink, soft, grid  color.RGBA
	head, headInk           color.RGBA // of the bar above a day
	work, workInk           color.RGBA
	heat, heatInk, heatEdge color.RGBA
	wait, waitInk, waitEdge color.RGBA
	rest, restInk           color.RGBA
	night, nightInk         color.RGBA
	done, now, meal, finish color.RGBA // of lines and symbols
	onLine                  color.RGBA // of words on a line's label
}

func rgb(v uint32) color.RGBA { return color.RGBA{uint8(v >> 16), uint8(v >> 8), uint8(v), 255} }

var light = look{
	paper: rgb(0xffffff), ink: rgb(0x16181d), soft: rgb(0x454b54), grid: rgb(0xc4c9d0),
	head: rgb(0x24344a), headInk: rgb(0xffffff),
	work: rgb(0x174a7c), workInk: rgb(0xffffff),
	heat: rgb(0xfff0d6), heatInk: rgb(0xd9690f), heatEdge: rgb(0x8a3a00),
	wait: rgb(0xffffff), waitInk: rgb(0x6a717c), waitEdge: rgb(0x4a515b),
	rest: rgb(0xeee6f8), restInk: rgb(0xb9a3da), night: rgb(0xe3e9f1), nightInk: rgb(0xb4c0d0),
	done: rgb(0x146c2e), now: rgb(0xb00020), meal: rgb(0x6a1b9a), finish: rgb(0x14532d), onLine: rgb(0xffffff),
}

var dark = look{
	paper: rgb(0x14171c), ink: rgb(0xf2f4f7), soft: rgb(0xc3c9d2), grid: rgb(0x444c57),
	head: rgb(0xd5e1f2), headInk: rgb(0x14171c),
	work: rgb(0x8ec5ff), workInk: rgb(0x0b1a2a),
	heat: rgb(0x3a2410), heatInk: rgb(0xe88a35), heatEdge: rgb(0xffc48a),
	wait: rgb(0x14171c), waitInk: rgb(0xa9b1bd), waitEdge: rgb(0xc3c9d2),
	rest: rgb(0x2c2440), restInk: rgb(0x6d5a97), night: rgb(0x222a36), nightInk: rgb(0x4a576b),
	done: rgb(0x7ddc95), now: rgb(0xff8a94), meal: rgb(0xdcaaf5), finish: rgb(0x8fe0ab), onLine: rgb(0x14171c),
}

// text is a style on the paper.
func (l look) text(size float64, bold bool) ink.Style {
	return ink.Style{Size: size, Bold: bold, Ink: l.ink, On: l.paper}
}

// quiet is a style for what matters less.
func (l look) quiet(size float64) ink.Style { return ink.Style{Size: size, Ink: l.soft, On: l.paper} }

// bar is how a task of the sort is filled.
func (l look) bar(s sort) ink.Fill {
	switch s {
	case work:
		return ink.Fill{Paper: l.work}
	case heat:
		return ink.Fill{Paper: l.heat, Pattern: ink.Diagonals, Ink: l.heatInk, Edge: l.heatEdge, Width: 3}
	}
	return ink.Fill{Paper: l.wait, Pattern: ink.Dotted, Ink: l.waitInk, Edge: l.waitEdge, Width: 2, Dashed: true}
}

// symbol is that of the sort.
func (s sort) symbol() ink.Symbol {
	return [...]ink.Symbol{work: ink.Person, heat: ink.Flame, wait: ink.Hourglass}[s]
}

// name is how marks of the sort are called.
func (s sort) name() string { return [...]string{work: "work", heat: "heat", wait: "wait"}[s] }

func (l look) resting() ink.Fill {
	return ink.Fill{Paper: l.rest, Pattern: ink.Crosses, Ink: l.restInk}
}
func (l look) sleeping() ink.Fill {
	return ink.Fill{Paper: l.night, Pattern: ink.Strokes, Ink: l.nightInk}
}
