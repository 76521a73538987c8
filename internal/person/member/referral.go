package member

import (
	"maps"
	"slices"
	"strconv"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/desk"
	"benyomo/internal/idea/kitchen"
	"benyomo/internal/idea/triage"
	"benyomo/internal/idea/wording"
)

// NoRabbi is raised when a question could not be passed on because no rabbi is connected.
type NoRabbi struct{}

// photosKept bounds the photos that go with one question.
const photosKept = 10

// refer passes the question about an item to the rabbi.
func refer(t *turn.Turn, it *kitchen.Item, r triage.Result, ref triage.Referral) {
	referWith(t, it, r, ref, "")
}

// referWith passes it on with the member's own words.
func referWith(t *turn.Turn, it *kitchen.Item, r triage.Result, ref triage.Referral, words string) {
	if _, ok := t.Inbox(); !ok {
		noRabbi(t)
		return
	}
	q := desk.Shayla{
		Household: it.Household, Item: it.ID, Kind: it.Kind, Asker: t.Who.ID, Lang: t.Mine().Lang, Purpose: it.Purpose,
		Custom: household(t).Custom, Reason: ref.Reason, Question: ref.Question, Switch: ref.Switch, Path: r.Path,
		Photos: photosOf(*it, ref.Question), Words: words, Urgent: ref.Reason == triage.MixUp || t.Pack.Tree(it.Kind).Urgent, Opened: t.Now, Status: desk.Open,
	}
	if ref.Asks != nil {
		q.End = ref.Asks.ID
	}
	for _, o := range ref.Possible {
		q.Possible = append(q.Possible, o.ID)
	}
	q = t.Tx.NewShayla(q)
	stopTimers(t, *it)
	it.Shayla = q.ID
	it.SetState(kitchen.Referred, t.Now)
	t.Tx.PutItem(*it)
	t.Raise(desk.Opened{ID: q.ID})
	showReferred(t, q)
}

func showReferred(t *turn.Turn, q desk.Shayla) {
	show(t, screenReferred, strconv.FormatUint(q.ID, 10))
}

// photosOf puts the photos of the fact in doubt first.
func photosOf(it kitchen.Item, doubt string) []string {
	out := slices.Clone(it.Photos[doubt])
	for _, q := range slices.Sorted(maps.Keys(it.Photos)) {
		if q != doubt {
			out = append(out, it.Photos[q]...)
		}
	}
	return out[:min(len(out), photosKept)]
}

func noRabbi(t *turn.Turn) {
	w := t.Mine()
	m := chat.Say(w.Say("no-rabbi"))
	if t.Community.Phone != "" {
		m.Add(chat.Plain, w.Say("phone-instead", "phone", t.Community.Phone))
	}
	m.Row(button(w, "btn-menu", "m.go", "menu"))
	t.Say(me(t), chat.Answer, "", m)
	t.Raise(NoRabbi{})
}

func drawReferred(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	id, _ := strconv.ParseUint(s.Arg(0), 10, 64)
	q, ok := t.Tx.Shayla(id)
	if !ok || q.Household != t.Who.Household {
		return drawMenu(t, s)
	}
	var m chat.Message
	if q.Status == desk.Closed {
		return answerMessage(t, q)
	}
	m.Add(chat.Heading, w.Say("referred"))
	m.Blocks = append(m.Blocks, meanwhile(t, w, q)...)
	if t.Community.Phone != "" && q.Urgent {
		m.Add(chat.Plain, w.Say("phone-instead", "phone", t.Community.Phone))
	}
	m.Row(button(w, "btn-kitchen", "m.go", "kitchen"), button(w, "btn-menu", "m.go", "menu"))
	return m
}

// meanwhile says why a question went to the rabbi, in the tree's own words where it ends with him, and what to do until he
// answers.
func meanwhile(t *turn.Turn, w wording.Words, q desk.Shayla) []chat.Block {
	var m chat.Message
	if tree := t.Pack.Tree(q.Kind); tree != nil && tree.Outcome(q.End) != nil {
		o := tree.Outcome(q.End)
		m.Add(chat.Plain, o.Headline.In(w.Lang))
		for _, st := range o.Steps {
			m.Add(chat.Plain, st.In(w.Lang))
		}
	} else {
		m.Add(chat.Plain, w.Say("referred-"+string(q.Reason)))
		if end, ok := endFor(t, kitchen.Item{Purpose: q.Purpose}, q.Opened); ok && q.Reason == triage.WrongTime {
			m.Add(chat.Plain, w.Say("pesach-end", "when", w.Moment(end)))
		}
	}
	if q.Urgent {
		m.Add(chat.Plain, w.Say("mix-up-meanwhile"))
	} else {
		m.Add(chat.Plain, w.Say("referred-meanwhile"))
	}
	return m.Blocks
}

// ownWords is the rabbi's answer about an item where it is no outcome of the tree.
func ownWords(t *turn.Turn, w wording.Words, it kitchen.Item) []chat.Block {
	a, ok := ravSaid(t, it)
	if !ok {
		return nil
	}
	var m chat.Message
	m.Add(chat.Aside, w.Say("answer-of-rav"))
	sayAnswer(&m, w, a)
	m.Add(chat.Aside, w.Say("answer-only-this"))
	return m.Blocks
}

// askAboutItem passes an item on that already has an outcome.
func askAboutItem(t *turn.Turn, it *kitchen.Item, _ []string) {
	tree, r := walk(t, it)
	if it.State == kitchen.Asking && r.Question != nil {
		advance(t, it)
		return
	}
	refer(t, it, r, triage.Ask(tree, it.Purpose, t.Lookup(household(t).Custom), triage.Result{Outcome: r.Outcome, Question: r.Question}))
}

// Answered tells the member the rabbi's answer. Whoever acts in this turn is the rabbi.
func Answered(t *turn.Turn, id uint64) {
	q, ok := t.Tx.Shayla(id)
	if !ok || q.Answer == nil {
		return
	}
	asker, ok := t.Tx.Person(q.Asker)
	if !ok {
		return
	}
	as := *t // the same turn, spoken to the member
	as.Who = asker
	as.Event = chat.Event{}
	if asker.Household != q.Household {
		as.Who.Household = q.Household // he has moved to another kitchen since; the answer is about this one
	}
	if it, ok := as.Tx.Item(q.Household, q.Item); ok && it.Shayla == q.ID {
		applyAnswer(&as, &it, q)
	}
	m := answerMessage(&as, q)
	s, _ := as.Tx.Screen(me(&as))
	if s.Name == screenReferred && s.Arg(0) == strconv.FormatUint(q.ID, 10) {
		as.Change(me(&as), s.Handle, chat.Say(as.Mine().Say("referred-closed")))
	}
	as.Say(me(&as), chat.Answer, "", m)
	t.Raised = as.Raised
}

// applyAnswer brings the item to where the answer puts it.
func applyAnswer(t *turn.Turn, it *kitchen.Item, q desk.Shayla) {
	tree := t.Pack.Tree(q.Kind)
	switch {
	case tree != nil && q.Answer.Outcome != "" && tree.Outcome(q.Answer.Outcome) != nil:
		tellOutcome(t, it, tree, tree.Outcome(q.Answer.Outcome), kitchen.Telling{Path: q.Path, Shayla: q.ID})
	case q.Answer.Reply == desk.CoverIt:
		it.Told, it.Timeline = 0, nil
		it.SetState(kitchen.Away, t.Now)
		t.Tx.PutItem(*it)
	case q.Answer.Reply != "": // brought to him, seen or spoken of: the item stays with him
		it.SetState(kitchen.Referred, t.Now)
		t.Tx.PutItem(*it)
	default:
		it.Tell(0, nil, t.Now)
		it.Shayla = q.ID
		t.Tx.PutItem(*it)
	}
}

// answerMessage is the rabbi's answer as the member reads it.
func answerMessage(t *turn.Turn, q desk.Shayla) chat.Message {
	w := t.Mine()
	var m chat.Message
	tree := t.Pack.Tree(q.Kind)
	it, haveItem := t.Tx.Item(q.Household, q.Item)
	if haveItem && tree != nil && q.Answer.Outcome != "" {
		if o := tree.Outcome(q.Answer.Outcome); o != nil {
			return outcomeMessage(t, w, it, o)
		}
	}
	m.Add(chat.Heading, w.Say("answer-of-rav"))
	switch {
	case haveItem && tree != nil:
		m.Add(chat.Aside, itemName(t, w, it))
	case q.Words != "":
		m.Add(chat.Quoted, chat.Clip(q.Words, 500))
	}
	sayAnswer(&m, w, *q.Answer)
	m.Add(chat.Aside, w.Say("answer-only-this"))
	if haveItem && tree != nil && q.Answer.Words != "" { // 'phone me' is nothing that could be done with now
		nextButtons(t, &m, w, it, nil)
	}
	m.Row(button(w, "btn-kitchen", "m.go", "kitchen"))
	return m
}

// sayAnswer adds an answer that is no outcome: a fixed reply, or the rabbi's own words.
func sayAnswer(m *chat.Message, w wording.Words, a desk.Answer) {
	if a.Reply != "" {
		m.Add(chat.Plain, w.Say("reply-"+string(a.Reply)))
	}
	m.Add(chat.Quoted, a.Words)
}

// ravSaid is the rabbi's answer about an item that is no outcome of its tree, as long as it is the last word about it.
func ravSaid(t *turn.Turn, it kitchen.Item) (desk.Answer, bool) {
	if it.Shayla == 0 || it.Told != 0 && it.State != kitchen.Referred {
		return desk.Answer{}, false
	}
	q, ok := t.Tx.Shayla(it.Shayla)
	if !ok || q.Answer == nil || q.Answer.Outcome != "" {
		return desk.Answer{}, false
	}
	return *q.Answer, true
}
