package member

import (
	"strings"
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/store"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/kitchen"
	"benyomo/internal/idea/luach"
)

// timerRest is due before each rest span. Late, when the rest has begun, it is left out: nothing may be sent then.
const timerRest = "member/rest"

// beforeRest is how long before candle lighting people are told what will wait.
const beforeRest = 2 * time.Hour

// stampRest remembers of which rest the households of a calendar were told.
const stampRest = "told-of-rest"

// calendarID names a calendar in timers and stamps; it is "" for the community's own.
func calendarID(t *turn.Turn, p luach.Place) string {
	switch {
	case p == t.Community.Place:
		return ""
	case p.Israel:
		return "-1-" + p.Name // days of each festival
	}
	return "-2-" + p.Name
}

// SetRestTimers sets the timers of the next rests, one for each calendar by which a household may live. One that is set
// again, as at every start, replaces itself.
func SetRestTimers(t *turn.Turn) {
	for _, p := range t.Community.Calendars() {
		setRestTimer(t, p, t.Now)
	}
}

// setRestTimer sets the timer of the first rest that ends after the moment.
func setRestTimer(t *turn.Turn, p luach.Place, after time.Time) {
	id := calendarID(t, p)
	t.Tx.SetTimer(store.Timer{Kind: timerRest, Key: "rest" + id, Arg: id, Due: luach.NextRest(p, after).Begins.Add(-beforeRest)})
}

// tellOfRest tells every household of a calendar in whose kitchen something runs what will wait until the rest is over, and
// that danger to life does not. Then it waits for the next rest.
func tellOfRest(t *turn.Turn, tm store.Timer) {
	for _, p := range t.Community.Calendars() { // none is left of a place that is no longer listed
		if calendarID(t, p) == tm.Arg {
			tellOfRestBy(t, p)
			return
		}
	}
}

func tellOfRestBy(t *turn.Turn, p luach.Place) {
	span := luach.NextRest(p, t.Now)
	if t.Now.Before(span.Begins.Add(-beforeRest)) { // late: the rest it was set for is over
		setRestTimer(t, p, t.Now)
		return
	}
	setRestTimer(t, p, span.Ends)
	stamp := stampRest + calendarID(t, p)
	if span.Contains(t.Now) || t.Tx.Stamp(stamp).Equal(span.Begins) {
		return
	}
	t.Tx.SetStamp(stamp, span.Begins)
	running := map[uint64][]kitchen.Item{}
	var order []uint64
	for tm := range t.Tx.Timers() {
		it, ok := t.Tx.Item(tm.Household, tm.Item)
		if !ok || !strings.HasPrefix(tm.Key, "item-") || t.Pack.Tree(it.Kind) == nil {
			continue
		}
		if h, ok := t.Tx.Household(it.Household); !ok || t.Community.PlaceOf(h) != p {
			continue
		}
		if running[it.Household] == nil {
			order = append(order, it.Household)
		}
		running[it.Household] = append(running[it.Household], it)
	}
	for _, h := range order {
		for _, p := range phones(t, h) {
			t.Who = p
			t.Say(me(t), chat.Reminder, "", restMessage(t, span, running[h]))
		}
	}
}

func restMessage(t *turn.Turn, span luach.Span, items []kitchen.Item) chat.Message {
	w := t.Mine()
	var m chat.Message
	m.Add(chat.Heading, w.Say("rest-soon", "begins", w.Near(luach.ShownStart(span.Begins), t.Now), "ends", w.Moment(luach.ShownEnd(span.Ends))))
	for _, it := range items {
		m.Add(chat.Plain, itemName(t, w, it)+" – "+standing(t, w, it))
	}
	m.Add(chat.Plain, w.Say("rest-waits"))
	m.Add(chat.Plain, w.Say("rest-danger"))
	if t.Community.Phone != "" {
		m.Add(chat.Plain, w.Say("phone-instead", "phone", t.Community.Phone))
	}
	m.Row(button(w, "btn-kitchen", "m.go", "kitchen"))
	return m
}
