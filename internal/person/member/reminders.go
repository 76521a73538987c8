package member

import (
	"strconv"
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/store"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/kitchen"
	"benyomo/internal/idea/luach"
	"benyomo/internal/idea/people"
	"benyomo/internal/idea/wording"
)

// Kinds of timers. What each does when it comes late is said at its handler.
const (
	timerIdle = "member/idle"
	timerHeat = "member/heat"
	timerCool = "member/cool"
	timerLook = "member/look"
	timerShow = "member/show"
)

// UrgentTimer is the kind of timer that fires before all others: somebody stands at a heating that is over.
const UrgentTimer = timerHeat

// Urgent reports whether timers of the kind fire before the others.
func Urgent(kind string) bool { return kind == UrgentTimer }

// due brings the item and the person of a timer into the turn. ok is false where either is gone. An item outlives who asked
// about it: where he has moved to another kitchen, somebody else of the household stands in.
func due(t *turn.Turn, tm store.Timer) (it kitchen.Item, ok bool) {
	all := phones(t, tm.Household)
	if len(all) == 0 {
		return it, false
	}
	t.Who = all[0]
	for _, p := range all {
		if p.ID == tm.Person {
			t.Who = p
		}
	}
	return item(t, strconv.FormatUint(tm.Item, 10))
}

// phones are those who share a kitchen: one asks, another kashers, and all get its reminders.
func phones(t *turn.Turn, household uint64) []people.Person {
	var out []people.Person
	h, _ := t.Tx.Household(household)
	for _, id := range h.Members {
		if p, ok := t.Tx.Person(id); ok && p.Household == household {
			out = append(out, p)
		}
	}
	return out
}

// remindAll says a reminder to every phone of the kitchen, to each in its language.
func remindAll(t *turn.Turn, it kitchen.Item, class chat.Class, lines func(wording.Words) []string) {
	for _, p := range phones(t, it.Household) {
		t.Who = p
		w := t.Mine()
		t.Say(me(t), class, "", remind(t, w, it, lines(w)...))
	}
}

// untilMorning puts a reminder that is not urgent off to the end of the quiet hours where the household is.
func untilMorning(t *turn.Turn, tm store.Timer) bool {
	p := t.Community.Place
	if h, ok := t.Tx.Household(householdOf(t, tm)); ok {
		p = t.Community.PlaceOf(h)
	}
	ends, quiet := t.Community.Quiet.At(t.Now.In(p.Zone))
	if quiet {
		tm.Due = ends
		t.Tx.SetTimer(tm)
	}
	return quiet
}

// householdOf is whose timer it is.
func householdOf(t *turn.Turn, tm store.Timer) uint64 {
	if tm.Household == 0 {
		p, _ := t.Tx.Person(tm.Person)
		return p.Household
	}
	return tm.Household
}

// idleOver tells that the 24 hours are over. Late, it is told late: the state is what counts.
func idleOver(t *turn.Turn, tm store.Timer) {
	if untilMorning(t, tm) {
		return
	}
	it, ok := due(t, tm)
	if !ok || !it.EndIdle(t.Now) {
		return
	}
	t.Tx.PutItem(it)
	remindAll(t, it, chat.Reminder, func(w wording.Words) []string {
		switch {
		case soaked(it) && it.SoakLeft() > 0:
			return []string{w.Say("soak-over", "item", itemName(t, w, it)), itemName(t, w, it) + " – " + standing(t, w, it)}
		case soaked(it):
			return []string{w.Say("soak-done", "item", itemName(t, w, it))}
		}
		return []string{w.Say("idle-over", "item", itemName(t, w, it))}
	})
}

// heatOver tells that a heating is over. It comes at once, also in quiet hours: somebody is standing by. Late, it says since
// when.
func heatOver(t *turn.Turn, tm store.Timer) {
	it, ok := due(t, tm)
	if !ok || it.State != kitchen.Heating {
		return
	}
	ends := it.Timeline[it.Current()].Ends()
	if !it.EndHeating(t.Now) {
		return
	}
	t.Tx.PutItem(it)
	setTimer(t, it)
	remindAll(t, it, chat.HeatingEnd, func(w wording.Words) []string {
		if o, known := told(t, it); known && o.Method.S == dipping && it.State == kitchen.Cooling {
			return []string{w.Say("water-boils", "item", itemName(t, w, it)), steps(w, o)}
		}
		lines := []string{w.Say("heat-over", "item", itemName(t, w, it), "when", w.Near(luach.ShownEnd(ends), t.Now))}
		if it.State == kitchen.Cooling && it.CoolAt().After(t.Now) {
			lines = append(lines, w.Say("cool-until", "when", w.Near(luach.ShownEnd(it.CoolAt()), t.Now)))
		}
		return lines
	})
}

// dipping is the method whose heating only brings the water to the boil: its work begins when that is over.
const dipping = "hagalah"

// coolOver tells that an item has cooled. Late, or after it was marked done, it is left out.
func coolOver(t *turn.Turn, tm store.Timer) {
	if untilMorning(t, tm) {
		return
	}
	it, ok := due(t, tm)
	if !ok || it.State != kitchen.Cooling {
		return
	}
	remindAll(t, it, chat.Reminder, func(w wording.Words) []string {
		return []string{w.Say("cool-now", "item", itemName(t, w, it))}
	})
}

// remind is a reminder with what can be done next. The first of its lines says it all.
func remind(t *turn.Turn, w wording.Words, it kitchen.Item, lines ...string) chat.Message {
	var m chat.Message
	for i, l := range lines {
		style := chat.Plain
		if i == 0 {
			style = chat.Heading
		}
		m.Add(style, l)
	}
	if o, ok := told(t, it); ok {
		nextButtons(t, &m, w, it, o)
	} else {
		nextButtons(t, &m, w, it, nil)
	}
	m.Row(button(w, "btn-kitchen", "m.go", "kitchen"))
	return m
}

// lookAgain brings the question back to somebody who went to look. Late, it is shown late.
func lookAgain(t *turn.Turn, tm store.Timer) {
	if untilMorning(t, tm) {
		return
	}
	it, ok := due(t, tm)
	if !ok || it.State != kitchen.Asking {
		return
	}
	s, _ := t.Tx.Screen(me(t))
	s.Chat, s.Name, s.Args = me(t), screenQuestion, []string{strconv.FormatUint(it.ID, 10)}
	t.Tx.PutScreen(s)
	Resume(t, t.Mine().Say("looked"))
}

// showAgain shows the current screen once more to somebody whose presses may have been lost while the program stood still.
func showAgain(t *turn.Turn, tm store.Timer) {
	if untilMorning(t, tm) {
		return
	}
	p, ok := t.Tx.Person(tm.Person)
	if since, err := strconv.ParseInt(tm.Arg, 10, 64); !ok || err != nil || !p.LastActive.Before(time.Unix(since, 0)) {
		return // gone, or he has gone on by himself
	}
	t.Who = p
	Resume(t, t.Mine().Say("was-away"))
}

// ShowAgain is the timer that shows somebody his screen once more at the next moment from now on that is allowed, unless he
// acts before.
func ShowAgain(person int64, now time.Time) store.Timer {
	return store.Timer{Due: now, Kind: timerShow, Key: "show-" + strconv.FormatInt(person, 10), Person: person,
		Arg: strconv.FormatInt(now.Unix(), 10)}
}

// AwaitsAnswer reports whether a screen asks something: only such a one is shown again after the program stood still.
func AwaitsAnswer(s chat.Screen) bool {
	switch s.Name {
	case screenLanguage, screenProfile, screenQuestion, screenHot, screenHotOther, screenHotCheck, screenHotWhich, screenHeat, screenWhich, screenMore, screenWords, screenAdd, screenTown, screenTownRest:
		return true
	}
	return false
}
