package crash

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/store"
	"benyomo/internal/idea/desk"
	"benyomo/internal/idea/kitchen"
	"benyomo/internal/idea/people"
	"benyomo/internal/stage"
)

// tally is what was compared at the end.
type tally struct{ items, timers, shaylos, screens, messages int }

// compare compares the data of the stopped program with what the people know: nothing may be missing, nothing may be there
// twice, and nothing may be owed. repeated is how many messages came twice.
func (w *world) compare(repeated int) (n tally) {
	w.phones.catchUp()
	w.view(func(tx *store.Tx) {
		for p := range tx.AllPosts() {
			w.lose("row %d of chat %d is still owed", p.Seq, p.Chat)
		}
		for q := range tx.Quarantines() {
			w.lose("%s was not handled: %s", q.Kind, q.Error)
		}
		timers := map[string]store.Timer{}
		for tm := range tx.Timers() {
			timers[tm.Key] = tm
		}
		asked := 0
		for _, m := range w.members {
			who, ok := tx.Person(m.id)
			if !ok || !who.Is(people.Member) || who.Lang != "en" {
				w.lose("member %d is not known", m.id)
				continue
			}
			w.compareItems(tx, m, who, timers, &n)
			w.compareScreen(tx, m, &n)
			for q := range tx.ShaylosOf(who.Household) {
				asked++
				w.compareShayla(tx, m, q, &n)
			}
		}
		if _, ok := timers["rest"]; !ok {
			w.lose("the timer of the next rest is gone")
		}
		for k := range timers { // the program's own: of the community, and of those in it who keep two days
			if strings.HasPrefix(k, "rest") {
				delete(timers, k)
			}
		}
		for k := range timers {
			w.lose("timer %s is nobody's", k)
		}
		want := 0
		for _, m := range w.members {
			want += m.referred
		}
		if asked != want || len(w.rabbi.answers) != want {
			w.lose("%d questions were asked, %d are there, %d were answered", want, asked, len(w.rabbi.answers))
		}
	})
	n.messages = w.compareMessages(repeated)
	return n
}

// compareItems compares a member's kitchen with what he did, one by one, and takes the timers that belong to it.
func (w *world) compareItems(tx *store.Tx, m *member, who people.Person, timers map[string]store.Timer, n *tally) {
	h, ok := tx.Household(who.Household)
	if !ok || h.Purpose != "pesach" || h.Custom != "ashkenazi" || h.Place != people.Israel {
		w.lose("household of %d: %+v", m.id, h)
	}
	got := slices.Collect(tx.Items(who.Household))
	if len(got) != len(m.items) {
		w.lose("member %d began %d items, %d are there", m.id, len(m.items), len(got))
		return
	}
	for i, it := range got {
		n.items++
		want := m.items[i]
		if q, ok := tx.Shayla(it.Shayla); ok && q.Answer != nil && q.Answer.Reply != "" {
			want.state = kitchen.Referred // he is to bring it: it stays with the rabbi
		}
		if it.Kind != want.kind || it.State != want.state || !maps.Equal(it.Facts, want.facts) {
			w.lose("item %d of %d: %s, %s, %v instead of %v", it.ID, m.id, it.Kind, it.State, it.Facts, want)
		}
		key := fmt.Sprintf("item-%d", it.ID)
		tm, ok := timers[key]
		delete(timers, key)
		if ok != (want.state == kitchen.Waiting) {
			w.lose("item %d of %d has a timer: %v", it.ID, m.id, ok)
		}
		if ok {
			n.timers++
			if !tm.Due.Equal(it.LastHot.Add(24*time.Hour)) || tm.Person != m.id {
				w.lose("timer %s is due %s", key, tm.Due)
			}
		}
	}
	key := fmt.Sprintf("look-%d", m.id)
	tm, ok := timers[key]
	delete(timers, key)
	if ok != (m.looks > 0) || ok && tm.Item != got[m.looks-1].ID {
		w.lose("%d wanted a reminder about his item %d: %v %+v", m.id, m.looks, ok, tm)
	}
	if ok {
		n.timers++
	}
}

// compareScreen compares what a member's phone shows with what the program holds to be there.
func (w *world) compareScreen(tx *store.Tx, m *member, n *tally) {
	s, ok := tx.Screen(chat.ID(m.id))
	number, posted := tx.Posted(chat.ID(m.id), s.Handle)
	shown := w.phones.chats[m.id]
	newest := shown.ids[len(shown.ids)-1]
	switch {
	case !ok || s.Name != "member/menu":
		w.lose("%d shows %q instead of the menu", m.id, s.Name)
	case !posted || number != newest:
		w.lose("the menu of %d is message %d; the newest is %d", m.id, number, newest)
	case !slices.Contains(shown.messages[number].buttons, "m.go|words"):
		w.lose("the menu of %d has no buttons", m.id)
	}
	n.screens++
}

// compareShayla compares a question with what its member asked, with the rabbi's ledger, and with the card in the inbox.
func (w *world) compareShayla(tx *store.Tx, m *member, q desk.Shayla, n *tally) {
	n.shaylos++
	if q.Words != "" && !slices.Contains(m.words, q.Words) {
		w.lose("question %d of %d is none of his", q.ID, m.id)
	}
	want, ok := w.rabbi.answers[q.ID]
	if !ok || q.Status != desk.Closed || q.Answer == nil || q.Answer.Words != want.Words || q.Answer.Reply != want.Reply {
		w.lose("question %d: %s, answer %+v instead of %+v", q.ID, q.Status, q.Answer, want)
		return
	}
	number, posted := tx.Posted(stage.Rabbi, chat.Handle(fmt.Sprintf("shayla-%d", q.ID)))
	card := w.phones.chats[stage.Rabbi].messages[number]
	if !posted || card == nil || len(card.buttons) > 0 || !strings.Contains(spaces(card.text), spaces(want.Words)) {
		w.lose("the card of question %d is not closed in the inbox", q.ID)
	}
	if want.Words != "" && w.phones.chats[m.id].newest(0, func(x *message) bool { return strings.Contains(x.text, want.Words) }) == 0 {
		w.lose("the answer to question %d did not reach %d", q.ID, m.id)
	}
}

// compareMessages checks that everything owed at some kill came in the end, and that no question has buttons but a chat's
// present one, except on copies that a kill left behind.
func (w *world) compareMessages(repeated int) int {
	came := map[row]bool{}
	for id, c := range w.phones.chats {
		for _, e := range c.entries {
			came[row{id, entryContent(e)}] = true
		}
	}
	for _, p := range w.pending {
		if !came[p] {
			w.lose("a message that was owed to %d at a kill never came", p.chat)
		}
	}
	copies := 0
	for _, m := range w.members {
		c := w.phones.chats[m.id]
		for _, id := range c.ids {
			for _, d := range c.messages[id].buttons {
				if strings.HasPrefix(d, "m.ans|") || strings.HasPrefix(d, "m.hot|") || strings.HasPrefix(d, "m.set|") {
					copies++
					break
				}
			}
		}
	}
	require.LessOrEqual(w.t, copies, repeated, "questions with buttons")
	messages := 0
	for _, c := range w.phones.chats {
		messages += len(c.ids)
	}
	return messages
}
