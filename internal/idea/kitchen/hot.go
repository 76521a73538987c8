package kitchen

import "time"

// Period is how a person says when something was last hot.
type Period string

const (
	JustNow     Period = "now"
	ThisMorning Period = "morning"
	Yesterday   Period = "yesterday"
)

// Latest is the latest moment that the period can mean at now, in the zone of now: 'this morning' ends at noon, 'yesterday'
// at the midnight that followed it. What the period has not reached yet it cannot mean: the latest moment is now. ok is false
// where the period is unknown.
func Latest(p Period, now time.Time) (at time.Time, ok bool) {
	switch p {
	case JustNow:
		return now, true
	case ThisMorning:
		y, m, d := now.Date()
		noon := time.Date(y, m, d, 12, 0, 0, 0, now.Location())
		if noon.After(now) {
			return now, true
		}
		return noon, true
	case Yesterday:
		return dayStart(now), true
	}
	return time.Time{}, false
}

// dayStart is when the day of now began: at midnight, or, where the clock was put forward over midnight, at that moment.
func dayStart(now time.Time) time.Time {
	y, m, d := now.Date()
	t := time.Date(y, m, d, 0, 0, 0, 0, now.Location())
	if t.Day() == d {
		return t
	}
	_, before := t.Zone()
	_, after := t.Add(24 * time.Hour).Zone()
	return t.Add(time.Duration(after-before) * time.Second)
}
