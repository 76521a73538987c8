package chart

import (
	"fmt"
	"time"

	ics "github.com/arran4/golang-ical"

	"benyomo/internal/idea/luach"
)

// ahead is how long before work it rings.
const ahead = 10 * time.Minute

// alarm adds what rings: before work, and at the end of heat. Nothing rings in a rest span: what would ring in one before work
// rings at its end, if that is in time, and else not at all.
func (a *agenda) alarm(e *ics.VEvent, t *task, items, step string) {
	switch t.sort {
	case work:
		if _, resting := luach.RestAt(a.opts.Place, t.Begins); resting {
			return // nobody is called to work then
		}
		at := t.Begins.Add(-ahead)
		if s, resting := luach.RestAt(a.opts.Place, at); resting {
			at = luach.ShownEnd(s.Ends)
		}
		if _, resting := luach.RestAt(a.opts.Place, at); resting || at.After(t.Begins) {
			return
		}
		minutes := int(t.Begins.Sub(at) / time.Minute)
		text := a.words.Say("alarm-before", "n", minutes, "items", items, "step", step)
		if minutes == 0 {
			text = a.words.Say("alarm-now", "items", items, "step", step)
		}
		ring(e, text, trigger(minutes))
	case heat:
		if _, resting := luach.RestAt(a.opts.Place, t.Ends); !resting && t.Ends.After(t.Begins) {
			ring(e, a.words.Say("alarm-end", "items", items, "step", step), trigger(0), &ics.KeyValues{Key: "RELATED", Value: []string{"END"}})
		}
	}
}

// trigger is the time before an event, as RFC 5545 writes it.
func trigger(minutes int) string {
	if minutes == 0 {
		return "PT0S"
	}
	return fmt.Sprintf("-PT%dM", minutes)
}

func ring(e *ics.VEvent, text, trigger string, params ...ics.PropertyParameter) {
	alarm := e.AddAlarm()
	alarm.SetAction(ics.ActionDisplay)
	alarm.SetProperty(ics.ComponentPropertyDescription, tidy(text))
	alarm.SetTrigger(trigger, params...)
}
