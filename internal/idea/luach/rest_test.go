package luach_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/luach"
)

// dayHere is this package's name of a day for that of holy_time.csv.
func dayHere(t *testing.T, reference string) string {
	t.Helper()
	name := regexp.MustCompile(` (I|II|57\d\d|58\d\d)$`).ReplaceAllString(reference, "")
	here, ok := map[string]string{
		"Sabbath": luach.Sabbath, "Pesach": luach.Pesach,
		"Pesach VII": luach.PesachLastDays, "Pesach VIII": luach.PesachLastDays,
		"Shavuot": luach.Shavuos, "Rosh Hashana": luach.RoshHashana, "Yom Kippur": luach.YomKippur,
		"Sukkot": luach.Sukkos, "Shmini Atzeret": luach.SheminiAtzeres, "Simchat Torah": luach.SimchasTorah,
	}[name]
	require.True(t, ok, "unknown day %q", reference)
	return here
}

// daysHere is the list of a span's days for a day_list of holy_time.csv, such as
// "2033-06-03 Shavuot I | 2033-06-04 Shavuot II + Sabbath".
func daysHere(t *testing.T, list string) []string {
	t.Helper()
	var ids []string
	for _, day := range strings.Split(list, " | ") {
		_, names, ok := strings.Cut(day, " ")
		require.True(t, ok, list)
		for _, name := range strings.Split(names, " + ") {
			if id := dayHere(t, name); !slices.Contains(ids, id) {
				ids = append(ids, id)
			}
		}
	}
	return ids
}

// Source: holy_time.csv, both schedules.
func TestRestSpansAgreeWithTheReference(t *testing.T) {
	places := map[string]luach.Place{"abroad": newYork(t), "israel": jerusalem(t)}
	longest := 0
	for _, r := range table(t, "holy_time.csv") {
		p := places[r["schedule"]]
		about := r["schedule"] + " " + r["day_list"]
		y, m, d := r.civil(t, "first_day")
		noon := time.Date(y, m, d, 12, 0, 0, 0, p.Zone)

		span, ok := luach.RestAt(p, noon)
		require.True(t, ok, about)
		requireCivil(t, r["first_day"], span.First, about)
		requireCivil(t, r["last_day"], span.Last, about)
		require.ElementsMatch(t, daysHere(t, r["day_list"]), span.Days, about)
		require.Empty(t, span.Why, about)

		ey, em, ed := r.civil(t, "begins_at_sunset_of")
		require.Equal(t, luach.CandleLighting(p, ey, em, ed).At, span.Begins, about)
		ly, lm, ld := r.civil(t, "ends_at_nightfall_of")
		require.Equal(t, luach.Nightfall(p, ly, lm, ld).At, span.Ends, about)

		days := r.int(t, "days")
		longest = max(longest, days)
		for n := range days {
			same, ok := luach.RestAt(p, noon.AddDate(0, 0, n))
			require.True(t, ok, about)
			require.Equal(t, span, same, about)
		}
		requireHalfOpen(t, p, span)
	}
	require.Equal(t, 3, longest)
}

// requireHalfOpen checks the edges of a span: the beginning is inside, the end
// is not, and no other span touches it.
func requireHalfOpen(t *testing.T, p luach.Place, span luach.Span) {
	t.Helper()
	for _, inside := range []time.Time{span.Begins, span.Begins.Add(time.Nanosecond), span.Ends.Add(-time.Nanosecond)} {
		got, ok := luach.RestAt(p, inside)
		require.True(t, ok, "%v in %+v at %+v", inside, span, p)
		require.Equal(t, span, got)
		require.True(t, span.Contains(inside))
	}
	for _, outside := range []time.Time{span.Begins.Add(-time.Nanosecond), span.Ends} {
		got, ok := luach.RestAt(p, outside)
		require.False(t, ok, "%v at %+v is in %+v", outside, p, got)
		require.Equal(t, luach.Span{}, got)
		require.False(t, span.Contains(outside))
	}
	require.Equal(t, span, luach.NextRest(p, span.Begins.Add(-time.Hour)))
	require.True(t, luach.NextRest(p, span.Ends).Begins.After(span.Ends))
}

// Walking from span to span meets every Sabbath and festival and nothing else.
// Source of the list: the Hebrew days on which work is forbidden, as published
// beside holy_time.csv.
func TestTheChainOfSpansIsComplete(t *testing.T) {
	type monthDay struct{ month, day int }
	everywhere := []monthDay{{1, 15}, {1, 21}, {3, 6}, {7, 1}, {7, 2}, {7, 10}, {7, 15}, {7, 22}}
	abroad := append(slices.Clone(everywhere), monthDay{1, 16}, monthDay{1, 22}, monthDay{3, 7}, monthDay{7, 16}, monthDay{7, 23})
	for _, c := range []struct {
		place     luach.Place
		festivals []monthDay
	}{{newYork(t), abroad}, {jerusalem(t), everywhere}} {
		want := map[luach.Date]bool{}
		for n := 1; n < 9000; n++ {
			date := luach.FromCivil(2025, time.December, n)
			if date.Weekday() == time.Saturday || slices.Contains(c.festivals, monthDay{date.Month, date.Day}) {
				want[date] = true
			}
		}
		now := time.Date(2025, time.December, 2, 0, 0, 0, 0, c.place.Zone)
		got := map[luach.Date]bool{}
		for len(got) < len(want) {
			span := luach.NextRest(c.place, now)
			require.True(t, span.Ends.After(now))
			require.False(t, span.Begins.Before(now), "spans do not overlap")
			require.LessOrEqual(t, span.Ends.Sub(span.Begins), 74*time.Hour)
			for day := span.First; !span.Last.Before(day); day = day.AddDays(1) {
				got[day] = true
			}
			now = span.Ends
		}
		require.Equal(t, want, got)
	}
}

// What no place, date or setting may break. Every span is bounded and says why
// it is unusual; whatever rests on a day rests at its noon; RestAt and NextRest
// agree.
func TestRestAnywhereAnytime(t *testing.T) {
	random := newRandom(4)
	unusual := 0
	for range 1200 {
		p := random.place(t, 90)
		now := random.instant()
		span := luach.NextRest(p, now)
		require.True(t, span.Ends.After(now))
		require.NotEmpty(t, span.Days)

		// Of the two ends the first evening is the earlier and the last night the
		// later one; the days between lie inside whole.
		days := 1
		for day := span.First; day != span.Last; day = day.AddDays(1) {
			days++
		}
		require.LessOrEqual(t, days, 3)
		for n := range days {
			y, m, d := span.First.AddDays(n).Civil()
			// Noon of the mean sun on that day at the place.
			noon := meanNoon(p, y, m, d)
			require.True(t, span.Contains(noon), "%+v: %v is not in %+v", p, noon, span)
		}
		length := span.Ends.Sub(span.Begins)
		require.Less(t, length, 96*time.Hour, "%+v %+v", p, span)
		if lat := p.Latitude; lat > -60 && lat < 60 && p.NightfallMinutes == 0 && span.Why == "" {
			require.InDelta(t, float64(days)*24+1, length.Hours(), 3.2, "%+v %+v", p, span)
		}
		if span.Why != "" {
			unusual++
		}

		// A span starts outside any other.
		got, ok := luach.RestAt(p, now)
		require.Equal(t, span.Contains(now), ok)
		if ok {
			require.Equal(t, span, got)
		}
		requireHalfOpen(t, p, span)
	}
	require.Greater(t, unusual, 100, "places without sunset or nightfall were met")
}

// meanNoon is when the mean sun is in the south on the civil day.
func meanNoon(p luach.Place, y int, m time.Month, d int) time.Time {
	atGreenwich := time.Date(y, m, d, 12, 0, 0, 0, time.UTC)
	noon := atGreenwich.Add(-time.Duration(p.Longitude * 4 * float64(time.Minute)))
	clock := time.Date(y, m, d, 12, 0, 0, 0, p.Zone)
	for noon.Sub(clock) > 12*time.Hour {
		noon = noon.Add(-24 * time.Hour)
	}
	for clock.Sub(noon) > 12*time.Hour {
		noon = noon.Add(24 * time.Hour)
	}
	return noon
}

// High latitudes, Sabbaths of 2027. The sun's noon is that of the longitude
// (mean sun; the equation of time is below 17 minutes), sunset and nightfall
// are asserted against polar.csv elsewhere. Which convention bounds the span
// where the sun does not is common practice, no source.
func TestRestWhereTheSunGivesNoEvening(t *testing.T) {
	with := func(p luach.Place, change func(*luach.Place)) luach.Place {
		change(&p)
		return p
	}
	polar72 := func(p *luach.Place) { p.PolarNightfallMinutes = 72 }
	fixed150 := func(p *luach.Place) { p.NightfallMinutes = 150 }
	type edge struct {
		sunset bool          // counted from sunset rather than from the sun's noon
		after  time.Duration // how long after it
	}
	for name, c := range map[string]struct {
		place    luach.Place
		sabbath  string
		from, to edge
		why      string
	}{
		"white nights, no setting": {
			reykjavik(t), "2027-06-19", edge{true, -18 * time.Minute}, edge{false, 12*time.Hour + 72*time.Minute},
			"end: no nightfall, sun stays above: twilight counted from the sun's midnight",
		},
		"white nights, minutes for them": {
			with(reykjavik(t), polar72), "2027-06-19", edge{true, -18 * time.Minute}, edge{true, 72 * time.Minute},
			"end: sun stays above 8.5 degrees below the horizon: 72 minutes after sunset instead",
		},
		"white nights, fixed minutes": {
			with(reykjavik(t), fixed150), "2027-06-19", edge{true, -18 * time.Minute}, edge{true, 150 * time.Minute}, "",
		},
		"midnight sun": {
			tromso(t), "2027-06-19", edge{false, 6*time.Hour - 18*time.Minute}, edge{false, 12*time.Hour + 72*time.Minute},
			"beginning: no sunset, sun stays above: six hours after the sun's noon taken for sunset; " +
				"end: no nightfall, sun stays above: twilight counted from the sun's midnight",
		},
		"midnight sun, minutes that cannot be counted": {
			with(tromso(t), polar72), "2027-06-19", edge{false, 6*time.Hour - 18*time.Minute}, edge{false, 12*time.Hour + 72*time.Minute},
			"beginning: no sunset, sun stays above: six hours after the sun's noon taken for sunset; " +
				"end: no nightfall, sun stays above: twilight counted from the sun's midnight",
		},
		"midnight sun, a longer twilight": {
			with(tromso(t), fixed150), "2027-06-19", edge{false, 6*time.Hour - 18*time.Minute}, edge{false, 12*time.Hour + 150*time.Minute},
			"beginning: no sunset, sun stays above: six hours after the sun's noon taken for sunset; " +
				"end: no nightfall, sun stays above: twilight counted from the sun's midnight",
		},
		"polar night with twilight": {
			tromso(t), "2027-12-25", edge{false, -18 * time.Minute}, edge{false, 6*time.Hour + 72*time.Minute},
			"beginning: no sunset, sun stays below: the sun's noon taken for sunset; " +
				"end: no sunset, sun stays below: twilight counted from six hours after the sun's noon",
		},
		"polar night without twilight": {
			longyearbyen(t), "2027-12-25", edge{false, -18 * time.Minute}, edge{false, 6*time.Hour + 72*time.Minute},
			"beginning: no sunset, sun stays below: the sun's noon taken for sunset; " +
				"end: no sunset, sun stays below: twilight counted from six hours after the sun's noon",
		},
	} {
		t.Run(name, func(t *testing.T) {
			y, m, d := civil(t, c.sabbath)
			span, ok := luach.RestAt(c.place, meanNoon(c.place, y, m, d))
			require.True(t, ok)
			require.Equal(t, c.why, span.Why)
			require.Equal(t, []string{luach.Sabbath}, span.Days)
			check := func(e edge, day int, got time.Time) {
				if e.sunset {
					set := luach.Sunset(c.place, y, m, day)
					require.True(t, set.Happens)
					require.Equal(t, set.At.Add(e.after), got)
					return
				}
				require.WithinDuration(t, meanNoon(c.place, y, m, day).Add(e.after), got, 17*time.Minute)
			}
			check(c.from, d-1, span.Begins)
			check(c.to, d, span.Ends)
		})
	}
}

// A Sabbath that begins with a sunset and ends without one, and the reverse: the
// weeks at the turn of the seasons, for a year at each latitude.
func TestSpansThroughTheYearAtHighLatitudes(t *testing.T) {
	for latitude := -90.0; latitude <= 90; latitude += 2.5 {
		p := luach.Place{Latitude: latitude, Longitude: 25, Zone: time.FixedZone("", 2*3600)}
		now := time.Date(2026, time.December, 27, 12, 0, 0, 0, p.Zone)
		for end := now.AddDate(1, 0, 0); now.Before(end); {
			span := luach.NextRest(p, now)
			require.Greater(t, span.Begins.Sub(now), 9*time.Hour, "latitude %v: the working week is there: %+v", latitude, span)
			require.Greater(t, span.Ends.Sub(span.Begins), 22*time.Hour, "latitude %v: %+v", latitude, span)
			now = span.Ends
		}
	}
}
