package luach_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/luach"
)

const (
	sunTolerance   = 10 * time.Second // below latitude 62 degrees
	polarTolerance = 30 * time.Second
)

// event computes what the column event of a table names.
func event(t *testing.T, p luach.Place, name string, y int, m time.Month, d int) luach.Event {
	t.Helper()
	switch name {
	case "sunrise":
		return luach.Sunrise(p, y, m, d)
	case "sunset":
		return luach.Sunset(p, y, m, d)
	case "dusk_8.5":
		return luach.Nightfall(p, y, m, d)
	}
	require.FailNow(t, "unknown event", name)
	return luach.Event{}
}

// Source: sun_times.csv (ERFA).
func TestSunTimesAgreeWithTheReference(t *testing.T) {
	for _, r := range table(t, "sun_times.csv") {
		p := r.place(t)
		require.Less(t, math.Abs(p.Latitude), 62.0)
		y, m, d := r.civil(t, "date")
		about := r["place"] + " " + r["date"] + " " + r["event"]
		got := event(t, p, r["event"], y, m, d)
		if r["ref_utc"] == "none" {
			require.Equal(t, luach.Event{Why: luach.WhyStaysAbove}, got, about)
			continue
		}
		requireNear(t, r.instant(t, "ref_utc"), got, sunTolerance, about)
		require.Equal(t, p.Zone, got.At.Location(), about)
		require.Zero(t, got.At.Nanosecond(), about)
		require.Empty(t, got.Why, about)

		p.Elevation = r.float(t, "elevation_m")
		raised := event(t, p, r["event"], y, m, d)
		if r["event"] == "dusk_8.5" {
			require.Equal(t, got, raised, "%s: elevation does not move degrees below the horizon", about)
			continue
		}
		requireNear(t, r.instant(t, "ref_elev_utc"), raised, sunTolerance, about+" with elevation")
	}
}

// Source: polar.csv (ERFA).
func TestPolarSunTimesAgreeWithTheReference(t *testing.T) {
	asserted := 0
	for _, r := range table(t, "polar.csv") {
		p := r.place(t)
		y, m, d := r.civil(t, "date")
		for _, name := range []string{"sunrise", "sunset", "dusk_8.5"} {
			about := r["place"] + " " + r["date"] + " " + name
			got := event(t, p, name, y, m, d)
			want := r[name+"_utc"]
			switch {
			case r["grazing"] == name:
				// Too close to call: it may happen or not, but must say which.
				require.NotEqual(t, got.Happens, got.Why != "", about)
			case want == "none_sun_stays_above":
				require.Equal(t, luach.Event{Why: luach.WhyStaysAbove}, got, about)
				asserted++
			case want == "none_sun_stays_below":
				require.Equal(t, luach.Event{Why: luach.WhyStaysBelow}, got, about)
				asserted++
			default:
				requireNear(t, r.instant(t, name+"_utc"), got, polarTolerance, about)
			}
		}
	}
	require.Greater(t, asserted, 50, "both answers of a day without the event are in the table")
}

// Source: published_sun.csv (US Naval Observatory and others, whole minutes).
func TestSunTimesAgreeWithPrintedTables(t *testing.T) {
	used := 0
	for _, r := range table(t, "published_sun.csv") {
		if r["use_for_tests"] != "yes" {
			continue
		}
		used++
		p := luach.Place{
			Latitude: r.float(t, "lat"), Longitude: r.float(t, "lon"),
			Zone: time.FixedZone("printed", int(r.float(t, "utc_offset_hours")*3600)),
		}
		y, m, d := r.civil(t, "date")
		want, err := time.ParseInLocation("2006-01-02 15:04", r["date"]+" "+r["published_local"], p.Zone)
		require.NoError(t, err)
		tolerance := time.Duration(r.float(t, "tolerance_s") * float64(time.Second))
		requireNear(t, want, event(t, p, r["event"], y, m, d), tolerance, r["source_id"]+" "+r["date"]+" "+r["event"])
	}
	require.Greater(t, used, 100)
}

// The sun's day is that of its noon: an event belongs to the civil day of the
// noon next to it, in whatever zone.
func TestEventsBelongToTheirCivilDay(t *testing.T) {
	random := newRandom(1)
	for range 1000 {
		p := random.place(t, 89)
		y, m, d := random.instant().Date()
		noon := time.Date(y, m, d, 12, 0, 0, 0, p.Zone)
		rise, set := luach.Sunrise(p, y, m, d), luach.Sunset(p, y, m, d)
		if rise.Happens && set.Happens {
			require.True(t, rise.At.Before(set.At), "%+v %v", p, noon)
			middle := rise.At.Add(set.At.Sub(rise.At) / 2)
			require.WithinDuration(t, noon, middle, 12*time.Hour, "%+v %v", p, noon)
			require.Less(t, set.At.Sub(rise.At), 24*time.Hour+30*time.Minute)
		}
		for _, e := range []luach.Event{
			rise, set, luach.Nightfall(p, y, m, d), luach.Dawn(p, 16.1, y, m, d), luach.CandleLighting(p, y, m, d),
		} {
			if e.Happens {
				require.WithinDuration(t, noon, e.At, 28*time.Hour, "%+v %v", p, noon)
			} else {
				require.Contains(t, []string{luach.WhyStaysAbove, luach.WhyStaysBelow}, e.Why)
				require.True(t, e.At.IsZero())
			}
		}
	}
}

// From one day to the next a time of the sun moves little; a whole day's slip
// would show here. Below the latitudes of white nights it always happens.
func TestSunTimesMoveSmoothly(t *testing.T) {
	random := newRandom(2)
	for range 6 {
		p := random.place(t, 50)
		p.NightfallDegrees, p.NightfallMinutes = 8.5, 0
		for _, name := range []string{"sunrise", "sunset", "dusk_8.5"} {
			before := event(t, p, name, 2027, time.January, 1)
			for n := 2; n < 800; n++ {
				now := event(t, p, name, 2027, time.January, n)
				require.True(t, now.Happens, "%+v day %d %s", p, n, name)
				require.WithinDuration(t, before.At.Add(24*time.Hour), now.At, 4*time.Minute, "%+v day %d %s", p, n, name)
				before = now
			}
		}
	}
}

// Dawn and nightfall at the same depth lie on both sides of the day, and a
// deeper sun is further from it.
func TestDeeperSunIsFurtherFromTheDay(t *testing.T) {
	random := newRandom(3)
	for range 500 {
		p := random.place(t, 45)
		p.NightfallMinutes, p.Elevation = 0, 0
		y, m, d := random.instant().Date()
		rise, set := luach.Sunrise(p, y, m, d), luach.Sunset(p, y, m, d)
		lastDawn, lastNight := rise.At, set.At
		for _, depth := range []float64{3, 6, 8.5, 12, 16.1} {
			p.NightfallDegrees = depth
			dawn, night := luach.Dawn(p, depth, y, m, d), luach.Nightfall(p, y, m, d)
			require.True(t, dawn.Happens && night.Happens)
			require.True(t, dawn.At.Before(lastDawn))
			require.True(t, night.At.After(lastNight))
			require.WithinDuration(t, rise.At.Add(-dawn.At.Sub(rise.At)), rise.At.Add(rise.At.Sub(dawn.At)), time.Second)
			require.InDelta(t, rise.At.Sub(dawn.At).Seconds(), night.At.Sub(set.At).Seconds(), 90, "morning and evening twilight are about as long")
			lastDawn, lastNight = dawn.At, night.At
		}
	}
}

func TestNightfallSettings(t *testing.T) {
	summer := func(p luach.Place) luach.Event { return luach.Nightfall(p, 2027, time.June, 21) }
	p := reykjavik(t)
	set := luach.Sunset(p, 2027, time.June, 21) // 00:03 of the next day: polar.csv
	require.True(t, set.Happens)

	require.Equal(t, luach.Event{Why: luach.WhyStaysAbove}, summer(p), "no setting: no nightfall, and why")

	p.PolarNightfallMinutes = 60
	got := summer(p)
	require.True(t, got.Happens)
	require.Equal(t, set.At.Add(time.Hour), got.At)
	require.Equal(t, "sun stays above 8.5 degrees below the horizon: 60 minutes after sunset instead", got.Why)
	winter := luach.Nightfall(p, 2027, time.December, 22)
	require.Empty(t, winter.Why, "where the degrees happen they are used")
	require.Equal(t, luach.Nightfall(reykjavik(t), 2027, time.December, 22), winter)

	p.NightfallMinutes = 72
	require.Equal(t, luach.Event{At: set.At.Add(72 * time.Minute), Happens: true}, summer(p), "fixed minutes come first")

	north := tromso(t) // the sun does not set: polar.csv
	north.PolarNightfallMinutes = 60
	require.Equal(t, luach.Event{Why: luach.WhyStaysAbove}, summer(north))
	north.NightfallMinutes = 72
	require.Equal(t, luach.Event{Why: luach.WhyStaysAbove}, summer(north))
}

func TestCandleLighting(t *testing.T) {
	p := jerusalem(t)
	set := luach.Sunset(p, 2027, time.April, 21)
	require.Equal(t, set.At.Add(-18*time.Minute), luach.CandleLighting(p, 2027, time.April, 21).At)
	p.CandleMinutes = 40
	require.Equal(t, set.At.Add(-40*time.Minute), luach.CandleLighting(p, 2027, time.April, 21).At)
	require.Equal(t, luach.Event{Why: luach.WhyStaysBelow}, luach.CandleLighting(tromso(t), 2027, time.December, 22))
}

// A place that is none gets answers, not numbers that are none.
func TestImpossiblePlacesGetBoundedAnswers(t *testing.T) {
	for _, p := range []luach.Place{
		{Latitude: math.NaN()}, {Longitude: math.NaN()}, {Latitude: 91}, {Longitude: math.Inf(1)}, {Longitude: -181},
	} {
		require.Error(t, p.Valid())
		require.Equal(t, luach.Event{Why: luach.WhyNoPlace}, luach.Sunset(p, 2027, time.April, 21))
		now := time.Date(2027, time.April, 21, 9, 0, 0, 0, time.UTC)
		span := luach.NextRest(p, now)
		require.Equal(t, "2027-04-21 17:42", span.Begins.Format("2006-01-02 15:04"), "18 minutes before 18:00 by the clock")
		require.Equal(t, "2027-04-25 01:12", span.Ends.Format("2006-01-02 15:04"))
		require.Contains(t, span.Why, luach.WhyNoPlace)
	}
}

func TestPlaceValid(t *testing.T) {
	good := newYork(t)
	require.NoError(t, good.Valid())
	for want, spoil := range map[string]func(*luach.Place){
		"latitude":        func(p *luach.Place) { p.Latitude = -90.5 },
		"longitude":       func(p *luach.Place) { p.Longitude = 200 },
		"elevation":       func(p *luach.Place) { p.Elevation = -1 },
		"time zone":       func(p *luach.Place) { p.Zone = nil },
		"candle":          func(p *luach.Place) { p.CandleMinutes = -18 },
		"degrees":         func(p *luach.Place) { p.NightfallDegrees = 72 },
		"nightfall 1":     func(p *luach.Place) { p.NightfallMinutes = 181 },
		"polar nightfall": func(p *luach.Place) { p.PolarNightfallMinutes = -1 },
		"reckoning":       func(p *luach.Place) { p.Hours = 2 },
	} {
		p := good
		spoil(&p)
		require.ErrorContains(t, p.Valid(), want)
	}
}
