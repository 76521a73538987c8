package member

import (
	"strconv"
	"strings"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/kitchen"
	"benyomo/internal/idea/triage"
)

// An intake never rules: it collects facts, then the member's own words, and passes both on.

// addWords asks for words, once the questions of an intake are answered.
func addWords(t *turn.Turn, it *kitchen.Item) {
	it.SetState(kitchen.Asking, t.Now)
	t.Tx.PutItem(*it)
	show(t, screenAdd, strconv.FormatUint(it.ID, 10))
}

func drawAdd(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	it, ok := item(t, s.Arg(0))
	if !ok {
		return drawMenu(t, s)
	}
	var m chat.Message
	tree := t.Pack.Tree(it.Kind)
	m.Add(chat.Plain, tree.First.In(w.Lang))
	if s.Arg(1) == "" {
		m.Add(chat.Heading, w.Say("add-words"))
	} else {
		m.Add(chat.Heading, w.Say("add-these"))
		m.Add(chat.Quoted, s.Arg(1))
		if strings.HasSuffix(s.Arg(1), "…") {
			m.Add(chat.Aside, w.Say("words-clipped"))
		}
	}
	if n := len(it.Photos[""]); n > 0 {
		m.Add(chat.Aside, w.Count("photo-added", n))
	}
	m.Row(button(w, "btn-pass-on", "m.add", s.Step))
	m.Row(button(w, "btn-menu", "m.go", "menu"))
	return m
}

// typeAdd keeps the words; what is written again takes their place.
func typeAdd(t *turn.Turn, s chat.Screen) { show(t, screenAdd, s.Arg(0), kept(t)) }

// passAdd passes the facts and the words on.
func passAdd(t *turn.Turn, s chat.Screen, _ []string) {
	it, ok := item(t, s.Arg(0))
	if !ok || s.Name != screenAdd || it.State != kitchen.Asking {
		t.Answer(t.Mine().Say("old-button"), false)
		return
	}
	_, r := walk(t, &it)
	if r.Refer == nil || r.Refer.Reason != triage.OutcomeAsks { // the questions have changed in between
		advance(t, &it)
		return
	}
	referWith(t, &it, r, *r.Refer, s.Arg(1))
}
