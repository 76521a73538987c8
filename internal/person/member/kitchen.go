package member

import (
	"strconv"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/kitchen"
	"benyomo/internal/idea/luach"
	"benyomo/internal/idea/wording"
)

// listed is the most items that one screen lists: more would not fit a phone's keyboard.
const listed = 40

// drawKitchen shows each item, its state, and what happens next.
func drawKitchen(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	var m chat.Message
	m.Add(chat.Heading, w.Say("kitchen"))
	n := 0
	for it := range t.Tx.Items(t.Who.Household) {
		tree := t.Pack.Tree(it.Kind)
		if it.State == kitchen.Dropped || tree == nil || n == listed {
			continue
		}
		n++
		settled(t, &it)
		m.Add(chat.Plain, itemName(t, w, it)+" – "+standing(t, w, it))
		m.Row(chat.Button{Label: itemName(t, w, it) + " – " + w.Say("state-"+stateKey(t, it)), Data: chat.Data("m.item", it.ID)})
	}
	if n == 0 {
		m.Add(chat.Plain, w.Say("kitchen-empty"))
	}
	m.Row(planButton(w))
	m.Row(button(w, "btn-add", "m.go", "menu"), button(w, "btn-invite", "m.go", "invite"))
	return m
}

// settled brings a wait that is over up to date for showing; the timer's own turn records it.
func settled(t *turn.Turn, it *kitchen.Item) {
	it.EndIdle(t.Now)
	it.EndHeating(t.Now)
}

// standing says where an item stands and what happens next.
func standing(t *turn.Turn, w wording.Words, it kitchen.Item) string {
	i := it.Current()
	if soaked(it) && (it.State == kitchen.Waiting || it.State == kitchen.Ready && it.SoakLeft() > 0) {
		return soakStanding(t, w, it)
	}
	switch it.State {
	case kitchen.Waiting:
		return w.Say("standing-waiting", "when", w.Near(luach.ShownEnd(it.Timeline[i].Ends()), t.Now))
	case kitchen.Heating:
		return w.Say("standing-heating", "when", w.Near(luach.ShownEnd(it.Timeline[i].Ends()), t.Now))
	case kitchen.Cooling:
		return w.Say("standing-cooling", "when", w.Near(luach.ShownEnd(it.CoolAt()), t.Now))
	case kitchen.Told, kitchen.Referred:
		if _, ok := ravSaid(t, it); ok {
			return w.Say("standing-answered")
		}
	}
	return w.Say("standing-" + stateKey(t, it))
}

// stateKey names an item's state for people: what is covered, or keeps its side, was not put away.
func stateKey(t *turn.Turn, it kitchen.Item) string {
	if o, ok := told(t, it); ok && it.State == kitchen.Away && !putsAway(o) && o.Whether.S != dialog.Kasher && o.Whether.S != dialog.WashOnly {
		return "settled"
	}
	return string(it.State)
}

func openItem(t *turn.Turn, args []string) {
	if len(args) == 0 {
		return
	}
	it, ok := item(t, args[0])
	if !ok {
		t.Answer(t.Mine().Say("old-button"), false)
		return
	}
	open(t, it)
}

// open shows one item: its question where one is open, else where it stands.
func open(t *turn.Turn, it kitchen.Item) {
	if it.State == kitchen.Asking {
		advance(t, &it)
		return
	}
	show(t, screenItem, strconv.FormatUint(it.ID, 10))
}

func drawItem(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	it, ok := item(t, s.Arg(0))
	if !ok {
		return drawKitchen(t, s)
	}
	var m chat.Message
	m.Add(chat.Heading, itemName(t, w, it)+" – "+standing(t, w, it))
	if !it.LastHot.IsZero() && it.State == kitchen.Waiting {
		m.Add(chat.Plain, w.Say("counted-from", "when", w.Moment(it.LastHot)))
		m.Add(chat.Plain, w.Say("keep-cold"))
	}
	switch it.State {
	case kitchen.Told, kitchen.Waiting, kitchen.Ready:
		byPesach(t, &m, w, it)
	}
	o, known := told(t, it)
	_, said := ravSaid(t, it)
	asking := it.State == kitchen.Referred && !said
	switch { // while the rabbi is asked, what was told before does not hold
	case said:
		m.Blocks = append(m.Blocks, ownWords(t, w, it)...)
	case asking:
	case known:
		m.Add(chat.Aside, w.Say("was-told", "what", o.Headline.In(w.Lang)))
	}
	switch it.State {
	case kitchen.Heating:
		m.Add(chat.Plain, w.Say("while-heating"))
	case kitchen.Referred:
		if q, ok := t.Tx.Shayla(it.Shayla); ok && asking {
			m.Blocks = append(m.Blocks, meanwhile(t, w, q)...)
		}
	}
	if known {
		nextButtons(t, &m, w, it, o)
	} else {
		nextButtons(t, &m, w, it, nil)
	}
	row := []chat.Button{}
	if known && it.State != kitchen.Referred {
		row = append(row, itemButton(w, "btn-read-again", "m.item!", it))
	}
	if !asking {
		row = append(row, itemButton(w, "btn-ask-rav", "m.rav", it))
	}
	m.Row(row...)
	m.Row(itemButton(w, "btn-drop", "m.drop", it), button(w, "btn-kitchen", "m.go", "kitchen"))
	return m
}

// readAgain shows once more what was told.
func readAgain(t *turn.Turn, it *kitchen.Item, _ []string) {
	show(t, screenOutcome, strconv.FormatUint(it.ID, 10))
}

// KitchenButton leads to the kitchen, from anywhere.
func KitchenButton(w wording.Words) chat.Button { return button(w, "btn-kitchen", "m.go", "kitchen") }
