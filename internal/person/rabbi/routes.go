// Package rabbi is the room of the community's rabbi: his inbox with one card for each question, his answers, and, for the
// approving rabbi, the approval of dialogs, the community's positions and the admission of other rabbis.
//
// The inbox is a private chat or a group. Rights are asked at every action: a button in a group can be pressed by anybody.
// The room never meets the member's: it hears desk.Opened, and raises desk.Answered.
package rabbi

import (
	"strconv"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/desk"
	"benyomo/internal/idea/people"
	"benyomo/internal/idea/wording"
)

// Screens of a rabbi.
const (
	screenHome     = "rabbi/home"
	screenWords    = "rabbi/words"
	screenApprove  = "rabbi/approve"
	screenDialog   = "rabbi/dialog"
	screenPractice = "rabbi/practice"
	screenSwitch   = "rabbi/switch"
	screenWeigh    = "rabbi/weigh"
)

// Presses are the buttons of a rabbi, by verb.
func Presses() map[string]func(*turn.Turn, []string) {
	return map[string]func(*turn.Turn, []string){
		"r.out":    turn.OnlyPress(people.Rabbi, showOutcome),
		"r.send":   turn.OnlyPress(people.Rabbi, sendOutcome),
		"r.reply":  turn.OnlyPress(people.Rabbi, showReply),
		"r.replyy": turn.OnlyPress(people.Rabbi, sendReply),
		"r.card":   turn.OnlyPress(people.Rabbi, showCard),
		"r.photos": turn.OnlyPress(people.Rabbi, showPhotos),
		"r.words":  turn.OnlyPress(people.Rabbi, askWords),
		"r.open":   turn.OnlyPress(people.Rabbi, openQuestions),
		"r.go":     turn.OnlyPress(people.Rabbi, goTo),
		"r.dlg":    turn.OnlyPress(people.ApprovingRabbi, openDialog),
		"r.book":   turn.OnlyPress(people.ApprovingRabbi, sendBook),
		"r.yes":    turn.OnlyPress(people.ApprovingRabbi, approve),
		"r.sw":     turn.OnlyPress(people.ApprovingRabbi, openSwitch),
		"r.pos":    turn.OnlyPress(people.ApprovingRabbi, weighPosition),
		"r.set":    turn.OnlyPress(people.ApprovingRabbi, setPosition),
	}
}

// Commands are what a rabbi may type after a slash.
func Commands() map[string]func(*turn.Turn) {
	return map[string]func(*turn.Turn){
		"inbox":    turn.Only(people.Rabbi, func(t *turn.Turn) { openQuestions(t, nil) }),
		"approve":  turn.Only(people.ApprovingRabbi, func(t *turn.Turn) { show(t, screenApprove) }),
		"practice": turn.Only(people.ApprovingRabbi, func(t *turn.Turn) { show(t, screenPractice) }),
		"admit":    turn.Only(people.ApprovingRabbi, admit),
	}
}

// show makes a screen the rabbi's current one, in the chat in which he acts.
func show(t *turn.Turn, name string, args ...string) {
	s := chat.Screen{Name: name, Args: args}
	t.Present(t.Event.Chat, s, func(step uint64) chat.Message {
		s.Step = step
		return draw(t, s)
	})
}

func draw(t *turn.Turn, s chat.Screen) chat.Message {
	switch s.Name {
	case screenWords:
		return drawWords(t, s)
	case screenApprove:
		return drawApprove(t, s)
	case screenDialog:
		return drawDialog(t, s)
	case screenPractice:
		return drawPractice(t, s)
	case screenSwitch:
		return drawSwitch(t, s)
	case screenWeigh:
		return drawWeigh(t, s)
	}
	return drawHome(t, s)
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

// Home shows what a rabbi can do.
func Home(t *turn.Turn) { show(t, screenHome) }

func drawHome(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	var m chat.Message
	if s.Arg(0) == "how" {
		m.Add(chat.Plain, w.Say("rav-how"))
	}
	m.Add(chat.Heading, w.Say("rav-home", "community", t.Community.Name))
	if n := len(open(t)); n > 0 {
		m.Add(chat.Plain, w.Count("rav-open", n))
	} else {
		m.Add(chat.Plain, w.Say("rav-none-open"))
	}
	m.Row(button(w, "btn-open-questions", "r.open"))
	if t.Who.Is(people.ApprovingRabbi) {
		if n := len(unapproved(t)); n > 0 {
			m.Add(chat.Plain, w.Count("rav-unapproved", n))
		}
		m.Row(button(w, "btn-approve", "r.go", "approve"), button(w, "btn-practice", "r.go", "practice"))
		m.Row(button(w, "btn-admit", "r.go", "admit"))
	}
	return m
}

func goTo(t *turn.Turn, args []string) {
	if len(args) == 0 {
		return
	}
	switch args[0] {
	case "approve":
		turn.Only(people.ApprovingRabbi, func(t *turn.Turn) { show(t, screenApprove, args[1:]...) })(t)
	case "practice":
		turn.Only(people.ApprovingRabbi, func(t *turn.Turn) { show(t, screenPractice, args[1:]...) })(t)
	case "admit":
		turn.Only(people.ApprovingRabbi, admit)(t)
	default:
		Home(t)
	}
}

// admit makes a link by which another rabbi comes in.
func admit(t *turn.Turn) {
	token := "r" + t.Token()
	t.Tx.PutLink(people.Link{Token: token, Grants: people.Rabbi, Once: true, Expires: t.Now.AddDate(0, 0, 7)})
	t.Tx.Audit(t.Now, t.Who.ID, "made a link for a rabbi")
	t.Say(t.Event.Chat, chat.Answer, "", chat.Say(t.Mine().Say("admit", "link", t.StartLink(token), "token", token)))
}

// open lists the open questions, the urgent ones first.
func open(t *turn.Turn) []desk.Shayla {
	var urgent, rest []desk.Shayla
	for q := range t.Tx.OpenShaylos() {
		if q.Urgent {
			urgent = append(urgent, q)
		} else {
			rest = append(rest, q)
		}
	}
	return append(urgent, rest...)
}

// shownAtOnce is how many open questions one wish brings up.
const shownAtOnce = 10

// openQuestions posts the cards of the open questions again, at the end of the chat.
func openQuestions(t *turn.Turn, _ []string) {
	w := t.Mine()
	all := open(t)
	if len(all) == 0 {
		t.Say(t.Event.Chat, chat.Answer, "", chat.Say(w.Say("rav-none-open")))
		return
	}
	here := t.Event.Chat
	for _, q := range all[:min(len(all), shownAtOnce)] {
		if _, there := t.Tx.Posted(here, handle(q.ID)); there { // one copy of a card in a chat has buttons
			t.Tx.Post(chat.Post{Chat: here, Op: chat.Strip, Handle: handle(q.ID), Class: chat.Answer})
		}
		t.Say(here, chat.Answer, handle(q.ID), card(t, wordsOf(t, here), q, false))
	}
}

func handle(id uint64) chat.Handle { return chat.Handle("shayla-" + strconv.FormatUint(id, 10)) }

func button(w wording.Words, key, verb string, args ...any) chat.Button {
	return chat.Button{Label: w.Say(key), Data: chat.Data(verb, args...)}
}

// wordsOf is the language of a chat: a rabbi's own in his private one, the community's in a group.
func wordsOf(t *turn.Turn, c chat.ID) wording.Words {
	if p, ok := t.Tx.Person(int64(c)); ok {
		return t.Words(p.Lang)
	}
	return t.Words(t.Community.Lang)
}

// OpenButton leads to the open questions, from anywhere.
func OpenButton(w wording.Words) chat.Button { return button(w, "btn-open-questions", "r.open") }
