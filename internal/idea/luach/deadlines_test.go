package luach_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/luach"
)

// Source: deadlines.csv (from ERFA's sunrise and sunset).
func TestDeadlinesAgreeWithTheReference(t *testing.T) {
	for _, r := range table(t, "deadlines.csv") {
		p := r.place(t)
		y, m, d := r.civil(t, "date")
		require.Equal(t, 14, luach.FromCivil(y, m, d).Day)
		got := luach.Deadlines(p, y, m, d)
		for column, e := range map[string]luach.Event{
			"end4_gra_utc": got.EndFourth.SunriseToSunset, "end5_gra_utc": got.EndFifth.SunriseToSunset,
			"end4_72_utc": got.EndFourth.Minutes72, "end5_72_utc": got.EndFifth.Minutes72,
		} {
			requireNear(t, r.instant(t, column), e, sunTolerance, r["place"]+" "+r["date"]+" "+column)
		}
		p.Elevation = 2850
		require.Equal(t, got, luach.Deadlines(p, y, m, d), "elevation does not enter proportional hours")
	}
}

// Follows from the two definitions: the reckoning of 72 minutes ends the fourth
// hour 24 minutes and the fifth 12 minutes earlier, always and everywhere.
func TestTheTwoReckoningsDifferByFixedMinutes(t *testing.T) {
	random := newRandom(5)
	met := 0
	for range 3000 {
		p := random.place(t, 80)
		y, m, d := random.instant().Date()
		got := luach.Deadlines(p, y, m, d)
		if !got.EndFourth.Minutes72.Happens {
			require.Regexp(t, "^no sun(rise|set), sun stays (above|below)$", got.EndFourth.Minutes72.Why)
			require.Equal(t, got.EndFourth.Minutes72, got.EndFifth.SunriseToSunset)
			continue
		}
		met++
		fourth, fifth := got.EndFourth.SunriseToSunset.At, got.EndFifth.SunriseToSunset.At
		require.Equal(t, fourth.Add(-24*time.Minute), got.EndFourth.Minutes72.At)
		require.Equal(t, fifth.Add(-12*time.Minute), got.EndFifth.Minutes72.At)
		require.Equal(t, got.EndFourth.Minutes72, got.EndFourth.By(luach.ReckoningMinutes72))
		require.Equal(t, got.EndFifth.SunriseToSunset, got.EndFifth.By(luach.ReckoningSunriseToSunset))

		p.Elevation = 0
		rise, set := luach.Sunrise(p, y, m, d).At, luach.Sunset(p, y, m, d).At
		require.InDelta(t, set.Sub(rise).Seconds()/3, fourth.Sub(rise).Seconds(), 1, "four hours of twelve are a third")
		require.False(t, fifth.After(rise.Add(set.Sub(rise)*5/12)), "rounded down")
	}
	require.Greater(t, met, 2000)
}

func TestDeadlinesWithoutSun(t *testing.T) {
	got := luach.Deadlines(longyearbyen(t), 2027, time.April, 21) // polar.csv: the sun stays above
	none := luach.Event{Why: "no sunrise, sun stays above"}
	require.Equal(t, luach.HourEnd{SunriseToSunset: none, Minutes72: none}, got.EndFourth)
	require.Equal(t, got.EndFourth, got.EndFifth)
}

func TestReckoningNames(t *testing.T) {
	require.Equal(t, "sunrise to sunset", luach.ReckoningSunriseToSunset.String())
	require.Equal(t, "72 minutes before sunrise to 72 minutes after sunset", luach.ReckoningMinutes72.String())
	require.Equal(t, "Reckoning(7)", luach.Reckoning(7).String())
}
