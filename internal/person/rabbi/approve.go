package rabbi

import (
	"fmt"
	"strings"
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/store"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/approval"
	"benyomo/internal/idea/dialog"
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

func drawApprove(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	var m chat.Message
	todo := unapproved(t)
	if len(todo) == 0 {
		m.Add(chat.Heading, w.Say("approve-head-none"))
	} else {
		m.Add(chat.Heading, w.Count("approve-head", len(todo)))
	}
	m.Add(chat.Plain, w.Say("approve-what"))
	var rows [][]chat.Button
	for _, tree := range todo {
		rows = append(rows, []chat.Button{{
			Label: tree.Name.In(w.Lang) + " – " + w.Say("standing-dialog-"+string(standing(t, tree))),
			Data:  chat.Data("r.dlg", tree.Kind.S),
		}})
	}
	pageOf(&m, w, rows, s.Arg(0), "r.go", "approve")
	switch {
	case len(todo) == 0:
	case !hasRead(t):
		m.Add(chat.Plain, w.Say("approve-book"))
		m.Row(button(w, "btn-handbook", "r.book"))
	default:
		m.Row(button(w, "btn-handbook-again", "r.book"))
		if len(todo) > 1 {
			m.Row(button(w, "btn-approve-all", "r.yes", "*", approval.Mark(t.Pack, t.Pack.Trees...)))
		}
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
		return drawApprove(t, s)
	}
	m.Add(chat.Heading, tree.Name.In(w.Lang)+" – "+w.Say("standing-dialog-"+string(standing(t, tree))))
	if standing(t, tree) == approval.Never {
		var lines []string
		for _, o := range tree.Outcomes.List {
			lines = append(lines, "– "+o.Headline.In(w.Lang))
		}
		m.Add(chat.Plain, chat.Clip(strings.Join(lines, "\n"), chat.TextLimit-400))
	} else {
		changesOf(t, &m, tree)
	}
	m.Add(chat.Aside, w.Say("approve-hash", "hash", tree.Logic()))
	if hasRead(t) {
		m.Row(button(w, "btn-approve-this", "r.yes", tree.Kind.S, approval.Mark(t.Pack, tree)))
	} else {
		m.Add(chat.Plain, w.Say("approve-book"))
		m.Row(button(w, "btn-handbook", "r.book"))
	}
	m.Row(button(w, "btn-back", "r.go", "approve"))
	return m
}

// approve approves one dialog as it was shown, or all of them.
func approve(t *turn.Turn, args []string) {
	if len(args) != 2 {
		return
	}
	if !hasRead(t) {
		t.Answer(t.Mine().Say("old-button"), false)
		show(t, screenApprove)
		return
	}
	all := args[0] == "*" && args[1] == approval.Mark(t.Pack, t.Pack.Trees...)
	done := 0
	for _, tree := range t.Pack.Trees {
		if !all && (tree.Kind.S != args[0] || approval.Mark(t.Pack, tree) != args[1]) {
			continue
		}
		Approve(t.Tx, t.Pack, tree, t.Who.ID, t.Now)
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

// changesOf shows what has changed since a dialog was approved: that it decides otherwise, and each sentence that is new or gone,
// in every language.
func changesOf(t *turn.Turn, m *chat.Message, tree *dialog.Tree) {
	w := t.Mine()
	if a, _ := t.Tx.Approval(tree.Kind.S); a.Logic != tree.Logic() {
		m.Add(chat.Plain, w.Say("approve-logic"))
	}
	room := chat.TextLimit - 800
	for _, l := range t.Pack.Languages {
		c := approval.Compare(t.Tx.ApprovedSays(tree.Kind.S, l.Code.S), tree.Says(t.Pack, l.Code.S))
		for _, part := range []struct {
			key   string
			lines []string
		}{{"approve-gone", c.Gone}, {"approve-new", c.New}} {
			for _, line := range part.lines {
				text := w.Say(part.key, "text", line)
				if room -= chat.Units(text); room < 0 {
					m.Add(chat.Aside, w.Say("approve-rest"))
					return
				}
				m.Add(chat.Plain, text)
			}
		}
	}
}

// Approve records the approval of a dialog as it stands, with its sentences.
func Approve(tx *store.Tx, p *dialog.Pack, tree *dialog.Tree, by int64, at time.Time) {
	tx.PutApproval(approval.Of(tree, p, by, at))
	for _, l := range p.Languages {
		tx.PutApprovedSays(tree.Kind.S, l.Code.S, tree.Says(p, l.Code.S))
	}
}

// noteBook remembers of which content the handbook was sent to the rabbi.
const noteBook = "handbook"

// hasRead reports whether the handbook of the present content was sent: only then can it be approved.
func hasRead(t *turn.Turn) bool {
	return t.Tx.Note(noteBook) == approval.Mark(t.Pack, t.Pack.Trees...)
}

// sendBook sends the handbook: everything that could be told, to be read before it is approved.
func sendBook(t *turn.Turn, _ []string) {
	w := t.Mine()
	m := chat.Say(w.Say("handbook"))
	m.File = "handbook|" + w.Lang
	t.Say(t.Event.Chat, chat.Answer, "", m)
	t.Tx.SetNote(noteBook, approval.Mark(t.Pack, t.Pack.Trees...))
	show(t, screenApprove)
}
