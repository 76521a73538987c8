package luach

import (
	"math"
	"time"
)

// The position of the sun follows the low-accuracy formulas that NOAA's Solar
// Calculator publishes, after Meeus, Astronomical Algorithms, chapters 25 and
// 28. Used once a day they are off by up to 98 seconds, because the sun moves
// on between noon and the event; they are therefore evaluated again at the
// event itself until it no longer moves.

func radians(deg float64) float64 { return deg * (math.Pi / 180) }
func degrees(rad float64) float64 { return rad * (180 / math.Pi) }

// solar is the state of the sun at one instant; angles in degrees.
type solar struct {
	meanLongitude     float64 // not reduced to one turn
	meanAnomaly       float64 // not reduced to one turn
	centre            float64 // equation of centre
	apparentLongitude float64
	declination       float64
	equationOfTime    float64 // minutes by which the sundial is ahead of the mean sun
}

// centuriesAt is the time since noon of 1 January 2000 in Julian centuries. The
// minute between universal and dynamical time does not matter here.
func centuriesAt(unix float64) float64 {
	const (
		j2000   = 946728000 // Unix seconds
		century = 36525 * 86400
	)
	return (unix - j2000) / century
}

// solarAt evaluates the formulas at t Julian centuries since 2000.
func solarAt(t float64) solar {
	var s solar
	s.meanLongitude = 280.46646 + t*(36000.76983+0.0003032*t)
	s.meanAnomaly = 357.52911 + t*(35999.05029-0.0001537*t)
	eccentricity := 0.016708634 - t*(0.000042037+0.0000001267*t)

	m := radians(s.meanAnomaly)
	sinM := math.Sin(m)
	s.centre = sinM*(1.914602-t*(0.004817+0.000014*t)) +
		math.Sin(2*m)*(0.019993-0.000101*t) + math.Sin(3*m)*0.000289

	node := radians(125.04 - 1934.136*t)
	s.apparentLongitude = s.meanLongitude + s.centre - 0.00569 - 0.00478*math.Sin(node)

	obliquity := 23 + (26+(21.448-t*(46.8150+t*(0.00059-0.001813*t)))/60)/60 + 0.00256*math.Cos(node)
	s.declination = degrees(math.Asin(math.Sin(radians(obliquity)) * math.Sin(radians(s.apparentLongitude))))

	y := math.Tan(radians(obliquity / 2))
	y *= y
	l := radians(s.meanLongitude)
	sin2L, cos2L := math.Sincos(2 * l)
	// sin 4L is written as a product to save a call; this runs for each event.
	s.equationOfTime = 4 * degrees(y*sin2L-2*eccentricity*sinM+4*eccentricity*y*sinM*cos2L-
		y*y*sin2L*cos2L-1.25*eccentricity*eccentricity*math.Sin(2*m))
	return s
}

const (
	halfDay           = 12 * 3600.0 // seconds
	secondsPerDegree  = 240.0       // of hour angle: the sky turns once in a day
	secondsPerMinute  = 60.0
	settledSeconds    = 0.02 // an event that moves less is found
	maxPasses         = 8
	bisections        = 24 // half a day halved so often is under 5 milliseconds
	civilHalfDayHours = 12
)

// A sky is one day's course of the sun at one place, from the midnight before
// its noon to the midnight after.
type sky struct {
	sinLat, cosLat float64
	meanNoon       float64 // Unix seconds at which the mean sun is in the south
	noon           float64 // the same of the true sun, to a second
}

// skyOf finds the course of the sun whose noon lies on the civil day at the
// place: a sunset belongs to the day of the noon before it, even where it comes
// after midnight by the clock.
func skyOf(p Place, day int) sky {
	y, m, d := civilOf(day)
	clockNoon := float64(time.Date(y, m, d, civilHalfDayHours, 0, 0, 0, p.zone()).Unix())
	if !p.onEarth() {
		return sky{meanNoon: clockNoon, noon: clockNoon}
	}
	// Mean noon of longitude L is at 12:00 UT minus 240 seconds for each degree
	// east; of those moments the one nearest to noon by the clock is meant.
	offset := halfDay - p.Longitude*secondsPerDegree
	turns := math.Round((clockNoon - offset) / (2 * halfDay))
	s := sky{meanNoon: offset + turns*2*halfDay}
	s.sinLat, s.cosLat = math.Sincos(radians(p.Latitude))
	s.noon = s.meanNoon - solarAt(centuriesAt(s.meanNoon)).equationOfTime*secondsPerMinute
	return s
}

// sineOfAltitude is the sine of the true altitude of the sun at an instant.
func (s sky) sineOfAltitude(unix float64) float64 {
	sun := solarAt(centuriesAt(unix))
	hourAngle := (unix - s.meanNoon + sun.equationOfTime*secondsPerMinute) / secondsPerDegree
	sinDec, cosDec := math.Sincos(radians(sun.declination))
	return s.sinLat*sinDec + s.cosLat*cosDec*math.Cos(radians(hourAngle))
}

// crossing is when the sun passes the altitude, in degrees, before noon (side
// -1) or after it (side +1), in Unix seconds. Where it does not, why says on
// which side of the altitude it stays.
func (s sky) crossing(altitude, side float64) (unix float64, why string) {
	sinAlt := math.Sin(radians(altitude))
	t := s.noon
	for range maxPasses {
		sun := solarAt(centuriesAt(t))
		sinDec, cosDec := math.Sincos(radians(sun.declination))
		cosHour := (sinAlt - s.sinLat*sinDec) / (s.cosLat * cosDec)
		if !within(cosHour, -1, 1) {
			break // none by the sun of this instant; the search below decides
		}
		next := s.meanNoon - sun.equationOfTime*secondsPerMinute +
			side*degrees(math.Acos(cosHour))*secondsPerDegree
		if math.Abs(next-t) < settledSeconds {
			return next, ""
		}
		t = next
	}
	return s.search(sinAlt, side)
}

// search finds the crossing by halving the half day between noon and midnight.
// It is the slow way for days on which the sun only grazes the altitude, where
// the quick one does not settle, and it decides whether there is a crossing: at
// noon the sun is highest and at midnight lowest.
func (s sky) search(sinAlt, side float64) (unix float64, why string) {
	high, low := s.noon, s.noon+side*halfDay
	switch {
	case s.sineOfAltitude(high) < sinAlt:
		return 0, WhyStaysBelow
	case s.sineOfAltitude(low) > sinAlt:
		return 0, WhyStaysAbove
	}
	for range bisections {
		middle := (high + low) / 2
		if s.sineOfAltitude(middle) >= sinAlt {
			high = middle
		} else {
			low = middle
		}
	}
	return (high + low) / 2, ""
}

// instant turns Unix seconds into a time of the place, to the nearest second.
// Whole seconds keep stored times equal on machines whose floating-point
// arithmetic differs in the last digit.
func (p Place) instant(unix float64) time.Time {
	return time.Unix(int64(math.Round(unix)), 0).In(p.zone())
}
