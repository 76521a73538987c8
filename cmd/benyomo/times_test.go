package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/app/config"
	"benyomo/internal/engine/clock"
	"benyomo/internal/idea/luach"
)

// reference reads a table of testdata/reference, whose README names the sources: one map by column for each row.
func reference(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "reference", name))
	require.NoError(t, err)
	defer f.Close()
	records, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(records), 1)
	var rows []map[string]string
	for _, record := range records[1:] {
		row := map[string]string{}
		for i, value := range record {
			row[records[0][i]] = value
		}
		rows = append(rows, row)
	}
	return rows
}

// sample is n rows, always the same.
func sample(rows []map[string]string, n int) []map[string]string {
	r := rand.New(rand.NewPCG(5787, 14))
	r.Shuffle(len(rows), func(i, j int) { rows[i], rows[j] = rows[j], rows[i] })
	return rows[:n]
}

// answered is the answer of `times --json`, flat: a time or null by its name, such as end_fourth_hour.minutes_72.
type answered struct {
	date       string
	hebrew     luach.Date
	times      map[string]*time.Time
	why, notes map[string]string
}

// ask calls `times --json` and reads the answer. Each null must have its why, and nothing else may have one.
func ask(t *testing.T, args ...string) answered {
	t.Helper()
	got := call(t, append([]string{"times", "--json"}, args...)...)
	require.Equal(t, fine, got.code, got.stderr)
	require.Empty(t, got.stderr)
	return readAnswer(t, got.stdout)
}

func readAnswer(t *testing.T, text string) answered {
	t.Helper()
	var whole map[string]json.RawMessage
	require.NoError(t, json.Unmarshal([]byte(text), &whole))
	a := answered{times: map[string]*time.Time{}}
	var nulls []string
	moment := func(name string, raw json.RawMessage) {
		if string(raw) == "null" {
			nulls = append(nulls, name)
			a.times[name] = nil
			return
		}
		require.Regexp(t, `^"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\dZ"$`, string(raw), name)
		var at time.Time
		require.NoError(t, json.Unmarshal(raw, &at), name)
		a.times[name] = &at
	}
	for name, raw := range whole {
		switch name {
		case "date":
			require.NoError(t, json.Unmarshal(raw, &a.date))
		case "hebrew":
			require.NoError(t, json.Unmarshal(raw, &a.hebrew))
		case "why":
			require.NoError(t, json.Unmarshal(raw, &a.why))
		case "notes":
			require.NoError(t, json.Unmarshal(raw, &a.notes))
		case "end_fourth_hour", "end_fifth_hour", "rest_span":
			var within map[string]json.RawMessage
			require.NoError(t, json.Unmarshal(raw, &within))
			for part, raw := range within {
				moment(name+"."+part, raw)
			}
		default:
			moment(name, raw)
		}
	}
	require.ElementsMatch(t, []string{"sunrise", "sunset", "nightfall", "candle_lighting",
		"end_fourth_hour.sunrise_to_sunset", "end_fourth_hour.minutes_72", "end_fifth_hour.sunrise_to_sunset", "end_fifth_hour.minutes_72",
		"rest_span.begins", "rest_span.ends"}, slices.Collect(maps.Keys(a.times)))
	require.ElementsMatch(t, nulls, slices.Collect(maps.Keys(a.why)), "each null has its why")
	require.NotContains(t, slices.Collect(maps.Values(a.why)), "")
	return a
}

// at is where a row of a table is, and when.
func at(row map[string]string) []string {
	return []string{"--lat", row["lat"], "--lon", row["lon"], "--tz", row["tz"], "--date", row["date"]}
}

// requireNear compares with a time of the reference.
func requireNear(t *testing.T, want string, got *time.Time, tolerance time.Duration, about string) {
	t.Helper()
	at, err := time.Parse(time.RFC3339, want)
	require.NoError(t, err, about)
	require.NotNil(t, got, about)
	require.WithinDuration(t, at, *got, tolerance, about)
}

// eventNames are the names in JSON for those of the tables of the sun.
var eventNames = map[string]string{"sunrise": "sunrise", "sunset": "sunset", "dusk_8.5": "nightfall"}

// Source: sun_times.csv (ERFA), below latitude 62: 10 s. Elevation moves sunrise and sunset, never nightfall by degrees.
func TestTimesAgreeWithTheSunOfTheReference(t *testing.T) {
	met := map[string]int{}
	for _, row := range sample(reference(t, "sun_times.csv"), 30) {
		name, about := eventNames[row["event"]], fmt.Sprint(row)
		met[name]++
		flat := ask(t, at(row)...)
		require.Equal(t, row["date"], flat.date)
		high := ask(t, append(at(row), "--elevation", row["elevation_m"])...)
		if row["ref_utc"] == "none_sun_stays_above" {
			require.Nil(t, flat.times[name], about)
			require.Equal(t, luach.WhyStaysAbove, flat.why[name], about)
			require.Nil(t, high.times[name], about)
			continue
		}
		requireNear(t, row["ref_utc"], flat.times[name], 10*time.Second, about)
		if name == "nightfall" {
			require.Equal(t, flat.times[name], high.times[name], about)
			continue
		}
		requireNear(t, row["ref_elev_utc"], high.times[name], 10*time.Second, about)
	}
	require.Len(t, met, 3, "the sample has sunrise, sunset and nightfall")
}

// Source: deadlines.csv (from ERFA's sunrise and sunset): 10 s. The table has fewer than 30 rows; all are taken.
func TestTimesAgreeWithTheDeadlinesOfTheReference(t *testing.T) {
	rows := reference(t, "deadlines.csv")
	require.GreaterOrEqual(t, len(rows), 28)
	for _, row := range rows {
		got := ask(t, at(row)...)
		require.Equal(t, [2]int{luach.Nisan, 14}, [2]int{got.hebrew.Month, got.hebrew.Day})
		for column, name := range map[string]string{
			"sunrise_utc": "sunrise", "sunset_utc": "sunset",
			"end4_gra_utc": "end_fourth_hour.sunrise_to_sunset", "end5_gra_utc": "end_fifth_hour.sunrise_to_sunset",
			"end4_72_utc": "end_fourth_hour.minutes_72", "end5_72_utc": "end_fifth_hour.minutes_72",
		} {
			requireNear(t, row[column], got.times[name], 10*time.Second, row["place"]+" "+row["date"]+" "+name)
		}
	}
}

// Source: polar.csv (ERFA), 30 s. Rows too close to call are left to the package that reckons.
func TestTimesSayWhyTheSunDoesNotRiseOrSet(t *testing.T) {
	whys := map[string]int{}
	for _, row := range reference(t, "polar.csv") {
		if row["grazing"] != "" {
			continue
		}
		got := ask(t, at(row)...)
		for column, name := range map[string]string{"sunrise_utc": "sunrise", "sunset_utc": "sunset", "dusk_8.5_utc": "nightfall"} {
			about := row["place"] + " " + row["date"] + " " + name
			why, none := strings.CutPrefix(row[column], "none_")
			if !none {
				requireNear(t, row[column], got.times[name], 30*time.Second, about)
				continue
			}
			require.Nil(t, got.times[name], about)
			require.Equal(t, strings.ReplaceAll(why, "_", " "), got.why[name], about)
			whys[why]++
		}
		if got.times["sunset"] == nil || got.times["sunrise"] == nil {
			require.Regexp(t, "^no sun(rise|set), sun stays (above|below)$", got.why["end_fifth_hour.minutes_72"])
		}
		require.True(t, got.times["rest_span.begins"].Before(*got.times["rest_span.ends"]))
	}
	require.Len(t, whys, 2, "the sun stays above, and below")
}

// Source: hebrew_dates.csv (ICU).
func TestTimesAgreeWithTheHebrewDatesOfTheReference(t *testing.T) {
	for _, row := range sample(reference(t, "hebrew_dates.csv"), 60) {
		got := ask(t, "--lat", "0", "--lon", "0", "--tz", "UTC", "--date", row["gregorian"])
		require.Equal(t, []string{row["hebrew_year"], row["hebrew_month"], row["hebrew_day"]},
			[]string{strconv.Itoa(got.hebrew.Year), strconv.Itoa(got.hebrew.Month), strconv.Itoa(got.hebrew.Day)}, row["gregorian"])
	}
}

// Source: holy_time.csv (a published list of festivals, ICU dates). The times are those of the command's own days.
func TestTimesAgreeWithTheRestOfTheReference(t *testing.T) {
	zone, err := time.LoadLocation("Asia/Jerusalem")
	require.NoError(t, err)
	lengths := map[string]int{}
	var rows, single []map[string]string
	for _, row := range reference(t, "holy_time.csv") {
		if row["days"] == "1" {
			single = append(single, row)
		} else {
			rows = append(rows, row) // all of the rarer ones
		}
	}
	for _, row := range append(rows, sample(single, 40)...) {
		lengths[row["days"]]++
		days, err := strconv.Atoi(row["days"])
		require.NoError(t, err)
		eve, err := time.Parse(time.DateOnly, row["begins_at_sunset_of"])
		require.NoError(t, err)
		var of []answered // the eve, the days, and the day after
		for n := range days + 2 {
			args := []string{"--lat", "31.769", "--lon", "35.2163", "--tz", zone.String(), "--date", eve.AddDate(0, 0, n).Format(time.DateOnly)}
			if row["schedule"] == "israel" {
				args = append(args, "--israel")
			}
			of = append(of, ask(t, args...))
		}
		about := fmt.Sprint(row)
		begins := of[0].times["sunset"].Add(-18 * time.Minute)
		require.Equal(t, begins, *of[0].times["candle_lighting"], about)
		require.Equal(t, row["ends_at_nightfall_of"], of[days].date, about)
		for n, a := range of[:days+1] {
			require.Equal(t, begins, *a.times["rest_span.begins"], about)
			require.Equal(t, of[days].times["nightfall"], a.times["rest_span.ends"], about)
			require.Empty(t, a.notes, about)
			friday := eve.AddDate(0, 0, n).Weekday() == time.Friday
			switch {
			case n == 0:
			case friday:
				require.Equal(t, a.times["sunset"].Add(-18*time.Minute), *a.times["candle_lighting"], about)
			case n < days:
				require.Equal(t, "the rest has begun before and goes on", a.why["candle_lighting"], about)
			default:
				require.Equal(t, "not an eve of Sabbath or festival", a.why["candle_lighting"], about)
			}
		}
		require.True(t, of[days+1].times["rest_span.begins"].After(*of[days].times["rest_span.ends"]), about)
	}
	require.Len(t, lengths, 3, "spans of one, two and three days")
}

// The form of the answer, whole. Its numbers are the program's own: they lie within 10 s of the rows for New York of
// sun_times.csv and deadlines.csv, with which the tests above compare.
func TestTimesJSON(t *testing.T) {
	got := call(t, "times", "--json", "--lat", "40.7128", "--lon", "-74.006", "--tz", "America/New_York", "--date", "2027-04-21")
	require.Equal(t, outcomeOf{fine, `{
  "date": "2027-04-21",
  "hebrew": {
    "year": 5787,
    "month": 1,
    "day": 14
  },
  "sunrise": "2027-04-21T10:08:36.0Z",
  "sunset": "2027-04-21T23:41:35.0Z",
  "nightfall": "2027-04-22T00:24:48.0Z",
  "candle_lighting": "2027-04-21T23:23:35.0Z",
  "end_fourth_hour": {
    "sunrise_to_sunset": "2027-04-21T14:39:35.0Z",
    "minutes_72": "2027-04-21T14:15:35.0Z"
  },
  "end_fifth_hour": {
    "sunrise_to_sunset": "2027-04-21T15:47:20.0Z",
    "minutes_72": "2027-04-21T15:35:20.0Z"
  },
  "rest_span": {
    "begins": "2027-04-21T23:23:35.0Z",
    "ends": "2027-04-25T00:28:21.0Z"
  },
  "why": {},
  "notes": {}
}
`, ""}, got)
}

func TestTimesText(t *testing.T) {
	for _, tt := range []struct{ name, args, stdout string }{
		{"an eve of Pesach before Sabbath", "--lat 40.7128 --lon -74.006 --tz America/New_York --date 2027-04-21",
			`Wednesday 21 April 2027, 14 Nisan 5787: Erev Pesach, the Fast of the Firstborn
40.7128, -74.006; by the clock of America/New_York

sunrise                 06:09
end of the fourth hour  10:15 (72 minutes before sunrise to 72 minutes after sunset)
                        10:39 (sunrise to sunset)
end of the fifth hour   11:35 (72 minutes before sunrise to 72 minutes after sunset)
                        11:47 (sunrise to sunset)
candle lighting         19:23
sunset                  19:41
nightfall               20:25
rest begins             19:23 (Pesach, Shabbos)
rest ends               Sat 24 April 20:29

Minutes are rounded so that whoever goes by them is not late.
`},
		{"the sun does not set", "--lat 69.6492 --lon 18.9553 --tz Europe/Oslo --date 2027-06-18",
			`Friday 18 June 2027, 13 Sivan 5787
69.6492, 18.9553; by the clock of Europe/Oslo

sunrise                 none: sun stays above
end of the fourth hour  none: no sunrise, sun stays above (72 minutes before sunrise to 72 minutes after sunset)
                        none: no sunrise, sun stays above (sunrise to sunset)
end of the fifth hour   none: no sunrise, sun stays above (72 minutes before sunrise to 72 minutes after sunset)
                        none: no sunrise, sun stays above (sunrise to sunset)
candle lighting         none: sun stays above
sunset                  none: sun stays above
nightfall               none: sun stays above
rest begins             18:27 (Shabbos)
rest ends               Sun 20 June 01:58

Of the rest: beginning: no sunset, sun stays above: six hours after the sun's noon taken for sunset; end: no nightfall, sun stays above: twilight counted from the sun's midnight.

Minutes are rounded so that whoever goes by them is not late.
`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			require.Equal(t, outcomeOf{fine, tt.stdout, ""}, call(t, append([]string{"times"}, strings.Fields(tt.args)...)...))
		})
	}
}

// The configuration's own reckonings hold: candles, nightfall, and what stands for a nightfall in a northern summer.
func TestTimesOfAConfiguration(t *testing.T) {
	path := filepath.Join(t.TempDir(), "community.yaml")
	write := func(replace ...string) {
		text := strings.NewReplacer(replace...).Replace(string(config.Example))
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	}
	write()
	plain := ask(t, "--config", path, "--date", "2027-03-05")
	flags := ask(t, "--lat", "40.10", "--lon", "-74.20", "--tz", "America/New_York", "--date", "2027-03-05")
	require.Equal(t, flags, plain)
	require.Contains(t, call(t, "times", "--config", path, "--date", "2027-03-05").stdout, "\nEmek Rimon, 40.1, -74.2; by the clock of America/New_York\n")

	write("# candle-minutes: 18 ", "candle-minutes: 40 ", "# nightfall-minutes: 50", "nightfall-minutes: 50")
	own := ask(t, "--config", path, "--date", "2027-03-05")
	require.Equal(t, plain.times["sunset"].Add(-40*time.Minute), *own.times["candle_lighting"])
	require.Equal(t, plain.times["sunset"].Add(50*time.Minute), *own.times["nightfall"])
	require.Empty(t, own.notes)

	write("latitude: 40.10", "latitude: 60.0", "# polar-nightfall-minutes: 72", "polar-nightfall-minutes: 72")
	north := ask(t, "--config", path, "--date", "2027-06-18")
	require.Equal(t, north.times["sunset"].Add(72*time.Minute), *north.times["nightfall"])
	require.Contains(t, north.notes["nightfall"], "72 minutes after sunset instead")
	require.Contains(t, north.notes["rest_span"], "72 minutes after sunset instead")

	write("latitude: 40.10", "latitude: 140.10")
	got := call(t, "times", "--config", path)
	require.Equal(t, failed, got.code)
	require.Empty(t, got.stdout)
	require.Contains(t, got.stderr, "latitude")
	require.Equal(t, failed, call(t, "times", "--config", filepath.Join(path, "none")).code)
}

// Without a date it is today where the place is, not where the machine is: one instant, two dates.
func TestTimesOfToday(t *testing.T) {
	now := clock.NewManual(time.Date(2027, time.April, 20, 23, 30, 0, 0, time.UTC))
	for zone, date := range map[string]string{"Asia/Jerusalem": "2027-04-21", "America/New_York": "2027-04-20"} {
		var stdout, stderr bytes.Buffer
		require.Equal(t, fine, timesBy(now, []string{"--json", "--lat", "31.8", "--lon", "35.2", "--tz", zone}, &stdout, &stderr), stderr.String())
		require.Equal(t, date, readAnswer(t, stdout.String()).date)
	}
}

func TestTimesMisuse(t *testing.T) {
	path := filepath.Join(t.TempDir(), "community.yaml")
	require.NoError(t, os.WriteFile(path, config.Example, 0o644))
	const here = "--lat 31.8 --lon 35.2 --tz Asia/Jerusalem "
	for args, want := range map[string]string{
		"":                                        "say where, by --config or by --lat, --lon and --tz; missing: --lat, --lon, --tz",
		"--date 2027-04-21":                       "say where, by --config or by --lat, --lon and --tz; missing: --lat, --lon, --tz",
		"--lat 31.8 --lon 35.2":                   "say where, by --config or by --lat, --lon and --tz; missing: --tz",
		"--tz UTC --lon 0":                        "say where, by --config or by --lat, --lon and --tz; missing: --lat",
		"--config " + path + " " + here:           "--config says where: leave out --lat",
		"--israel --config " + path:               "--config says where: leave out --israel",
		"--elevation 0 --config " + path:          "--config says where: leave out --elevation",
		"--lat 31.8 --lon 35.2 --tz Asia/Nowhere": `there is no time zone "Asia/Nowhere": write a name of the IANA database, such as Europe/London`,
		"--lat 31.8 --lon 35.2 --tz Local":        `there is no time zone "Local": write a name of the IANA database, such as Europe/London`,
		"--lat 31.8 --lon 35.2 --tz=":             `there is no time zone "": write a name of the IANA database, such as Europe/London`,
		"--lat 91 --lon 0 --tz UTC":               "latitude 91 is not between -90 and 90 degrees",
		"--lat NaN --lon 0 --tz UTC":              "latitude NaN is not between -90 and 90 degrees",
		"--lat 0 --lon -180.5 --tz UTC":           "longitude -180.5 is not between -180 and 180 degrees",
		"--lat north --lon 0 --tz UTC":            `invalid value "north" for flag -lat: parse error`,
		here + "--elevation -430":                 "elevation -430 is not between 0 and 6000 metres",
		here + "--date 2027-02-29":                `there is no date "2027-02-29": write YYYY-MM-DD`,
		here + "--date 21.4.2027":                 `there is no date "21.4.2027": write YYYY-MM-DD`,
		here + "--date tomorrow":                  `there is no date "tomorrow": write YYYY-MM-DD`,
		here + "--date 0000-12-31":                "the year 0 is not between 1 and 2999",
		here + "--date 3000-01-01":                "the year 3000 is not between 1 and 2999",
		here + "2027-04-21":                       `"2027-04-21" is one argument too many`,
		// The day that Samoa left out when it moved over the date line (IANA time-zone data).
		"--lat -13.8 --lon -171.8 --tz Pacific/Apia --date 2011-12-30": "there was no 2011-12-30 in Pacific/Apia: its clocks left the day out",
	} {
		t.Run(args, func(t *testing.T) {
			got := call(t, append([]string{"times"}, strings.Fields(args)...)...)
			require.Equal(t, misuse, got.code)
			require.Empty(t, got.stdout)
			require.True(t, strings.HasPrefix(got.stderr, "benyomo times: "+want+"\n\nbenyomo times ("), got.stderr)
		})
	}
}

// Anywhere, also where the clock is far from the sun, the answer is whole: each null has its why, the span is in order and
// holds the day of the date, and candles are lit where it begins.
func TestTimesAnywhere(t *testing.T) {
	r := rand.New(rand.NewPCG(14, 5787))
	eves := 0
	for range 1500 {
		p := luach.Place{Latitude: r.Float64()*180 - 90, Longitude: r.Float64()*360 - 180, Israel: r.IntN(2) == 0,
			Zone: time.FixedZone("anywhere", (r.IntN(27)-12)*3600)}
		y, m, d := time.Date(1900, time.January, 1+r.IntN(100_000), 0, 0, 0, 0, time.UTC).Date()
		var b bytes.Buffer
		answer := timesOf(p, y, m, d)
		require.NoError(t, answer.writeJSON(&b))
		got := readAnswer(t, b.String())
		require.NoError(t, answer.writeText(&b, p))

		about := fmt.Sprintf("%+v %s", p, got.date)
		begins, ends := *got.times["rest_span.begins"], *got.times["rest_span.ends"]
		require.True(t, begins.Before(ends), about)
		require.Less(t, ends.Sub(begins), 4*24*time.Hour, about)
		date := luach.FromCivil(y, m, d)
		tomorrow := luach.SpecialDays(date.AddDays(1), p.Israel)
		rests := func(ids []string) bool {
			return slices.ContainsFunc(ids, func(id string) bool { return slices.Contains(answer.Rest.days, id) })
		}
		if today := luach.SpecialDays(date, p.Israel); rests(tomorrow) && !rests(today) {
			eves++
			if c := got.times["candle_lighting"]; c != nil {
				require.Equal(t, begins, *c, about)
			} else {
				require.Equal(t, got.why["sunset"], got.why["candle_lighting"], about)
				require.NotEmpty(t, got.notes["rest_span"], about)
			}
		}
	}
	require.Greater(t, eves, 150)
}
