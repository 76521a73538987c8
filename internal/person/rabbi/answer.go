package rabbi

import (
	"slices"
	"strconv"
	"strings"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/desk"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/people"
)

// question finds the question of a button. A closed one is said to be closed, and its card is brought up to date.
func question(t *turn.Turn, args []string) (desk.Shayla, bool) {
	if len(args) == 0 {
		return desk.Shayla{}, false
	}
	id, err := strconv.ParseUint(args[0], 10, 64)
	if err != nil {
		return desk.Shayla{}, false
	}
	q, ok := t.Tx.Shayla(id)
	if !ok {
		return q, false
	}
	if q.Status != desk.Open {
		tooLate(t, q)
		return q, false
	}
	return q, true
}

// tooLate tells a second rabbi that the question is closed.
func tooLate(t *turn.Turn, q desk.Shayla) {
	w := t.Mine()
	t.Answer(w.Say("already-"+string(q.Status)), true)
	if t.Event.Kind != chat.Pressed {
		t.Say(t.Event.Chat, chat.Answer, "", chat.Say(w.Say("already-"+string(q.Status))))
	}
	refresh(t, q)
}

// refresh brings the card up to date wherever it stands: in the inbox, and with the rabbis who have called it up.
func refresh(t *turn.Turn, q desk.Shayla) {
	inbox, have := t.Inbox()
	for _, c := range desks(t) {
		if _, there := t.Tx.Posted(c, handle(q.ID)); there || (have && c == inbox) {
			t.Change(c, handle(q.ID), card(t, wordsOf(t, c), q, false))
		}
	}
}

// desks are the chats in which cards may stand: the inbox, and the rabbis' own.
func desks(t *turn.Turn) []chat.ID {
	var out []chat.ID
	if inbox, ok := t.Inbox(); ok {
		out = append(out, inbox)
	}
	for _, role := range []people.Role{people.ApprovingRabbi, people.Rabbi} {
		for _, p := range t.Tx.WithRole(role) {
			if !slices.Contains(out, chat.ID(p.ID)) {
				out = append(out, chat.ID(p.ID))
			}
		}
	}
	return out
}

// Withdrawn shows on its card that a question was taken back.
func Withdrawn(t *turn.Turn, id uint64) {
	if q, ok := t.Tx.Shayla(id); ok {
		refresh(t, q)
	}
}

func showCard(t *turn.Turn, args []string) {
	if q, ok := question(t, args); ok {
		t.Change(t.Event.Chat, handle(q.ID), card(t, wordsOf(t, t.Event.Chat), q, len(args) > 1))
	}
}

// showOutcome shows the whole text of an outcome before it is sent.
func showOutcome(t *turn.Turn, args []string) {
	q, ok := question(t, args)
	if !ok {
		return
	}
	o := chosen(t, q, args)
	if o == nil {
		t.Answer(t.Mine().Say("old-button"), false)
		return
	}
	w := wordsOf(t, t.Event.Chat)
	var m chat.Message
	m.Add(chat.Aside, w.Say("card-will-send", "question", summary(t, w, q, t.Pack.Tree(q.Kind))))
	for _, b := range w.Outcome(o) {
		m.Add(chat.Style(b.Style), b.Text)
	}
	confirm(t, &m, q, "r.send", args[1])
}

func chosen(t *turn.Turn, q desk.Shayla, args []string) *dialog.Outcome {
	if len(args) != 2 {
		return nil
	}
	list := outcomes(q, t.Pack.Tree(q.Kind))
	i, err := strconv.Atoi(args[1])
	if err != nil || i < 0 || i >= len(list) {
		return nil
	}
	return list[i]
}

// confirm puts the second tap under a text that is about to be sent.
func confirm(t *turn.Turn, m *chat.Message, q desk.Shayla, verb, arg string) {
	w := wordsOf(t, t.Event.Chat)
	m.Row(button(w, "btn-send", verb, q.ID, arg), button(w, "btn-back", "r.card", q.ID))
	t.Change(t.Event.Chat, handle(q.ID), *m)
}

func sendOutcome(t *turn.Turn, args []string) {
	q, ok := question(t, args)
	if !ok {
		return
	}
	if o := chosen(t, q, args); o != nil {
		closeWith(t, q, desk.Answer{Outcome: o.ID})
	}
}

// reply is one of the fixed replies.
func reply(args []string) (desk.Reply, bool) {
	if len(args) != 2 {
		return "", false
	}
	for _, r := range desk.Replies() {
		if string(r) == args[1] {
			return r, true
		}
	}
	return "", false
}

func showReply(t *turn.Turn, args []string) {
	q, ok := question(t, args)
	r, known := reply(args)
	if !ok || !known {
		return
	}
	w := wordsOf(t, t.Event.Chat)
	var m chat.Message
	m.Add(chat.Aside, w.Say("card-will-send", "question", summary(t, w, q, t.Pack.Tree(q.Kind))))
	m.Add(chat.Plain, w.Say("reply-"+string(r)))
	confirm(t, &m, q, "r.replyy", string(r))
}

func sendReply(t *turn.Turn, args []string) {
	q, ok := question(t, args)
	if r, known := reply(args); ok && known {
		closeWith(t, q, desk.Answer{Reply: r})
	}
}

// closeWith closes a question: the member gets the answer, and the card shows it.
func closeWith(t *turn.Turn, q desk.Shayla, a desk.Answer) {
	a.By, a.At = t.Who.ID, t.Now
	if q.Close(a) != desk.Accepted {
		tooLate(t, q)
		return
	}
	t.Tx.PutShayla(q)
	t.Tx.Audit(t.Now, t.Who.ID, "answered question "+strconv.FormatUint(q.ID, 10))
	refresh(t, q)
	t.Answer(t.Mine().Say("sent"), false)
	t.Raise(desk.Answered{ID: q.ID})
}

// askWords waits for an answer in words. In a group several may answer different questions at a time, and the bot hears only
// what replies to it: each question has a prompt of its own there, to be replied to.
func askWords(t *turn.Turn, args []string) {
	q, ok := question(t, args)
	switch {
	case !ok:
	case t.Event.Group:
		w := wordsOf(t, t.Event.Chat)
		var m chat.Message
		m.Add(chat.Heading, w.Say("write-answer-reply"))
		m.Add(chat.Plain, summary(t, w, q, t.Pack.Tree(q.Kind)))
		t.Say(t.Event.Chat, chat.Answer, prompt(q.ID), m)
	default:
		show(t, screenWords, strconv.FormatUint(q.ID, 10))
	}
}

func prompt(id uint64) chat.Handle { return chat.Handle("words-" + strconv.FormatUint(id, 10)) }

func drawWords(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	var m chat.Message
	id, _ := strconv.ParseUint(s.Arg(0), 10, 64)
	if q, ok := t.Tx.Shayla(id); ok {
		m.Add(chat.Heading, w.Say("write-answer"))
		m.Add(chat.Plain, summary(t, w, q, t.Pack.Tree(q.Kind)))
	}
	m.Row(button(w, "btn-cancel", "r.go", "home"))
	return m
}

// Typed handles a rabbi's words: an answer to a card, or to the question that he chose to answer in words. It reports
// whether the words were for him.
func Typed(t *turn.Turn) bool {
	id, ok := answered(t)
	if !ok {
		return unaddressed(t)
	}
	q, have := t.Tx.Shayla(id)
	if !have {
		return false
	}
	if q.Status != desk.Open {
		tooLate(t, q)
		return true
	}
	words := strings.TrimSpace(t.Event.Text)
	if t.Event.Kind != chat.Typed || words == "" {
		t.Say(t.Event.Chat, chat.Answer, "", chat.Say(t.Mine().Say("write-words-only")))
		return true
	}
	closeWith(t, q, desk.Answer{Words: words})
	if s, ok := t.Tx.Screen(t.Event.Chat); ok && s.Name == screenWords {
		Home(t)
	} else {
		t.Say(t.Event.Chat, chat.Answer, "", chat.Say(t.Mine().Say("sent")))
	}
	return true
}

// unaddressed tells a rabbi whose words answer no card that nothing was sent, and how it is done, while questions are open.
func unaddressed(t *turn.Turn) bool {
	if t.Event.Group || t.Event.Kind != chat.Typed || t.Who.Is(people.Member) || len(open(t)) == 0 {
		return false
	}
	show(t, screenHome, "how")
	return true
}

// answered finds the question that typed words answer: the one whose card or prompt they reply to, or the one chosen before.
func answered(t *turn.Turn) (uint64, bool) {
	if t.Event.ReplyTo != 0 {
		h, _ := t.Tx.HandleOf(t.Event.Chat, t.Event.ReplyTo)
		for _, of := range []string{"shayla-", "words-"} {
			if n, found := strings.CutPrefix(string(h), of); found {
				id, err := strconv.ParseUint(n, 10, 64)
				return id, err == nil
			}
		}
	}
	if s, ok := t.Tx.Screen(t.Event.Chat); ok && s.Name == screenWords && !t.Event.Group {
		id, err := strconv.ParseUint(s.Arg(0), 10, 64)
		return id, err == nil
	}
	return 0, false
}

// showPhotos posts the photos of a question.
func showPhotos(t *turn.Turn, args []string) {
	if q, ok := question(t, args); ok && len(q.Photos) > 0 {
		t.Say(t.Event.Chat, chat.Answer, "", chat.Message{Photos: q.Photos})
	}
}
