package member

import (
	"strconv"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/kitchen"
	"benyomo/internal/idea/luach"
)

// A household may be elsewhere than the community: its rest, its quiet hours, its deadlines and the times that it is shown are
// then those of that place, which it chooses from the configuration's list.

// chooseTown asks where the household is. The names stand in the screen: after a change of the list a button still means what
// it says.
func chooseTown(t *turn.Turn) {
	names := []string{t.Community.Place.Name}
	for _, p := range t.Community.Places {
		names = append(names, p.Name)
	}
	show(t, screenTown, names...)
}

func drawTown(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	var m chat.Message
	m.Add(chat.Heading, w.Say("town-which"))
	m.Add(chat.Plain, w.Say("town-follows"))
	for i, name := range s.Args {
		m.Row(chat.Button{Label: name, Data: chat.Data("m.town", s.Step, i)})
	}
	m.Row(button(w, "btn-back", "m.go", "settings"))
	return m
}

// pickTown moves the household. To a place where it is a time of rest now only once that was said: nothing would be sent here
// until its end.
func pickTown(t *turn.Turn, s chat.Screen, args []string) {
	if len(args) != 1 || s.Name != screenTown && s.Name != screenTownRest {
		return
	}
	i, err := strconv.Atoi(args[0])
	if err != nil || s.Arg(i) == "" {
		return
	}
	h := household(t)
	h.Town = s.Arg(i)
	there := t.Community.PlaceOf(h)
	if there.Name != h.Town { // it is not listed any more
		t.Answer(t.Mine().Say("old-button"), false)
		chooseTown(t)
		return
	}
	if _, rest := luach.RestAt(there, t.Now); rest && s.Name == screenTown {
		show(t, screenTownRest, h.Town)
		return
	}
	if h.Town == t.Community.Place.Name {
		h.Town = ""
	}
	t.Tx.PutHousehold(h)
	show(t, screenSettings)
	lastNotice(t)
}

// drawTownRest says that it is a time of rest in the place that was chosen.
func drawTownRest(t *turn.Turn, s chat.Screen) chat.Message {
	h := household(t)
	h.Town = s.Arg(0)
	w, there := t.Mine(), t.Community.PlaceOf(h)
	w.Zone = there.Zone
	var m chat.Message
	m.Add(chat.Heading, w.Say("town-rests", "town", there.Name, "when", w.Moment(luach.ShownEnd(luach.NextRest(there, t.Now).Ends))))
	m.Row(button(w, "btn-town-yes", "m.town", s.Step, 0))
	m.Row(button(w, "btn-back", "m.go", "town"))
	return m
}

// lastNotice tells a household that has come to a place shortly before its rest what will wait: the others there were told
// before.
func lastNotice(t *turn.Turn) {
	span := luach.NextRest(place(t), t.Now)
	if t.Now.Before(span.Begins.Add(-beforeRest)) || span.Contains(t.Now) {
		return
	}
	var running []kitchen.Item
	for it := range t.Tx.Items(t.Who.Household) {
		switch it.State {
		case kitchen.Waiting, kitchen.Heating, kitchen.Cooling:
			if t.Pack.Tree(it.Kind) != nil {
				running = append(running, it)
			}
		}
	}
	if len(running) > 0 {
		t.Say(me(t), chat.Reminder, "", restMessage(t, span, running))
	}
}
