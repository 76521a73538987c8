// Package office is the room of the office staff: announcements to all members, and the news that somebody must act on, such
// as a question that could not be passed on or a wish for a visit.
//
// An announcement is sent after a preview with the number of its recipients, who are frozen at that moment. It never crowds
// out an answer: only a window of it waits for delivery at a time.
package office

import (
	"strings"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/people"
	"benyomo/internal/idea/wording"
)

// Screens of the office.
const (
	screenHome     = "office/home"
	screenAnnounce = "office/announce"
	screenPreview  = "office/preview"
)

// Presses are the buttons of the office, by verb.
func Presses() map[string]func(*turn.Turn, []string) {
	return map[string]func(*turn.Turn, []string){
		"o.go":   turn.OnlyPress(people.Office, goTo),
		"o.send": turn.OnlyPress(people.Office, send),
	}
}

// Commands are what the office may type after a slash.
func Commands() map[string]func(*turn.Turn) {
	return map[string]func(*turn.Turn){
		"announce": turn.Only(people.Office, func(t *turn.Turn) {
			if text := strings.TrimSpace(t.Event.Args); text != "" {
				preview(t, text)
				return
			}
			show(t, screenAnnounce)
		}),
	}
}

func show(t *turn.Turn, name string, args ...string) {
	s := chat.Screen{Name: name, Args: args}
	t.Present(t.Event.Chat, s, func(step uint64) chat.Message {
		s.Step = step
		return draw(t, s)
	})
}

func draw(t *turn.Turn, s chat.Screen) chat.Message {
	switch s.Name {
	case screenAnnounce:
		return drawAnnounce(t, s)
	case screenPreview:
		return drawPreview(t, s)
	}
	return drawHome(t)
}

// Resume shows the current screen once more, under a line that says why.
func Resume(t *turn.Turn, line string) {
	s, _ := t.Tx.Screen(t.Event.Chat)
	t.Present(t.Event.Chat, chat.Screen{Name: s.Name, Args: s.Args}, func(step uint64) chat.Message {
		s.Step = step
		m := draw(t, s)
		m.Blocks = append([]chat.Block{{Text: line, Style: chat.Aside}}, m.Blocks...)
		return m
	})
}

// Home shows what the office can do.
func Home(t *turn.Turn) { show(t, screenHome) }

func drawHome(t *turn.Turn) chat.Message {
	w := t.Mine()
	var m chat.Message
	m.Add(chat.Heading, w.Say("office-home", "community", t.Community.Name))
	m.Add(chat.Plain, w.Count("office-members", len(recipients(t))))
	if _, ok := t.Inbox(); !ok {
		m.Add(chat.Plain, w.Say("office-no-rabbi"))
	}
	for a := range t.Tx.Announcements() {
		if !a.Finished {
			m.Add(chat.Plain, w.Say("office-running", "done", a.Done, "total", a.Total))
		}
	}
	m.Row(button(w, "btn-announce", "o.go", "announce"))
	if t.Community.Closed {
		m.Row(button(w, "btn-member-link", "o.go", "link"))
	}
	return m
}

func goTo(t *turn.Turn, args []string) {
	if len(args) == 0 {
		return
	}
	switch args[0] {
	case "announce":
		show(t, screenAnnounce)
	case "link":
		link(t)
	default:
		Home(t)
	}
}

// link makes a link by which any number of members come in.
func link(t *turn.Turn) {
	token := "m" + t.Token()
	t.Tx.PutLink(people.Link{Token: token, Grants: people.Member})
	t.Tx.Audit(t.Now, t.Who.ID, "made a link for members")
	t.Say(t.Event.Chat, chat.Answer, "", chat.Say(t.Mine().Say("member-link", "link", t.StartLink(token), "token", token)))
}

func button(w wording.Words, key, verb string, args ...any) chat.Button {
	return chat.Button{Label: w.Say(key), Data: chat.Data(verb, args...)}
}
