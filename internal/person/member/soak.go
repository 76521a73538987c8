package member

import (
	"slices"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/kitchen"
	"benyomo/internal/idea/luach"
	"benyomo/internal/idea/wording"
)

// soaked reports whether an item is kashered by soaking.
func soaked(it kitchen.Item) bool { return slices.ContainsFunc(it.Timeline, kitchen.Stage.Soaks) }

// startSoak starts the soaking that is due: the water was changed. Nothing heats, so neither bedtime nor candle lighting bars
// it; a change that falls in a rest span is told of after it, and longer does no harm.
func startSoak(t *turn.Turn, it *kitchen.Item, _ []string) {
	if lateForPesach(t, *it) || !it.StartSoak(t.Now) {
		checkHeat(t, it, nil)
		return
	}
	it.Asker = t.Who.ID
	t.Tx.PutItem(*it)
	setTimer(t, *it)
	open(t, *it)
}

// soakButtons offers the next soaking, or says that it is done.
func soakButtons(m *chat.Message, w wording.Words, it kitchen.Item) {
	if it.SoakLeft() > 0 {
		m.Row(itemButton(w, "btn-next-soak", "m.soak", it))
		return
	}
	m.Row(itemButton(w, "btn-done", "m.done", it))
}

// soakStanding says how far a soaking is.
func soakStanding(t *turn.Turn, w wording.Words, it kitchen.Item) string {
	if it.State == kitchen.Waiting {
		return w.Say("standing-soaking", "when", w.Near(luach.ShownEnd(it.Timeline[it.Current()].Ends()), t.Now))
	}
	return w.Count("standing-soak-left", it.SoakLeft())
}
