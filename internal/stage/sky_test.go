package stage_test

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/luach"
)

// What the checker of random weeks knows of rest, it does not have from the program. The days are those of
// testdata/reference/holy_time.csv, and every Saturday; sunset and nightfall come from formulas of its own (the low-precision
// ones of the Astronomical Almanac, from memory), which TestSkyAgreesWithTheReference holds to sun_times.csv.

const reference = "../../testdata/reference"

// rows reads a reference table, by column name.
func rows(t testing.TB, name string) []map[string]string {
	f, err := os.Open(filepath.Join(reference, name))
	require.NoError(t, err)
	defer f.Close()
	records, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	var out []map[string]string
	for _, record := range records[1:] {
		r := map[string]string{}
		for i, v := range record {
			r[records[0][i]] = v
		}
		out = append(out, r)
	}
	require.NotEmpty(t, out)
	return out
}

func day(t testing.TB, date string) time.Time {
	at, err := time.Parse(time.DateOnly, date)
	require.NoError(t, err)
	return at
}

func number(t testing.TB, s string) float64 {
	x, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return x
}

// Altitudes of the sun in degrees.
const (
	atSunset = -50.0 / 60
	atNight  = -8.5
)

// evening is when the sun sinks to an altitude on the day that is named by its midnight in UTC; ok is false where it does not.
func evening(lat, lon float64, date time.Time, altitude float64) (at time.Time, ok bool) {
	const rad = math.Pi / 180
	noon := date.Add(12*time.Hour - time.Duration(lon*4*float64(time.Minute)))
	at = noon
	for range 4 {
		n := float64(at.Unix())/86400 + 2440587.5 - 2451545
		l, g := 280.460+0.9856474*n, (357.528+0.9856003*n)*rad
		lambda := (l + 1.915*math.Sin(g) + 0.020*math.Sin(2*g)) * rad
		epsilon := (23.439 - 0.0000004*n) * rad
		declination := math.Asin(math.Sin(epsilon) * math.Sin(lambda))
		ascension := math.Atan2(math.Cos(epsilon)*math.Sin(lambda), math.Cos(lambda)) / rad
		ahead := math.Remainder(l-ascension, 360) // of the sun before the clock, in degrees
		cosine := (math.Sin(altitude*rad) - math.Sin(lat*rad)*math.Sin(declination)) / (math.Cos(lat*rad) * math.Cos(declination))
		if math.Abs(cosine) > 1 {
			return at, false
		}
		at = noon.Add(time.Duration((math.Acos(cosine)/rad - ahead) * 4 * float64(time.Minute)))
	}
	return at, true
}

// Source: sun_times.csv.
func TestSkyAgreesWithTheReference(t *testing.T) {
	checked := 0
	for _, r := range rows(t, "sun_times.csv") {
		altitude, ok := map[string]float64{"sunset": atSunset, "dusk_8.5": atNight}[r["event"]]
		if !ok || strings.HasPrefix(r["ref_utc"], "none") {
			continue
		}
		want, err := time.Parse(time.RFC3339, r["ref_utc"])
		require.NoError(t, err)
		got, ok := evening(number(t, r["lat"]), number(t, r["lon"]), day(t, r["date"]), altitude)
		require.True(t, ok, "%v", r)
		require.WithinDuration(t, want, got, 40*time.Second, "%s %s %s", r["place"], r["date"], r["event"])
		checked++
	}
	require.Greater(t, checked, 150)
}

// almanac is what the reference knows of rest: by schedule, the days on which work is forbidden.
type almanac struct {
	days   map[string]map[string]bool
	spans  []map[string]string // rows of holy_time.csv
	places map[string]luach.Place
}

// secondDays are kept abroad only (names of holy_time.csv).
var secondDays = []string{"Pesach II", "Pesach VIII", "Shavuot II", "Sukkot II", "Simchat Torah"}

// followed are the days after which, abroad, a second one comes.
var followed = []string{"Pesach", "Pesach I", "Pesach VII", "Shavuot", "Sukkot", "Sukkot I", "Shmini Atzeret"}

func readAlmanac(t testing.TB) almanac {
	a := almanac{days: map[string]map[string]bool{"israel": {}, "abroad": {}}, spans: rows(t, "holy_time.csv"), places: map[string]luach.Place{}}
	for _, r := range a.spans {
		for _, entry := range strings.Split(r["day_list"], " | ") {
			date, names, _ := strings.Cut(entry, " ")
			for _, name := range strings.Split(names, " + ") {
				a.days["abroad"][date] = true // every day of rest in Israel is one abroad
				if !slices.Contains(secondDays, name) {
					a.days["israel"][date] = true
				}
				if r["schedule"] == "israel" && slices.Contains(followed, name) {
					a.days["abroad"][day(t, date).AddDate(0, 0, 1).Format(time.DateOnly)] = true
				}
			}
		}
	}
	for _, r := range rows(t, "places.csv") {
		zone, err := time.LoadLocation(r["tz"])
		require.NoError(t, err)
		a.places[r["place"]] = luach.Place{Name: r["place"], Latitude: number(t, r["lat"]), Longitude: number(t, r["lon"]), Zone: zone,
			Israel: r["place"] == "Jerusalem"}
	}
	return a
}

// calendar is by what somebody rests.
type calendar struct {
	place    luach.Place
	schedule string
}

func (a almanac) rests(schedule string, date time.Time) bool {
	return date.Weekday() == time.Saturday || a.days[schedule][date.Format(time.DateOnly)]
}

// interval is a rest, from candle lighting to nightfall.
type interval struct{ begins, ends time.Time }

// around lists the rests of a calendar from some days before a date to some days after it. ok is false where the sun gives one
// of them no evening.
func (a almanac) around(c calendar, date time.Time, before, after int) (out []interval, ok bool) {
	from, to := date.AddDate(0, 0, -before), date.AddDate(0, 0, after)
	for a.rests(c.schedule, from) { // not into the middle of one
		from = from.AddDate(0, 0, -1)
	}
	for d := from; d.Before(to); d = d.AddDate(0, 0, 1) {
		if !a.rests(c.schedule, d) {
			continue
		}
		set, sets := evening(c.place.Latitude, c.place.Longitude, d.AddDate(0, 0, -1), atSunset)
		for a.rests(c.schedule, d.AddDate(0, 0, 1)) {
			d = d.AddDate(0, 0, 1)
		}
		night, falls := evening(c.place.Latitude, c.place.Longitude, d, atNight)
		if !sets || !falls {
			return nil, false
		}
		out = append(out, interval{set.Add(-time.Duration(c.place.CandleMinutes) * time.Minute), night})
	}
	return out, true
}

// holds reports whether the moment is inside by more than the margin.
func (i interval) holds(at time.Time, margin time.Duration) bool {
	return at.After(i.begins.Add(margin)) && at.Before(i.ends.Add(-margin))
}
