package member

import (
	"strconv"
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/store"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/kitchen"
	"benyomo/internal/idea/luach"
	"benyomo/internal/idea/triage"
)

// askHot asks when the item was last used hot: the 24 hours are counted from there.
func askHot(t *turn.Turn, it *kitchen.Item, _ []string) {
	show(t, screenHot, strconv.FormatUint(it.ID, 10))
}

func drawHot(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	it, ok := item(t, s.Arg(0))
	if !ok {
		return drawMenu(t, s)
	}
	var m chat.Message
	m.Add(chat.Heading, w.Say("hot-when", "item", itemName(t, w, it)))
	m.Add(chat.Plain, w.Say("hot-counts"))
	row := []chat.Button{button(w, "hot-now", "m.hot", s.Step, string(kitchen.JustNow))}
	if here(t).Hour() >= 6 {
		row = append(row, button(w, "hot-morning", "m.hot", s.Step, string(kitchen.ThisMorning)))
	}
	m.Row(row...)
	m.Row(button(w, "hot-yesterday", "m.hot", s.Step, string(kitchen.Yesterday)), button(w, "hot-other", "m.hot", s.Step, "other"))
	m.Row(button(w, "btn-hot-unknown", "m.hot", s.Step, "unsure"))
	m.Row(chat.Button{Label: w.Say("btn-back"), Data: chat.Data("m.item", it.ID)})
	return m
}

// pickHot takes the latest moment that the answer can mean, and shows it back.
func pickHot(t *turn.Turn, s chat.Screen, args []string) {
	if len(args) != 1 {
		return
	}
	if args[0] == "other" {
		show(t, screenHotOther, s.Arg(0))
		return
	}
	period := kitchen.Period(args[0])
	if args[0] == "unsure" { // nobody knows: 24 hours from now are 24 hours from any moment before it
		period = kitchen.JustNow
	}
	if at, ok := kitchen.Latest(period, here(t)); ok {
		checkHot(t, s.Arg(0), at)
	}
}

func checkHot(t *turn.Turn, itemID string, at time.Time) {
	show(t, screenHotCheck, itemID, strconv.FormatInt(at.Unix(), 10))
}

func drawHotOther(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	var m chat.Message
	m.Add(chat.Heading, w.Say("hot-type"))
	if s.Arg(1) != "" {
		m.Add(chat.Plain, w.Say("hot-"+s.Arg(1)))
	}
	m.Row(button(w, "btn-menu", "m.go", "menu"))
	return m
}

func drawHotCheck(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	it, ok := item(t, s.Arg(0))
	unix, err := strconv.ParseInt(s.Arg(1), 10, 64)
	if !ok || err != nil {
		return drawMenu(t, s)
	}
	at := time.Unix(unix, 0).In(w.Zone)
	var m chat.Message
	m.Add(chat.Heading, w.Say("hot-back", "item", itemName(t, w, it), "when", w.Moment(at)))
	if twins := twins(at); len(twins) == 2 {
		m.Add(chat.Plain, whichOf(w, at, twins))
	}
	ends := at.Add(idleOf(it))
	m.Add(chat.Plain, w.Say("hot-until", "when", w.Moment(luach.ShownEnd(ends))))
	late := tooLate(t, &m, w, it, ends)
	m.Row(button(w, "btn-right", "m.hotok", s.Step), chat.Button{Label: w.Say("btn-change"), Data: chat.Data("m.hotok", s.Step, "change")})
	if late {
		m.Row(chat.Button{Label: w.Say("btn-ask-rav"), Data: chat.Data("m.hotok", s.Step, "ask")})
	}
	return m
}

func idleOf(it kitchen.Item) time.Duration {
	for _, s := range it.Timeline {
		if !s.Heats {
			return time.Duration(s.Minutes) * time.Minute
		}
	}
	return 0
}

// confirmHot starts the wait, or starts it again.
func confirmHot(t *turn.Turn, s chat.Screen, args []string) {
	it, ok := item(t, s.Arg(0))
	unix, err := strconv.ParseInt(s.Arg(1), 10, 64)
	if !ok || err != nil {
		return
	}
	asks := len(args) > 0 && args[0] == "ask"
	if len(args) > 0 && !asks {
		show(t, screenHot, s.Arg(0))
		return
	}
	if !it.Restart(time.Unix(unix, 0).UTC(), t.Now) {
		t.Answer(t.Mine().Say("old-button"), false)
		open(t, it)
		return
	}
	it.Asker = t.Who.ID
	t.Tx.PutItem(it)
	setTimer(t, it)
	heardHot(t, it)
	if asks { // the hot use is kept: whatever he answers, the wait counts from it
		referLate(t, &it)
		return
	}
	open(t, it)
}

// usedHot says that the item was used hot: before the kashering the wait starts again, after it the rabbi is asked.
func usedHot(t *turn.Turn, it *kitchen.Item, _ []string) {
	switch it.HotUse() {
	case kitchen.Restarts:
		askHot(t, it, nil)
	case kitchen.MixedUp:
		_, r := walk(t, it)
		refer(t, it, r, triage.Referral{Reason: triage.MixUp})
	default:
		t.Answer(t.Mine().Say("old-button"), false)
	}
}

// setTimer sets the reminder for what runs now.
func setTimer(t *turn.Turn, it kitchen.Item) {
	stopTimers(t, it)
	id := strconv.FormatUint(it.ID, 10)
	base := store.Timer{Key: "item-" + id, Household: it.Household, Item: it.ID, Person: it.Asker}
	switch i := it.Current(); {
	case it.State == kitchen.Waiting && i >= 0:
		base.Kind, base.Due = timerIdle, it.Timeline[i].Ends()
	case it.State == kitchen.Heating && i >= 0:
		base.Kind, base.Due = timerHeat, it.Timeline[i].Ends()
	case it.State == kitchen.Cooling:
		base.Kind, base.Due = timerCool, it.CoolAt()
	default:
		return
	}
	t.Tx.SetTimer(base)
}

func stopTimers(t *turn.Turn, it kitchen.Item) {
	t.Tx.StopTimer("item-" + strconv.FormatUint(it.ID, 10))
}
