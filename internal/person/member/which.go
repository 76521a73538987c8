package member

import (
	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/dialog"
	"slices"
	"strings"
)

// drawWhich offers the kinds that typed words may mean. The words are the first argument. Where they speak of another purpose
// than the household's, that is said and offered; it holds for the one item, and only when it is pressed.
func drawWhich(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	var m chat.Message
	theirs := household(t).Purpose
	if written, chosen := t.Finder.Find(s.Arg(0)).Purpose, chosenPurpose(s); chosen != "" {
		m.Add(chat.Plain, w.Say("which-for", "purpose", w.Say("profile-purpose-"+chosen)))
		m.Row(button(w, "btn-which-list", "m.for", s.Step))
	} else if written != "" && written != theirs {
		m.Add(chat.Plain, w.Say("which-wrote", "purpose", w.Say("profile-purpose-"+written), "yours", w.Say("profile-purpose-"+theirs)))
		m.Row(button(w, "btn-which-for", "m.for", s.Step, written))
	}
	m.Add(chat.Heading, w.Say("which-one"))
	for _, kind := range s.Args[min(1, len(s.Args)):] {
		if tree := t.Pack.Tree(kind); tree != nil {
			m.Row(chat.Button{Label: tree.Name.In(w.Lang), Data: chat.Data("m.new", s.Step, kind)})
		}
	}
	m.Row(button(w, "btn-none-of-these", "m.none", s.Step))
	m.Row(button(w, "btn-menu", "m.go", "menu"))
	return m
}

// forPurpose is the beginning of the last argument of the screen of kinds where a purpose was chosen for the one item.
const forPurpose = "for:"

// chosenPurpose is the purpose that was chosen for the one item, or "".
func chosenPurpose(s chat.Screen) string {
	last := ""
	switch {
	case s.Name == screenWhich && len(s.Args) > 0:
		last, _ = strings.CutPrefix(s.Args[len(s.Args)-1], forPurpose)
	case s.Name == screenMore:
		last = s.Arg(1)
	}
	if !slices.Contains(dialog.Purposes(), last) {
		return ""
	}
	return last
}

// choosePurpose takes the purpose of which the words speak for the one item, or the household's again.
func choosePurpose(t *turn.Turn, s chat.Screen, args []string) {
	if s.Name != screenWhich || len(s.Args) == 0 {
		return
	}
	kept := slices.Clone(s.Args)
	if chosenPurpose(s) != "" {
		kept = kept[:len(kept)-1]
	}
	if len(args) == 1 && slices.Contains(dialog.Purposes(), args[0]) {
		kept = append(kept, forPurpose+args[0])
	}
	show(t, screenWhich, kept...)
}

// noneOfThese takes the words as a question in words: they need not be written again.
func noneOfThese(t *turn.Turn, s chat.Screen, _ []string) {
	if s.Name == screenWhich {
		show(t, screenWords, s.Arg(0), unknownName)
	}
}
