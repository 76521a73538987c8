package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"
	"time"

	"benyomo/internal/app/config"
	"benyomo/internal/engine/clock"
	"benyomo/internal/idea/luach"
)

// Years for which times are given: the formulas of the sun are published for no later ones (from memory).
const firstYear, lastYear = 1, 2999

// timesForm says what the answer holds, for help.
const timesForm = `print JSON, times in UTC:
sunrise, sunset, nightfall of the date, and hebrew, the Hebrew date of its daylight (month 1 is Nisan);
candle_lighting only on an eve of Sabbath or festival that is not itself within the rest, and on every Friday;
end_fourth_hour and end_fifth_hour by both reckonings, on any date;
rest_span: the Sabbath or festival that the date is part of, or else the next, from candle lighting to nightfall.
What does not happen is null, and why says why under the same name (end_fourth_hour.minutes_72 for one within another);
notes say under the same name where a convention stands for what the sun does not give`

// timesCall is how `times` was called.
type timesCall struct {
	config, zone, date string
	place              luach.Place // what the flags say of it
	json               bool
}

func timesFlags(c *timesCall) *flag.FlagSet {
	fs := flags("times")
	fs.StringVar(&c.config, "config", "", "take the place of a community's configuration `file`")
	fs.Float64Var(&c.place.Latitude, "lat", 0, "latitude in `degrees`; south is negative")
	fs.Float64Var(&c.place.Longitude, "lon", 0, "longitude in `degrees`; west is negative")
	fs.StringVar(&c.zone, "tz", "", "time `zone`, by its name in the IANA database, such as Europe/London")
	fs.Float64Var(&c.place.Elevation, "elevation", 0, "`metres` above the horizon's; sunset comes later. 0 leaves it out")
	fs.BoolVar(&c.place.Israel, "israel", false, "one day of each festival instead of two")
	fs.StringVar(&c.date, "date", "", "the civil `date`, as YYYY-MM-DD (default today at the place)")
	fs.BoolVar(&c.json, "json", false, timesForm)
	return fs
}

func runTimes(_ context.Context, args []string, stdout, stderr io.Writer) int {
	return timesBy(clock.System{}, args, stdout, stderr)
}

// timesBy is the command, with the clock that says what is today.
func timesBy(now clock.Clock, args []string, stdout, stderr io.Writer) int {
	var c timesCall
	fs := timesFlags(&c)
	if _, code, ok := parse(fs, args, 0, stdout, stderr); !ok {
		return code
	}
	p, err := c.where(fs)
	if errors.As(err, new(misused)) {
		return wrong(fs, stderr, "%v", err)
	} else if err != nil {
		return fail("times", stderr, err)
	}
	y, m, d, err := c.when(p, now)
	if err != nil {
		return wrong(fs, stderr, "%v", err)
	}
	t := timesOf(p, y, m, d)
	if c.json {
		err = t.writeJSON(stdout)
	} else {
		err = t.writeText(stdout, p)
	}
	if err != nil {
		return fail("times", stderr, fmt.Errorf("write the times: %w", err))
	}
	return fine
}

// misused is an error of whoever called.
type misused string

func (m misused) Error() string { return string(m) }

// where is the place, of the configuration or of the flags, never of both.
func (c *timesCall) where(fs *flag.FlagSet) (luach.Place, error) {
	var given, missing []string
	fs.Visit(func(f *flag.Flag) { given = append(given, f.Name) })
	if slices.Contains(given, "config") {
		for _, name := range []string{"lat", "lon", "tz", "elevation", "israel"} {
			if slices.Contains(given, name) {
				return luach.Place{}, misused(fmt.Sprintf("--config says where: leave out --%s", name))
			}
		}
		community, err := config.Load(c.config)
		if err != nil {
			return luach.Place{}, err
		}
		return community.Place, nil
	}
	for _, name := range []string{"lat", "lon", "tz"} {
		if !slices.Contains(given, name) {
			missing = append(missing, "--"+name)
		}
	}
	if len(missing) > 0 {
		return luach.Place{}, misused("say where, by --config or by --lat, --lon and --tz; missing: " + strings.Join(missing, ", "))
	}
	zone, err := time.LoadLocation(c.zone)
	if err != nil || c.zone == "" || zone == time.Local { // the machine's own zone says nothing of the place
		return luach.Place{}, misused(fmt.Sprintf("there is no time zone %q: write a name of the IANA database, such as Europe/London", c.zone))
	}
	c.place.Zone = zone
	if err := c.place.Valid(); err != nil {
		return luach.Place{}, misused(err.Error())
	}
	return c.place, nil
}

// when is the civil date of the call, or today at the place.
func (c *timesCall) when(p luach.Place, now clock.Clock) (y int, m time.Month, d int, err error) {
	day := now.Now().In(p.Zone)
	if c.date != "" {
		if day, err = time.Parse(time.DateOnly, c.date); err != nil {
			return 0, 0, 0, fmt.Errorf("there is no date %q: write YYYY-MM-DD", c.date)
		}
	}
	y, m, d = day.Date()
	switch {
	case y < firstYear || y > lastYear:
		return 0, 0, 0, fmt.Errorf("the year %d is not between %d and %d", y, firstYear, lastYear)
	case len(luach.Local(p.Zone, y, m, d, 12, 0)) == 0:
		return 0, 0, 0, fmt.Errorf("there was no %s in %s: its clocks left the day out", c.date, p.Zone)
	}
	return y, m, d, nil
}

// dayTimes are the times of a date, as JSON shows them.
type dayTimes struct {
	Date      string            `json:"date"`
	Hebrew    hebrewDate        `json:"hebrew"`
	Sunrise   moment            `json:"sunrise"`
	Sunset    moment            `json:"sunset"`
	Nightfall moment            `json:"nightfall"`
	Candles   moment            `json:"candle_lighting"`
	EndFourth hourEnd           `json:"end_fourth_hour"`
	EndFifth  hourEnd           `json:"end_fifth_hour"`
	Rest      restSpan          `json:"rest_span"`
	Why       map[string]string `json:"why"`   // one for each null
	Notes     map[string]string `json:"notes"` // conventions that stand for what the sun does not give
}

type hebrewDate struct {
	Year  int `json:"year"`
	Month int `json:"month"` // 1 is Nisan
	Day   int `json:"day"`
}

type hourEnd struct {
	SunriseToSunset moment `json:"sunrise_to_sunset"`
	Minutes72       moment `json:"minutes_72"`
}

type restSpan struct {
	Begins moment   `json:"begins"`
	Ends   moment   `json:"ends"`
	days   []string // what is in it, for people
}

// moment is an event in JSON: RFC 3339 in UTC with tenths of a second, or null.
type moment struct{ luach.Event }

// MarshalJSON implements json.Marshaler.
func (m moment) MarshalJSON() ([]byte, error) {
	if !m.Happens {
		return []byte("null"), nil
	}
	return m.At.UTC().AppendFormat(nil, `"2006-01-02T15:04:05.0Z"`), nil
}

// timesOf puts together the times of a civil date at a place.
func timesOf(p luach.Place, y int, m time.Month, d int) dayTimes {
	h := luach.FromCivil(y, m, d)
	hours := luach.Deadlines(p, y, m, d)
	rest := restOn(p, h)
	certain := func(t time.Time) moment { return moment{luach.Event{At: t, Happens: true}} }
	t := dayTimes{
		Date: time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Format(time.DateOnly), Hebrew: hebrewDate{h.Year, h.Month, h.Day},
		Sunrise: moment{luach.Sunrise(p, y, m, d)}, Sunset: moment{luach.Sunset(p, y, m, d)}, Nightfall: moment{luach.Nightfall(p, y, m, d)},
		Candles:   moment{candles(p, h)},
		EndFourth: hourEnd{moment{hours.EndFourth.SunriseToSunset}, moment{hours.EndFourth.Minutes72}},
		EndFifth:  hourEnd{moment{hours.EndFifth.SunriseToSunset}, moment{hours.EndFifth.Minutes72}},
		Rest:      restSpan{certain(rest.Begins), certain(rest.Ends), rest.Days},
		Why:       map[string]string{}, Notes: map[string]string{},
	}
	for name, e := range map[string]moment{
		"sunrise": t.Sunrise, "sunset": t.Sunset, "nightfall": t.Nightfall, "candle_lighting": t.Candles,
		"end_fourth_hour.sunrise_to_sunset": t.EndFourth.SunriseToSunset, "end_fourth_hour.minutes_72": t.EndFourth.Minutes72,
		"end_fifth_hour.sunrise_to_sunset": t.EndFifth.SunriseToSunset, "end_fifth_hour.minutes_72": t.EndFifth.Minutes72,
	} {
		switch {
		case !e.Happens:
			t.Why[name] = e.Why
		case e.Why != "":
			t.Notes[name] = e.Why
		}
	}
	if rest.Why != "" {
		t.Notes["rest_span"] = rest.Why
	}
	return t
}

// restOn is the rest that the date is part of, or the next one.
func restOn(p luach.Place, date luach.Date) luach.Span {
	y, m, d := date.Civil()
	// A day early: where clocks are far from the sun, a rest can end many hours after its last day by the clock.
	s := luach.NextRest(p, time.Date(y, m, d-1, 12, 0, 0, 0, p.Zone))
	for s.Last.Before(date) {
		s = luach.NextRest(p, s.Ends)
	}
	return s
}

// candles is the candle lighting of the date, if it has one that is reckoned from sunset. Where a rest goes on from its first
// day into another, that day has none, unless a Sabbath comes: before that, candles are lit by day also on a festival.
func candles(p luach.Place, date luach.Date) luach.Event {
	y, m, d := date.Civil()
	next := date.AddDays(1)
	rest := restOn(p, next)
	switch {
	case next.Before(rest.First):
		return luach.Event{Why: "not an eve of Sabbath or festival"}
	case !date.Before(rest.First) && next.Weekday() != time.Saturday:
		return luach.Event{Why: "the rest has begun before and goes on"}
	}
	return luach.CandleLighting(p, y, m, d)
}

func (t dayTimes) writeJSON(out io.Writer) error {
	e := json.NewEncoder(out)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(t)
}

// writeText prints the times for people, by the place's clock and to the minute.
func (t dayTimes) writeText(out io.Writer, p luach.Place) error {
	h := luach.Date{Year: t.Hebrew.Year, Month: t.Hebrew.Month, Day: t.Hebrew.Day}
	y, m, d := h.Civil()
	day := time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
	say := func(e moment, round func(time.Time) time.Time) string {
		if !e.Happens {
			return "none: " + e.Why
		}
		shown := round(e.At)
		text := shown.Format("15:04")
		if shown.Format(time.DateOnly) != t.Date {
			text = shown.Format("Mon 2 January 15:04")
		}
		if e.Why != "" {
			text += " (" + e.Why + ")"
		}
		return text
	}
	hour := func(e hourEnd) string {
		return say(e.Minutes72, luach.ShownDeadline) + " (" + luach.ReckoningMinutes72.String() + ")\n\t" +
			say(e.SunriseToSunset, luach.ShownDeadline) + " (" + luach.ReckoningSunriseToSunset.String() + ")"
	}
	names := func(ids []string) string {
		named := make([]string, len(ids))
		for i, id := range ids {
			named[i] = luach.Name(id, luach.English)
		}
		return strings.Join(named, ", ")
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s, %s", day.Format("Monday 2 January 2006"), h)
	if special := luach.SpecialDays(h, p.Israel); len(special) > 0 {
		fmt.Fprintf(&b, ": %s", names(special))
	}
	name := ""
	if p.Name != "" {
		name = p.Name + ", "
	}
	fmt.Fprintf(&b, "\n%s%v, %v; by the clock of %s\n\n", name, p.Latitude, p.Longitude, p.Zone)
	w := tabwriter.NewWriter(&b, 0, 0, 2, ' ', 0)
	fmt.Fprintf(w, "sunrise\t%s\n", say(t.Sunrise, luach.ShownEnd))
	fmt.Fprintf(w, "end of the fourth hour\t%s\nend of the fifth hour\t%s\n", hour(t.EndFourth), hour(t.EndFifth))
	fmt.Fprintf(w, "candle lighting\t%s\n", say(t.Candles, luach.ShownStart))
	fmt.Fprintf(w, "sunset\t%s\n", say(t.Sunset, luach.ShownStart))
	fmt.Fprintf(w, "nightfall\t%s\n", say(t.Nightfall, luach.ShownEnd))
	fmt.Fprintf(w, "rest begins\t%s (%s)\n", say(t.Rest.Begins, luach.ShownStart), names(t.Rest.days))
	fmt.Fprintf(w, "rest ends\t%s\n", say(t.Rest.Ends, luach.ShownEnd))
	w.Flush()
	if note := t.Notes["rest_span"]; note != "" {
		fmt.Fprintf(&b, "\nOf the rest: %s.\n", note)
	}
	b.WriteString("\nMinutes are rounded so that whoever goes by them is not late.\n")
	_, err := io.WriteString(out, b.String())
	return err
}
