package member

import (
	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/people"
	"benyomo/internal/idea/triage"
)

// Settled is raised when somebody who is no member has chosen his language: he goes back to where he belongs.
type Settled struct{}

// Begin greets somebody who starts, or starts again: a first time asks for the language and the household.
func Begin(t *turn.Turn) {
	if !t.Who.Is(people.Member) {
		if t.Community.Closed {
			closedDoor(t)
			return
		}
		Admit(t)
	}
	Home(t)
}

// Admit makes whoever acts a member, with a household of his own.
func Admit(t *turn.Turn) {
	t.Who.Grant(people.Member)
	if t.Who.Household == 0 {
		t.Who.Household = t.Tx.NewHousehold(people.Household{Members: []int64{t.Who.ID}, Since: t.Now}).ID
	}
	t.Tx.PutPerson(t.Who)
}

func closedDoor(t *turn.Turn) {
	m := chat.Say(t.Mine().Say("closed-door", "community", t.Community.Name))
	t.Say(me(t), chat.Answer, "", m)
}

// JoinHousehold brings a second phone into a household.
func JoinHousehold(t *turn.Turn, id uint64) {
	h, ok := t.Tx.Household(id)
	if !ok {
		t.Say(me(t), chat.Answer, "", chat.Say(t.Mine().Say("link-broken")))
		return
	}
	if t.Who.Household != 0 && t.Who.Household != id {
		old := household(t)
		old.Leave(t.Who.ID)
		t.Tx.PutHousehold(old)
	}
	t.Who.Grant(people.Member)
	t.Who.Household = id
	t.Tx.PutPerson(t.Who)
	h.Join(t.Who.ID)
	t.Tx.PutHousehold(h)
	t.Say(me(t), chat.Answer, "", chat.Say(t.Mine().Say("joined")))
	Home(t)
}

// Home shows what comes next: the language, the three questions about the household, then the menu.
func Home(t *turn.Turn) {
	switch h := household(t); {
	case !t.Who.Is(people.Member):
		Begin(t)
	case t.Who.Lang == "":
		show(t, screenLanguage)
	case h.Complete():
		show(t, screenMenu)
	default:
		show(t, screenProfile, nextField(h))
	}
}

func nextField(h people.Household) string {
	switch {
	case h.Purpose == "":
		return "purpose"
	case h.Custom == "":
		return "custom"
	}
	return "place"
}

// drawLanguage speaks every language at once: the member's own is not known yet.
func drawLanguage(t *turn.Turn, s chat.Screen) chat.Message {
	var m chat.Message
	for _, l := range t.Pack.Languages {
		w := t.Words(l.Code.S)
		m.Add(chat.Plain, w.Say("welcome", "community", t.Community.Name))
		m.Row(chat.Button{Label: l.Name.S, Data: chat.Data("m.lang", s.Step, l.Code.S)})
	}
	return m
}

func pickLanguage(t *turn.Turn, _ chat.Screen, args []string) {
	if len(args) != 1 || !t.Pack.HasLanguage(args[0]) {
		return
	}
	t.Who.Lang = args[0]
	t.Tx.PutPerson(t.Who)
	if !t.Who.Is(people.Member) { // a rabbi or somebody of the office
		t.Raise(Settled{})
		return
	}
	Home(t)
}

// profileChoices are the answers to the three questions about a household.
func profileChoices(field string) []string {
	switch field {
	case "purpose":
		return dialog.Purposes()
	case "custom":
		return append(triage.Customs(), dialog.UnsureFact)
	case "place":
		return []string{people.Abroad, people.Israel}
	}
	return nil
}

func drawProfile(t *turn.Turn, s chat.Screen) chat.Message {
	w, field := t.Mine(), s.Arg(0)
	var m chat.Message
	m.Add(chat.Aside, w.Say("profile-once"))
	m.Add(chat.Heading, w.Say("profile-"+field))
	for _, c := range profileChoices(field) {
		m.Row(button(w, "profile-"+field+"-"+c, "m.set", s.Step, field, c))
	}
	return m
}

func setProfile(t *turn.Turn, s chat.Screen, args []string) {
	if len(args) != 2 || args[0] != s.Arg(0) {
		return
	}
	known := false
	for _, c := range profileChoices(args[0]) {
		known = known || c == args[1]
	}
	if !known {
		return
	}
	h := household(t)
	switch args[0] {
	case "purpose":
		h.Purpose = args[1]
	case "custom":
		h.Custom = args[1]
	case "place":
		h.Place = args[1]
	}
	t.Tx.PutHousehold(h)
	Home(t)
}
