package plan

import (
	"slices"
	"time"
)

// Again plans the kitchen anew, when some of the earlier plan is done or late, and says what that changes. Where what is left of
// the earlier plan still holds and is as good as any that is found now, it stays.
func Again(earlier Plan, k Kitchen, rows *Rows, now time.Time) (Plan, []Change, error) {
	p, err := replan(k, rows, now, &earlier)
	if err != nil {
		return Plan{}, nil, err
	}
	return p, Diff(earlier, p), nil
}

// stay keeps what is left of an earlier plan, if it holds and nothing better was found.
func (s *solution) stay(earlier *Plan) {
	st := newState(s.net)
	taken := map[string]int{} // steps of a name that stand for tasks already, from the last
	for _, j := range slices.Backward(s.net.order) {
		begins, ok := was(earlier, s.net, &s.net.tasks[j], taken)
		if !ok {
			return
		}
		st.start[j] = int32(s.net.cal.n-s.net.cal.up(begins)) - s.net.tasks[j].p
	}
	start := slices.Clone(st.start)
	st.clear()
	for _, j := range s.net.order {
		if f := start[j]; f < 0 || f < st.released(j) || st.earliest(j, f) != f {
			return
		}
		st.place(j, start[j])
	}
	if v := st.value(); v.late == 0 && !s.value.less(v) {
		s.start, s.value = start, v
	}
}

// was is when the first step of a task began in an earlier plan. Of several tasks of one name, as of divided work, the last in
// order are those that are left.
func was(earlier *Plan, n *network, t *task, taken map[string]int) (time.Time, bool) {
	item := n.kitchen.Items[t.all()[0]].ID
	i := slices.IndexFunc(earlier.Items, func(it ItemPlan) bool { return it.ID == item })
	if i < 0 {
		return time.Time{}, false
	}
	var found []time.Time
	for _, s := range earlier.Items[i].Steps {
		if s.Name == t.steps[0].name && s.In == t.id && !s.Done {
			found = append(found, s.Begins)
		}
	}
	key := item + " " + t.steps[0].name + " " + t.id
	taken[key]++
	if taken[key] > len(found) {
		return time.Time{}, false
	}
	return found[len(found)-taken[key]], true
}
