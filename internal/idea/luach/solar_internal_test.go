package luach

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Source: published_positions.csv, Meeus, Astronomical Algorithms, examples
// 25.a and 28.b, for 13 October 1992, 0 h dynamical time.
func TestSolarPositionAgreesWithPublishedExamples(t *testing.T) {
	f, err := os.Open("../../../testdata/reference/published_positions.csv")
	require.NoError(t, err)
	defer func() { require.NoError(t, f.Close()) }()
	records, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	published := map[string]float64{}
	for _, record := range records[1:] {
		if record[1] != "1992-10-13T00:00 TD" {
			continue
		}
		published[record[2]], err = strconv.ParseFloat(record[3], 64)
		require.NoError(t, err)
	}

	century := centuriesAt(float64(time.Date(1992, time.October, 13, 0, 0, 0, 0, time.UTC).Unix()))
	sun := solarAt(century)
	turn := func(deg float64) float64 { return deg - 360*math.Floor(deg/360) }
	for _, c := range []struct {
		quantity string
		got      float64
		within   float64
	}{
		{"T (Julian centuries)", century, 1e-9},
		{"mean longitude L0 deg", turn(sun.meanLongitude), 1e-5},
		{"mean anomaly M deg", turn(sun.meanAnomaly), 1e-5},
		{"equation of centre C deg", sun.centre, 1e-5},
		{"true longitude deg", turn(sun.meanLongitude + sun.centre), 2e-5},
		{"apparent declination deg", sun.declination, 1e-4},
		{"equation of time min", sun.equationOfTime, 0.0005}, // half of the last digit printed,
	} {
		want, ok := published[c.quantity]
		require.True(t, ok, c.quantity)
		require.InDelta(t, want, c.got, c.within, c.quantity)
	}
}

// The quick way of finding a crossing and the search by halves are two
// algorithms for the same moment.
func TestQuickCrossingAgreesWithSearch(t *testing.T) {
	found := 0
	for latitude := -88.0; latitude <= 88; latitude += 11 {
		p := Place{Latitude: latitude, Longitude: 31}
		for day := civilDayNumber(2027, time.January, 1); day < civilDayNumber(2028, time.January, 1); day += 5 {
			s := skyOf(p, day)
			for _, altitude := range []float64{-50.0 / 60, -8.5} {
				for _, side := range []float64{beforeNoon, afterNoon} {
					quick, why := s.crossing(altitude, side)
					slow, whySlow := s.search(math.Sin(radians(altitude)), side)
					require.Equal(t, whySlow, why)
					if why == "" {
						require.InDelta(t, slow, quick, 0.5, "latitude %v day %v", latitude, day)
						found++
					}
				}
			}
		}
	}
	require.Greater(t, found, 3000)
}

// The sundial's known range over a year: a slip in a term that happens to be
// small on the day of the published example would show here.
func TestEquationOfTimeStaysWithinItsKnownRange(t *testing.T) {
	// Extremes about -14.2 minutes in February and +16.4 in November (from memory).
	lowest, highest := 0.0, 0.0
	for day := range 366 {
		unix := float64(time.Date(2027, time.January, day, 12, 0, 0, 0, time.UTC).Unix())
		e := solarAt(centuriesAt(unix)).equationOfTime
		lowest, highest = math.Min(lowest, e), math.Max(highest, e)
	}
	require.InDelta(t, -14.2, lowest, 0.2)
	require.InDelta(t, 16.4, highest, 0.2)
}
