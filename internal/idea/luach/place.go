package luach

import (
	"fmt"
	"math"
	"time"
)

// Settings that hold where a Place leaves its own at zero. Both are common
// practice, no source: communities differ, which is why they are settings.
const (
	DefaultCandleMinutes    = 18  // minutes before sunset
	DefaultNightfallDegrees = 8.5 // degrees below the horizon
)

// A Reckoning says from when to when the day is divided into its twelve
// proportional hours.
type Reckoning int

// The two reckonings. The longer day ends its fourth hour 24 minutes earlier
// and its fifth 12 minutes earlier, at every place and on every date, so the
// zero value is the stricter one for a deadline.
const (
	ReckoningMinutes72       Reckoning = iota // from 72 minutes before sunrise to 72 minutes after sunset
	ReckoningSunriseToSunset                  // from sunrise to sunset
)

// String names the reckoning.
func (r Reckoning) String() string {
	switch r {
	case ReckoningMinutes72:
		return "72 minutes before sunrise to 72 minutes after sunset"
	case ReckoningSunriseToSunset:
		return "sunrise to sunset"
	}
	return fmt.Sprintf("Reckoning(%d)", int(r))
}

// A Place is where a community lives and how it reckons its times. Functions
// of this package expect one that [Place.Valid] accepts; given another they
// still answer within bounds, but only with "does not happen".
type Place struct {
	Name      string
	Latitude  float64 // degrees, north positive
	Longitude float64 // degrees, east positive
	// Elevation, in metres, makes the visible horizon lie lower: sunrise comes
	// earlier and sunset later, by minutes. Practice differs on whether to use
	// it, so 0 turns it off. It never enters degrees below the horizon or
	// proportional hours.
	Elevation float64
	Zone      *time.Location
	Israel    bool // one day of each festival instead of two

	CandleMinutes    int     // candle lighting, minutes before sunset; 0 means DefaultCandleMinutes
	NightfallDegrees float64 // nightfall, degrees below the horizon; 0 means DefaultNightfallDegrees
	NightfallMinutes int     // nightfall, minutes after sunset; if set, used instead of degrees
	// PolarNightfallMinutes is nightfall in minutes after sunset on those days
	// of a high-latitude summer on which the sun sets but does not sink to
	// NightfallDegrees. 0 means that there is no nightfall on such a day.
	PolarNightfallMinutes int
	// Hours is the reckoning by which PhaseAt ends the fourth hour.
	Hours Reckoning
}

// Bounds of the settings. They are wide enough for every custom and narrow
// enough that a slip of the keyboard, such as minutes for degrees, is noticed
// and that two rest spans can never overlap.
const (
	maxElevation        = 6000 // metres; nobody lives higher
	maxCandleMinutes    = 120
	minNightfallDegrees = 3
	maxNightfallDegrees = 20
	maxNightfallMinutes = 180
)

// Valid returns an error that names the first field which no place on earth
// and no custom has.
func (p Place) Valid() error {
	switch {
	case !within(p.Latitude, -90, 90):
		return fmt.Errorf("latitude %v is not between -90 and 90 degrees", p.Latitude)
	case !within(p.Longitude, -180, 180):
		return fmt.Errorf("longitude %v is not between -180 and 180 degrees", p.Longitude)
	case !within(p.Elevation, 0, maxElevation):
		return fmt.Errorf("elevation %v is not between 0 and %d metres", p.Elevation, maxElevation)
	case p.Zone == nil:
		return fmt.Errorf("the place has no time zone")
	case !within(float64(p.CandleMinutes), 0, maxCandleMinutes):
		return fmt.Errorf("candle lighting %d minutes before sunset is not between 0 and %d", p.CandleMinutes, maxCandleMinutes)
	case p.NightfallDegrees != 0 && !within(p.NightfallDegrees, minNightfallDegrees, maxNightfallDegrees):
		return fmt.Errorf("nightfall at %v degrees is not between %d and %d", p.NightfallDegrees, minNightfallDegrees, maxNightfallDegrees)
	case !within(float64(p.NightfallMinutes), 0, maxNightfallMinutes):
		return fmt.Errorf("nightfall %d minutes after sunset is not between 0 and %d", p.NightfallMinutes, maxNightfallMinutes)
	case !within(float64(p.PolarNightfallMinutes), 0, maxNightfallMinutes):
		return fmt.Errorf("polar nightfall %d minutes after sunset is not between 0 and %d", p.PolarNightfallMinutes, maxNightfallMinutes)
	case p.Hours != ReckoningMinutes72 && p.Hours != ReckoningSunriseToSunset:
		return fmt.Errorf("there is no reckoning of hours number %d", int(p.Hours))
	}
	return nil
}

// within is false for a number that is not one, too.
func within(x, low, high float64) bool { return x >= low && x <= high }

// onEarth reports whether the formulas of the sun can be used at the place.
func (p Place) onEarth() bool {
	return within(p.Latitude, -90, 90) && within(p.Longitude, -180, 180)
}

// zone is the place's zone, or UTC where none is set.
func (p Place) zone() *time.Location {
	if p.Zone == nil {
		return time.UTC
	}
	return p.Zone
}

// candleLead is how long before sunset candles are lit.
func (p Place) candleLead() time.Duration {
	if p.CandleMinutes == 0 {
		return DefaultCandleMinutes * time.Minute
	}
	return time.Duration(p.CandleMinutes) * time.Minute
}

// nightfallAltitude is the altitude of the sun at nightfall, in degrees.
func (p Place) nightfallAltitude() float64 {
	if p.NightfallDegrees == 0 {
		return -DefaultNightfallDegrees
	}
	return -p.NightfallDegrees
}

// horizonAltitude is the altitude of the sun's centre at sunrise and sunset, in
// degrees: 50 minutes of arc below the horizon for refraction and half the
// sun's disc, and the dip of the horizon where an elevation is set.
func (p Place) horizonAltitude() float64 {
	const (
		seaLevel    = -50.0 / 60
		earthRadius = 6356900.0 // metres
	)
	if !(p.Elevation > 0) {
		return seaLevel
	}
	return seaLevel - degrees(math.Acos(earthRadius/(earthRadius+p.Elevation)))
}

// dayAt is the day number of the civil date at the place.
func (p Place) dayAt(now time.Time) int { return civilDayNumber(now.In(p.zone()).Date()) }
