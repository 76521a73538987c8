package plan

import "slices"

// blocks are the steps of all items in blocks that follow at once upon each other, in each item's order, then the rounds.
func (n *network) blocks() []*block {
	var out []*block
	sides := [2][]*block{} // what is boiled, dairy and meat, before it is put together
	for i, it := range n.kitchen.Items {
		row := n.rows.kind(it.Kind)
		for _, b := range n.own(i, row) {
			switch {
			case b.steps[0].isRound && !b.done && it.Side == Meat:
				sides[1] = append(sides[1], b)
			case b.steps[0].isRound && !b.done:
				sides[0] = append(sides[0], b)
			default:
				out = append(out, b)
			}
		}
	}
	for i, it := range n.kitchen.Items {
		if h := n.host(it.Kind); h >= 0 {
			lies := n.heating(out, h)
			lies.riders = append(lies.riders, i)
		}
	}
	for side, parts := range sides {
		out = append(out, n.rounds(parts, []string{markRoundDairy, markRoundMeat}[side])...)
	}
	return out
}

// host is the item in whose heating things of the kind lie, or -1.
func (n *network) host(kind string) int {
	rides := n.rows.kind(kind).rides
	if rides == "" || rides == kind {
		return -1
	}
	return slices.IndexFunc(n.kitchen.Items, func(it Item) bool { return it.Kind == rides })
}

// heating is the block of an item in which others can lie: the first after its 24 hours, or its last.
func (n *network) heating(blocks []*block, item int) *block {
	var last *block
	for _, b := range blocks {
		if b.item != item {
			continue
		}
		if b.idle {
			return b
		}
		last = b
	}
	return last
}

// slots is a number of minutes on the grid, rounded up.
func slots(minutes int) int { return (minutes + grid - 1) / grid }

// own are the blocks of one item, whose rounds are not yet put together.
func (n *network) own(i int, row *kind) []*block {
	it := n.kitchen.Items[i]
	lies := n.host(it.Kind) >= 0
	var out []*block
	for _, s := range row.steps {
		if s.alone && lies {
			continue
		}
		count := 1
		if s.each {
			count = max(it.Count, 1)
		}
		minutes := n.boil(s.minutes, s.litres) * count
		if own, ok := it.Minutes[s.name]; ok {
			minutes = own
		}
		if s.joined {
			b := out[len(out)-1]
			b.steps, b.len = append(b.steps, s), append(b.len, slots(minutes))
			b.marks = append(b.marks, s.marks...)
			b.hot, b.idle = b.hot || s.hot, b.idle || s.idle
			continue
		}
		if s.isRound {
			s.uses = n.rows.round.uses
		}
		for _, part := range n.parts(s, slots(minutes), count) {
			out = append(out, &block{item: i, steps: []stepRow{s}, len: []int{part}, name: s.name, marks: slices.Clone(s.marks), hot: s.hot, idle: s.idle})
		}
	}
	n.markDone(i, out)
	return out
}

// parts divides work that is done for each of several into parts that fit into the longest time of work, or into a round.
func (n *network) parts(s stepRow, slots, count int) []int {
	longest := n.longest()
	if s.isRound {
		longest = min(longest, n.rows.round.longest/grid)
	}
	if s.does != work || !s.each || count < 2 || slots <= longest || longest == 0 {
		return []int{slots}
	}
	for pieces := 2; pieces <= count; pieces++ {
		var out []int
		for i := range pieces { // whole things, spread evenly
			of := count*(i+1)/pieces - count*i/pieces
			out = append(out, max(slots*of/count, 1))
		}
		for i := 0; sum(out) < slots; i++ {
			out[i%pieces]++ // what the division cut off
		}
		if slices.Max(out) <= longest || pieces == count {
			return out
		}
	}
	return []int{slots}
}

func sum(list []int) int {
	total := 0
	for _, x := range list {
		total += x
	}
	return total
}

// longest is the longest time for which somebody can stand at work, in slots.
func (n *network) longest() int {
	longest := 0
	for w, cap := range n.cal.winCap {
		if n.kitchen.Hands > 0 {
			longest = max(longest, min(int(cap)/n.kitchen.Hands, n.cal.length(w)))
		}
	}
	return longest
}

// length is a window's, in slots.
func (c *calendar) length(w int) int {
	from := int(c.winEnd[w])
	for from > 0 && c.win[from-1] == int16(w) {
		from--
	}
	return int(c.winEnd[w]) - from
}

// markDone finds what was done of an item's blocks. Several reports of a divided step stand for its parts, in order.
func (n *network) markDone(i int, blocks []*block) {
	used := make([]bool, len(n.kitchen.Done))
	for _, b := range blocks {
		reports := make([]*Done, len(b.steps))
		for d := range n.kitchen.Done {
			done := &n.kitchen.Done[d]
			x := slices.IndexFunc(b.steps, func(s stepRow) bool { return s.name == done.Step })
			if used[d] || done.Item != n.kitchen.Items[i].ID || x < 0 || reports[x] != nil {
				continue
			}
			used[d], reports[x], b.done = true, done, true
		}
		if b.done {
			n.timeDone(b, reports)
		}
	}
}

// timeDone finds when the steps of a block began and ended of which some were reported: what follows at once upon another began
// when that ended, and what is not reported as ended takes as long as is estimated.
func (n *network) timeDone(b *block, reports []*Done) {
	b.times = make([]span, len(b.steps))
	first := slices.IndexFunc(reports, func(d *Done) bool { return d != nil })
	at := n.cal.down(reports[first].Begins)
	for x := first - 1; x >= 0; x-- { // before the first report
		b.times[x] = span{at - b.len[x], at}
		at -= b.len[x]
	}
	for x := first; x < len(b.steps); x++ {
		s := &b.times[x]
		if x > first {
			s.begins = b.times[x-1].ends
		}
		if d := reports[x]; d != nil {
			s.begins = n.cal.down(d.Begins)
			if !d.Ends.IsZero() {
				s.ends = n.cal.up(d.Ends)
				continue
			}
		}
		s.ends = s.begins + b.len[x]
	}
	last := 0
	for x, s := range b.steps {
		if s.takes() {
			last = x
		}
	}
	b.begins, b.ends, b.past = b.times[0].begins, b.times[last].ends, b.times[len(b.times)-1].ends
	b.used = n.cal.up(reports[first].Begins)
}

// rounds puts together what is boiled on one side, in the order of the kitchen, with fresh water heated for each round.
func (n *network) rounds(parts []*block, side string) []*block {
	longest := n.rows.round.longest / grid
	if l := n.longest(); l > 0 {
		longest = min(longest, l)
	}
	var out []*block
	for _, part := range parts {
		l := part.len[0]
		if len(out) == 0 || out[len(out)-1].len[1]+l > longest {
			heats := stepRow{name: "heat-water", does: heat, minutes: n.boil(n.rows.round.heat, n.rows.round.litres), uses: n.rows.round.uses}
			boils := part.steps[0]
			boils.hands, boils.joined, boils.marks = 0, true, nil
			out = append(out, &block{
				item: -1, id: roundID(side, len(out)+1), steps: []stepRow{heats, boils}, len: []int{slots(n.boil(n.rows.round.heat, n.rows.round.litres)), 0},
				name: boils.name, marks: []string{markRound, side}, idle: true,
			})
		}
		b := out[len(out)-1]
		b.len[1] += l
		b.steps[1].hands = max(b.steps[1].hands, part.steps[0].hands)
		if !slices.Contains(b.riders, part.item) {
			b.riders = append(b.riders, part.item)
		}
		for _, m := range part.marks {
			if !slices.Contains(b.marks, m) {
				b.marks = append(b.marks, m)
			}
		}
	}
	return out
}
