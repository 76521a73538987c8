package rabbi

import (
	"fmt"
	"strconv"
	"strings"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/approval"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/proof"
	"benyomo/internal/idea/triage"
	"benyomo/internal/idea/wording"
)

const (
	perPage = 20 // rows of a long list
	perRow  = 3  // buttons with a custom's name that fit in one row of a phone
	listed  = 12 // effects and earlier answers that one message lists
)

// customsOf are the customs for which a position can be set.
func customsOf() []string {
	return []string{triage.AnyCustom, triage.Ashkenazi, triage.Sephardi}
}

// pageOf cuts a long list, and offers the other pages.
func pageOf(m *chat.Message, w wording.Words, rows [][]chat.Button, page string, verb string, args ...any) {
	n, err := strconv.Atoi(page)
	if err != nil || n*perPage >= len(rows) {
		n = 0
	}
	for _, r := range rows[n*perPage : min(len(rows), (n+1)*perPage)] {
		m.Row(r...)
	}
	var turns []chat.Button
	if n > 0 {
		turns = append(turns, button(w, "btn-before", verb, append(args, n-1)...))
	}
	if (n+1)*perPage < len(rows) {
		turns = append(turns, button(w, "btn-further", verb, append(args, n+1)...))
	}
	m.Row(turns...)
}

func drawPractice(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	set := t.Tx.Positions()
	var m chat.Message
	m.Add(chat.Heading, w.Say("practice-head"))
	m.Add(chat.Plain, w.Say("practice-what"))
	var rows [][]chat.Button
	for _, sw := range t.Pack.Switches {
		mark := w.Say("practice-unset")
		if len(set[sw.ID.S]) > 0 {
			mark = w.Say("practice-set")
		}
		rows = append(rows, []chat.Button{{Label: chat.Clip(sw.About.In(w.Lang), labelUnits) + " – " + mark, Data: chat.Data("r.sw", sw.ID.S)}})
	}
	pageOf(&m, w, rows, s.Arg(0), "r.go", "practice")
	m.Row(button(w, "btn-back", "r.go", "home"))
	return m
}

func openSwitch(t *turn.Turn, args []string) {
	if len(args) == 1 && t.Pack.Switch(args[0]) != nil {
		show(t, screenSwitch, args[0])
	}
}

// drawSwitch offers the positions of one switch, for each custom.
func drawSwitch(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	var m chat.Message
	sw := t.Pack.Switch(s.Arg(0))
	if sw == nil {
		return drawPractice(t, chat.Screen{})
	}
	set := t.Tx.Positions()[sw.ID.S]
	m.Add(chat.Heading, sw.About.In(w.Lang))
	for i, p := range sw.Positions {
		m.Add(chat.Plain, fmt.Sprintf("%d. %s (%s)", i+1, p.Label.In(w.Lang), w.Sources(p.Sources)))
	}
	for ci, custom := range customsOf() {
		name := w.Say("practice-" + custom)
		m.Add(chat.Plain, name+": "+positionLabel(w, sw, set[custom]))
		row := []chat.Button{}
		for pi := range sw.Positions {
			row = append(row, chat.Button{Label: fmt.Sprintf("%s %d", name, pi+1), Data: chat.Data("r.pos", s.Step, ci, pi)})
		}
		row = append(row, chat.Button{Label: name + " –", Data: chat.Data("r.pos", s.Step, ci, "none")})
		for len(row) > perRow {
			m.Row(row[:perRow]...)
			row = row[perRow:]
		}
		m.Row(row...)
	}
	m.Row(button(w, "btn-back", "r.go", "practice"))
	return m
}

func positionLabel(w wording.Words, sw *dialog.Switch, id string) string {
	if p := sw.Position(id); p != nil {
		return p.Label.In(w.Lang)
	}
	return w.Say("practice-unset")
}

// weighPosition shows what a position would change, before it is set.
func weighPosition(t *turn.Turn, args []string) {
	if len(args) != 3 {
		return
	}
	s, ok := t.Fresh(args[0])
	sw := t.Pack.Switch(s.Arg(0))
	if !ok || s.Name != screenSwitch || sw == nil {
		return
	}
	custom, position := "", ""
	for i, c := range customsOf() {
		if args[1] == fmt.Sprint(i) {
			custom = c
		}
	}
	for i, p := range sw.Positions {
		if args[2] == fmt.Sprint(i) {
			position = p.ID.S
		}
	}
	if custom == "" || (position == "" && args[2] != "none") {
		return
	}
	show(t, screenWeigh, sw.ID.S, custom, position)
}

// drawWeigh lists the dialogs of which something changes, and how much.
func drawWeigh(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	sw := t.Pack.Switch(s.Arg(0))
	if sw == nil {
		return drawPractice(t, chat.Screen{})
	}
	custom := s.Arg(1)
	var m chat.Message
	m.Add(chat.Heading, sw.About.In(w.Lang))
	m.Add(chat.Plain, w.Say("practice-"+custom)+": "+positionLabel(w, sw, t.Tx.Positions()[sw.ID.S][custom])+" → "+positionLabel(w, sw, s.Arg(2)))
	before, after := t.Tx.Positions(), t.Tx.Positions()
	after.Set(sw.ID.S, custom, s.Arg(2))
	effects := proof.Change(t.Pack, proof.Positions(before.Lookup(custom)), proof.Positions(after.Lookup(custom)))
	if len(effects) == 0 {
		m.Add(chat.Plain, w.Say("weigh-nothing"))
	} else {
		m.Add(chat.Plain, w.Say("weigh-changes"))
	}
	var lines []string
	for _, e := range effects[:min(len(effects), listed)] {
		lines = append(lines, w.Say("weigh-line", "kind", t.Pack.Tree(e.Kind).Name.In(w.Lang), "purpose", w.Say("profile-purpose-"+e.Purpose),
			"n", fmt.Sprintf("%.0f", e.Walks), "of", fmt.Sprintf("%.0f", e.Of), "outcomes", e.Outcomes))
	}
	if n := len(effects) - listed; n > 0 {
		lines = append(lines, w.Say("and-more", "n", n))
	}
	m.Add(chat.Plain, strings.Join(lines, "\n"))
	m.Row(button(w, "btn-set-it", "r.set", s.Step), chat.Button{Label: w.Say("btn-back"), Data: chat.Data("r.sw", sw.ID.S)})
	return m
}

// setPosition sets the position that was weighed, records who did, and lists what was told before and would now differ.
func setPosition(t *turn.Turn, args []string) {
	if len(args) != 1 {
		return
	}
	s, ok := t.Fresh(args[0])
	sw := t.Pack.Switch(s.Arg(0))
	if !ok || s.Name != screenWeigh || sw == nil {
		return
	}
	t.Tx.SetPosition(sw.ID.S, s.Arg(1), s.Arg(2))
	t.Tx.Audit(t.Now, t.Who.ID, fmt.Sprintf("set %s for %s to %q", sw.ID.S, s.Arg(1), s.Arg(2)))
	show(t, screenSwitch, sw.ID.S)
	tellDiffering(t)
}

// tellDiffering lists to the rabbi what members were told and would now be told differently. Nothing is taken back by itself.
func tellDiffering(t *turn.Turn) {
	w := t.Mine()
	positions := t.Tx.Positions()
	var lines []string
	n := 0
	for it := range t.Tx.AllItems() {
		rec, ok := t.Tx.Telling(it.Told)
		tree := t.Pack.Tree(it.Kind)
		if !ok || tree == nil || rec.Shayla != 0 || !it.Live() {
			continue
		}
		now, differs := approval.NowDiffers(tree, rec, positions.Lookup(t.CustomOf(rec.Custom)))
		if !differs {
			continue
		}
		if n++; n > listed {
			continue
		}
		then := rec.Outcome
		if o := tree.Outcome(rec.Outcome); o != nil {
			then = o.Headline.In(w.Lang)
		}
		would := w.Say("differs-to-rav")
		if now != nil {
			would = now.Headline.In(w.Lang)
		}
		lines = append(lines, w.Say("differs-line", "kind", tree.Name.In(w.Lang), "household", it.Household, "when", t.Words(t.Who.Lang).Moment(rec.At),
			"then", chat.Clip(then, summaryUnits), "now", chat.Clip(would, summaryUnits)))
	}
	if n == 0 {
		return
	}
	if n > listed {
		lines = append(lines, w.Say("and-more", "n", n-listed))
	}
	var m chat.Message
	m.Add(chat.Heading, w.Count("differs-head", n))
	for _, l := range lines {
		m.Add(chat.Plain, l)
	}
	t.Say(t.Event.Chat, chat.Answer, "", m)
}
