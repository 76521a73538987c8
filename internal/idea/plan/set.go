package plan

import "cmp"

// set is a set of tasks, of which there are at most maxExact.
type set [2]uint64

// maxExact is the greatest number of tasks for the searches that go through parts of schedules.
const maxExact = 128

func (s *set) add(j int)    { s[j/64] |= 1 << (j % 64) }
func (s *set) remove(j int) { s[j/64] &^= 1 << (j % 64) }

// within reports whether all of s is in t.
func (s set) within(t set) bool { return s[0]&^t[0] == 0 && s[1]&^t[1] == 0 }

// compare orders sets, in some way.
func (s set) compare(t set) int { return cmp.Or(cmp.Compare(s[1], t[1]), cmp.Compare(s[0], t[0])) }
