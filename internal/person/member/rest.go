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

// stampRest remembers of which rest people were told.
const stampRest = "told-of-rest"

// RestTimer is the timer of the next rest. One that is set again, as at every start, replaces itself.
func RestTimer(p luach.Place, now time.Time) store.Timer {
	return store.Timer{Kind: timerRest, Key: "rest", Due: luach.NextRest(p, now).Begins.Add(-beforeRest)}
}

// tellOfRest tells every household in whose kitchen something runs what will wait until the rest is over, and that danger to
// life does not. Then it waits for the next rest.
func tellOfRest(t *turn.Turn, _ store.Timer) {
	span := luach.NextRest(place(t), t.Now)
	if due := span.Begins.Add(-beforeRest); t.Now.Before(due) { // late: the rest it was set for is over
		t.Tx.SetTimer(store.Timer{Kind: timerRest, Key: "rest", Due: due})
		return
	}
	next := store.Timer{Kind: timerRest, Key: "rest", Due: luach.NextRest(place(t), span.Ends).Begins.Add(-beforeRest)}
	t.Tx.SetTimer(next)
	if span.Contains(t.Now) || t.Tx.Stamp(stampRest).Equal(span.Begins) {
		return
	}
	t.Tx.SetStamp(stampRest, span.Begins)
	running := map[uint64][]kitchen.Item{}
	var order []uint64
	for tm := range t.Tx.Timers() {
		it, ok := t.Tx.Item(tm.Household, tm.Item)
		if !ok || !strings.HasPrefix(tm.Key, "item-") || t.Pack.Tree(it.Kind) == nil {
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
