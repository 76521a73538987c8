// Package wording makes the program's sentences, times and lists, from YAML, in every language. A language needs no code.
//
// Sentences hold {places} for values. A missing key is a mistake of the program: it is shown as the key, and a test over
// all keys used in the code fails.
package wording

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"benyomo/internal/idea/dialog"
)

// Words speaks one language in one zone.
type Words struct {
	Lang string
	Zone *time.Location
	pack *dialog.Pack
}

// In returns the words of a language; an unknown one falls back to the first of the pack.
func In(pack *dialog.Pack, lang string, zone *time.Location) Words {
	if !pack.HasLanguage(lang) {
		lang = pack.Languages[0].Code.S
	}
	return Words{Lang: lang, Zone: zone, pack: pack}
}

// Say fills a sentence. Values come in pairs: name, value.
func (w Words) Say(key string, pairs ...any) string {
	s, ok := w.pack.Sentences[w.Lang][key]
	if !ok {
		return key
	}
	fill := make([]string, 0, len(pairs))
	for i := 0; i+1 < len(pairs); i += 2 {
		fill = append(fill, "{"+fmt.Sprint(pairs[i])+"}", fmt.Sprint(pairs[i+1]))
	}
	return strings.NewReplacer(fill...).Replace(s) // in one pass: a value that holds {braces} is not filled again
}

// Has reports whether there is a sentence of the key.
func (w Words) Has(key string) bool {
	_, ok := w.pack.Sentences[w.Lang][key]
	return ok
}

// Moment is a day and time in the zone: 'Wed 21 Apr, 10:39'.
func (w Words) Moment(t time.Time) string {
	t = t.In(w.Zone)
	return w.Say("time-moment", "weekday", w.Say("weekday-"+strconv.Itoa(int(t.Weekday()))),
		"day", t.Day(), "month", w.Say("month-"+strconv.Itoa(int(t.Month()))), "time", t.Format("15:04"))
}

// Near is a moment as people say it at now: the time alone today, 'tomorrow 08:30', else the day too.
func (w Words) Near(t, now time.Time) string {
	t, now = t.In(w.Zone), now.In(w.Zone)
	switch days := dayNumber(t) - dayNumber(now); days {
	case 0:
		return w.Say("time-today", "time", t.Format("15:04"))
	case 1:
		return w.Say("time-tomorrow", "time", t.Format("15:04"))
	case -1:
		return w.Say("time-yesterday", "time", t.Format("15:04"))
	}
	return w.Moment(t)
}

// dayNumber counts civil days, whatever the clock did between them.
func dayNumber(t time.Time) int {
	y, m, d := t.Date()
	return int(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

// Length is a duration in words: '24 hours', '1 hour 30 minutes'.
func (w Words) Length(minutes int) string {
	h, m := minutes/60, minutes%60
	var parts []string
	if h == 1 {
		parts = append(parts, w.Say("length-hour"))
	} else if h > 1 {
		parts = append(parts, w.Say("length-hours", "n", h))
	}
	if m == 1 {
		parts = append(parts, w.Say("length-minute"))
	} else if m > 1 || h == 0 {
		parts = append(parts, w.Say("length-minutes", "n", m))
	}
	return strings.Join(parts, w.Say("length-and"))
}

// Count picks the sentence for one or for many: KEY-one, else KEY with {n}.
func (w Words) Count(key string, n int, pairs ...any) string {
	if n == 1 && w.Has(key+"-one") {
		return w.Say(key+"-one", pairs...)
	}
	return w.Say(key, append(slices.Clip(pairs), "n", n)...)
}

// Bad reports whether a typed text holds nothing that can be read: only spaces, marks and control characters.
func Bad(s string) bool {
	for _, r := range s {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return false
		}
	}
	return true
}
