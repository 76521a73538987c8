package wording_test

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/dialogs"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/wording"
)

// load reads the built-in dialogs once: nothing changes them.
var load = sync.OnceValues(func() (*dialog.Pack, error) { return dialog.Load(dialogs.FS) })

func builtIn(t *testing.T) *dialog.Pack {
	t.Helper()
	p, err := load()
	require.NoError(t, err)
	return p
}

func place(t *testing.T, name string) *time.Location {
	t.Helper()
	z, err := time.LoadLocation(name)
	require.NoError(t, err)
	return z
}

// A moment is told by the civil day in the community's zone, whatever the clock did in between (IANA time-zone data: in
// Jerusalem it is put forward on 26 March 2027 at 02:00 and back on 31 October 2027 at 02:00).
func TestNear(t *testing.T) {
	p := builtIn(t)
	for _, c := range []struct{ name, zone, now, at, en, he string }{
		{"now", "Asia/Jerusalem", "2027-03-24T10:00:00+02:00", "2027-03-24T10:00:00+02:00", "today at 10:00", "היום ב־10:00"},
		{"later today", "Asia/Jerusalem", "2027-03-24T10:00:00+02:00", "2027-03-24T23:59:00+02:00", "today at 23:59", "היום ב־23:59"},
		{"earlier today", "Asia/Jerusalem", "2027-03-24T10:00:00+02:00", "2027-03-24T00:00:00+02:00", "today at 00:00", "היום ב־00:00"},
		{"a minute after midnight is tomorrow", "Asia/Jerusalem", "2027-03-24T23:59:00+02:00", "2027-03-25T00:01:00+02:00", "tomorrow at 00:01", "מחר ב־00:01"},
		{"a minute before it was yesterday", "Asia/Jerusalem", "2027-03-24T00:01:00+02:00", "2027-03-23T23:59:00+02:00", "yesterday at 23:59", "אתמול ב־23:59"},
		{"nearly two days may be tomorrow", "Asia/Jerusalem", "2027-03-24T00:00:00+02:00", "2027-03-25T23:59:00+02:00", "tomorrow at 23:59", "מחר ב־23:59"},
		{"the day after tomorrow is named", "Asia/Jerusalem", "2027-03-22T10:00:00+02:00", "2027-03-24T10:00:00+02:00", "Wed 24 Mar at 10:00", "יום ד׳, 24 במרץ, ב־10:00"},
		{"and the day before yesterday", "Asia/Jerusalem", "2027-03-24T10:00:00+02:00", "2027-03-22T10:00:00+02:00", "Mon 22 Mar at 10:00", "יום ב׳, 22 במרץ, ב־10:00"},
		{"24 hours over the clock put forward", "Asia/Jerusalem", "2027-03-25T23:30:00+02:00", "2027-03-27T00:30:00+03:00", "Shabbos 27 Mar at 00:30", "שבת, 27 במרץ, ב־00:30"},
		{"a short day is a day", "Asia/Jerusalem", "2027-03-26T00:30:00+02:00", "2027-03-27T00:10:00+03:00", "tomorrow at 00:10", "מחר ב־00:10"},
		{"24 hours over the clock put back", "Asia/Jerusalem", "2027-10-31T00:30:00+03:00", "2027-10-31T23:30:00+02:00", "today at 23:30", "היום ב־23:30"},
		{"the hour that comes twice", "Asia/Jerusalem", "2027-10-31T01:30:00+03:00", "2027-10-31T01:30:00+02:00", "today at 01:30", "היום ב־01:30"},
		{"the zone decides, not the clock of the machine", "America/New_York", "2027-03-24T22:00:00-04:00", "2027-03-25T03:30:00Z", "today at 23:30", "היום ב־23:30"},
		{"over a new year", "Europe/London", "2026-12-31T23:00:00Z", "2027-01-01T00:30:00Z", "tomorrow at 00:30", "מחר ב־00:30"},
		{"a year later", "Europe/London", "2026-12-31T23:00:00Z", "2027-12-31T23:00:00Z", "Fri 31 Dec at 23:00", "יום ו׳, 31 בדצמבר, ב־23:00"},
	} {
		t.Run(c.name, func(t *testing.T) {
			now, err := time.Parse(time.RFC3339, c.now)
			require.NoError(t, err)
			at, err := time.Parse(time.RFC3339, c.at)
			require.NoError(t, err)
			zone := place(t, c.zone)
			require.Equal(t, c.en, wording.In(p, "en", zone).Near(at, now))
			require.Equal(t, c.he, wording.In(p, "he", zone).Near(at.UTC(), now.UTC()))
		})
	}
}

// Each weekday and month has its name in every language, and no two have the same.
func TestMoment(t *testing.T) {
	p := builtIn(t)
	shape := map[string]*regexp.Regexp{
		"en": regexp.MustCompile(`^(\S+) (\d+) (\S+) at (\d\d:\d\d)$`),
		"he": regexp.MustCompile(`^([^,]+), (\d+) ב(\S+), ב־(\d\d:\d\d)$`),
	}
	for _, l := range p.Languages {
		w := wording.In(p, l.Code.S, time.UTC)
		weekdays, months := map[string]time.Weekday{}, map[string]time.Month{}
		for day := range 366 {
			at := time.Date(2027, 1, 1+day, 9, 5, 0, 0, time.UTC)
			m := shape[l.Code.S].FindStringSubmatch(w.Moment(at))
			require.NotNil(t, m, w.Moment(at))
			require.Equal(t, strconv.Itoa(at.Day()), m[2])
			require.Equal(t, "09:05", m[4])
			if d, met := weekdays[m[1]]; met {
				require.Equal(t, at.Weekday(), d, m[1])
			}
			if mo, met := months[m[3]]; met {
				require.Equal(t, at.Month(), mo, m[3])
			}
			weekdays[m[1]], months[m[3]] = at.Weekday(), at.Month()
		}
		require.Len(t, weekdays, 7)
		require.Len(t, months, 12)
	}
}

var lengthPart = regexp.MustCompile(`(\d+) (hour|minute)`)

// Every length reads back as itself, and no two read alike.
func TestLengthsAreTold(t *testing.T) {
	p := builtIn(t)
	for _, lang := range []string{"en", "he"} {
		w := wording.In(p, lang, time.UTC)
		seen := map[string]int{}
		for minutes := range 1600 {
			text := w.Length(minutes)
			require.NotContains(t, seen, text, "%d minutes", minutes)
			require.NotContains(t, text, "{")
			seen[text] = minutes
			if lang == "en" {
				h, m := 0, 0
				for _, part := range lengthPart.FindAllStringSubmatch(text, -1) {
					n, err := strconv.Atoi(part[1])
					require.NoError(t, err)
					if part[2] == "hour" {
						h = n
					} else {
						m = n
					}
				}
				require.Equal(t, minutes, h*60+m, text)
			}
		}
	}
}

func TestCount(t *testing.T) {
	p := builtIn(t)
	en, he := wording.In(p, "en", time.UTC), wording.In(p, "he", time.UTC)
	for _, c := range []struct {
		n      int
		en, he string
	}{
		{0, "0 questions are open.", "0 שאלות פתוחות."},
		{1, "1 question is open.", "שאלה אחת פתוחה."},
		{2, "2 questions are open.", "2 שאלות פתוחות."},
		{21, "21 questions are open.", "21 שאלות פתוחות."},
	} {
		require.Equal(t, c.en, en.Count("rav-open", c.n))
		require.Equal(t, c.he, he.Count("rav-open", c.n))
	}
	require.Equal(t, "Questions left: at most 1.", en.Count("walk-left", 1), "without a sentence for one, the one for many")
	all := []any{"community", "X", "more", "still more"}
	require.Equal(t, "X", en.Count("announcement-from", 3, all[:2]...))
	require.Equal(t, []any{"community", "X", "more", "still more"}, all, "the caller's values are left alone")
}

func TestSay(t *testing.T) {
	p := builtIn(t)
	w := wording.In(p, "en", time.UTC)
	for _, c := range []struct {
		name, key string
		pairs     []any
		want      string
	}{
		{"values are filled in", "card-earlier", []any{"what", "hour", "when", 5}, "Answered earlier for this household: hour, 5"},
		{"one that holds braces is not filled again", "card-earlier", []any{"what", "{when}", "when", "{what}"}, "Answered earlier for this household: {when}, {what}"},
		{"a place without a value stays", "card-earlier", []any{"what", "hour"}, "Answered earlier for this household: hour, {when}"},
		{"a value without a place is left out", "card-urgent", []any{"what", "hour"}, "Urgent, mix-up"},
		{"a name without a value too", "card-urgent", []any{"what"}, "Urgent, mix-up"},
		{"a missing key shows itself", "no-such-key", nil, "no-such-key"},
	} {
		require.Equal(t, c.want, w.Say(c.key, c.pairs...), c.name)
	}
	require.True(t, w.Has("card-urgent"))
	require.False(t, w.Has("no-such-key"))
}

func TestUnknownLanguagesSpeakTheFirst(t *testing.T) {
	p := builtIn(t)
	for lang, want := range map[string]string{"en": "en", "he": "he", "yi": "en", "": "en", "EN": "en"} {
		w := wording.In(p, lang, time.UTC)
		require.Equal(t, want, w.Lang)
		require.Equal(t, p.Sentences[want]["kitchen"], w.Say("kitchen"))
	}
}

func TestBad(t *testing.T) {
	for text, want := range map[string]bool{
		"": true, "  \n\t": true, "?!…": true, "🙂🙂": true, "\u200f\u2068\u2069": true, "\x00\x01": true, "\u0301": true,
		"a": false, "א": false, "7": false, "…ok": false, "٣": false, "\u200fש": false,
	} {
		require.Equal(t, want, wording.Bad(text), "%q", text)
	}
}

// In every language an outcome of the built-in dialogs tells the same things in the same order: whether, how, safety, steps,
// times, what instead, on what it is based, when to stop.
func TestOutcomeOrderInEveryLanguage(t *testing.T) {
	p := builtIn(t)
	told := map[string]int{}
	for _, l := range p.Languages {
		w := wording.In(p, l.Code.S, time.UTC)
		for _, tree := range p.Trees {
			for _, o := range tree.Outcomes.List {
				parts := w.Outcome(o)
				next := func(what, style, holds string) {
					require.NotEmpty(t, parts, "%s %s: %s is missing", tree.Kind.S, o.ID, what)
					require.Equal(t, style, parts[0].Style, "%s %s: %s", tree.Kind.S, o.ID, what)
					require.Contains(t, parts[0].Text, holds, "%s %s: %s", tree.Kind.S, o.ID, what)
					parts = parts[1:]
					told[what]++
				}
				text := func(x dialog.Text) string { return strings.TrimSpace(x.In(l.Code.S)) }
				next("headline", wording.HeadingPart, text(o.Headline))
				if o.Whether.S != dialog.AskRabbi {
					next("method", wording.PlainPart, text(p.Method(o.Method.S).Name))
				}
				if len(o.Cautions) > 0 {
					next("safety", wording.HeadingPart, w.Say("outcome-safety"))
					var all []string
					for _, c := range o.Cautions {
						all = append(all, text(p.Caution(c.S).Text))
					}
					next("cautions", wording.PlainPart, strings.Join(all, "\n"))
				}
				if len(o.Steps) > 0 {
					next("steps", wording.PlainPart, fmt.Sprintf("%d. %s", len(o.Steps), text(o.Steps[len(o.Steps)-1])))
				}
				if len(o.Timeline) > 0 {
					next("timed", wording.HeadingPart, w.Say("outcome-timed"))
					last := o.Timeline[len(o.Timeline)-1]
					next("times", wording.PlainPart, w.Length(last.Minutes))
				}
				if len(o.Instead) > 0 {
					next("instead", wording.PlainPart, text(o.Instead))
				}
				next("sources", wording.AsidePart, text(p.Source(o.Sources[0].S).Title))
				next("stop", wording.PlainPart, w.Say("outcome-stop"))
				require.Empty(t, parts, "%s %s says more", tree.Kind.S, o.ID)
			}
		}
	}
	require.Len(t, told, 10, "all parts occur: %v", told)
}
