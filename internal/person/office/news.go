package office

import (
	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/people"
	"strconv"
	"time"
)

// warnEvery is how often the same warning reaches the office.
const warnEvery = 12 * time.Hour

// Warn tells the office of something that it must put right, and reports whether it was told now: the same warning comes not
// more often than warnEvery.
func Warn(t *turn.Turn, key string, pairs ...any) bool {
	name := "warned-" + key
	if last := t.Tx.Stamp(name); !last.IsZero() && t.Now.Sub(last) < warnEvery {
		return false
	}
	if !Tell(t, key, pairs...) { // a warning that reached nobody, since nobody of the office has come yet, is no warning
		return false
	}
	t.Tx.SetStamp(name, t.Now)
	return true
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
