package chart

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"
	"time"

	ics "github.com/arran4/golang-ical"

	"benyomo/internal/idea/luach"
	"benyomo/internal/idea/plan"
)

// CalendarOptions are what a plan does not say.
type CalendarOptions struct {
	// Kitchen names the household or its kitchen, always by the same name: what is read into a calendar a second time then
	// changes what is there.
	Kitchen string
	Place   luach.Place // for rest spans, in which nothing rings
	// Stamp is when the file is made. Sequence counts the files of a kitchen: a later one needs a greater number.
	Stamp    time.Time
	Sequence int
	// Before is the plan of the file before, or nil: what it had and this one has not is called off.
	Before *plan.Plan
}

// product names the maker of the file, as RFC 5545 asks.
const product = "-//benyomo//plan of a kitchen//EN"

// Calendar is the plan as a file for calendars, after RFC 5545: an event for everything that somebody does or that heats, with
// alarms; for waits, which keep nobody busy; and for the last uses and the finish line. Times are in UTC.
func Calendar(p plan.Plan, w Words, o CalendarOptions) ([]byte, error) {
	if err := o.Place.Valid(); err != nil {
		return nil, fmt.Errorf("place of the plan: %w", err)
	}
	switch {
	case o.Kitchen == "":
		return nil, errors.New("a calendar needs the name of the kitchen")
	case o.Stamp.IsZero() || o.Sequence < 0:
		return nil, errors.New("a calendar needs a stamp and a sequence of at least 0")
	}
	a := &agenda{words: w, opts: o, cal: ics.NewCalendar(), seen: map[string]bool{}}
	a.cal.SetProductId(product)
	a.cal.SetVersion("2.0")
	a.cal.SetMethod(ics.MethodPublish)
	a.cal.SetXWRCalName(w.Say("title"))
	a.plan(&p)
	if o.Before != nil {
		a.off = true
		a.plan(o.Before)
	}
	if len(a.cal.Components) == 0 {
		return nil, ErrNothing
	}
	var out bytes.Buffer
	if err := a.cal.SerializeTo(&out, ics.WithNewLine("\r\n")); err != nil {
		return nil, fmt.Errorf("write the calendar: %w", err)
	}
	return out.Bytes(), nil
}

// agenda is a calendar in the making.
type agenda struct {
	words Words
	opts  CalendarOptions
	cal   *ics.Calendar
	seen  map[string]bool // UIDs
	parts map[string]int  // events of the present plan about the same thing, as of work that is divided
	off   bool            // the present plan is the one before: what is not there yet is called off
}

// plan adds the events of a plan.
func (a *agenda) plan(p *plan.Plan) {
	a.parts = map[string]int{}
	for _, l := range (&chart{plan: p, words: a.words}).group() {
		for _, t := range l.tasks {
			a.task(l, t)
		}
		if l.last != nil {
			a.moment(*l.last, a.words.Say("entry-last", "item", a.list(l.items)), "use", l.id)
		}
	}
	if p.LastMeal != nil {
		a.moment(*p.LastMeal, a.words.Say("entry-meal"), "meal")
	}
	if !p.Finish.At.IsZero() && len(a.cal.Components) > 0 {
		a.moment(p.Finish, a.words.Say("entry-finish"), "finish")
	}
}

func (a *agenda) list(ids []string) string { return (&chart{words: a.words}).list(ids) }

func (a *agenda) why(id, item string) string {
	return a.words.Say("entry-why", "why", a.words.Why(id, item))
}

// event begins an event, or gives nil where the plan before is asked for one that is there still. Names say what it is about:
// they make its UID, which is the same in every file of the kitchen.
func (a *agenda) event(begins time.Time, summary string, names ...string) *ics.VEvent {
	about := strings.Join(append([]string{a.opts.Kitchen}, names...), "\x00")
	a.parts[about]++
	sum := sha256.Sum256(fmt.Appendf(nil, "%s\x00%d", about, a.parts[about]))
	uid := hex.EncodeToString(sum[:16]) + "@benyomo"
	if a.seen[uid] {
		return nil
	}
	a.seen[uid] = true
	e := a.cal.AddEvent(uid)
	e.SetDtStampTime(a.opts.Stamp.UTC())
	e.SetSequence(a.opts.Sequence)
	e.SetStartAt(begins.UTC())
	e.SetSummary(tidy(summary))
	e.SetStatus(ics.ObjectStatusConfirmed)
	if a.off {
		e.SetStatus(ics.ObjectStatusCancelled)
	}
	return e
}

// moment adds an event without length.
func (a *agenda) moment(m plan.Moment, summary string, names ...string) {
	if e := a.event(m.At, summary, names...); e != nil {
		e.SetTimeTransparency(ics.TransparencyTransparent)
		a.describe(e, a.why(m.Why, m.Item))
	}
}

// describe says more of an event.
func (a *agenda) describe(e *ics.VEvent, lines ...string) {
	for i := range lines {
		lines[i] = tidy(lines[i])
	}
	e.SetDescription(strings.Join(append(lines, tidy(a.words.Say("entry-estimates"))), "\n"))
}

// task adds a step.
func (a *agenda) task(l *strand, t *task) {
	items, step := a.list(t.items), a.words.Step(t.Name)
	key := "entry"
	if t.Done {
		key = "entry-done"
	}
	e := a.event(t.Begins, a.words.Say(key, "items", items, "step", step), "step", t.of(l), t.Name)
	if e == nil {
		return
	}
	if t.Ends.After(t.Begins) {
		e.SetEndAt(t.Ends.UTC())
	}
	e.AddCategory(tidy(a.words.Say("category-" + t.sort.name())))
	lines := []string{a.why(t.Why, t.Item)}
	switch t.sort {
	case work:
		lines = append([]string{a.words.Say("entry-people", "n", max(1, t.Uses["hands"]))}, lines...)
		e.SetTimeTransparency(ics.TransparencyOpaque)
	case heat:
		lines = append([]string{a.words.Say("entry-awake")}, lines...)
		e.SetTimeTransparency(ics.TransparencyOpaque)
	case wait:
		e.SetTimeTransparency(ics.TransparencyTransparent)
	}
	a.describe(e, lines...)
	if !t.Done && !a.off {
		a.alarm(e, t, items, step)
	}
}

// of is what a task is a step of: an item, or a round, which stays the same round when only one item is left in it.
func (t *task) of(l *strand) string {
	if t.In != "" && l.id != "item "+t.In {
		return "round " + t.In
	}
	return l.id
}

// tidy makes a text one line of what a calendar may hold: no control characters.
func tidy(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, "?"))
}
