package member

import (
	"cmp"
	"slices"
	"strings"

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

// drawWhich offers the kinds that typed words may mean. The words are the first argument. Where they speak of another purpose
// than the household's, that is said and offered; it holds for the one item, and only when it is pressed.
func drawWhich(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	var m chat.Message
	theirs := household(t).Purpose
	if written, chosen := t.Finder.Find(s.Arg(0)).Purpose, chosenPurpose(s); chosen != "" {
		m.Add(chat.Plain, w.Say("which-for", "purpose", w.Say("profile-purpose-"+chosen)))
		m.Row(button(w, "btn-which-list", "m.for", s.Step))
	} else if written != "" && written != theirs {
		m.Add(chat.Plain, w.Say("which-wrote", "purpose", w.Say("profile-purpose-"+written), "yours", w.Say("profile-purpose-"+theirs)))
		m.Row(button(w, "btn-which-for", "m.for", s.Step, written))
	}
	m.Add(chat.Heading, w.Say("which-one"))
	for _, kind := range s.Args[min(1, len(s.Args)):] {
		if tree := t.Pack.Tree(kind); tree != nil {
			m.Row(chat.Button{Label: tree.Name.In(w.Lang), Data: chat.Data("m.new", s.Step, kind)})
		}
	}
	m.Row(button(w, "btn-none-of-these", "m.none", s.Step))
	m.Row(button(w, "btn-menu", "m.go", "menu"))
	return m
}

// forPurpose is the beginning of the last argument of the screen of kinds where a purpose was chosen for the one item.
const forPurpose = "for:"

// chosenPurpose is the purpose that was chosen for the one item, or "".
func chosenPurpose(s chat.Screen) string {
	last := ""
	switch {
	case s.Name == screenWhich && len(s.Args) > 0:
		last, _ = strings.CutPrefix(s.Args[len(s.Args)-1], forPurpose)
	case s.Name == screenMore:
		last = s.Arg(1)
	}
	if !slices.Contains(dialog.Purposes(), last) {
		return ""
	}
	return last
}

// choosePurpose takes the purpose of which the words speak for the one item, or the household's again.
func choosePurpose(t *turn.Turn, s chat.Screen, args []string) {
	if s.Name != screenWhich || len(s.Args) == 0 {
		return
	}
	kept := slices.Clone(s.Args)
	if chosenPurpose(s) != "" {
		kept = kept[:len(kept)-1]
	}
	if len(args) == 1 && slices.Contains(dialog.Purposes(), args[0]) {
		kept = append(kept, forPurpose+args[0])
	}
	show(t, screenWhich, kept...)
}

// noneOfThese takes the words as a question in words: they need not be written again.
func noneOfThese(t *turn.Turn, s chat.Screen, _ []string) {
	if s.Name == screenWhich {
		show(t, screenWords, s.Arg(0), unknownName)
	}
}

func drawSettings(t *turn.Turn, s chat.Screen) chat.Message {
	w, h := t.Mine(), household(t)
	var m chat.Message
	m.Add(chat.Heading, w.Say("settings"))
	m.Add(chat.Plain, w.Say("settings-now", "purpose", w.Say("profile-purpose-"+h.Purpose), "custom", w.Say("profile-custom-"+h.Custom),
		"place", w.Say("profile-place-"+h.Place)))
	m.Row(button(w, "btn-purpose", "m.go", "purpose"), button(w, "btn-custom", "m.go", "custom"))
	m.Row(button(w, "btn-place", "m.go", "place"), button(w, "btn-language", "m.go", "language"))
	m.Row(button(w, "btn-invite", "m.go", "invite"))
	if t.Who.OptOut {
		m.Add(chat.Plain, w.Say("settings-opted-out"))
		m.Row(button(w, "btn-opt-in", "m.go", "optin"))
	} else {
		m.Row(button(w, "btn-opt-out", "m.go", "optout"))
	}
	m.Row(button(w, "btn-menu", "m.go", "menu"))
	return m
}

// invite makes a link by which a second phone joins the household.
func invite(t *turn.Turn) {
	token := "h" + t.Token()
	t.Tx.PutLink(people.Link{Token: token, Grants: people.Member, Household: t.Who.Household, Once: true, Expires: t.Now.AddDate(0, 0, 7)})
	t.Say(me(t), chat.Answer, "", chat.Say(t.Mine().Say("invite", "link", t.StartLink(token), "token", token)))
}
