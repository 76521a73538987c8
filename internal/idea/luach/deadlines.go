package luach

import "time"

// An HourEnd is the end of one proportional hour by both reckonings.
type HourEnd struct {
	SunriseToSunset Event // the day from sunrise to sunset
	Minutes72       Event // the day from 72 minutes before sunrise to 72 minutes after sunset
}

// By is the end of the hour by one reckoning.
func (h HourEnd) By(r Reckoning) Event {
	if r == ReckoningSunriseToSunset {
		return h.SunriseToSunset
	}
	return h.Minutes72
}

// EveDeadlines are the two times of the morning that matter on the eve of
// Pesach (Orach Chaim 443:1, 452:1): with the end of the fourth hour eating
// chametz ends, and kashering is best finished; with the end of the fifth,
// benefit from chametz ends, and it is burned before.
type EveDeadlines struct {
	EndFourth, EndFifth HourEnd
}

const (
	hoursPerDay   = 12
	twilight72    = 72 * time.Minute
	fourth, fifth = 4, 5
)

// Deadlines are the ends of the fourth and fifth proportional hours of the
// civil day, of whatever date, to the second and rounded down. Hours are always
// those of sea level. Where the sun does not rise or not set that day there are
// none, and each event says why.
func Deadlines(p Place, y int, m time.Month, d int) EveDeadlines {
	return deadlines(p, civilDayNumber(y, m, d))
}

func deadlines(p Place, day int) EveDeadlines {
	p.Elevation = 0
	rise := altitudeEvent(p, day, p.horizonAltitude(), beforeNoon)
	set := altitudeEvent(p, day, p.horizonAltitude(), afterNoon)
	end := func(n time.Duration, before time.Duration) Event {
		switch {
		case !rise.Happens:
			return Event{Why: "no sunrise, " + rise.Why}
		case !set.Happens:
			return Event{Why: "no sunset, " + set.Why}
		}
		start := rise.At.Add(-before)
		length := set.At.Add(before).Sub(start)
		return Event{At: start.Add((length * n / hoursPerDay).Truncate(time.Second)), Happens: true}
	}
	return EveDeadlines{
		EndFourth: HourEnd{SunriseToSunset: end(fourth, 0), Minutes72: end(fourth, twilight72)},
		EndFifth:  HourEnd{SunriseToSunset: end(fifth, 0), Minutes72: end(fifth, twilight72)},
	}
}
