package turn

import (
	"fmt"
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/store"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/people"
	"benyomo/internal/idea/triage"
	"benyomo/internal/idea/wording"
)

// Turn is one exchange. Handlers read and write Tx, and speak by its methods.
type Turn struct {
	*Env
	Tx    *store.Tx
	Now   time.Time  // household time, in the community's zone
	Event chat.Event // what happened; of a timer, empty
	Who   people.Person

	// Replay is set while the events of a rest span are handled after it: no answer is sent to Event.Chat, which gets one
	// message at the end. What is changed of older messages is changed all the same.
	Replay bool

	// Rests reports whether it is a time of rest for a chat. Nil means never.
	Rests func(chat.ID) bool

	Raised []any  // news for other rooms
	Toast  *Toast // the answer to a press
}

// Job is a room's heavy work, which never runs in a transaction.
type Job struct {
	// Read takes out of a short read of the store all that the work needs, and returns the work: a pure function. It returns
	// nil where there is nothing left to do.
	Read func(*Turn, store.Job) func() (any, error)
	// Done takes in what came of the work, or its failure, in a turn of its own. It is not called where the job was asked for
	// anew in between.
	Done func(t *Turn, j store.Job, result any, failure error)
}

// Toast is the short answer to a press.
type Toast struct {
	Text  string
	Alert bool // must be closed by the person
}

// Words speaks a person's language, or the community's where it is unknown, and shows times by the community's clock.
func (t *Turn) Words(lang string) wording.Words {
	if !t.Pack.HasLanguage(lang) {
		lang = t.Community.Lang
	}
	return wording.In(t.Pack, lang, t.Community.Place.Zone)
}

// Mine speaks the language of whoever acts, and shows times by the clock where his household is.
func (t *Turn) Mine() wording.Words {
	w := t.Words(t.Who.Lang)
	if len(t.Community.Places) > 0 {
		w.Zone = t.Place().Zone
	}
	return w
}

// silent reports whether nothing is said to the chat in this turn.
func (t *Turn) silent(to chat.ID) bool { return t.Replay && to == t.Event.Chat }

// Say sends a message. A handle lets it be changed later; it may be empty.
func (t *Turn) Say(to chat.ID, class chat.Class, handle chat.Handle, m chat.Message) {
	if t.silent(to) && class == chat.Answer {
		return
	}
	parts := chat.Split(m)
	for i, part := range parts {
		p := chat.Post{Chat: to, Op: chat.Send, Class: class, Message: part}
		if i == len(parts)-1 {
			p.Handle = handle
		}
		t.Tx.Post(p)
	}
}

// Change replaces a message that was sent under the handle. What is too long for one message is clipped.
func (t *Turn) Change(to chat.ID, handle chat.Handle, m chat.Message) {
	if parts := chat.Split(m); len(parts) > 1 {
		parts[0].Keyboard = m.Keyboard
		m = parts[0]
	}
	t.Tx.Post(chat.Post{Chat: to, Op: chat.Edit, Handle: handle, Class: chat.Answer, Message: m})
}

// Answer answers a press with a few words that pass.
func (t *Turn) Answer(text string, alert bool) {
	t.Toast = &Toast{Text: chat.Clip(text, chat.ToastText), Alert: alert}
}

// Raise tells other rooms.
func (t *Turn) Raise(news any) { t.Raised = append(t.Raised, news) }

// Present makes a screen the chat's current one. build gets its step, which its buttons carry. A press on the current
// screen changes that message; anything else sends a new one and takes the buttons of the old one away.
func (t *Turn) Present(to chat.ID, s chat.Screen, build func(step uint64) chat.Message) {
	old, _ := t.Tx.Screen(to)
	s.Chat, s.Step = to, old.Step+1
	if t.silent(to) {
		s.Handle, s.Keep = old.Handle, old.Keep // the message on the phone is still the old one
		t.Tx.PutScreen(s)
		return
	}
	m := build(s.Step)
	if t.pressedOn(to, old) && !old.Keep && chat.Units(m.Plain()) <= chat.TextLimit {
		s.Handle = old.Handle
		t.Tx.PutScreen(s)
		t.Change(to, s.Handle, m)
		return
	}
	if old.Handle != "" {
		if !old.Keep {
			t.Tx.Post(chat.Post{Chat: to, Op: chat.Strip, Handle: old.Handle, Class: chat.Answer})
		} else if !t.owed(to, old.Handle) { // a change that is still owed needs the number
			t.Tx.SetPosted(to, old.Handle, 0)
		}
	}
	s.Handle = chat.Handle(fmt.Sprintf("screen-%d", s.Step))
	t.Tx.PutScreen(s)
	t.Say(to, chat.Answer, s.Handle, m)
}

// Amend is Present for what comes of work that a chat waits for: where it still shows the waiting screen, that message changes
// though nobody pressed anything; else a new one is sent.
func (t *Turn) Amend(to chat.ID, waiting string, s chat.Screen, build func(step uint64) chat.Message) {
	old, _ := t.Tx.Screen(to)
	m := build(old.Step + 1)
	if old.Name != waiting || old.Handle == "" || t.silent(to) || chat.Units(m.Plain()) > chat.TextLimit {
		t.Present(to, s, build)
		return
	}
	s.Chat, s.Step, s.Handle = to, old.Step+1, old.Handle
	t.Tx.PutScreen(s)
	t.Change(to, s.Handle, m)
}

// owed reports whether something about the message is still to be delivered.
func (t *Turn) owed(to chat.ID, h chat.Handle) bool {
	for p := range t.Tx.Outbox(to) {
		if p.Handle == h {
			return true
		}
	}
	return false
}

// pressedOn reports whether the event is a press on the message that shows the screen.
func (t *Turn) pressedOn(to chat.ID, s chat.Screen) bool {
	if t.Event.Kind != chat.Pressed || t.Event.Chat != to || s.Handle == "" {
		return false
	}
	n, ok := t.Tx.Posted(to, s.Handle)
	return ok && n == t.Event.Message
}

// Fresh checks the step that a button carries against the chat's screen. A stale button is answered kindly, and false is
// returned: nothing may change.
func (t *Turn) Fresh(step string) (chat.Screen, bool) {
	s, ok := t.Tx.Screen(t.Event.Chat)
	if ok && step == fmt.Sprint(s.Step) {
		return s, true
	}
	t.Answer(t.Mine().Say("old-button"), false)
	return s, false
}

// Inbox is the chat of the rabbi: the configured one, where it has moved since, or the approving rabbi's own.
func (t *Turn) Inbox() (chat.ID, bool) {
	if t.Community.Inbox != 0 {
		return t.Tx.Moved(t.Community.Inbox), true
	}
	if rabbis := t.Tx.WithRole(people.ApprovingRabbi); len(rabbis) > 0 {
		return chat.ID(rabbis[0].ID), true
	}
	return 0, false
}

// Lookup is the community's positions as a household of the custom sees them.
func (t *Turn) Lookup(custom string) triage.Lookup {
	return t.Tx.Positions().Lookup(t.CustomOf(custom))
}

// CustomOf is the custom that decides for a household: its own, or the community's where it is not sure.
func (t *Turn) CustomOf(custom string) string {
	if custom == dialog.UnsureFact && t.Community.Custom != "" {
		return t.Community.Custom
	}
	return custom
}

// StartLink is the address that opens the bot with a token.
func (t *Turn) StartLink(token string) string {
	return "https://t.me/" + t.BotName + "?start=" + token
}
