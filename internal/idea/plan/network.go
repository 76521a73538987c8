package plan

import (
	"fmt"
	"slices"
)

// network is a kitchen as tasks with what binds them. Times of the search run backwards: a position s stands s slots before
// the end of the plan, so that 'as late as possible' is 'as small as possible'.
type network struct {
	kitchen *Kitchen
	rows    *Rows
	cal     *calendar
	tasks   []task
	uses    []use // what is to be as late as possible; the last hot meal first, if it is open
	meal    bool  // uses[0] is the last hot meal
	have    [resources]int
	caps    vec
	base    []vec // by position: what runs already
	baseCap []int32
	notes   []Note
	order   []int // tasks in an order in which what is bound to come earlier in the search does
	fixed   []*block
}

// task is one block of steps that follow at once upon each other.
type task struct {
	*block
	p, tail  int32 // slots that take something, and slots that only pass after them
	work     int32 // slots of work, which are the last of p
	capUse   int32 // slots of work, counted for each person
	segs     []seg // what it takes, from its end backwards: never more than before
	last     int   // the last of segs that takes anything, or -1
	takes    int32 // slots of segs up to that
	before   []link
	after    []int
	release  int32 // its position is not less
	latest   int32 // its position and p together are not more
	bounds   []bound
	limits   []limit
	terms    []term
	next     []int32 // by position: the first position from there that the calendar allows, or never
	shape    string
	impossib string // id of the reason why it never fits
}

// seg is what a task takes for a number of slots.
type seg struct {
	n int32
	v vec
}

// link binds a task in the search to one that is placed before it, which in life comes after it.
type link struct {
	task int   // the task that in life comes after
	lag  int32 // slots between the end of this task and the beginning of that one, at least
	why  string
}

// bound says that a task does not begin before a slot; limit that it is not over, with its tail, after one.
type bound struct {
	slot int
	why  string
}
type limit = bound

// term says that a last use is not later than the beginning of a task, less the lag.
type term struct {
	use int
	lag int32
}

// use is a last use that the search makes as late as possible.
type use struct {
	item  int     // -1 is the last hot meal
	step  []int32 // by position: the position at which the use is counted, not less
	tasks set     // where there are no more than a set takes
}

// block is what a task is in the kitchen.
type block struct {
	item   int    // the item, or -1 where it is a round
	id     string // of a round
	steps  []stepRow
	len    []int // slots of each step
	riders []int // items of a round, and items that lie in this heating
	name   string
	marks  []string
	hot    bool
	idle   bool
	done   bool // it was done, or runs
	times  []span
	begins int // of a block that was done or runs: slots, which may be negative
	ends   int // of what takes something
	past   int // of all
	used   int // the thing was in use until then, at the latest
}

// span is a time, in slots.
type span struct{ begins, ends int }

// never is a position that does not exist.
const never = int32(1) << 28

const idleSlots = int32(Idle / slot)

// build makes the network of a kitchen.
func build(k *Kitchen, rows *Rows, cal *calendar, d deadlines) (*network, error) {
	n := &network{kitchen: k, rows: rows, cal: cal}
	n.have = have(k, rows)
	n.caps = vecOf(n.have)
	blocks := n.blocks()
	for _, b := range blocks {
		if b.done {
			n.fixed = append(n.fixed, b)
			continue
		}
		n.tasks = append(n.tasks, task{block: b})
	}
	for j := range n.tasks {
		n.fill(&n.tasks[j], d)
	}
	n.chains(blocks)
	n.rules(blocks)
	n.lastUses()
	if err := n.sort(); err != nil {
		return nil, err
	}
	n.running()
	n.uncontended()
	n.calendars()
	for j := range n.tasks {
		n.tasks[j].close(cal)
	}
	return n, nil
}

// have is how much there is of each resource. There is an oven, and a sink, for each item that is one, and one in any case.
func have(k *Kitchen, rows *Rows) [resources]int {
	out := [resources]int{k.Hands, k.Burners, k.Pots, 0, 0}
	for _, it := range k.Items {
		row := rows.kind(it.Kind)
		if row.rides == "" && slices.ContainsFunc(row.steps, func(s stepRow) bool { return s.uses[oven] > 0 }) {
			out[oven]++
		}
		if row.drains {
			out[sink]++
		}
	}
	out[oven], out[sink] = min(max(out[oven], 1), maxResource), min(max(out[sink], 1), maxResource)
	return out
}

// lengths are the slots that take something and those that only pass after them.
func (b *block) lengths() (p, tail int32) {
	last := 0
	for i, s := range b.steps {
		if s.takes() {
			last = i
		}
	}
	for i, l := range b.len {
		if i <= last {
			p += int32(l)
		} else {
			tail += int32(l)
		}
	}
	return p, tail
}

// fill computes what a task takes and by when it has to be over.
func (n *network) fill(t *task, d deadlines) {
	t.p, t.tail = t.lengths()
	left := t.p
	var rev []seg
	for i, s := range t.steps {
		if left <= 0 {
			break
		}
		l := int32(t.len[i])
		left -= l
		v, why := n.need(s)
		if why != "" {
			t.impossib = why
		}
		rev = append(rev, seg{l, v})
		if s.does == work {
			t.work += l
			t.capUse += l * int32(s.hands)
		}
	}
	for i, s := range t.steps {
		t.shape += fmt.Sprintf("%s %t %d,", s.does, s.outside, t.len[i])
	}
	t.shape += fmt.Sprint(t.p)
	slices.Reverse(rev)
	t.segs = rev
	t.limits = n.limits(t.block, d)
	t.bounds = append(t.bounds, bound{0, WhyNow})
}

// need is what a step takes, and why that is never there.
func (n *network) need(s stepRow) (vec, string) {
	want := s.uses
	want[hands] = s.hands
	for i, w := range want {
		if w == allOf {
			want[i] = max(n.have[i], 1)
		}
		if want[i] > n.have[i] {
			return 0, WhyNeeds + resourceNames[i]
		}
	}
	return vecOf(want), ""
}

// limits are the latest ends of a block, by its items.
func (n *network) limits(b *block, d deadlines) []limit {
	out := []limit{{n.cal.n, WhyFinish}}
	for _, i := range b.all() {
		row := n.rows.kind(n.kitchen.Items[i].Kind)
		if row.beforeEve > 0 {
			y, m, day := d.eve.Date()
			out = append(out, limit{n.cal.down(local(n.cal.zone, y, m, day-row.beforeEve, 0, false)), WhyDaysBefore})
		}
		if row.food && !n.kitchen.Food.IsZero() {
			out = append(out, limit{n.cal.down(n.kitchen.Food), WhyFood})
		}
	}
	return out
}

// all are the items of a block. What lies in another's heating has no part in its limits.
func (b *block) all() []int {
	if b.item >= 0 {
		return []int{b.item}
	}
	return b.riders
}

// close turns limits and bounds into positions.
func (t *task) close(cal *calendar) {
	t.release, t.latest = t.tail, int32(cal.n)
	for _, l := range t.limits {
		t.release = max(t.release, int32(cal.n-l.slot)+t.tail)
	}
	for _, b := range t.bounds {
		t.latest = min(t.latest, int32(cal.n-b.slot))
	}
}

// sort finds an order of the search that respects all links, and fails where the rules run in a circle.
func (n *network) sort() error {
	left := make([]int, len(n.tasks))
	for j := range n.tasks {
		for _, l := range n.tasks[j].before {
			left[j]++
			n.tasks[l.task].after = append(n.tasks[l.task].after, j)
		}
	}
	var queue []int
	for j, l := range left {
		if l == 0 {
			queue = append(queue, j)
		}
	}
	for len(queue) > 0 {
		j := queue[0]
		queue = queue[1:]
		n.order = append(n.order, j)
		for _, k := range n.tasks[j].after {
			if left[k]--; left[k] == 0 {
				queue = append(queue, k)
			}
		}
	}
	if len(n.order) < len(n.tasks) {
		return fmt.Errorf("the rules of order run in a circle")
	}
	return nil
}

// running lays what runs already on the grid.
func (n *network) running() {
	n.base = make([]vec, n.cal.n+1)
	n.baseCap = make([]int32, len(n.cal.winCap))
	for _, b := range n.fixed {
		for i, s := range b.steps {
			v, _ := n.need(s)
			for t := max(b.times[i].begins, 0); t < min(b.times[i].ends, n.cal.n); t++ {
				if at := n.cal.n - 1 - t; n.base[at].within(n.caps) { // more than there is forbids as much as all there is
					n.base[at] = n.base[at].plus(v)
				}
				if w := n.cal.win[t]; w >= 0 && s.does == work {
					n.baseCap[w] += int32(s.hands)
				}
			}
		}
	}
}

// uncontended takes out of the tasks what there is enough of even if all were done at once: it decides nothing.
func (n *network) uncontended() {
	defer n.extents()
	for r := range resources {
		sum, top := 0, 0
		for _, v := range n.base {
			top = max(top, v.of(r))
		}
		for _, t := range n.tasks {
			most := 0
			for _, s := range t.segs {
				most = max(most, s.v.of(r))
			}
			sum += most
		}
		if top+sum > n.caps.of(r) {
			continue
		}
		for j := range n.tasks {
			for i := range n.tasks[j].segs {
				n.tasks[j].segs[i].v = n.tasks[j].segs[i].v.without(r)
			}
		}
	}
}

// extents finds for how long each task takes anything.
func (n *network) extents() {
	for j := range n.tasks {
		t := &n.tasks[j]
		t.last, t.takes = -1, 0
		for i, s := range t.segs {
			if s.v == 0 {
				break // what follows takes no more
			}
			t.last, t.takes = i, t.takes+s.n
		}
	}
}
