package office

import (
	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/notice"
	"benyomo/internal/idea/people"
	"strconv"
	"strings"
)

// longest announcement, in UTF-16 units: it must fit one message with its opt-out line.
const longest = 3500

func drawAnnounce(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	var m chat.Message
	m.Add(chat.Heading, w.Say("announce-write"))
	if s.Arg(0) == "long" {
		m.Add(chat.Plain, w.Say("announce-long", "n", longest))
	}
	m.Row(button(w, "btn-cancel", "o.go", "home"))
	return m
}

// Typed handles the office's words, and reports whether they were for this room.
func Typed(t *turn.Turn) bool {
	s, _ := t.Tx.Screen(t.Event.Chat)
	if !t.Who.Is(people.Office) || s.Name != screenAnnounce && s.Name != screenPreview {
		return false
	}
	if t.Event.Kind != chat.Typed || strings.TrimSpace(t.Event.Text) == "" {
		show(t, screenAnnounce)
		return true
	}
	preview(t, strings.TrimSpace(t.Event.Text))
	return true
}

func preview(t *turn.Turn, text string) {
	if chat.Units(text) > longest {
		show(t, screenAnnounce, "long")
		return
	}
	show(t, screenPreview, text)
}

func drawPreview(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	n := len(recipients(t))
	var m chat.Message
	m.Add(chat.Heading, w.Count("announce-preview", n))
	m.Add(chat.Plain, s.Arg(0))
	if n > 0 {
		m.Row(chat.Button{Label: w.Count("btn-send-to", n), Data: chat.Data("o.send", s.Step, n)})
	}
	m.Row(button(w, "btn-cancel", "o.go", "home"))
	return m
}

// recipients are those who get announcements now, by id.
func recipients(t *turn.Turn) []int64 {
	var out []int64
	for p := range t.Tx.Persons() {
		if notice.Receives(p) {
			out = append(out, p.ID)
		}
	}
	return out
}

// send freezes the recipients and starts the announcement. Where their number is no longer the one that was shown, the
// preview is shown again.
func send(t *turn.Turn, args []string) {
	if len(args) != 2 {
		return
	}
	s, ok := t.Fresh(args[0])
	if !ok || s.Name != screenPreview {
		return
	}
	to := recipients(t)
	if args[1] != strconv.Itoa(len(to)) {
		t.Answer(t.Mine().Say("announce-changed"), true)
		show(t, screenPreview, s.Args...)
		return
	}
	a := t.Tx.NewAnnouncement(notice.Announcement{By: t.Who.ID, Text: s.Arg(0), Confirmed: t.Now}, to)
	t.Tx.Audit(t.Now, t.Who.ID, "sent announcement "+strconv.FormatUint(a.ID, 10))
	t.Answer(t.Mine().Count("announce-started", len(to)), false)
	Feed(t, a.ID)
	Home(t)
}

// Feed queues as much of an announcement as its window allows.
func Feed(t *turn.Turn, id uint64) {
	a, ok := t.Tx.Announcement(id)
	if !ok || a.Finished {
		return
	}
	n := a.Next()
	for _, person := range t.Tx.Recipients(id, a.Queued, a.Queued+n) {
		p, ok := t.Tx.Person(person)
		a.Queued++
		if !ok || !notice.Receives(p) { // opted out, or gone, since
			a.Done++
			a.Refused++
			continue
		}
		var m chat.Message
		w := t.Words(p.Lang)
		m.Add(chat.Heading, w.Say("announcement-from", "community", t.Community.Name))
		m.Add(chat.Plain, a.Text)
		m.Add(chat.Aside, w.Say("announcement-stop"))
		to := chat.ID(person)
		if t.Rests != nil && t.Rests(to) && !t.Rests(chat.ID(a.By)) { // in the community's own rest it waits with the window
			a.Resting++
			t.Say(to, chat.Announcement, announced(id)+late, m)
			continue
		}
		t.Say(to, chat.Announcement, announced(id), m)
	}
	if a.Done >= a.Total {
		finish(t, &a)
	}
	t.Tx.PutAnnouncement(a)
	if !a.Finished && a.Next() > 0 {
		Feed(t, id)
	}
}

func announced(id uint64) chat.Handle {
	return chat.Handle("announcement-" + strconv.FormatUint(id, 10))
}

// late marks an announcement that waits for the end of a rest.
const late = "-late"

// Delivered counts a delivery that has ended and queues more. The handle says of which announcement it is.
func Delivered(t *turn.Turn, h chat.Handle, refused bool) {
	n, ok := strings.CutPrefix(string(h), "announcement-")
	n, rested := strings.CutSuffix(n, late)
	id, err := strconv.ParseUint(n, 10, 64)
	if !ok || err != nil {
		return
	}
	a, ok := t.Tx.Announcement(id)
	if !ok || a.Finished {
		return
	}
	a.Done++
	if rested {
		a.Resting--
	}
	if refused {
		a.Refused++
	}
	t.Tx.PutAnnouncement(a)
	Feed(t, id)
}

// finish tells whoever sent it that the announcement is out.
func finish(t *turn.Turn, a *notice.Announcement) {
	a.Finished = true
	by, _ := t.Tx.Person(a.By)
	w := t.Words(by.Lang)
	t.Say(chat.ID(a.By), chat.Announcement, "", chat.Say(w.Say("announce-done", "done", a.Total-a.Refused, "refused", a.Refused)))
}
