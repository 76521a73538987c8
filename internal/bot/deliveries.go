package bot

import (
	"strings"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/courier"
	"benyomo/internal/engine/store"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/people"
	"benyomo/internal/person/member"
	"benyomo/internal/person/office"
	"benyomo/internal/person/rabbi"
)

// record writes what became of a delivery: its row leaves the outbox with its message's number, in one commit.
func (p *pass) record(tx *store.Tx, r courier.Result) {
	post := r.Post
	t := p.newTurn(tx, chat.Event{})
	switch r.Receipt.Fate {
	case courier.Moved:
		tx.Rekey(post.Chat, r.Receipt.MovedTo)
		p.fx.rekey = append(p.fx.rekey, [2]chat.ID{post.Chat, r.Receipt.MovedTo})
		return // the row itself moves too and is sent again
	case courier.Gone:
		p.shut(tx, post.Chat, r.Receipt.Why) // what was owed stays so, for the summary on return; but no announcement does
		return
	case courier.Refused:
		p.Log.Error("a message was refused", "op", string(post.Op), "why", r.Receipt.Why)
		tx.AddQuarantine(store.Quarantine{Kind: "delivery " + string(post.Op), Error: r.Receipt.Why, At: p.now})
	}
	_, owed := tx.Pending(post.Chat, post.Seq) // not one that was taken back while it was on its way: it is counted already
	tx.Settle(post.Chat, post.Seq)
	switch {
	case post.Op == chat.Strip:
		tx.SetPosted(post.Chat, post.Handle, 0)
	case post.Handle != "" && post.Class != chat.Announcement && r.Receipt.Message != 0:
		tx.SetPosted(post.Chat, post.Handle, r.Receipt.Message)
	}
	if post.Class == chat.Announcement && owed {
		office.Delivered(t, post.Handle, r.Receipt.Fate != courier.Delivered)
	}
}

// shut stops deliveries to a chat that is closed to us. Of the inbox the office hears.
func (p *pass) shut(tx *store.Tx, c chat.ID, why string) {
	_, already := tx.Hold(c)
	p.dropAnnouncements(tx, c)
	if already {
		return
	}
	tx.SetHold(store.Hold{Chat: c, Why: why, Since: p.now})
	p.fx.hold = append(p.fx.hold, c)
	if who, ok := tx.Person(int64(c)); ok {
		who.Away = true
		tx.PutPerson(who)
	}
	t := p.newTurn(tx, chat.Event{})
	if inbox, ok := t.Inbox(); ok && inbox == c {
		office.Warn(t, "office-inbox-closed")
	}
}

// dropAnnouncements counts the announcements that wait for a chat as refused: they would not be news on its return.
func (p *pass) dropAnnouncements(tx *store.Tx, c chat.ID) {
	t := p.newTurn(tx, chat.Event{})
	for post := range tx.Outbox(c) {
		if post.Class == chat.Announcement {
			tx.Unpost(c, post.Seq)
			office.Delivered(t, post.Handle, true)
		}
	}
}

// reopen lets deliveries to a chat go again. What was due in between comes as one summary.
func (p *pass) reopen(t *turn.Turn) {
	c := t.Event.Chat
	t.Tx.Release(c)
	p.fx.release = append(p.fx.release, c)
	if t.Who.Away && chat.ID(t.Who.ID) == c {
		t.Who.Away = false
		t.Tx.PutPerson(t.Who)
	}
	screen, _ := t.Tx.Screen(c)
	unseen := false // what the chat shows now has not reached it
	var missed []chat.Post
	for post := range t.Tx.Outbox(c) {
		missed = append(missed, post)
		t.Tx.Unpost(c, post.Seq)
		unseen = unseen || screen.Handle != "" && post.Handle == screen.Handle && len(post.Message.Keyboard) > 0
	}
	if m, n := summary(t, missed); n > 0 {
		t.Say(c, chat.Answer, "", m)
	}
	// Words and commands bring up a screen of their own; a press in a time of rest gets its screen at the end.
	if unseen && (t.Event.Kind == chat.Unblocked || t.Event.Kind == chat.Pressed && !p.chatRests(t.Tx, c)) {
		resume(t, t.Mine().Say("reopened"))
	}
}

// summary is one message of what a chat missed: answers whole, of reminders the first line, no screens.
func summary(t *turn.Turn, missed []chat.Post) (chat.Message, int) {
	w := t.Mine()
	var m chat.Message
	m.Add(chat.Aside, w.Say("missed"))
	n := 0
	for _, post := range missed {
		b := post.Message.Blocks
		if post.Op != chat.Send || strings.HasPrefix(string(post.Handle), "screen-") || len(b) == 0 {
			continue
		}
		n++
		if post.Class != chat.Answer {
			b = b[:1]
		}
		m.Blocks = append(m.Blocks, b...)
	}
	switch {
	case t.Event.Group || t.Who.Is(people.Rabbi):
		m.Row(rabbi.OpenButton(w))
	case t.Who.Is(people.Member):
		m.Row(member.KitchenButton(w))
	}
	return m, n
}
