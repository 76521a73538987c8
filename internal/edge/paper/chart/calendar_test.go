package chart

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/emersion/go-ical"
	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/luach"
	"benyomo/internal/idea/plan"
	"benyomo/internal/idea/wording"
)

// The file is read here by another library than the one that writes it. Sections are those of RFC 5545.

// file are the options of a calendar for the example.
func (e example) file() CalendarOptions {
	return CalendarOptions{Kitchen: "kitchen-7", Place: e.opts.Place, Stamp: e.plan.Made, Sequence: 3}
}

func written(t testing.TB, e example, lang string, o CalendarOptions) []byte {
	t.Helper()
	w, err := In(pack(t), wording.In(pack(t), lang, e.opts.Place.Zone), &e.plan, o.Before, rows(t))
	require.NoError(t, err)
	raw, err := Calendar(e.plan, w, o)
	require.NoError(t, err)
	return raw
}

func read(t testing.TB, raw []byte) *ical.Calendar {
	t.Helper()
	cal, err := ical.NewDecoder(bytes.NewReader(raw)).Decode()
	require.NoError(t, err)
	return cal
}

// text is a property's text, unescaped, or "".
func text(t testing.TB, c *ical.Component, name string) string {
	t.Helper()
	if c.Props.Get(name) == nil {
		return ""
	}
	s, err := c.Props.Text(name)
	require.NoError(t, err)
	return s
}

func byUID(t testing.TB, cal *ical.Calendar) map[string]ical.Event {
	t.Helper()
	out := map[string]ical.Event{}
	for _, e := range cal.Events() {
		uid := text(t, e.Component, ical.PropUID)
		require.NotContains(t, out, uid, "section 3.8.4.7: a UID is of one event")
		out[uid] = e
	}
	return out
}

func starts(t testing.TB, e ical.Event) time.Time {
	t.Helper()
	at, err := e.DateTimeStart(nil)
	require.NoError(t, err)
	return at
}

// Section 3.1: lines end in CRLF, have at most 75 octets, are folded with a blank, and no letter is cut. Section 3.1.4: UTF-8.
func TestLines(t *testing.T) {
	for _, lang := range []string{"en", "he"} {
		e := twelve(t)
		raw := written(t, e, lang, e.file())
		require.True(t, bytes.HasSuffix(raw, []byte("END:VCALENDAR\r\n")))
		folded := 0
		for _, l := range strings.Split(strings.TrimSuffix(string(raw), "\r\n"), "\r\n") {
			require.LessOrEqual(t, len(l), 75)
			require.True(t, utf8.ValidString(l), "a letter is cut: %q", l)
			require.NotContains(t, l, "\n")
			require.NotEmpty(t, l)
			if strings.HasPrefix(l, " ") {
				folded++
			}
		}
		require.Greater(t, folded, 10)
	}
}

// Sections 3.6 and 3.7: a calendar has a PRODID and the VERSION 2.0. Section 3.6.1: an event has a UID and a DTSTAMP. Section
// 3.3.5, form 2: times are in UTC.
func TestWhatEachEventHas(t *testing.T) {
	e := twelve(t)
	raw := written(t, e, "en", e.file())
	cal := read(t, raw)
	version, err := cal.Props.Text(ical.PropVersion)
	require.NoError(t, err)
	require.Equal(t, "2.0", version)
	require.NotEmpty(t, text(t, cal.Component, ical.PropProductID))
	require.Equal(t, "PUBLISH", text(t, cal.Component, ical.PropMethod))
	for uid, ev := range byUID(t, cal) {
		require.True(t, strings.HasSuffix(uid, "@benyomo"))
		require.Equal(t, "20270412T000000Z", ev.Props.Get(ical.PropDateTimeStamp).Value)
		require.Equal(t, "3", ev.Props.Get(ical.PropSequence).Value)
		require.Equal(t, "CONFIRMED", ev.Props.Get(ical.PropStatus).Value)
		for _, name := range []string{ical.PropDateTimeStart, ical.PropDateTimeEnd} {
			if p := ev.Props.Get(name); p != nil {
				require.Regexp(t, `^\d{8}T\d{6}Z$`, p.Value)
				require.Empty(t, p.Params.Get("TZID"), "section 3.2.19: not with UTC")
			}
		}
		require.NotEmpty(t, text(t, ev.Component, ical.PropSummary))
		require.Contains(t, text(t, ev.Component, ical.PropDescription), "estimates")
	}
}

// Every step is an event, once for all who share it, with its beginning and end; only waits and moments leave time free (section
// 3.8.2.7). What rings is before work and at the end of heat (sections 3.6.6 and 3.8.6.3).
func TestEventsOfEverySort(t *testing.T) {
	e := twelve(t)
	words := e.words(t, "he")
	cal := read(t, written(t, e, "he", e.file()))
	type key struct{ summary, from string }
	all := map[key]ical.Event{}
	for _, ev := range cal.Events() {
		all[key{text(t, ev.Component, ical.PropSummary), starts(t, ev).Format(time.RFC3339)}] = ev
	}
	require.Len(t, all, len(cal.Events()))
	left := len(all)
	c := &chart{plan: &e.plan, words: words}
	for _, l := range c.group() {
		if l.last != nil {
			left--
		}
		for _, k := range l.tasks {
			ev, ok := all[key{c.list(k.items) + ": " + words.Step(k.Name), k.Begins.UTC().Format(time.RFC3339)}]
			require.True(t, ok, "%s %s", l.id, k.Name)
			left--
			end, err := ev.DateTimeEnd(nil)
			require.NoError(t, err)
			require.True(t, k.Ends.Truncate(time.Second).Equal(end))
			free := ev.Props.Get(ical.PropTransparency).Value
			require.Equal(t, k.sort == wait, free == "TRANSPARENT", "%s %s", k.Name, free)
			if k.sort == wait {
				require.Empty(t, ev.Children, "a wait does not ring")
				continue
			}
			require.Len(t, ev.Children, 1)
			alarm := ev.Children[0]
			require.Equal(t, ical.CompAlarm, alarm.Name)
			require.Equal(t, "DISPLAY", alarm.Props.Get(ical.PropAction).Value)
			require.NotEmpty(t, text(t, alarm, ical.PropDescription), "section 3.6.6: a display alarm has one")
			trigger := alarm.Props.Get(ical.PropTrigger)
			if k.sort == work {
				require.Equal(t, "-PT10M", trigger.Value)
				require.Empty(t, trigger.Params.Get("RELATED"), "section 3.2.14: the start")
			} else {
				require.Equal(t, "PT0S", trigger.Value)
				require.Equal(t, "END", trigger.Params.Get("RELATED"))
			}
		}
	}
	require.Equal(t, 2, left, "the last hot meal and the finish line")
	for key, at := range map[string]time.Time{"entry-meal": e.plan.LastMeal.At, "entry-finish": e.plan.Finish.At} {
		ev, ok := all[struct{ summary, from string }{words.Say(key), at.UTC().Truncate(time.Second).Format(time.RFC3339)}]
		require.True(t, ok, key)
		require.Nil(t, ev.Props.Get(ical.PropDateTimeEnd), "section 3.6.1: it ends when it begins")
		require.Equal(t, "TRANSPARENT", ev.Props.Get(ical.PropTransparency).Value)
	}
}

// Section 3.3.11: comma, semicolon, backslash and line break are escaped in texts, and come back as they were.
func TestTextsComeBackAsTheyWere(t *testing.T) {
	e := three(t)
	words := e.words(t, "he")
	const name = `סכו"ם; כפות, מזלגות \ "60" פריטים: ` + "שורה\nשנייה\x07"
	words.Item = func(string) string { return name }
	raw, err := Calendar(e.plan, words, e.file())
	require.NoError(t, err)
	n := 0
	for _, ev := range read(t, raw).Events() {
		if strings.Contains(text(t, ev.Component, ical.PropSummary), `סכו"ם; כפות, מזלגות \ "60" פריטים: שורה שנייה `) {
			n++
		}
	}
	require.Greater(t, n, 5)
	require.Contains(t, string(raw), `כפות\, `)
	for _, r := range string(raw) {
		require.True(t, r >= ' ' && r != 0x7f || r == '\r' || r == '\n', "section 3.1: no control characters, %q", r)
	}
}

// rings are the instants of the alarms.
func rings(t testing.TB, ev ical.Event) []time.Time {
	t.Helper()
	var out []time.Time
	for _, a := range ev.Children {
		p := a.Props.Get(ical.PropTrigger)
		d, err := p.Duration()
		require.NoError(t, err)
		at := starts(t, ev)
		if p.Params.Get("RELATED") == "END" {
			at, err = ev.DateTimeEnd(nil)
			require.NoError(t, err)
		}
		out = append(out, at.Add(d))
	}
	return out
}

// Nothing rings in a rest span, whatever the plan; what would, rings at its end where that is before the work.
func TestNothingRingsInARest(t *testing.T) {
	e := three(t)
	rest := luach.NextRest(e.opts.Place, e.plan.Made)
	over := luach.ShownEnd(rest.Ends)
	step := func(name string, from, to time.Time, attended bool) plan.Step {
		return plan.Step{Name: name, Begins: from, Ends: to, Attended: attended, Awake: true}
	}
	for _, c := range []struct {
		name  string
		step  plan.Step
		rings []time.Time
	}{
		{"work right after it", step("scrub", over, over.Add(time.Hour), true), []time.Time{over}},
		{"work soon after it", step("scrub", over.Add(4*time.Minute), over.Add(time.Hour), true), []time.Time{over}},
		{"work later", step("scrub", over.Add(30*time.Minute), over.Add(time.Hour), true), []time.Time{over.Add(20 * time.Minute)}},
		{"work in it", step("scrub", over.Add(-time.Hour), over.Add(time.Hour), true), nil},
		{"work at its beginning", step("scrub", rest.Begins, over, true), nil},
		{"work just before it", step("scrub", rest.Begins.Add(-time.Minute).Truncate(time.Minute), rest.Begins, true), []time.Time{rest.Begins.Add(-time.Minute).Truncate(time.Minute).Add(-10 * time.Minute)}},
		{"heat that ends in it", step("heat", rest.Begins.Add(-time.Hour), rest.Begins.Add(time.Hour), false), nil},
		{"heat that ends with its beginning", step("heat", rest.Begins.Add(-time.Hour), rest.Begins, false), nil},
		{"heat that ends before it", step("heat", rest.Begins.Add(-2*time.Hour), rest.Begins.Add(-time.Hour), false), []time.Time{rest.Begins.Add(-time.Hour)}},
		{"what is done", plan.Step{Name: "scrub", Begins: over.Add(2 * time.Hour), Ends: over.Add(3 * time.Hour), Attended: true, Done: true}, nil},
	} {
		e.plan.Items = []plan.ItemPlan{{ID: "oven", Kind: "oven", Steps: []plan.Step{c.step}}}
		e.plan.LastMeal = nil
		var got []time.Time
		for _, ev := range read(t, written(t, e, "en", e.file())).Events() {
			got = append(got, rings(t, ev)...)
		}
		require.Len(t, got, len(c.rings), c.name)
		for i := range got {
			require.WithinDuration(t, c.rings[i], got[i], time.Second, c.name)
			_, resting := luach.RestAt(e.opts.Place, got[i])
			require.False(t, resting, c.name)
		}
	}
	for seed := range uint64(60) {
		e := anyPlan(t, rng(seed))
		raw, err := Calendar(e.plan, e.words(t, "en"), e.file())
		if err != nil {
			require.ErrorIs(t, err, ErrNothing)
			continue
		}
		for _, ev := range read(t, raw).Events() {
			for _, at := range rings(t, ev) {
				s, resting := luach.RestAt(e.opts.Place, at)
				require.False(t, resting, "seed %d: %v in %v", seed, at, s)
			}
		}
	}
}

// Section 3.8.4.7: the UID stays, so that a second file changes the events of the first; another kitchen's are others.
func TestASecondFileChangesTheFirst(t *testing.T) {
	e := twelve(t)
	first := byUID(t, read(t, written(t, e, "en", e.file())))
	moved := e
	moved.plan.Items = slices.Clone(e.plan.Items)
	for i := range moved.plan.Items {
		steps := slices.Clone(moved.plan.Items[i].Steps)
		for j := range steps {
			steps[j].Begins, steps[j].Ends = steps[j].Begins.Add(5*time.Minute), steps[j].Ends.Add(5*time.Minute)
		}
		moved.plan.Items[i].Steps = steps
	}
	o := e.file()
	o.Sequence = 4
	second := byUID(t, read(t, written(t, moved, "he", o)))
	require.Len(t, second, len(first))
	changed := 0
	for uid, ev := range first {
		require.Contains(t, second, uid)
		if !starts(t, ev).Equal(starts(t, second[uid])) {
			changed++
		}
		require.Equal(t, "4", second[uid].Props.Get(ical.PropSequence).Value)
	}
	require.Greater(t, changed, 30)

	o = e.file()
	o.Kitchen = "kitchen-8"
	for uid := range byUID(t, read(t, written(t, e, "en", o))) {
		require.NotContains(t, first, uid)
	}
}

// A round in which only one thing is left is the same round still.
func TestARoundKeepsItsEvents(t *testing.T) {
	e := twelve(t)
	boils := func(e example) []string {
		var out []string
		for uid, ev := range byUID(t, read(t, written(t, e, "en", e.file()))) {
			if s := text(t, ev.Component, ical.PropSummary); strings.Contains(s, "Cutlery") && strings.HasSuffix(s, ": kasher by boiling") {
				out = append(out, uid)
			}
		}
		return out
	}
	whole := boils(e)
	require.Len(t, whole, 1)
	e.plan.Items = slices.DeleteFunc(slices.Clone(e.plan.Items), func(it plan.ItemPlan) bool { return it.ID == "dairy-pots" })
	require.Equal(t, whole, boils(e))
}

// Section 3.8.1.11: what the plan before had, and this one has not, is called off, and does not ring.
func TestWhatIsNoMoreIsCalledOff(t *testing.T) {
	e := twelve(t)
	o := e.file()
	before := e.plan
	o.Before = &before
	require.Equal(t, written(t, e, "en", e.file()), written(t, e, "en", o), "nothing is")
	e.plan.Items = slices.DeleteFunc(slices.Clone(e.plan.Items), func(it plan.ItemPlan) bool { return it.ID == "fridge" })
	n := 0
	for _, ev := range read(t, written(t, e, "en", o)).Events() {
		if ev.Props.Get(ical.PropStatus).Value == "CANCELLED" {
			n++
			require.Contains(t, text(t, ev.Component, ical.PropSummary), "Refrigerator")
			require.Empty(t, ev.Children)
		}
	}
	require.Equal(t, 2, n, "its cleaning and its last use")
}

func TestEqualPlansGiveEqualFiles(t *testing.T) {
	e := forty(t)
	require.Equal(t, written(t, e, "he", e.file()), written(t, e, "he", e.file()))
	for i, change := range []func(*CalendarOptions){
		func(o *CalendarOptions) { o.Kitchen = "" },
		func(o *CalendarOptions) { o.Stamp = time.Time{} },
		func(o *CalendarOptions) { o.Sequence = -1 },
		func(o *CalendarOptions) { o.Place.Zone = nil },
	} {
		o := e.file()
		change(&o)
		_, err := Calendar(e.plan, e.words(t, "en"), o)
		require.Error(t, err, fmt.Sprint(i))
	}
	e.plan = plan.Plan{Made: e.plan.Made, Finish: e.plan.Finish}
	_, err := Calendar(e.plan, e.words(t, "en"), e.file())
	require.ErrorIs(t, err, ErrNothing)
}
