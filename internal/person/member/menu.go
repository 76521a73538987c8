package member

import (
	"cmp"
	"slices"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/kitchen"
	"benyomo/internal/idea/people"
	"benyomo/internal/idea/wording"
)

// goTo follows the buttons that lead from place to place. They change nothing, so an old one works.
func goTo(t *turn.Turn, args []string) {
	if len(args) == 0 {
		return
	}
	if !t.Who.Is(people.Member) || !household(t).Complete() {
		Home(t)
		return
	}
	switch args[0] {
	case "menu":
		show(t, screenMenu, args[1:]...)
	case "kitchen":
		show(t, screenKitchen)
	case "plan":
		openPlan(t)
	case "settings":
		show(t, screenSettings)
	case "language":
		show(t, screenLanguage)
	case "words":
		show(t, screenWords)
	case "invite":
		invite(t)
	case "optout", "optin": // never the other way round: a button that is pressed twice says the same twice
		t.Who.OptOut = args[0] == "optout"
		t.Tx.PutPerson(t.Who)
		show(t, screenSettings)
	case "town":
		chooseTown(t)
	case "purpose", "custom", "place":
		show(t, screenProfile, args[0])
	}
}

// flat is the most kinds that the menu shows at once; more are shown by their groups.
const flat = 12

// drawMenu offers the kinds of item, two in a row, or the groups of kinds where there are many.
func drawMenu(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	var m chat.Message
	m.Add(chat.Heading, w.Say("menu-what"))
	m.Add(chat.Plain, w.Say("menu-how"))
	var all []chat.Button
	switch group := s.Arg(0); {
	case len(t.Pack.Trees) <= flat:
		all = kindButtons(w, s, t.Pack.Trees)
	case group == "":
		for _, g := range t.Pack.Groups {
			all = append(all, chat.Button{Label: g.Name.In(w.Lang), Data: chat.Data("m.go", "menu", g.ID.S)})
		}
	default:
		all = kindButtons(w, s, t.Pack.InGroup(group))
		all = append(all, button(w, "btn-back", "m.go", "menu"))
	}
	for i := 0; i < len(all); i += 2 {
		m.Row(all[i:min(i+2, len(all))]...)
	}
	m.Row(button(w, "btn-else", "m.go", "words"))
	m.Row(button(w, "btn-kitchen", "m.go", "kitchen"), button(w, "btn-settings", "m.go", "settings"))
	return m
}

func kindButtons(w wording.Words, s chat.Screen, trees []*dialog.Tree) []chat.Button {
	var out []chat.Button
	for _, tree := range trees {
		out = append(out, chat.Button{Label: tree.Name.In(w.Lang), Data: chat.Data("m.new", s.Step, tree.Kind.S)})
	}
	return out
}

// newItem begins the questions about a kind. Where the household already has an unfinished item of it, it is asked whether
// that one is meant.
func newItem(t *turn.Turn, s chat.Screen, args []string) {
	if len(args) == 0 || t.Pack.Tree(args[0]) == nil {
		return
	}
	another := len(args) > 1 && args[1] == "another"
	purpose := chosenPurpose(s)
	if !another && len(sameKind(t, args[0])) > 0 {
		show(t, screenMore, args[0], purpose)
		return
	}
	begin(t, args[0], cmp.Or(purpose, household(t).Purpose))
}

func sameKind(t *turn.Turn, kind string) []kitchen.Item {
	var out []kitchen.Item
	for it := range t.Tx.Items(t.Who.Household) {
		if it.Kind == kind && it.State != kitchen.Dropped {
			out = append(out, it)
		}
	}
	return out
}

// drawMore asks which one is meant where the household has some of the kind.
func drawMore(t *turn.Turn, s chat.Screen) chat.Message {
	w, kind := t.Mine(), s.Arg(0)
	var m chat.Message
	m.Add(chat.Heading, w.Say("more-which"))
	for _, it := range sameKind(t, kind) {
		m.Row(chat.Button{Label: itemName(t, w, it) + " – " + w.Say("state-"+stateKey(t, it)), Data: chat.Data("m.item", it.ID)})
	}
	m.Row(button(w, "btn-another", "m.new", s.Step, kind, "another"))
	m.Row(button(w, "btn-menu", "m.go", "menu"))
	return m
}

// begin makes a new item and asks the first question.
func begin(t *turn.Turn, kind, purpose string) {
	it := t.Tx.NewItem(kitchen.Item{
		Household: t.Who.Household, Kind: kind, Number: len(allOfKind(t, kind)) + 1, Asker: t.Who.ID, Rev: 1,
		State: kitchen.Asking, Purpose: purpose, Since: t.Now, Changed: t.Now,
	})
	advance(t, &it)
}

func allOfKind(t *turn.Turn, kind string) []kitchen.Item {
	return slices.DeleteFunc(slices.Collect(t.Tx.Items(t.Who.Household)), func(it kitchen.Item) bool { return it.Kind != kind })
}
