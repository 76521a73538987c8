package member

import (
	"slices"
	"strings"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/desk"
	"benyomo/internal/idea/people"
	"benyomo/internal/idea/triage"
	"benyomo/internal/idea/wording"
)

// wordsKept is the longest question in words that is passed on, in UTF-16 units; what is longer is clipped, and the member
// is told.
const wordsKept = 1500

// kindsOffered is how many kinds are offered for typed words: as many as a thumb reaches on one screen.
const kindsOffered = 6

// unknownName marks words that were offered to the rabbi because they named no kind: what is typed next may be the name again.
const unknownName = "unknown"

// Typed handles words, photos and other things that a member sends.
func Typed(t *turn.Turn) {
	if !t.Who.Is(people.Member) || t.Who.Lang == "" || !household(t).Complete() {
		Home(t)
		return
	}
	s, _ := t.Tx.Screen(me(t))
	switch t.Event.Kind {
	case chat.Photo:
		keepPhoto(t, s)
		return
	case chat.Typed:
	default:
		sayNotThis(t)
		return
	}
	switch s.Name {
	case screenAdd:
		typeAdd(t, s)
	case screenHotOther:
		typeHot(t, s)
	case screenHot, screenHotCheck, screenHotWhich: // a time may be written at once, or to correct the one that is shown
		if _, problem := readTime(t.Event.Text, here(t)); problem == unread {
			lookUp(t, s)
		} else {
			typeHot(t, s)
		}
	case screenWords:
		if s.Arg(1) == unknownName {
			lookUp(t, s)
		} else {
			readWords(t)
		}
	case screenQuestion:
		if !typedAnswer(t, s) {
			lookUp(t, s)
		}
	default:
		lookUp(t, s)
	}
}

// typedAnswer takes words that are exactly one of the answers.
func typedAnswer(t *turn.Turn, s chat.Screen) bool {
	it, r, ok := asked(t, s)
	if !ok {
		return false
	}
	text := strings.TrimSpace(t.Event.Text)
	for _, a := range r.Question.Answers {
		if strings.EqualFold(a.Label.In(t.Mine().Lang), text) {
			record(t, &it, r.Question.Ask.S, a.ID.S)
			return true
		}
	}
	return false
}

// lookUp finds the kinds that the words may mean and offers them. It never assumes one.
func lookUp(t *turn.Turn, s chat.Screen) {
	found := t.Finder.Find(t.Event.Text)
	kinds := found.Names()
	switch {
	case len(kinds) > 0:
		show(t, screenWhich, append([]string{kept(t)}, kinds[:min(len(kinds), kindsOffered)]...)...)
	case found.Greeting && s.Name != screenQuestion:
		show(t, screenMenu)
	case s.Name == screenQuestion:
		show(t, screenQuestion, s.Arg(0), withHint, s.Arg(2))
	case wording.Bad(t.Event.Text):
		show(t, screenMenu)
	default:
		show(t, screenWords, kept(t), unknownName)
	}
}

// readWords keeps a question in words and asks whether it shall go to the rabbi.
func readWords(t *turn.Turn) {
	if wording.Bad(t.Event.Text) {
		show(t, screenWords)
		return
	}
	show(t, screenWords, kept(t))
}

func kept(t *turn.Turn) string { return chat.Clip(strings.TrimSpace(t.Event.Text), wordsKept) }

func drawWords(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	var m chat.Message
	if s.Arg(0) == "" {
		m.Add(chat.Heading, w.Say("words-write"))
	} else {
		m.Add(chat.Heading, w.Say("words-pass-on"))
		m.Add(chat.Quoted, s.Arg(0))
		if strings.HasSuffix(s.Arg(0), "…") {
			m.Add(chat.Aside, w.Say("words-clipped"))
		}
		m.Row(button(w, "btn-pass-on", "m.words", s.Step))
	}
	m.Row(button(w, "btn-menu", "m.go", "menu"))
	return m
}

// sendWords passes a question in words to the rabbi.
func sendWords(t *turn.Turn, s chat.Screen, _ []string) {
	if s.Name != screenWords || s.Arg(0) == "" {
		return
	}
	if _, ok := t.Inbox(); !ok {
		noRabbi(t)
		return
	}
	h := household(t)
	q := t.Tx.NewShayla(desk.Shayla{
		Household: h.ID, Asker: t.Who.ID, Lang: t.Mine().Lang, Purpose: h.Purpose, Custom: h.Custom, Reason: triage.OffTopic,
		Words: s.Arg(0), Opened: t.Now, Status: desk.Open,
	})
	t.Raise(desk.Opened{ID: q.ID})
	showReferred(t, q)
}

// keepPhoto keeps a photo with the question that is open.
func keepPhoto(t *turn.Turn, s chat.Screen) {
	it, r, ok := asked(t, s)
	q := ""
	switch {
	case ok:
		q = r.Question.Ask.S
	case s.Name == screenAdd:
		if it, ok = item(t, s.Arg(0)); !ok {
			return
		}
	default:
		sayNotThis(t)
		return
	}
	if it.Photos == nil {
		it.Photos = map[string][]string{}
	}
	if len(it.Photos[q]) < photosKept && !slices.Contains(it.Photos[q], t.Event.FileID) {
		it.Photos[q] = append(it.Photos[q], t.Event.FileID)
		t.Tx.PutItem(it)
	}
	if s.Name == screenAdd {
		show(t, screenAdd, s.Args...)
		return
	}
	show(t, screenQuestion, s.Arg(0), withPhoto, s.Arg(2))
}

// sayNotThis answers what cannot be used here, such as a voice note.
func sayNotThis(t *turn.Turn) {
	w := t.Mine()
	m := chat.Say(w.Say("not-this"))
	m.Row(button(w, "btn-menu", "m.go", "menu"), button(w, "btn-kitchen", "m.go", "kitchen"))
	t.Say(me(t), chat.Answer, "", m)
}
