package plan

import "slices"

// twins finds tasks that differ in nothing, also of items that differ in nothing: of them only one order is searched.
//
// Let two items have the same tasks with the same links. In any schedule the earlier of each pair of tasks can be given to the
// one item and the later to the other: positions stay, so that nothing is taken twice; links within an item hold, for of two
// pairs that respect a lag the lesser and the greater ones do too; and as a use counts the greatest of its tasks' positions,
// the sum of both does not grow.
func (x *exact) twins() {
	x.twin = make([]int, len(x.start))
	groups := x.groups()
	for j := range x.twin {
		x.twin[j] = -1
	}
	for b := range groups {
		for a := b - 1; a >= 0; a-- {
			if !x.alike(groups[a], groups[b]) {
				continue
			}
			for i, j := range groups[b] {
				if !x.plain[j] {
					x.twin[j] = groups[a][i]
				}
			}
			break
		}
	}
}

// groups are the tasks that are exchanged together: those of one item. Rounds, and what counts for several uses, stand alone.
func (x *exact) groups() [][]int {
	items := make([][]int, len(x.net.kitchen.Items))
	var out [][]int
	for j := range x.net.tasks {
		if t := &x.net.tasks[j]; t.item >= 0 && len(t.terms) < 2 {
			items[t.item] = append(items[t.item], j)
		} else {
			out = append(out, []int{j})
		}
	}
	for _, tasks := range items {
		if len(tasks) > 0 {
			out = append(out, tasks)
		}
	}
	return out
}

// alike reports whether two groups differ in nothing.
func (x *exact) alike(a, b []int) bool {
	if len(a) != len(b) {
		return false
	}
	other := func(k int) int { // a task of a stands for that of b
		if i := slices.Index(b, k); i >= 0 {
			return a[i]
		}
		return k
	}
	for i := range a {
		s, t := &x.net.tasks[a[i]], &x.net.tasks[b[i]]
		if s.shape != t.shape || s.capUse != t.capUse || s.tail != t.tail || !slices.Equal(s.segs, t.segs) || s.release != t.release ||
			x.latest[a[i]] != x.latest[b[i]] || len(s.before) != len(t.before) || len(s.after) != len(t.after) || len(s.terms) != len(t.terms) {
			return false
		}
		for m := range s.terms {
			p, q := s.terms[m], t.terms[m]
			if p.lag != q.lag || len(s.terms) > 1 && p.use != q.use || x.net.meal && (p.use == 0) != (q.use == 0) {
				return false
			}
		}
		for _, l := range t.before {
			if slices.Contains(a, l.task) || !slices.ContainsFunc(s.before, func(m link) bool { return m.task == other(l.task) && m.lag == l.lag }) {
				return false
			}
		}
		for _, k := range t.after {
			if slices.Contains(a, k) || !slices.Contains(s.after, other(k)) || x.lag(k, b[i]) != x.lag(other(k), a[i]) {
				return false
			}
		}
	}
	return true
}

// lag is that of the link from a task to one placed before it.
func (x *exact) lag(of, to int) int32 {
	for _, l := range x.net.tasks[of].before {
		if l.task == to {
			return l.lag
		}
	}
	return -1
}
