package luach

import (
	"slices"
	"time"
)

// Local returns the instants at which clocks in the zone show the local time,
// in order: one as a rule, none where the clock was put forward past it (or the
// date or hour does not exist at all), two where the clock was put back over
// it. A nil zone is UTC.
func Local(zone *time.Location, y int, m time.Month, d, hh, mm int) []time.Time {
	if zone == nil {
		zone = time.UTC
	}
	var found []time.Time
	for _, c := range readings(zone, y, m, d, hh, mm) {
		if c.Day() == d && c.Hour() == hh && c.Minute() == mm && c.Second() == 0 { // some old zones are off by seconds
			found = append(found, c)
		}
	}
	return found
}

// Beside returns, for a local time that the clocks skipped when they were put
// forward, the two that it may have been meant for: as a clock that had been
// put forward too early would show it, and as one that had not been put
// forward yet would. They lie before and after the skipped time on the clock
// face. ok is false for a time that exists, and for one of a date that does not.
func Beside(zone *time.Location, y int, m time.Month, d, hh, mm int) (before, after time.Time, ok bool) {
	if zone == nil || len(Local(zone, y, m, d, hh, mm)) > 0 {
		return before, after, false
	}
	all := readings(zone, y, m, d, hh, mm)
	if len(all) < 2 {
		return before, after, false
	}
	return all[0], all[len(all)-1], true
}

// readings are the instants that the local time can mean by any of the offsets
// that are in force in the zone about then, in order. Those that the zone's
// clocks showed otherwise are among them.
func readings(zone *time.Location, y int, m time.Month, d, hh, mm int) []time.Time {
	shown := time.Date(y, m, d, hh, mm, 0, 0, time.UTC)
	if sy, sm, sd := shown.Date(); sy != y || sm != m || sd != d || shown.Hour() != hh || shown.Minute() != mm {
		return nil // 31 February, 25:00
	}
	// Clocks are at most sixteen hours from UTC, so each offset that could make
	// the zone show the time is in force within that distance of it; none lasts
	// less than an hour. (Time.ZoneBounds would say exactly where they change,
	// but at the end of some years its end is not after its start.)
	const reach, step = 16 * time.Hour, time.Hour
	var found []time.Time
	for t := -reach; t <= reach; t += step {
		_, offset := shown.Add(t).In(zone).Zone()
		candidate := shown.Add(-time.Duration(offset) * time.Second).In(zone)
		if !slices.ContainsFunc(found, candidate.Equal) {
			found = append(found, candidate)
		}
	}
	slices.SortFunc(found, time.Time.Compare)
	return found
}

// After is the instant at which d of real time has passed since t, shown in t's
// zone. On the night of a clock change that is not the same time of day: 24
// hours without hot use are hours that passed, not hands that went round. Never
// use AddDate for them.
func After(t time.Time, d time.Duration) time.Time {
	return t.Round(0).Add(d) // without the monotonic reading, which does not count a machine's sleep
}
