package member

import (
	"strconv"
	"strings"
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/desk"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/kitchen"
	"benyomo/internal/idea/luach"
	"benyomo/internal/idea/triage"
	"benyomo/internal/idea/wording"
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
	if lateForPesach(t, *it) || lastChance(t, *it) {
		referLate(t, it)
		return
	}
	show(t, screenHeat, strconv.FormatUint(it.ID, 10))
}

// referLate asks the rabbi about what the calendar no longer allows without him.
func referLate(t *turn.Turn, it *kitchen.Item) {
	_, r := walk(t, it)
	ref := triage.Referral{Reason: triage.WrongTime, Switch: unsetFriday(t)}
	if o, ok := told(t, *it); ok {
		ref.Possible = []*dialog.Outcome{o}
	}
	refer(t, it, r, ref)
}

// lateForPesach reports whether the calendar no longer lets an item be kashered for Pesach without the rabbi (OC 452:1).
func lateForPesach(t *turn.Turn, it kitchen.Item) bool {
	if it.Purpose != dialog.Pesach {
		return false
	}
	for _, at := range []time.Time{t.Now, t.Now.Add(work(it))} { // it must also be over in time
		switch phaseAt(t, at) {
		case luach.EveAfterFourthHour, luach.CholHamoed:
			return !toldIn(t, it, phaseAt(t, t.Now))
		}
	}
	return false
}

// work is how long the kashering that is due takes, without cooling.
func work(it kitchen.Item) time.Duration {
	if i := it.Current(); i >= 0 && it.Timeline[i].Heats {
		return time.Duration(it.Timeline[i].Minutes) * time.Minute
	}
	return handWork * time.Minute
}

// lastChance reports whether an item for Pesach has no time left before the festival, though its hours have not passed: when
// the rest is over it is Chol Hamoed. So it is on a Friday before an eve of Pesach that is a Sabbath.
func lastChance(t *turn.Turn, it kitchen.Item) bool {
	if it.Purpose != dialog.Pesach || toldIn(t, it, phaseAt(t, t.Now)) {
		return false
	}
	stop, span := barrier(t, it)
	return stop == kitchen.BeforeRest && phaseAt(t, span.Ends) == luach.CholHamoed
}

// toldIn reports whether the rabbi himself has told what the item waits for, in the same phase of the calendar, or ahead for
// what is late on the eve: he is not asked for leave a second time.
func toldIn(t *turn.Turn, it kitchen.Item, phase luach.Phase) bool {
	q, ok := t.Tx.Shayla(it.Shayla)
	if !ok || q.Status != desk.Closed || q.Answer == nil || q.Answer.Outcome == "" {
		return false
	}
	then := phaseAt(t, q.Answer.At)
	ahead := q.Reason == triage.WrongTime && phase == luach.EveAfterFourthHour && then != luach.CholHamoed &&
		luach.PesachAfter(place(t), q.Answer.At).Year == luach.PesachAfter(place(t), t.Now).Year
	return then == phase || ahead
}

// place is where the household is.
func place(t *turn.Turn) luach.Place { return t.Place() }

// here is the present moment on the clock where the household is.
func here(t *turn.Turn) time.Time { return t.Now.In(place(t).Zone) }

// barrier asks whether there is time before bedtime and candle lighting, and gives the rest that comes.
func barrier(t *turn.Turn, it kitchen.Item) (kitchen.Barrier, luach.Span) {
	stage := kitchen.Stage{Minutes: handWork}
	if i := it.Current(); i >= 0 && it.Timeline[i].Heats {
		stage = it.Timeline[i]
	}
	span := luach.NextRest(place(t), t.Now)
	return kitchen.CanHeat(stage, t.Now, span.Begins, kitchen.Bedtime(t.Community.Bedtime, here(t))), span
}

func drawHeat(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	it, ok := item(t, s.Arg(0))
	if !ok {
		return drawMenu(t, s)
	}
	var m chat.Message
	m.Add(chat.Heading, w.Say("heat-before", "item", itemName(t, w, it)))
	if stop, rest := barrier(t, it); stop != kitchen.Clear {
		if stop == kitchen.BeforeRest {
			m.Add(chat.Heading, w.Say("heat-rest", "when", w.Near(luach.ShownStart(rest.Begins), t.Now)))
		} else {
			m.Add(chat.Heading, w.Say("heat-sleep"))
		}
		m.Row(chat.Button{Label: w.Say("btn-back"), Data: chat.Data("m.item", it.ID)}, button(w, "btn-kitchen", "m.go", "kitchen"))
		return m
	}
	byPesach(t, &m, w, it)
	if o, known := told(t, it); known {
		var lines []string
		for _, c := range o.Cautions {
			lines = append(lines, t.Pack.Caution(c.S).Text.In(w.Lang))
		}
		m.Add(chat.Plain, strings.Join(lines, "\n"))
	}
	m.Add(chat.Plain, w.Say("heat-conditions"))
	m.Row(button(w, "btn-conditions-met", "m.heat!", s.Step))
	if !it.LastHot.IsZero() { // the wait may have ended days ago: a Sabbath may lie between
		m.Add(chat.Plain, w.Say("heat-unused", "when", w.Moment(it.LastHot)))
		m.Row(itemButton(w, "btn-used-hot", "m.used", it))
	}
	m.Row(chat.Button{Label: w.Say("btn-not-now"), Data: chat.Data("m.item", it.ID)})
	return m
}

// startHeat starts the heating, or shows the steps where nothing is timed.
func startHeat(t *turn.Turn, s chat.Screen, _ []string) {
	it, ok := item(t, s.Arg(0))
	if !ok {
		return
	}
	if it.State != kitchen.Ready && it.State != kitchen.Told { // another phone of the household was faster
		t.Answer(t.Mine().Say("old-button"), false)
		open(t, it)
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
	m.Add(chat.Plain, steps(w, o))
	m.Add(chat.Aside, boilsHere(t, w, o))
	m.Row(itemButton(w, "btn-done", "m.done", it))
	m.Row(itemButton(w, "btn-ask-rav", "m.rav", it), button(w, "btn-kitchen", "m.go", "kitchen"))
	return m
}

// steps are an outcome's steps, one a line.
func steps(w wording.Words, o *dialog.Outcome) string {
	lines := make([]string, len(o.Steps))
	for i, st := range o.Steps {
		lines[i] = w.Say("outcome-step", "n", i+1, "text", st.In(w.Lang))
	}
	return strings.Join(lines, "\n")
}

// cutShort takes a heating back: one that was interrupted does not count.
func cutShort(t *turn.Turn, it *kitchen.Item, _ []string) {
	if it.EndHeating(t.Now) || !it.Interrupt(t.Now) {
		t.Answer(t.Mine().Say("old-button"), false)
		return
	}
	if it.Current() == 0 { // no wait came before it: the item stands where it stood when it was told
		it.SetState(kitchen.Told, t.Now)
	}
	stopTimers(t, *it)
	t.Tx.PutItem(*it)
	t.Answer(t.Mine().Say("cut-short"), true)
	open(t, *it)
}
