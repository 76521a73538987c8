// Package office is the room of the office staff: announcements to all members, and the news that somebody must act on, such
// as a question that could not be passed on or a wish for a visit.
//
// An announcement is sent after a preview with the number of its recipients, who are frozen at that moment. It never crowds
// out an answer: only a window of it waits for delivery at a time.
package office

import (
	"strconv"
	"strings"
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/notice"
	"benyomo/internal/idea/people"
	"benyomo/internal/idea/wording"
)

// Screens of the office.
const (
	screenHome     = "office/home"
	screenAnnounce = "office/announce"
	screenPreview  = "office/preview"
)

// longest announcement, in UTF-16 units: it must fit one message with its opt-out line.
const longest = 3500

// Presses are the buttons of the office, by verb.
func Presses() map[string]func(*turn.Turn, []string) {
	return map[string]func(*turn.Turn, []string){
		"o.go":   officeOnly(goTo),
		"o.send": officeOnly(send),
	}
}

// Commands are what the office may type after a slash.
func Commands() map[string]func(*turn.Turn) {
	return map[string]func(*turn.Turn){
		"announce": func(t *turn.Turn) {
			if !t.Who.Is(people.Office) {
				t.Say(t.Event.Chat, chat.Answer, "", chat.Say(t.Mine().Say("not-yours")))
				return
			}
			if text := strings.TrimSpace(t.Event.Args); text != "" {
				preview(t, text)
				return
			}
			show(t, screenAnnounce)
		},
	}
}

func officeOnly(fn func(*turn.Turn, []string)) func(*turn.Turn, []string) {
	return func(t *turn.Turn, args []string) {
		if !t.Who.Is(people.Office) {
			t.Answer(t.Mine().Say("not-yours"), true)
			return
		}
		fn(t, args)
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
		t.Say(chat.ID(person), chat.Announcement, announced(id), m)
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

// Delivered counts a delivery that has ended and queues more. The handle says of which announcement it is.
func Delivered(t *turn.Turn, h chat.Handle, refused bool) {
	n, ok := strings.CutPrefix(string(h), "announcement-")
	id, err := strconv.ParseUint(n, 10, 64)
	if !ok || err != nil {
		return
	}
	a, ok := t.Tx.Announcement(id)
	if !ok || a.Finished {
		return
	}
	a.Done++
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

// warnEvery is how often the same warning reaches the office.
const warnEvery = 12 * time.Hour

// Warn tells the office of something that it must put right; the same warning not more often than warnEvery.
func Warn(t *turn.Turn, key string, pairs ...any) {
	name := "warned-" + key
	if last := t.Tx.Stamp(name); !last.IsZero() && t.Now.Sub(last) < warnEvery {
		return
	}
	if Tell(t, key, pairs...) { // a warning that reached nobody, since nobody of the office has come yet, is no warning
		t.Tx.SetStamp(name, t.Now)
	}
}

// Tell tells the office some news, and reports whether there is anybody to tell.
func Tell(t *turn.Turn, key string, pairs ...any) bool {
	all := t.Tx.WithRole(people.Office)
	for _, p := range all {
		w := t.Words(p.Lang)
		t.Say(chat.ID(p.ID), chat.Reminder, "", chat.Say(w.Say(key, pairs...)))
	}
	return len(all) > 0
}

// Wish tells the office that a member wants the kashering day or a visit for an item.
func Wish(t *turn.Turn, kind, way string, who int64) {
	for _, p := range t.Tx.WithRole(people.Office) {
		w := t.Words(p.Lang)
		name := kind
		if tree := t.Pack.Tree(kind); tree != nil {
			name = tree.Name.In(w.Lang)
		}
		m := chat.Say(w.Say("office-wish-"+way, "item", name))
		m.Row(chat.Button{Label: w.Say("btn-write-to"), URL: "tg://user?id=" + strconv.FormatInt(who, 10)})
		t.Say(chat.ID(p.ID), chat.Reminder, "", m)
	}
}

func button(w wording.Words, key, verb string, args ...any) chat.Button {
	return chat.Button{Label: w.Say(key), Data: chat.Data(verb, args...)}
}
