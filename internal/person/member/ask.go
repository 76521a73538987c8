package member

import (
	"strconv"
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/store"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/approval"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/kitchen"
	"benyomo/internal/idea/luach"
	"benyomo/internal/idea/triage"
)

// Ways in which a question is shown.
const (
	plainly   = ""
	withWhy   = "why"
	withTest  = "test"
	withPhoto = "photo"
	withHint  = "hint" // after words that are no answer
)

// nightEnds is the hour until which the night belongs to the evening before it.
const nightEnds = 5

// shortLabel is the longest label, in characters, of which two fit in one row of a phone.
const shortLabel = 14

// walk walks the item's facts under the content and positions of now.
func walk(t *turn.Turn, it *kitchen.Item) (*dialog.Tree, triage.Result) {
	tree := t.Pack.Tree(it.Kind)
	return tree, triage.Walk(tree, it.Purpose, it.Facts, t.Lookup(household(t).Custom))
}

// advance goes on from the item's facts: to the next question, to what to do, or to the rabbi.
func advance(t *turn.Turn, it *kitchen.Item) {
	it.Asker = t.Who.ID
	tree, r := walk(t, it)
	switch {
	case r.Question != nil:
		it.SetState(kitchen.Asking, t.Now)
		t.Tx.PutItem(*it)
		show(t, screenQuestion, strconv.FormatUint(it.ID, 10), plainly, r.Question.Ask.S)
	case r.Outcome != nil:
		if a, ok := t.Tx.Approval(it.Kind); approval.Judge(tree, t.Mine().Lang, a, ok) != approval.Approved {
			refer(t, it, r, triage.Referral{Reason: triage.Unapproved, Possible: []*dialog.Outcome{r.Outcome}})
			return
		}
		tell(t, it, tree, r)
	case tree.Intake && r.Refer.Reason == triage.OutcomeAsks:
		addWords(t, it)
	default:
		refer(t, it, r, *r.Refer)
	}
}

// asked is the item whose question the screen shows, and the question as the walk stands now. ok is false where that is
// another one by now: a second phone has answered, or the content has changed.
func asked(t *turn.Turn, s chat.Screen) (it kitchen.Item, r triage.Result, ok bool) {
	if s.Name != screenQuestion && s.Name != screenLater {
		return it, r, false
	}
	if it, ok = item(t, s.Arg(0)); !ok || it.State != kitchen.Asking {
		return it, r, false
	}
	_, r = walk(t, &it)
	return it, r, r.Question != nil && r.Question.Ask.S == s.Arg(2)
}

// overtaken answers a button of a question that is no longer the item's: it changes nothing and shows what is asked now.
func overtaken(t *turn.Turn, s chat.Screen) {
	t.Answer(t.Mine().Say("old-button"), false)
	if it, ok := item(t, s.Arg(0)); ok {
		open(t, it)
	}
}

func drawQuestion(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	it, ok := item(t, s.Arg(0))
	if !ok {
		return drawMenu(t, s)
	}
	_, r := walk(t, &it)
	q := r.Question
	if q == nil {
		return drawItem(t, s)
	}
	var m chat.Message
	n := len(r.Path) + 1
	m.Add(chat.Aside, w.Say("question-of", "item", itemName(t, w, it), "n", n, "most", n-1+r.Left))
	if len(r.Path) == 0 {
		m.Add(chat.Heading, t.Pack.Tree(it.Kind).First.In(w.Lang)) // what to do before anything is asked
	}
	m.Add(chat.Heading, q.Text.In(w.Lang))
	switch s.Arg(1) {
	case withWhy:
		m.Add(chat.Plain, w.Say("why-asked", "why", q.Why.In(w.Lang)))
	case withTest:
		m.Add(chat.Plain, w.Say("home-test", "test", q.Unsure.Test.In(w.Lang)))
	case withPhoto:
		m.Add(chat.Aside, w.Count("photo-kept", len(it.Photos[q.Ask.S])))
	case withHint:
		m.Add(chat.Aside, w.Say("use-buttons"))
	}
	if q.Photo && s.Arg(1) == plainly {
		m.Add(chat.Aside, w.Say("photo-helps"))
	}
	answerRows(&m, w.Lang, s, q)
	sure := button(w, "btn-not-sure", "m.uns", s.Step)
	if s.Arg(1) == withTest {
		sure = button(w, "btn-still-not-sure", "m.uns", s.Step, "still")
	}
	m.Row(sure, button(w, "btn-why", "m.why", s.Step))
	m.Row(button(w, "btn-later", "m.later", s.Step), button(w, "btn-ask-rav", "m.ask", s.Step))
	if len(r.Path) > 0 {
		m.Row(button(w, "btn-back", "m.back", s.Step))
	} else {
		m.Row(button(w, "btn-menu", "m.go", "menu"))
	}
	return m
}

// answerRows puts short answers two in a row.
func answerRows(m *chat.Message, lang string, s chat.Screen, q *dialog.Step) {
	var row []chat.Button
	flush := func() { m.Row(row...); row = nil }
	for _, a := range q.Answers {
		b := chat.Button{Label: a.Label.In(lang), Data: chat.Data("m.ans", s.Step, a.ID.S)}
		if len([]rune(b.Label)) > shortLabel {
			flush()
			m.Row(b)
			continue
		}
		if row = append(row, b); len(row) == 2 {
			flush()
		}
	}
	flush()
}

// record keeps an answer and goes on.
func record(t *turn.Turn, it *kitchen.Item, question, fact string) {
	if it.Facts == nil {
		it.Facts = triage.Facts{}
	}
	it.Facts[question] = fact
	advance(t, it)
}

func answer(t *turn.Turn, s chat.Screen, args []string) {
	it, r, ok := asked(t, s)
	if !ok || len(args) != 1 || r.Question.Answer(args[0]) == nil {
		overtaken(t, s)
		return
	}
	record(t, &it, r.Question.Ask.S, args[0])
}

// notSure shows the home test first, where there is one; a lasting 'not sure' is a fact like another.
func notSure(t *turn.Turn, s chat.Screen, args []string) {
	it, r, ok := asked(t, s)
	if !ok {
		overtaken(t, s)
		return
	}
	q := r.Question
	if len(args) == 0 && q.Unsure != nil && len(q.Unsure.Test) > 0 {
		show(t, screenQuestion, s.Arg(0), withTest, s.Arg(2))
		return
	}
	record(t, &it, q.Ask.S, dialog.UnsureFact)
}

func why(t *turn.Turn, s chat.Screen, _ []string) {
	if _, _, ok := asked(t, s); !ok {
		overtaken(t, s)
		return
	}
	show(t, screenQuestion, s.Arg(0), withWhy, s.Arg(2))
}

// back takes the last answer back.
func back(t *turn.Turn, s chat.Screen, _ []string) {
	it, r, ok := asked(t, s)
	if !ok || len(r.Path) == 0 {
		overtaken(t, s)
		return
	}
	delete(it.Facts, r.Path[len(r.Path)-1].Question)
	advance(t, &it)
}

// askRabbi passes the question on at the member's wish.
func askRabbi(t *turn.Turn, s chat.Screen, _ []string) {
	it, r, ok := asked(t, s)
	if !ok {
		overtaken(t, s)
		return
	}
	refer(t, &it, r, triage.Ask(t.Pack.Tree(it.Kind), it.Purpose, t.Lookup(household(t).Custom), r))
}

// later offers to remind: 'I will look and come back'.
func later(t *turn.Turn, s chat.Screen, args []string) {
	it, _, ok := asked(t, s)
	if !ok {
		overtaken(t, s)
		return
	}
	if len(args) == 0 {
		show(t, screenLater, s.Arg(0), plainly, s.Arg(2))
		return
	}
	var due time.Time
	now := here(t)
	y, mo, d := now.Date()
	switch args[0] {
	case "1", "3":
		hours, _ := strconv.Atoi(args[0])
		due = t.Now.Add(time.Duration(hours) * time.Hour)
	case "evening":
		due = time.Date(y, mo, d, 20, 0, 0, 0, now.Location())
	case "morning":
		if now.Hour() < nightEnds {
			d-- // before dawn, tomorrow is still the coming morning to whoever has not slept
		}
		due = time.Date(y, mo, d+1, 9, 0, 0, 0, now.Location())
	case "back":
		show(t, screenQuestion, s.Arg(0), plainly, s.Arg(2))
		return
	default:
		return
	}
	if !due.After(t.Now) {
		due = t.Now.Add(time.Hour)
	}
	due = allowed(t, due)
	t.Tx.SetTimer(store.Timer{Due: due, Key: "look-" + strconv.FormatInt(t.Who.ID, 10), Kind: timerLook, Household: it.Household,
		Item: it.ID, Person: t.Who.ID})
	w := t.Mine()
	t.Answer(w.Say("later-set", "when", w.Near(due, t.Now)), false)
	show(t, screenLater, s.Arg(0), strconv.FormatInt(due.Unix(), 10), s.Arg(2))
}

// allowed is the first moment from due on at which a reminder that is not urgent is sent: what is promised must be kept.
func allowed(t *turn.Turn, due time.Time) time.Time {
	for {
		if span, rest := luach.RestAt(place(t), due); rest {
			due = luach.ShownEnd(span.Ends)
		}
		ends, quiet := t.Community.Quiet.At(due.In(place(t).Zone))
		if !quiet {
			return due
		}
		due = ends
	}
}

func drawLater(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	var m chat.Message
	if unix, err := strconv.ParseInt(s.Arg(1), 10, 64); err == nil {
		m.Add(chat.Plain, w.Say("later-set", "when", w.Near(time.Unix(unix, 0), t.Now)))
	} else {
		m.Add(chat.Heading, w.Say("later-when"))
		m.Row(button(w, "btn-in-1-hour", "m.later", s.Step, "1"), button(w, "btn-in-3-hours", "m.later", s.Step, "3"))
		if here(t).Hour() < 19 {
			m.Row(button(w, "btn-this-evening", "m.later", s.Step, "evening"), button(w, "btn-tomorrow-morning", "m.later", s.Step, "morning"))
		} else {
			m.Row(button(w, "btn-tomorrow-morning", "m.later", s.Step, "morning"))
		}
	}
	m.Row(button(w, "btn-to-question", "m.later", s.Step, "back"))
	m.Row(button(w, "btn-menu", "m.go", "menu"))
	return m
}
