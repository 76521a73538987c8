package luach

import "time"

// Times are shown to the minute and rounded so that whoever goes by the shown
// minute is never late. Decisions are made with the time itself, never with the
// shown one.

// ShownStart is the time of day to show for the beginning of a rest: rounded
// down.
func ShownStart(t time.Time) time.Time { return minuteDown(t) }

// ShownEnd is the time of day to show for the end of a rest: rounded up.
func ShownEnd(t time.Time) time.Time {
	down := minuteDown(t)
	if down.Equal(t) {
		return down
	}
	return down.Add(time.Minute)
}

// ShownDeadline is the time of day to show for a deadline: rounded down.
func ShownDeadline(t time.Time) time.Time { return minuteDown(t) }

// minuteDown removes the seconds that a clock in t's zone shows. It does not
// use Truncate, which cuts minutes of UTC: some old zones are off by seconds.
func minuteDown(t time.Time) time.Time {
	return t.Round(0).Add(-time.Duration(t.Second())*time.Second - time.Duration(t.Nanosecond()))
}
