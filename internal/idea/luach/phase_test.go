package luach_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/luach"
)

// The deadlines of 21 April 2027 in New York are in deadlines.csv (10:15:36 by
// 72 minutes, 10:39:36 by sunrise to sunset; sunset 19:41:34); the days of the
// festival are in holy_time.csv.
func TestPhaseAt(t *testing.T) {
	ny72 := newYork(t)
	nySun := newYork(t)
	nySun.Hours = luach.ReckoningSunriseToSunset
	jlm := jerusalem(t)
	for _, c := range []struct {
		place luach.Place
		local string
		want  luach.Phase
	}{
		{ny72, "2027-04-19 12:00", luach.Ordinary},
		{ny72, "2027-04-20 19:30", luach.Ordinary},
		{ny72, "2027-04-20 19:50", luach.EveBeforeFourthHour}, // the date changed at sunset
		{ny72, "2027-04-21 00:10", luach.EveBeforeFourthHour},
		{ny72, "2027-04-21 10:14", luach.EveBeforeFourthHour},
		{ny72, "2027-04-21 10:17", luach.EveAfterFourthHour},
		{nySun, "2027-04-21 10:17", luach.EveBeforeFourthHour},
		{nySun, "2027-04-21 10:41", luach.EveAfterFourthHour},
		{ny72, "2027-04-21 19:22", luach.EveAfterFourthHour},
		{ny72, "2027-04-21 19:25", luach.Rest}, // candle lighting, 18 minutes before sunset
		{ny72, "2027-04-23 12:00", luach.Rest},
		{jlm, "2027-04-23 12:00", luach.CholHamoed}, // one day in Israel
		{ny72, "2027-04-24 12:00", luach.Rest},      // Sabbath of Chol Hamoed
		{jlm, "2027-04-24 12:00", luach.Rest},
		{ny72, "2027-04-25 12:00", luach.CholHamoed},
		{ny72, "2027-04-27 19:00", luach.CholHamoed},
		{ny72, "2027-04-27 20:30", luach.Rest},
		{ny72, "2027-04-29 12:00", luach.Rest},
		{jlm, "2027-04-29 12:00", luach.Ordinary},
		{ny72, "2027-04-29 21:30", luach.Ordinary},
		{ny72, "2027-04-30 12:00", luach.Ordinary},
		// The eve on a Sabbath: holy_time from Friday on.
		{ny72, "2045-03-30 12:00", luach.Ordinary},
		{ny72, "2045-03-31 12:00", luach.Ordinary},
		{ny72, "2045-03-31 20:00", luach.Rest},
		{ny72, "2045-04-01 09:00", luach.Rest},
		{ny72, "2045-04-04 12:00", luach.CholHamoed},
		// Elsewhere in the year.
		{ny72, "2027-10-02 12:00", luach.Rest},
		{ny72, "2027-10-19 12:00", luach.Ordinary}, // Chol Hamoed of Sukkos
		{ny72, "2027-06-11 12:00", luach.Rest},
		{ny72, "2027-06-14 12:00", luach.Ordinary},
	} {
		require.Equal(t, c.want, luach.PhaseAt(c.place, at(t, c.place, c.local)), "%s %s", c.place.Name, c.local)
	}
}

// The eve of Pesach on a Sabbath. deadlines.csv has the hours of that day itself; those of the Friday before it are at most two
// minutes apart, as the days lengthen or shorten.
func TestFridayBeforeAnEveOnSabbath(t *testing.T) {
	checked := 0
	for _, r := range table(t, "deadlines.csv") {
		if r["date"] != "2045-04-01" {
			continue
		}
		checked++
		there := r.place(t)
		for column, friday := range map[string]luach.FridayHours{"end4_72_utc": luach.FridayFourthHour, "end5_72_utc": luach.FridayFifthHour} {
			end := luach.EndOfKashering(there, 5805, friday)
			requireNear(t, r.instant(t, column).AddDate(0, 0, -1), end, 2*time.Minute, there.Name+" "+column)
		}
	}
	require.Greater(t, checked, 5)

	p := newYork(t)
	friday := luach.Deadlines(p, 2045, time.March, 31)
	for _, c := range []struct {
		friday luach.FridayHours
		end    time.Time
	}{
		{luach.FridayFourthHour, friday.EndFourth.Minutes72.At},
		{luach.FridayFifthHour, friday.EndFifth.Minutes72.At},
		{luach.FridayCandles, luach.CandleLighting(p, 2045, time.March, 31).At},
	} {
		end := luach.EndOfKashering(p, 5805, c.friday)
		require.True(t, end.Happens)
		require.Equal(t, c.end, end.At)
		before, after := luach.EveBeforeFourthHour, luach.EveAfterFourthHour
		if c.friday == luach.FridayCandles {
			before, after = luach.Ordinary, luach.Rest
		}
		require.Equal(t, before, luach.PhaseFor(p, end.At.Add(-time.Second), c.friday))
		require.Equal(t, after, luach.PhaseFor(p, end.At, c.friday))
		require.Equal(t, luach.Ordinary, luach.PhaseFor(p, at(t, p, "2045-03-30 12:00"), c.friday), "on Thursday nothing is pressing")
		require.Equal(t, before, luach.PhaseFor(p, at(t, p, "2045-03-30 22:00"), c.friday), "Friday begins in the evening")
		require.Equal(t, luach.Rest, luach.PhaseFor(p, at(t, p, "2045-04-01 09:00"), c.friday))
		require.Equal(t, luach.CholHamoed, luach.PhaseFor(p, at(t, p, "2045-04-04 12:00"), c.friday))
		// In other years Friday's hours have no say.
		require.Equal(t, luach.Deadlines(p, 2027, time.April, 21).EndFourth.Minutes72, luach.EndOfKashering(p, 5787, c.friday))
		require.Equal(t, luach.EveAfterFourthHour, luach.PhaseFor(p, at(t, p, "2027-04-21 10:17"), c.friday))
		require.Equal(t, luach.Ordinary, luach.PhaseFor(p, at(t, p, "2029-03-29 12:00"), c.friday))
	}
}

// Where the eve has no sunrise the whole of it is in the stricter phase: 21
// April 2027 at Longyearbyen, where the sun stays above (polar.csv). The eve
// begins and ends at six by the sun, which is 16:57 UTC at that longitude
// (mean sun; the equation of time is about a minute in April), 18:57 by the clock.
func TestPhaseOnAnEveWithoutSun(t *testing.T) {
	p := longyearbyen(t)
	for local, want := range map[string]luach.Phase{
		"2027-04-20 18:50": luach.Ordinary,
		"2027-04-20 19:00": luach.EveAfterFourthHour,
		"2027-04-21 06:00": luach.EveAfterFourthHour,
		"2027-04-21 18:30": luach.EveAfterFourthHour,
		"2027-04-21 18:45": luach.Rest,
	} {
		require.Equal(t, want, luach.PhaseAt(p, at(t, p, local)), local)
	}
}

// Through any year at any place the phases come in their order, and Rest is
// exactly RestAt.
func TestPhasesComeInOrder(t *testing.T) {
	random := newRandom(6)
	for range 10 {
		p := random.place(t, 66)
		year := 5700 + random.IntN(200)
		y, m, d := luach.EveOfPesach(year).Civil()
		from := time.Date(y, m, d, 0, 0, 0, 0, p.Zone).AddDate(0, 0, -3)
		var order []luach.Phase
		for now := from; now.Before(from.AddDate(0, 0, 15)); now = now.Add(20 * time.Minute) {
			phase := luach.PhaseAt(p, now)
			_, resting := luach.RestAt(p, now)
			require.Equal(t, resting, phase == luach.Rest)
			if phase != luach.Rest && (len(order) == 0 || order[len(order)-1] != phase) {
				order = append(order, phase)
			}
		}
		want := []luach.Phase{luach.Ordinary, luach.EveBeforeFourthHour, luach.EveAfterFourthHour, luach.CholHamoed, luach.Ordinary}
		if luach.EveOnSabbath(year) {
			want = []luach.Phase{luach.Ordinary, luach.CholHamoed, luach.Ordinary}
		}
		if order[1] == luach.EveAfterFourthHour { // no sun on the eve
			want = append(want[:1], want[2:]...)
		}
		require.Equal(t, want, order, "%+v %d", p, year)
	}
}

func TestPhaseNames(t *testing.T) {
	seen := map[string]bool{}
	for phase := luach.Ordinary; phase <= luach.Rest; phase++ {
		require.NotContains(t, phase.String(), "Phase(")
		seen[phase.String()] = true
	}
	require.Len(t, seen, 5)
	require.Equal(t, "Phase(9)", luach.Phase(9).String())
}

// Source of the dates: pesach.csv and holy_time.csv.
func TestPesachAfter(t *testing.T) {
	p := newYork(t)
	for _, c := range []struct{ local, eve string }{
		{"2026-10-01 12:00", "2027-04-21"},
		{"2027-04-21 12:00", "2027-04-21"},
		{"2027-04-29 12:00", "2027-04-21"}, // the eighth day
		{"2027-04-29 22:00", "2028-04-10"},
		{"2027-09-20 12:00", "2028-04-10"},
		{"2044-12-31 12:00", "2045-04-01"},
	} {
		pesach := luach.PesachAfter(p, at(t, p, c.local))
		requireCivil(t, c.eve, pesach.Eve, c.local)
		require.Equal(t, luach.EveOfPesach(pesach.Year), pesach.Eve)
		require.Equal(t, pesach.First.Begins, pesach.Begins)
		require.Equal(t, pesach.Last.Ends, pesach.Ends)
		require.Contains(t, pesach.First.Days, luach.Pesach)
		require.Contains(t, pesach.Last.Days, luach.PesachLastDays)
		require.True(t, pesach.First.Ends.Before(pesach.Last.Begins))
	}
	// The eve on a Sabbath: it begins on Friday, 31 March 2045.
	sabbath := luach.PesachAfter(p, at(t, p, "2045-01-01 12:00"))
	require.Equal(t, luach.CandleLighting(p, 2045, time.March, 31).At, sabbath.Begins)
	require.Equal(t, []string{luach.Sabbath, luach.Pesach}, sabbath.First.Days)
}

func TestPesachAfterIsTheFirstThatEndsAfter(t *testing.T) {
	random := newRandom(7)
	for range 1000 {
		p := random.place(t, 80)
		now := random.instant()
		pesach := luach.PesachAfter(p, now)
		require.True(t, pesach.Ends.After(now))
		last := luach.PesachAfter(p, pesach.Begins.AddDate(-1, -2, 0))
		require.Equal(t, pesach.Year-1, last.Year)
		require.False(t, last.Ends.After(now))
		require.Equal(t, pesach, luach.PesachAfter(p, pesach.Ends.Add(-time.Second)))
		require.Equal(t, pesach.Year+1, luach.PesachAfter(p, pesach.Ends).Year)
	}
}

// Sunsets: New York 19:41 on 21 April 2027 (deadlines.csv); Reykjavik 00:03:55
// on the night after 21 June 2027 (polar.csv).
func TestDateAtChangesAtSunset(t *testing.T) {
	ny, rvk, tr := newYork(t), reykjavik(t), tromso(t)
	for _, c := range []struct {
		place luach.Place
		local string
		y     int
		m     time.Month
		d     int
	}{
		{ny, "2027-04-21 00:05", 2027, time.April, 21},
		{ny, "2027-04-21 19:41", 2027, time.April, 21},
		{ny, "2027-04-21 19:42", 2027, time.April, 22},
		{ny, "2027-04-21 23:59", 2027, time.April, 22},
		{rvk, "2027-06-21 23:59", 2027, time.June, 21},
		{rvk, "2027-06-22 00:03", 2027, time.June, 21},
		{rvk, "2027-06-22 00:05", 2027, time.June, 22},
		// No sunset: six hours after the sun's noon, 16:44 UTC by the mean sun.
		{tr, "2027-06-21 18:40", 2027, time.June, 21},
		{tr, "2027-06-21 18:52", 2027, time.June, 22},
		{tr, "2027-12-22 17:40", 2027, time.December, 22},
		{tr, "2027-12-22 17:52", 2027, time.December, 23},
	} {
		require.Equal(t, luach.FromCivil(c.y, c.m, c.d), luach.DateAt(c.place, at(t, c.place, c.local)), "%s %s", c.place.Name, c.local)
	}
}

func TestDateAtNeverGoesBack(t *testing.T) {
	random := newRandom(8)
	for range 30 {
		p := random.place(t, 89)
		now := random.instant()
		before := luach.DateAt(p, now)
		for range 400 {
			now = now.Add(time.Duration(1+random.IntN(180)) * time.Minute)
			date := luach.DateAt(p, now)
			require.False(t, date.Before(before), "%+v %v", p, now)
			require.False(t, before.AddDays(1).Before(date), "%+v %v: a day is skipped", p, now)
			before = date
		}
	}
}
