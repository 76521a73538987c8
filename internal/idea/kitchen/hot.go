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
// at the midnight that followed it. ok is false where the period lies ahead: there is no 'this morning' before it began.
func Latest(p Period, now time.Time) (at time.Time, ok bool) {
	y, m, d := now.Date()
	midnight := time.Date(y, m, d, 0, 0, 0, 0, now.Location())
	switch p {
	case JustNow:
		return now, true
	case ThisMorning:
		noon := time.Date(y, m, d, 12, 0, 0, 0, now.Location())
		if noon.After(now) {
			return now, true
		}
		return noon, true
	case Yesterday:
		return midnight, true
	}
	return time.Time{}, false
}
