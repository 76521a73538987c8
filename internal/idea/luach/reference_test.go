package luach_test

import (
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"
	_ "time/tzdata" // the tests must not depend on the machine's zones

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/luach"
)

// row is one line of a reference table, by column name.
type row map[string]string

// table reads a table of testdata/reference; its README names the sources.
func table(t testing.TB, name string) []row {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "..", "testdata", "reference", name))
	require.NoError(t, err)
	defer func() { require.NoError(t, f.Close()) }()
	records, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(records), 1, "%s is empty", name)
	rows := make([]row, 0, len(records)-1)
	for _, record := range records[1:] {
		r := make(row, len(record))
		for i, value := range record {
			r[records[0][i]] = value
		}
		rows = append(rows, r)
	}
	return rows
}

func (r row) int(t testing.TB, column string) int {
	t.Helper()
	n, err := strconv.Atoi(r[column])
	require.NoError(t, err, "column %s", column)
	return n
}

func (r row) float(t testing.TB, column string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(r[column], 64)
	require.NoError(t, err, "column %s", column)
	return x
}

// civil is a date column as year, month and day; years can be negative.
func (r row) civil(t testing.TB, column string) (y int, m time.Month, d int) {
	t.Helper()
	return civil(t, r[column])
}

func civil(t testing.TB, date string) (y int, m time.Month, d int) {
	t.Helper()
	var month int
	n, err := fmt.Sscanf(date, "%d-%d-%d", &y, &month, &d)
	require.NoError(t, err, "date %q", date)
	require.Equal(t, 3, n)
	return y, time.Month(month), d
}

func (r row) instant(t testing.TB, column string) time.Time {
	t.Helper()
	at, err := time.Parse(time.RFC3339, r[column])
	require.NoError(t, err, "column %s", column)
	return at
}

// place is the place of a row that has lat, lon and tz.
func (r row) place(t testing.TB) luach.Place {
	t.Helper()
	p := luach.Place{
		Name: r["place"], Latitude: r.float(t, "lat"), Longitude: r.float(t, "lon"), Zone: zone(t, r["tz"]),
	}
	require.NoError(t, p.Valid())
	return p
}

func zone(t testing.TB, name string) *time.Location {
	t.Helper()
	z, err := time.LoadLocation(name)
	require.NoError(t, err)
	return z
}

// requireNear fails unless the event happens within the tolerance of the
// reference.
func requireNear(t testing.TB, want time.Time, got luach.Event, tolerance time.Duration, about string) {
	t.Helper()
	require.True(t, got.Happens, "%s: does not happen: %s", about, got.Why)
	require.WithinDuration(t, want, got.At, tolerance, about)
}

// Coordinates as in places.csv.
func newYork(t testing.TB) luach.Place {
	return luach.Place{Name: "New York", Latitude: 40.7128, Longitude: -74.006, Zone: zone(t, "America/New_York")}
}

func jerusalem(t testing.TB) luach.Place {
	return luach.Place{Name: "Jerusalem", Latitude: 31.769, Longitude: 35.2163, Zone: zone(t, "Asia/Jerusalem"), Israel: true}
}

// Coordinates as in polar.csv.
func reykjavik(t testing.TB) luach.Place {
	return luach.Place{Name: "Reykjavik", Latitude: 64.1466, Longitude: -21.9426, Zone: zone(t, "Atlantic/Reykjavik")}
}

func tromso(t testing.TB) luach.Place {
	return luach.Place{Name: "Tromso", Latitude: 69.6492, Longitude: 18.9553, Zone: zone(t, "Europe/Oslo")}
}

func longyearbyen(t testing.TB) luach.Place {
	return luach.Place{Name: "Longyearbyen", Latitude: 78.2232, Longitude: 15.6267, Zone: zone(t, "Arctic/Longyearbyen")}
}

// at is a local time that exists once.
func at(t testing.TB, p luach.Place, text string) time.Time {
	t.Helper()
	parsed, err := time.Parse("2006-01-02 15:04", text)
	require.NoError(t, err)
	y, m, d := parsed.Date()
	found := luach.Local(p.Zone, y, m, d, parsed.Hour(), parsed.Minute())
	require.Len(t, found, 1)
	return found[0]
}

// random is a generator of places and instants whose seed is fixed, so that a
// failure can be repeated.
type random struct{ *rand.Rand }

func newRandom(seed uint64) random { return random{rand.New(rand.NewPCG(seed, 0x6c7561636800))} }

// place is anywhere up to the latitude, with a clock up to three hours away
// from the sun and any settings that Valid accepts.
func (r random) place(t testing.TB, maxLatitude float64) luach.Place {
	t.Helper()
	lon := r.Float64()*360 - 180
	offset := int(math.Round(lon/15*4))*900 + (r.IntN(25)-12)*900
	p := luach.Place{
		Latitude: (r.Float64()*2 - 1) * maxLatitude, Longitude: lon,
		Zone: time.FixedZone("somewhere", offset), Israel: r.IntN(2) == 0,
		CandleMinutes: r.IntN(61),
		Hours:         luach.Reckoning(r.IntN(2)),
	}
	switch r.IntN(4) {
	case 0:
		p.NightfallMinutes = 1 + r.IntN(120)
	case 1:
		p.NightfallDegrees = 3 + r.Float64()*15
	case 2:
		p.PolarNightfallMinutes = 1 + r.IntN(120)
	}
	if r.IntN(3) == 0 {
		p.Elevation = r.Float64() * 4000
	}
	require.NoError(t, p.Valid())
	return p
}

// instant is between 1950 and 2150, to the second.
func (r random) instant() time.Time {
	from := time.Date(1950, time.January, 1, 0, 0, 0, 0, time.UTC).Unix()
	to := time.Date(2150, time.January, 1, 0, 0, 0, 0, time.UTC).Unix()
	return time.Unix(from+r.Int64N(to-from), 0).UTC()
}
