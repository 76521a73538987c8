package bot

import (
	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/store"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/people"
	"benyomo/internal/person/member"
	"benyomo/internal/person/office"
	"benyomo/internal/person/rabbi"
)

// afterRest handles what came in a rest span, once it is over for the chat it came from: each event in its order, silently
// towards that chat; then each of these chats gets one message that picks up where it now is.
func (p *pass) afterRest() {
	var events []chat.Event
	var owed []chat.ID
	p.try(0, "rest", func(tx *store.Tx) error {
		if tx.AnyHeld() {
			over := func(c chat.ID) bool { return !p.chatRests(tx, c) }
			events, owed = tx.TakeHeld(over), tx.TakeOwed(over)
		}
		return nil
	})
	last := map[chat.ID]chat.Event{}
	for _, e := range events {
		last[e.Chat] = e
		p.try(0, "held "+string(e.Kind), func(tx *store.Tx) error {
			t := p.newTurn(tx, e)
			t.Replay = true
			t.Who = p.who(t)
			p.dispatch(t)
			p.react(t)
			return nil
		})
	}
	for _, c := range owed {
		p.try(0, "resume", func(tx *store.Tx) error {
			e := last[c]
			t := p.newTurn(tx, chat.Event{Kind: chat.Other, Chat: c, Group: e.Group, User: e.User})
			t.Who, _ = tx.Person(e.User)
			resume(t, t.Mine().Say("after-rest"))
			p.react(t)
			return nil
		})
	}
}

// resume shows a chat its current screen once more, under a line that says why.
func resume(t *turn.Turn, line string) {
	switch {
	case t.Event.Group:
		if t.Who.Is(people.Rabbi) {
			rabbi.Resume(t, line)
		}
	case member.Resume(t, line):
	case t.Who.Is(people.Rabbi):
		rabbi.Resume(t, line)
	case t.Who.Is(people.Office):
		office.Resume(t, line)
	default:
		member.Begin(t)
	}
}
