package rabbi

import (
	"slices"
	"strings"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/desk"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/triage"
	"benyomo/internal/idea/wording"
)

// Bounds of a card: it must be read on a phone between two other duties.
const (
	summaryUnits = 220
	labelUnits   = 60
	offered      = 8 // outcomes offered as buttons at first
	earlierShown = 2
)

// Opened puts the card of a new question in the inbox.
func Opened(t *turn.Turn, id uint64) {
	q, ok := t.Tx.Shayla(id)
	inbox, have := t.Inbox()
	if !ok || !have {
		return
	}
	t.Say(inbox, chat.Answer, handle(id), card(t, wordsOf(t, inbox), q, false))
}

// card is a question, with its first outcomes or all of them, as the rabbi wants it: one line that says it all, the one fact in doubt, the photos behind a button, the
// answers, why it came to him, and the outcomes that are still possible as buttons.
func card(t *turn.Turn, w wording.Words, q desk.Shayla, all bool) chat.Message {
	var m chat.Message
	tree := t.Pack.Tree(q.Kind)
	m.Add(chat.Heading, summary(t, w, q, tree))
	if q.Words != "" {
		m.Add(chat.Quoted, q.Words)
	}
	if doubt := doubtOf(t, w, q, tree); doubt != "" {
		m.Add(chat.Plain, w.Say("card-doubt", "doubt", doubt))
	}
	if tree != nil {
		var lines []string
		for _, st := range q.Path {
			if step := tree.Step(st.Question); step != nil {
				lines = append(lines, step.Text.In(w.Lang)+" – "+factLabel(w, step, st.Answer))
			}
		}
		m.Add(chat.Plain, strings.Join(lines, "\n"))
	}
	m.Add(chat.Aside, w.Say("card-"+string(q.Reason)))
	if tree != nil && tree.Outcome(q.End) != nil {
		m.Add(chat.Aside, tree.Outcome(q.End).Headline.In(w.Lang))
	}
	for _, e := range earlier(t, q) {
		what := chat.Clip(answerText(t, w, e), labelUnits)
		if of := t.Pack.Tree(e.Kind); of != nil {
			what = of.Name.In(w.Lang) + " – " + what
		}
		m.Add(chat.Aside, w.Say("card-earlier", "what", what, "when", w.Moment(e.Answer.At)))
	}
	if q.Status != desk.Open {
		m.Add(chat.Heading, closedLine(t, w, q))
		return m
	}
	if n := len(q.Photos); n > 0 {
		m.Row(chat.Button{Label: w.Count("btn-photos", n), Data: chat.Data("r.photos", q.ID)})
	}
	list := outcomes(q, tree)
	for i, o := range list {
		if i == offered && !all {
			m.Row(chat.Button{Label: w.Say("btn-more-outcomes", "n", len(list)-offered), Data: chat.Data("r.card", q.ID, "all")})
			break
		}
		m.Row(chat.Button{Label: chat.Clip(o.Headline.In(w.Lang), labelUnits), Data: chat.Data("r.out", q.ID, i)})
	}
	var row []chat.Button
	for _, r := range desk.Replies() {
		if row = append(row, button(w, "btn-reply-"+string(r), "r.reply", q.ID, string(r))); len(row) == 2 {
			m.Row(row...)
			row = nil
		}
	}
	m.Row(row...)
	m.Row(button(w, "btn-answer-words", "r.words", q.ID))
	return m
}

// summary says it all in one line: what, its facts in short, custom, purpose.
func summary(t *turn.Turn, w wording.Words, q desk.Shayla, tree *dialog.Tree) string {
	var parts []string
	if q.Urgent {
		parts = append(parts, w.Say("card-urgent"))
	}
	if tree != nil {
		parts = append(parts, tree.Name.In(w.Lang))
		for _, st := range q.Path {
			step := tree.Step(st.Question)
			if step == nil || st.Answer == dialog.UnsureFact {
				continue
			}
			if l := factLabel(w, step, st.Answer); len([]rune(l)) > 4 { // a bare yes or no says nothing without its question
				parts = append(parts, l)
			}
		}
	} else {
		parts = append(parts, w.Say("card-in-words"))
	}
	for _, p := range []string{"custom-" + q.Custom, "purpose-" + q.Purpose} {
		if w.Has("profile-" + p) {
			parts = append(parts, w.Say("profile-"+p))
		}
	}
	return chat.Clip(strings.Join(parts, " · "), summaryUnits) // labels hold commas
}

func factLabel(w wording.Words, step *dialog.Step, answer string) string {
	if a := step.Answer(answer); a != nil {
		return a.Label.In(w.Lang)
	}
	return w.Say("card-not-sure")
}

// doubtOf is the one fact, or the point of practice, that would settle the question.
func doubtOf(t *turn.Turn, w wording.Words, q desk.Shayla, tree *dialog.Tree) string {
	if sw := t.Pack.Switch(q.Switch); sw != nil {
		return sw.About.In(w.Lang)
	}
	answered := slices.ContainsFunc(q.Path, func(st triage.Step) bool { return st.Question == q.Question && st.Answer != dialog.UnsureFact })
	if tree != nil && !answered { // what is answered stands among the answers
		if step := tree.Step(q.Question); step != nil {
			return step.Text.In(w.Lang)
		}
	}
	return ""
}

// outcomes are those that may be sent: the ones of the question that the tree still has.
func outcomes(q desk.Shayla, tree *dialog.Tree) []*dialog.Outcome {
	var out []*dialog.Outcome
	for _, id := range q.Possible {
		if tree != nil && tree.Outcome(id) != nil {
			out = append(out, tree.Outcome(id))
		}
	}
	return out
}

// earlier are this household's last answers.
func earlier(t *turn.Turn, q desk.Shayla) []desk.Shayla {
	var out []desk.Shayla
	for e := range t.Tx.ShaylosOf(q.Household) {
		if e.ID != q.ID && e.Status == desk.Closed && e.Kind != "" {
			out = append(out, e)
		}
	}
	return out[max(0, len(out)-earlierShown):]
}

// closedLine says how a question was closed.
func closedLine(t *turn.Turn, w wording.Words, q desk.Shayla) string {
	if q.Status == desk.Withdrawn {
		return w.Say("card-withdrawn")
	}
	return w.Say("card-closed", "answer", chat.Clip(answerText(t, w, q), 400))
}

func answerText(t *turn.Turn, w wording.Words, q desk.Shayla) string {
	a := q.Answer
	switch tree := t.Pack.Tree(q.Kind); {
	case a.Outcome != "" && tree != nil && tree.Outcome(a.Outcome) != nil:
		return tree.Outcome(a.Outcome).Headline.In(w.Lang)
	case a.Reply != "":
		return w.Say("reply-" + string(a.Reply))
	}
	return a.Words
}
