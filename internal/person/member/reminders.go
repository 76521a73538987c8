package member

import (
	"strconv"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/store"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/kitchen"
	"benyomo/internal/idea/luach"
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

// due brings the item and the person of a timer into the turn. ok is false where either is gone.
func due(t *turn.Turn, tm store.Timer) (it kitchen.Item, ok bool) {
	p, ok := t.Tx.Person(tm.Person)
	if !ok || p.Household != tm.Household {
		return it, false
	}
	t.Who = p
	return item(t, strconv.FormatUint(tm.Item, 10))
}

// untilMorning puts a reminder that is not urgent off to the end of the quiet hours.
func untilMorning(t *turn.Turn, tm store.Timer) bool {
	ends, quiet := t.Community.Quiet.At(t.Now)
	if quiet {
		tm.Due = ends
		t.Tx.SetTimer(tm)
	}
	return quiet
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
	w := t.Mine()
	m := remind(t, w, it, w.Say("idle-over", "item", itemName(t, w, it)))
	t.Say(me(t), chat.Reminder, "", m)
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
	w := t.Mine()
	m := remind(t, w, it, w.Say("heat-over", "item", itemName(t, w, it), "when", w.Near(luach.ShownEnd(ends), t.Now)))
	if it.State == kitchen.Cooling && it.CoolAt().After(t.Now) {
		m.Blocks = append(m.Blocks, chat.Block{Text: w.Say("cool-until", "when", w.Near(luach.ShownEnd(it.CoolAt()), t.Now))})
	}
	t.Say(me(t), chat.HeatingEnd, "", m)
}

// coolOver tells that an item has cooled. Late, or after it was marked done, it is left out.
func coolOver(t *turn.Turn, tm store.Timer) {
	if untilMorning(t, tm) {
		return
	}
	it, ok := due(t, tm)
	if !ok || it.State != kitchen.Cooling {
		return
	}
	w := t.Mine()
	t.Say(me(t), chat.Reminder, "", remind(t, w, it, w.Say("cool-now", "item", itemName(t, w, it))))
}

// remind is a reminder with what can be done next.
func remind(t *turn.Turn, w wording.Words, it kitchen.Item, line string) chat.Message {
	var m chat.Message
	m.Add(chat.Heading, line)
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
	show(t, screenQuestion, strconv.FormatUint(it.ID, 10), plainly, "")
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
	if !ok {
		return
	}
	t.Who = p
	Resume(t, t.Mine().Say("was-away"))
}

// ShowAgain is the timer that shows somebody his screen once more at the next moment that is allowed.
func ShowAgain(person int64) store.Timer {
	return store.Timer{Kind: timerShow, Key: "show-" + strconv.FormatInt(person, 10), Person: person}
}

// AwaitsAnswer reports whether a screen asks something: only such a one is shown again after the program stood still.
func AwaitsAnswer(s chat.Screen) bool {
	switch s.Name {
	case screenLanguage, screenProfile, screenQuestion, screenHot, screenHotOther, screenHotCheck, screenHeat, screenWhich, screenMore, screenWords:
		return true
	}
	return false
}
