// Package linear weighs features: a linear model of classes (multinomial logistic regression), its trainer, and its file. It knows
// nothing of texts or kinds: what a feature is, and what is done with the likelihoods, is the business of the package find.
//
// Everything is deterministic to the last bit on every machine: no clock, no random source but a fixed one, no fused or
// platform's own arithmetic.
package linear

import "slices"

// Feature is something that holds of an example, and how much.
type Feature struct {
	Name  string
	Value float64 // mostly up to 1
}

// Input is what is known of an example.
type Input struct {
	All []Feature            // each class has its own weight for these
	Own map[string][]Feature // class → what holds between it and the example: the weights are shared by all classes
}

// Example is an input with the classes that are right for it, all as right as each other.
type Example struct {
	Input
	Right  []string
	Weight float64 // how much it counts; 1 is usual
}

// Family names classes that have a weight in common beside each one's own, so that what is true of all of them is learned from all.
type Family struct {
	Name    string
	Classes []string
}

// Model has the weights. It never changes once it is made: many may use it at once.
type Model struct {
	classes []string
	columns []string // the classes, then the families
	member  [][]int  // class → columns of its families
	rows    map[string][]cell
	shared  map[string]float64 // of the features between a class and an example
}

// cell is one weight of a feature.
type cell struct {
	column int
	weight float64
}

// Classes lists the classes in the order of their columns.
func (m *Model) Classes() []string { return slices.Clone(m.classes) }

// Weigh gives the likelihood of every class, in the order of Classes; together they are 1.
func (m *Model) Weigh(in Input) []float64 {
	sums := make([]float64, len(m.columns))
	for _, f := range in.All {
		for _, c := range m.rows[f.Name] {
			sums[c.column] += float64(c.weight * f.Value)
		}
	}
	out := make([]float64, len(m.classes))
	for i, class := range m.classes {
		out[i] = sums[i]
		for _, c := range m.member[i] {
			out[i] += sums[c]
		}
		for _, f := range in.Own[class] {
			out[i] += float64(m.shared[f.Name] * f.Value)
		}
	}
	softmax(out)
	return out
}

// softmax turns scores into likelihoods.
func softmax(scores []float64) {
	most := slices.Max(scores)
	sum := 0.0
	for i, s := range scores {
		scores[i] = exp(s - most)
		sum += scores[i]
	}
	for i := range scores {
		scores[i] /= sum
	}
}

// exp is e to the power of x, for x up to 0. The platforms' own functions differ in the last bit; this one does not: e^x is (e^(x/1024))^1024
// with the first terms of the series, right to seven digits.
func exp(x float64) float64 {
	if x < -60 {
		return 0
	}
	y := x / 1024
	e := 1 + float64(y*(1+float64(y/2*(1+float64(y/3*(1+float64(y/4*(1+y/5))))))))
	for range 10 {
		e = float64(e * e)
	}
	return e
}
