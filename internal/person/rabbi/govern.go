package rabbi

import (
	"fmt"
	"strings"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/approval"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/triage"
)

// unapproved lists the dialogs that answer nobody by themselves, in any language.
func unapproved(t *turn.Turn) []*dialog.Tree {
	var out []*dialog.Tree
	for _, tree := range t.Pack.Trees {
		if standing(t, tree) != approval.Approved {
			out = append(out, tree)
		}
	}
	return out
}

// standing is the worst of a dialog's standings over the languages.
func standing(t *turn.Turn, tree *dialog.Tree) approval.Standing {
	a, ok := t.Tx.Approval(tree.Kind.S)
	for _, l := range t.Pack.Languages {
		if s := approval.Judge(tree, l.Code.S, a, ok); s != approval.Approved {
			return s
		}
	}
	return approval.Approved
}

func drawApprove(t *turn.Turn) chat.Message {
	w := t.Mine()
	var m chat.Message
	todo := unapproved(t)
	if len(todo) == 0 {
		m.Add(chat.Heading, w.Say("approve-head-none"))
	} else {
		m.Add(chat.Heading, w.Count("approve-head", len(todo)))
	}
	m.Add(chat.Plain, w.Say("approve-what"))
	for _, tree := range todo {
		m.Row(chat.Button{
			Label: tree.Name.In(w.Lang) + " – " + w.Say("standing-dialog-"+string(standing(t, tree))),
			Data:  chat.Data("r.dlg", tree.Kind.S),
		})
	}
	if len(todo) > 1 {
		m.Row(button(w, "btn-approve-all", "r.yes", "*", approval.Mark(t.Pack, t.Pack.Trees...)))
	}
	m.Row(button(w, "btn-back", "r.go", "home"))
	return m
}

func openDialog(t *turn.Turn, args []string) {
	if len(args) == 1 && t.Pack.Tree(args[0]) != nil {
		show(t, screenDialog, args[0])
	}
}

// drawDialog shows what a dialog can end with, and asks for approval.
func drawDialog(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	var m chat.Message
	tree := t.Pack.Tree(s.Arg(0))
	if tree == nil {
		return drawApprove(t)
	}
	m.Add(chat.Heading, tree.Name.In(w.Lang)+" – "+w.Say("standing-dialog-"+string(standing(t, tree))))
	var lines []string
	for _, o := range tree.Outcomes.List {
		lines = append(lines, "– "+o.Headline.In(w.Lang))
	}
	m.Add(chat.Plain, chat.Clip(strings.Join(lines, "\n"), chat.TextLimit-400))
	m.Add(chat.Aside, w.Say("approve-hash", "hash", tree.Logic()))
	m.Row(button(w, "btn-approve-this", "r.yes", tree.Kind.S, approval.Mark(t.Pack, tree)))
	m.Row(button(w, "btn-back", "r.go", "approve"))
	return m
}

// approve approves one dialog as it was shown, or all of them.
func approve(t *turn.Turn, args []string) {
	if len(args) != 2 {
		return
	}
	all := args[0] == "*" && args[1] == approval.Mark(t.Pack, t.Pack.Trees...)
	done := 0
	for _, tree := range t.Pack.Trees {
		if !all && (tree.Kind.S != args[0] || approval.Mark(t.Pack, tree) != args[1]) {
			continue
		}
		t.Tx.PutApproval(approval.Of(tree, t.Pack, t.Who.ID, t.Now))
		t.Tx.Audit(t.Now, t.Who.ID, fmt.Sprintf("approved dialog %s, logic %s", tree.Kind.S, tree.Logic()))
		done++
	}
	if done == 0 {
		t.Answer(t.Mine().Say("old-button"), false)
		return
	}
	t.Answer(t.Mine().Say("approved"), false)
	show(t, screenApprove)
}

// customsOf are the customs for which a position can be set.
func customsOf() []string {
	return []string{triage.AnyCustom, triage.Ashkenazi, triage.Sephardi}
}

func drawPractice(t *turn.Turn) chat.Message {
	w := t.Mine()
	set := t.Tx.Positions()
	var m chat.Message
	m.Add(chat.Heading, w.Say("practice-head"))
	m.Add(chat.Plain, w.Say("practice-what"))
	for _, sw := range t.Pack.Switches {
		mark := w.Say("practice-unset")
		if len(set[sw.ID.S]) > 0 {
			mark = w.Say("practice-set")
		}
		m.Row(chat.Button{Label: chat.Clip(sw.About.In(w.Lang), labelUnits) + " – " + mark, Data: chat.Data("r.sw", sw.ID.S)})
	}
	m.Row(button(w, "btn-back", "r.go", "home"))
	return m
}

func openSwitch(t *turn.Turn, args []string) {
	if len(args) == 1 && t.Pack.Switch(args[0]) != nil {
		show(t, screenSwitch, args[0])
	}
}

// perRow is how many buttons with a custom's name fit in one row of a phone.
const perRow = 3

// drawSwitch offers the positions of one switch, for each custom.
func drawSwitch(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	var m chat.Message
	sw := t.Pack.Switch(s.Arg(0))
	if sw == nil {
		return drawPractice(t)
	}
	set := t.Tx.Positions()[sw.ID.S]
	m.Add(chat.Heading, sw.About.In(w.Lang))
	for i, p := range sw.Positions {
		var cites []string
		for _, src := range p.Sources {
			cites = append(cites, t.Pack.Source(src.S).Cite(w.Lang))
		}
		m.Add(chat.Plain, fmt.Sprintf("%d. %s (%s)", i+1, p.Label.In(w.Lang), strings.Join(cites, "; ")))
	}
	for ci, custom := range customsOf() {
		name := w.Say("practice-" + custom)
		now := w.Say("practice-unset")
		if p := sw.Position(set[custom]); p != nil {
			now = p.Label.In(w.Lang)
		}
		m.Add(chat.Plain, name+": "+now)
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

// setPosition sets one position, and records who did.
func setPosition(t *turn.Turn, args []string) {
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
	t.Tx.SetPosition(sw.ID.S, custom, position)
	t.Tx.Audit(t.Now, t.Who.ID, fmt.Sprintf("set %s for %s to %q", sw.ID.S, custom, position))
	show(t, screenSwitch, sw.ID.S)
}
