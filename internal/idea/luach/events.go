package luach

import (
	"fmt"
	"time"
)

// Reasons why an event does not happen on a day.
const (
	// WhyStaysAbove: the sun does not sink so low that day.
	WhyStaysAbove = "sun stays above"
	// WhyStaysBelow: the sun does not rise so high that day.
	WhyStaysBelow = "sun stays below"
	// WhyNoPlace: the place's coordinates are not on the globe.
	WhyNoPlace = "the place is not on the globe"
)

// An Event is a moment of a day, or the statement that the day does not have
// it. At is meaningful only if Happens.
type Event struct {
	At      time.Time // in the place's zone, to the second
	Happens bool
	// Why is the reason for which the event does not happen, or for which
	// another time than usual stands for it. It is empty for a usual event.
	Why string
}

// shifted is the event moved by d. One that does not happen stays so.
func (e Event) shifted(d time.Duration) Event {
	if e.Happens {
		e.At = e.At.Add(d)
	}
	return e
}

// altitudeEvent is the sun's passing of an altitude in degrees, before noon
// (side -1) or after it (side +1), on a civil day at the place.
func altitudeEvent(p Place, day int, altitude, side float64) Event {
	if !p.onEarth() {
		return Event{Why: WhyNoPlace}
	}
	unix, why := skyOf(p, day).crossing(altitude, side)
	if why != "" {
		return Event{Why: why}
	}
	return Event{At: p.instant(unix), Happens: true}
}

const beforeNoon, afterNoon = -1.0, +1.0

// Sunrise is when the upper edge of the sun appears on the civil day, at sea
// level or as seen from the place's elevation if that is set.
func Sunrise(p Place, y int, m time.Month, d int) Event {
	return altitudeEvent(p, civilDayNumber(y, m, d), p.horizonAltitude(), beforeNoon)
}

// Sunset is when the upper edge of the sun disappears at the end of the civil
// day's daylight; far north in summer that can be after midnight. Elevation as
// in [Sunrise].
func Sunset(p Place, y int, m time.Month, d int) Event {
	return sunset(p, civilDayNumber(y, m, d))
}

func sunset(p Place, day int) Event { return altitudeEvent(p, day, p.horizonAltitude(), afterNoon) }

// Dawn is when the sun on its way up is the given number of degrees below the
// horizon, before the civil day's noon.
func Dawn(p Place, degreesBelow float64, y int, m time.Month, d int) Event {
	return altitudeEvent(p, civilDayNumber(y, m, d), -degreesBelow, beforeNoon)
}

// CandleLighting is the place's number of minutes before sunset of the civil
// day, whatever day it is.
func CandleLighting(p Place, y int, m time.Month, d int) Event {
	return Sunset(p, y, m, d).shifted(-p.candleLead())
}

// Nightfall is the end of twilight after the civil day: the place's fixed
// minutes after sunset if set, else the moment at which the sun is the place's
// degrees below the horizon. On a day on which the sun sets but does not sink
// so low, the place's PolarNightfallMinutes after sunset stand for it, if set,
// and Why says so.
func Nightfall(p Place, y int, m time.Month, d int) Event {
	return nightfall(p, civilDayNumber(y, m, d))
}

func nightfall(p Place, day int) Event {
	if p.NightfallMinutes > 0 {
		return sunset(p, day).shifted(time.Duration(p.NightfallMinutes) * time.Minute)
	}
	night := altitudeEvent(p, day, p.nightfallAltitude(), afterNoon)
	if night.Happens || p.PolarNightfallMinutes <= 0 {
		return night
	}
	set := sunset(p, day)
	if !set.Happens {
		return Event{Why: set.Why}
	}
	set = set.shifted(time.Duration(p.PolarNightfallMinutes) * time.Minute)
	set.Why = fmt.Sprintf("%s %.4g degrees below the horizon: %d minutes after sunset instead",
		night.Why, -p.nightfallAltitude(), p.PolarNightfallMinutes)
	return set
}
