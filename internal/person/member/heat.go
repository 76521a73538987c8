package member

import (
	"strconv"
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/kitchen"
	"benyomo/internal/idea/luach"
	"benyomo/internal/idea/triage"
)

// handWork is the time kept free before candle lighting and bedtime for a kashering that has no timed heating, such as
// dipping in boiling water. Common practice, no source: an editable estimate of the work of one item.
const handWork = 60 // minutes

// checkHeat is the start of a kashering: the calendar is asked again, then the safety conditions are shown.
func checkHeat(t *turn.Turn, it *kitchen.Item, _ []string) {
	if it.EndIdle(t.Now) {
		t.Tx.PutItem(*it)
	}
	if it.State != kitchen.Ready && it.State != kitchen.Told {
		t.Answer(t.Mine().Say("not-yet"), true)
		return
	}
	if lateForPesach(t, *it) {
		_, r := walk(t, it)
		ref := triage.Referral{Reason: triage.WrongTime}
		if o, ok := told(t, *it); ok {
			ref.Possible = []*dialog.Outcome{o}
		}
		refer(t, it, r, ref)
		return
	}
	show(t, screenHeat, strconv.FormatUint(it.ID, 10))
}

// lateForPesach reports whether the calendar no longer lets an item be kashered for Pesach without the rabbi (OC 452:1).
func lateForPesach(t *turn.Turn, it kitchen.Item) bool {
	if it.Purpose != dialog.Pesach {
		return false
	}
	switch luach.PhaseAt(place(t), t.Now) {
	case luach.EveAfterFourthHour, luach.CholHamoed:
		return true
	}
	return false
}

// place is the community's place.
func place(t *turn.Turn) luach.Place { return t.Community.Place }

// barrier asks whether there is time before candle lighting and bedtime.
func barrier(t *turn.Turn, it kitchen.Item) (kitchen.Barrier, time.Time) {
	stage := kitchen.Stage{Minutes: handWork}
	if i := it.Current(); i >= 0 && it.Timeline[i].Heats {
		stage = it.Timeline[i]
	}
	span := luach.NextRest(place(t), t.Now)
	return kitchen.CanHeat(stage, t.Now, span.Begins, kitchen.Bedtime(t.Community.Bedtime, t.Now)), span.Begins
}

func drawHeat(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	it, ok := item(t, s.Arg(0))
	if !ok {
		return drawMenu(t, s)
	}
	var m chat.Message
	o, known := told(t, it)
	m.Add(chat.Heading, w.Say("heat-before", "item", itemName(t, w, it)))
	if known {
		for _, c := range o.Cautions {
			m.Add(chat.Plain, t.Pack.Caution(c.S).Text.In(w.Lang))
		}
	}
	stop, candles := barrier(t, it)
	switch stop {
	case kitchen.BeforeRest:
		m.Add(chat.Heading, w.Say("heat-rest", "when", w.Near(luach.ShownStart(candles), t.Now)))
		m.Row(button(w, "btn-kitchen", "m.go", "kitchen"))
		return m
	case kitchen.BeforeSleep:
		m.Add(chat.Heading, w.Say("heat-sleep"))
		m.Row(button(w, "btn-kitchen", "m.go", "kitchen"))
		return m
	}
	m.Add(chat.Plain, w.Say("heat-conditions"))
	m.Row(button(w, "btn-conditions-met", "m.heat!", s.Step))
	m.Row(chat.Button{Label: w.Say("btn-not-now"), Data: chat.Data("m.item", it.ID)})
	return m
}

// startHeat starts the heating, or shows the steps where nothing is timed.
func startHeat(t *turn.Turn, s chat.Screen, _ []string) {
	it, ok := item(t, s.Arg(0))
	if !ok {
		return
	}
	if stop, _ := barrier(t, it); stop != kitchen.Clear || lateForPesach(t, it) {
		checkHeat(t, &it, nil)
		return
	}
	if i := it.Current(); i < 0 {
		show(t, screenSteps, s.Arg(0))
		return
	}
	if !it.StartHeating(t.Now) {
		t.Answer(t.Mine().Say("not-yet"), true)
		return
	}
	it.Asker = t.Who.ID
	t.Tx.PutItem(it)
	setTimer(t, it)
	open(t, it)
}

// drawSteps shows the steps of a kashering that is done by hand.
func drawSteps(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	it, ok := item(t, s.Arg(0))
	if !ok {
		return drawMenu(t, s)
	}
	o, ok := told(t, it)
	if !ok {
		return drawItem(t, s)
	}
	var m chat.Message
	m.Add(chat.Heading, w.Say("steps-of", "item", itemName(t, w, it)))
	for i, st := range o.Steps {
		m.Add(chat.Plain, strconv.Itoa(i+1)+". "+st.In(w.Lang))
	}
	m.Row(itemButton(w, "btn-done", "m.done", it))
	m.Row(itemButton(w, "btn-ask-rav", "m.rav", it), button(w, "btn-kitchen", "m.go", "kitchen"))
	return m
}

// cutShort takes a heating back: one that was interrupted does not count.
func cutShort(t *turn.Turn, it *kitchen.Item, _ []string) {
	if it.EndHeating(t.Now) || !it.Interrupt(t.Now) {
		t.Answer(t.Mine().Say("old-button"), false)
		return
	}
	stopTimers(t, *it)
	t.Tx.PutItem(*it)
	t.Answer(t.Mine().Say("cut-short"), true)
	open(t, *it)
}
