package linear

import (
	"math"
	"slices"
)

// Training says how a model is trained.
type Training struct {
	Epochs int     // how often all examples are gone through
	Rate   float64 // how far a step goes
	Shrink float64 // how strongly weights are drawn to nothing
	Least  int     // a feature of fewer examples is not learned
	Slight float64 // a mistake in a likelihood that is too small to learn from: it keeps most weights at nothing, and the file small
}

// trainer is a model while it is trained.
type trainer struct {
	Training
	m      *Model
	ids    map[string]int
	names  []string
	w, sq  [][]float64 // feature → column: the weight, and the squares of its steps so far
	shared map[string]int
	sname  []string
	sw, ss []float64
	mean   [][]float64 // of the weights of several rounds
	smean  []float64
	known  map[string]int // class → its place
}

// input is an example with its features as numbers.
type input struct {
	ids    []int
	values []float64
	own    [][]pair // class → shared features
	target []float64
	weight float64
}

type pair struct {
	id    int
	value float64
}

// Train makes a model of the examples.
func Train(classes []string, families []Family, examples []Example, how Training) *Model {
	t := &trainer{Training: how, m: frame(classes, families), ids: map[string]int{}, shared: map[string]int{}, known: map[string]int{}}
	for i, c := range classes {
		t.known[c] = i
	}
	inputs := t.inputs(examples)
	order := make([]int, len(inputs))
	for i := range order {
		order[i] = i
	}
	dice := uint64(1)
	for epoch := range how.Epochs {
		for i := len(order) - 1; i > 0; i-- { // the order is shuffled, always in the same way
			dice = dice*6364136223846793005 + 1442695040888963407
			j := int((dice >> 33) % uint64(i+1))
			order[i], order[j] = order[j], order[i]
		}
		for _, i := range order {
			t.step(inputs[i])
		}
		if epoch >= how.Epochs/2 {
			t.sum()
		}
	}
	return t.done()
}

func frame(classes []string, families []Family) *Model {
	m := &Model{classes: slices.Clone(classes), columns: slices.Clone(classes), rows: map[string][]cell{}, shared: map[string]float64{}}
	m.member = make([][]int, len(classes))
	for _, f := range families {
		for i, c := range classes {
			if slices.Contains(f.Classes, c) {
				m.member[i] = append(m.member[i], len(m.columns))
			}
		}
		m.columns = append(m.columns, f.Name)
	}
	return m
}

// inputs numbers the features.
func (t *trainer) inputs(examples []Example) []input {
	seen := map[string]int{}
	for _, e := range examples {
		for _, f := range e.All {
			seen[f.Name]++
		}
	}
	out := make([]input, 0, len(examples))
	for _, e := range examples {
		in := input{weight: e.Weight, own: make([][]pair, len(t.m.classes)), target: make([]float64, len(t.m.classes))}
		for _, f := range e.All {
			if seen[f.Name] < t.Least {
				continue
			}
			id, ok := t.ids[f.Name]
			if !ok {
				id = len(t.names)
				t.ids[f.Name] = id
				t.names = append(t.names, f.Name)
				t.w, t.sq = append(t.w, make([]float64, len(t.m.columns))), append(t.sq, make([]float64, len(t.m.columns)))
			}
			in.ids, in.values = append(in.ids, id), append(in.values, f.Value)
		}
		for i, class := range t.m.classes {
			for _, f := range e.Own[class] {
				id, ok := t.shared[f.Name]
				if !ok {
					id = len(t.sname)
					t.shared[f.Name] = id
					t.sname, t.sw, t.ss = append(t.sname, f.Name), append(t.sw, 0), append(t.ss, 0)
				}
				in.own[i] = append(in.own[i], pair{id, f.Value})
			}
		}
		for _, c := range e.Right {
			in.target[t.known[c]] = 1 / float64(len(e.Right))
		}
		out = append(out, in)
	}
	return out
}

// step goes a step downhill for one example, by less the further a weight has come (AdaGrad).
func (t *trainer) step(in input) {
	n := len(t.m.columns)
	sums := make([]float64, n)
	for x, id := range in.ids {
		v := in.values[x]
		for c, w := range t.w[id] {
			sums[c] += float64(w * v)
		}
	}
	p := make([]float64, len(t.m.classes))
	for i := range p {
		p[i] = sums[i]
		for _, c := range t.m.member[i] {
			p[i] += sums[c]
		}
		for _, f := range in.own[i] {
			p[i] += float64(t.sw[f.id] * f.value)
		}
	}
	softmax(p)
	slope := make([]float64, n)
	for i := range p {
		slope[i] = float64((p[i] - in.target[i]) * in.weight)
		for _, c := range t.m.member[i] {
			slope[c] += slope[i]
		}
		for _, f := range in.own[i] {
			g := float64(slope[i]*f.value) + float64(t.Shrink*t.sw[f.id])
			t.ss[f.id] += float64(g * g)
			t.sw[f.id] -= float64(t.Rate*g) / (1e-6 + math.Sqrt(t.ss[f.id]))
		}
	}
	for x, id := range in.ids {
		v, w, sq := in.values[x], t.w[id], t.sq[id]
		for c, s := range slope {
			if math.Abs(s) < t.Slight {
				continue
			}
			g := float64(s*v) + float64(t.Shrink*w[c])
			sq[c] += float64(g * g)
			w[c] -= float64(t.Rate*g) / (1e-6 + math.Sqrt(sq[c]))
		}
	}
}

// sum adds the weights to the mean that the model will have: of the second half of the rounds, as the weights of one lean on the order of its examples.
func (t *trainer) sum() {
	if t.mean == nil {
		t.mean, t.smean = make([][]float64, len(t.w)), make([]float64, len(t.sw))
		for id := range t.w {
			t.mean[id] = make([]float64, len(t.w[id]))
		}
	}
	share := 1 / float64(t.Epochs-t.Epochs/2)
	for id, row := range t.w {
		for c, w := range row {
			t.mean[id][c] += float64(w * share)
		}
	}
	for id, w := range t.sw {
		t.smean[id] += float64(w * share)
	}
}

func (t *trainer) done() *Model {
	for id, name := range t.names {
		var row []cell
		for c, w := range t.mean[id] {
			if w != 0 {
				row = append(row, cell{c, w})
			}
		}
		if row != nil {
			t.m.rows[name] = row
		}
	}
	for id, name := range t.sname {
		t.m.shared[name] = t.smean[id]
	}
	return t.m
}
