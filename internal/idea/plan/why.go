package plan

// why says what keeps a task from being later in life, and whose doing it is: an end that it has to meet, a link, the calendar,
// or what others take where the calendar would allow it next.
func (s *solution) why(st *state, j int) (id, item string) {
	n, t, f := s.net, &s.net.tasks[j], st.start[j]
	least, why, whose := int32(0), "", ""
	for _, l := range t.limits {
		if from := int32(n.cal.n-l.slot) + t.tail; from >= least {
			least, why, whose = from, l.why, ""
		}
	}
	for _, l := range t.before {
		if from := st.start[l.task] + n.tasks[l.task].p + l.lag; from >= least {
			least, why, whose = from, l.why, n.name(l.task)
		}
	}
	if f <= least {
		return why, whose
	}
	next := f - 1 // the nearest position that the calendar allows
	for next >= 0 && t.next[next] != next {
		next--
	}
	switch {
	case next < 0:
		return n.barrier(t, int(f)-1), ""
	case next < least:
		return why, whose
	}
	count := append([]int32(nil), st.count...)
	st.take(j)
	defer func() {
		st.place(j, f)
		copy(st.count, count)
	}()
	q := next
	for _, g := range t.segs {
		for end := q + g.n; q < end; q++ {
			for r := range resources {
				if g.v.of(r) > 0 && st.usage[q].of(r)+g.v.of(r) > n.caps.of(r) {
					return WhyBusy + resourceNames[r], s.holder(st, q, r)
				}
			}
		}
	}
	return WhyMost, ""
}

// holder is who has a resource at a position.
func (s *solution) holder(st *state, at int32, r int) string {
	for j, q := range st.start {
		if q < 0 {
			continue
		}
		for _, g := range s.net.tasks[j].segs {
			if at >= q && at < q+g.n && g.v.of(r) > 0 {
				return s.net.name(j)
			}
			q += g.n
		}
	}
	return ""
}
