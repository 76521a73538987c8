package member

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/desk"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/heat"
	"benyomo/internal/idea/kitchen"
	"benyomo/internal/idea/people"
	"benyomo/internal/idea/triage"
	"benyomo/internal/idea/wording"
)

// Wished is raised when a member chooses a way that others must know of: the kashering day, or a visit.
type Wished struct {
	Household, Item uint64
	Kind, Way       string
	Who             int64
}

// wishAgain is how long the same wish for the same item is not passed on again: the button stays, and is pressed twice.
const wishAgain = 12 * time.Hour

// tell records what is told and shows it.
func tell(t *turn.Turn, it *kitchen.Item, tree *dialog.Tree, r triage.Result) {
	tellOutcome(t, it, tree, r.Outcome, kitchen.Telling{Path: r.Path, Positions: r.Met})
	show(t, screenOutcome, strconv.FormatUint(it.ID, 10))
}

// tellOutcome stores what is told with all that led to it, and lays out its waits.
func tellOutcome(t *turn.Turn, it *kitchen.Item, tree *dialog.Tree, o *dialog.Outcome, rec kitchen.Telling) {
	lang := t.Mine().Lang
	rec.Household, rec.Item, rec.Kind, rec.Outcome, rec.Content = it.Household, it.ID, it.Kind, o.ID, o.Content()
	rec.Logic, rec.Words, rec.Lang = tree.Logic(), tree.Words(lang), lang
	rec.Purpose, rec.Custom, rec.At, rec.Version = it.Purpose, household(t).Custom, t.Now, t.Version
	rec = t.Tx.NewTelling(rec)
	var stages []kitchen.Stage
	for _, s := range o.Timeline {
		stages = append(stages, kitchen.Stage{Name: s.Name(), Heats: s.Heating.S != "", Minutes: s.Minutes, Cool: s.Cool})
	}
	stopTimers(t, *it)
	it.Shayla = rec.Shayla
	hot := it.LastHot
	it.Tell(rec.ID, stages, t.Now)
	if !hot.IsZero() && it.Restart(hot, t.Now) { // when it was last hot does not change with what is told
		setTimer(t, *it)
	}
	t.Tx.PutItem(*it)
}

// told is the outcome that was told for the item, if its tree still has it.
func told(t *turn.Turn, it kitchen.Item) (*dialog.Outcome, bool) {
	rec, ok := t.Tx.Telling(it.Told)
	if !ok {
		return nil, false
	}
	o := t.Pack.Tree(it.Kind).Outcome(rec.Outcome)
	return o, o != nil && rec.Outcome != ""
}

// whoseAnswer says in whose name an outcome is told.
func whoseAnswer(w wording.Words, it kitchen.Item) string {
	if it.Shayla != 0 {
		return w.Say("answer-of-rav")
	}
	return w.Say("answer-approved")
}

func drawOutcome(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	it, ok := item(t, s.Arg(0))
	if !ok {
		return drawMenu(t, s)
	}
	o, ok := told(t, it)
	if !ok {
		return drawItem(t, s)
	}
	return outcomeMessage(t, w, it, o)
}

// outcomeMessage is what to do, with the buttons that apply.
func outcomeMessage(t *turn.Turn, w wording.Words, it kitchen.Item, o *dialog.Outcome) chat.Message {
	var m chat.Message
	for i, p := range w.Outcome(o) {
		m.Add(chat.Style(p.Style), p.Text)
		if i == 0 {
			m.Add(chat.Aside, itemName(t, w, it)+" – "+whoseAnswer(w, it))
		}
	}
	m.Add(chat.Aside, boilsHere(t, w, o))
	nextButtons(t, &m, w, it, o)
	m.Row(itemButton(w, "btn-ask-rav", "m.rav", it), button(w, "btn-kitchen", "m.go", "kitchen"))
	return m
}

// boilsHere says how hot boiling water is where the household lives, for what is done with it; nothing where the elevation is
// not given.
func boilsHere(t *turn.Turn, w wording.Words, o *dialog.Outcome) string {
	m := t.Pack.Method(o.Method.S)
	if m == nil || !m.Boils || place(t).Elevation <= 0 {
		return ""
	}
	degrees, err := heat.BoilingAt(place(t).Elevation)
	if err != nil {
		return ""
	}
	return w.Say("boils-here", "celsius", math.Round(degrees), "fahrenheit", math.Round(heat.Fahrenheit(degrees)))
}

// nextButtons offers what can be done with an item now.
func nextButtons(t *turn.Turn, m *chat.Message, w wording.Words, it kitchen.Item, o *dialog.Outcome) {
	cur := it.Current()
	switch it.State {
	case kitchen.Asking:
		m.Row(itemButton(w, "btn-go-on", "m.more", it))
	case kitchen.Told:
		switch {
		case cur >= 0 && it.Timeline[cur].Soaks():
			m.Row(itemButton(w, "btn-start-soak", "m.soak", it))
		case cur >= 0 && !it.Timeline[cur].Heats:
			m.Row(itemButton(w, "btn-start-idle", "m.idle", it))
		case cur >= 0:
			m.Row(itemButton(w, "btn-start-heat", "m.heat", it))
		case o == nil: // the rabbi's own words: either may be what he said
			m.Row(itemButton(w, "btn-done", "m.done", it), itemButton(w, "btn-put-away", "m.away", it))
		case o.Whether.S == dialog.Kasher || o.Whether.S == dialog.WashOnly:
			m.Row(itemButton(w, "btn-done", "m.done", it))
		case !putsAway(o): // covered, or marked for its side: off the list of what to do
			m.Row(itemButton(w, "btn-done", "m.away", it))
		}
		if o != nil {
			wayButtons(m, w, it, o)
		}
	case kitchen.Referred:
		if _, said := ravSaid(t, it); said {
			m.Row(itemButton(w, "btn-done", "m.done", it), itemButton(w, "btn-put-away", "m.away", it))
		}
	case kitchen.Waiting:
		if it.HotUse() == kitchen.Restarts {
			m.Row(itemButton(w, "btn-used-hot", "m.used", it))
		}
	case kitchen.Ready:
		if soaked(it) {
			soakButtons(m, w, it)
			return
		}
		if o == nil || atHome(o) {
			m.Row(itemButton(w, "btn-start-now", "m.heat", it))
		} else { // trained hands do it, elsewhere or on a visit
			m.Row(itemButton(w, "btn-done", "m.done", it))
		}
		if o != nil {
			wayButtons(m, w, it, o)
		}
		m.Row(itemButton(w, "btn-used-hot", "m.used", it))
	case kitchen.Heating:
		m.Row(itemButton(w, "btn-cut-short", "m.cut", it))
	case kitchen.Cooling:
		if cur < 0 {
			m.Row(itemButton(w, "btn-done", "m.done", it))
		}
		m.Row(itemButton(w, "btn-used-hot", "m.used", it))
	case kitchen.Away: // minds change
		m.Row(itemButton(w, "btn-go-on-again", "m.more", it))
	case kitchen.Done:
		m.Row(itemButton(w, "btn-used-hot-after", "m.used", it))
	}
}

// wayButtons offers the other ways in which it can be done.
func wayButtons(m *chat.Message, w wording.Words, it kitchen.Item, o *dialog.Outcome) {
	var row []chat.Button
	for _, way := range o.Ways {
		switch way.S {
		case dialog.KasherDay, dialog.ByVisit:
			row = append(row, itemButton(w, "btn-way-"+way.S, "m.way", it, way.S))
		case dialog.PutAway:
			if putsAway(o) || o.Whether.S == dialog.Kasher || o.Whether.S == dialog.WashOnly {
				row = append(row, itemButton(w, "btn-put-away", "m.away", it))
			}
		}
	}
	for i := 0; i < len(row); i += 2 {
		m.Row(row[i:min(i+2, len(row))]...)
	}
	if putsAway(o) && len(row) == 0 { // out of use for good: there is no other way, and it can be ticked off
		m.Row(itemButton(w, "btn-done", "m.away", it))
	}
}

// atHome reports whether the member can carry the outcome out himself.
func atHome(o *dialog.Outcome) bool {
	return slices.ContainsFunc(o.Ways, func(way dialog.Word) bool { return way.S == dialog.AtHome })
}

// putsAway reports whether an outcome is that the item is put away: its method has the name of that way.
func putsAway(o *dialog.Outcome) bool { return o.Method.S == dialog.PutAway }

// chooseWay tells the office that somebody wants the kashering day or a visit.
func chooseWay(t *turn.Turn, it *kitchen.Item, args []string) {
	if len(args) != 1 || (args[0] != dialog.KasherDay && args[0] != dialog.ByVisit) {
		return
	}
	w := t.Mine()
	if len(t.Tx.WithRole(people.Office)) == 0 {
		t.Answer(w.Say("no-office"), true)
		return
	}
	if once := fmt.Sprintf("wished-%d-%s", it.ID, args[0]); t.Now.Sub(t.Tx.Stamp(once)) >= wishAgain {
		t.Tx.SetStamp(once, t.Now)
		t.Raise(Wished{Household: it.Household, Item: it.ID, Kind: it.Kind, Way: args[0], Who: t.Who.ID})
	}
	t.Answer(w.Say("way-noted"), true)
}

func putAway(t *turn.Turn, it *kitchen.Item, _ []string) {
	stopTimers(t, *it)
	it.SetState(kitchen.Away, t.Now)
	t.Tx.PutItem(*it)
	heardDone(t, *it)
	open(t, *it)
}

func done(t *turn.Turn, it *kitchen.Item, _ []string) {
	if _, said := ravSaid(t, *it); said && it.State == kitchen.Referred { // what to do he has said by word of mouth
		it.SetState(kitchen.Done, t.Now)
	} else if !it.Finish(t.Now) {
		t.Answer(t.Mine().Say("not-yet"), true)
		return
	}
	stopTimers(t, *it)
	t.Tx.PutItem(*it)
	heardDone(t, *it)
	open(t, *it)
}

// drop takes an item off the list.
func drop(t *turn.Turn, it *kitchen.Item, _ []string) {
	stopTimers(t, *it)
	if q, ok := t.Tx.Shayla(it.Shayla); ok && it.State == kitchen.Referred && q.Status == desk.Open {
		q.Status = desk.Withdrawn
		t.Tx.PutShayla(q)
		t.Raise(desk.Withdrew{ID: q.ID})
	}
	it.SetState(kitchen.Dropped, t.Now)
	t.Tx.PutItem(*it)
	show(t, screenKitchen)
}

// goOn takes the questions up again.
func goOn(t *turn.Turn, it *kitchen.Item, _ []string) { advance(t, it) }
