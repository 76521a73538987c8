package member

import (
	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/people"
)

func drawSettings(t *turn.Turn, s chat.Screen) chat.Message {
	w, h := t.Mine(), household(t)
	var m chat.Message
	m.Add(chat.Heading, w.Say("settings"))
	m.Add(chat.Plain, w.Say("settings-now", "purpose", w.Say("profile-purpose-"+h.Purpose), "custom", w.Say("profile-custom-"+h.Custom),
		"place", w.Say("profile-place-"+h.Place)))
	if len(t.Community.Places) > 0 {
		m.Add(chat.Plain, w.Say("settings-town", "town", place(t).Name, "when", w.Moment(t.Now)))
	}
	m.Row(button(w, "btn-purpose", "m.go", "purpose"), button(w, "btn-custom", "m.go", "custom"))
	m.Row(button(w, "btn-place", "m.go", "place"), button(w, "btn-language", "m.go", "language"))
	if len(t.Community.Places) > 0 {
		m.Row(button(w, "btn-town", "m.go", "town"), button(w, "btn-invite", "m.go", "invite"))
	} else {
		m.Row(button(w, "btn-invite", "m.go", "invite"))
	}
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
