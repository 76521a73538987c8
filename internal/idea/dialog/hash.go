package dialog

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"strings"
	"sync"
)

// Logic is the hash of everything that decides in the tree: steps, answers, positions, methods, waits. Words and aliases
// are outside it.
func (t *Tree) Logic() string { return t.logic() }

// Words is the hash of everything that the tree says in the language, the cautions, methods and sources it uses included.
func (t *Tree) Words(lang string) string { return t.texts[lang] }

// hashLogic gives the tree its logic hash. It is taken late: of a tree with one edge led elsewhere nobody may ask for it.
func (t *Tree) hashLogic() { t.logic = sync.OnceValue(t.digestLogic) }

func (t *Tree) digestLogic() string {
	return digest(func(w io.Writer) {
		fmt.Fprintf(w, "kind %s\nstart %s\n", t.Kind.S, t.Start)
		for _, s := range t.Steps {
			fmt.Fprintf(w, "step %q ask %q switch %q\n", s.Name(), s.Ask.S, s.Switch.S)
			for _, a := range s.Answers {
				fmt.Fprintf(w, " %q %s\n", a.ID.S, a.Target)
			}
			if s.Unsure != nil {
				fmt.Fprintf(w, " unsure %s holds %t\n", s.Unsure.Target, len(s.Unsure.Holds) > 0)
			}
			for _, k := range sortedKeys(s.Positions) {
				fmt.Fprintf(w, " position %q %s\n", k, s.Positions[k])
			}
			for _, k := range sortedKeys(s.Purpose) {
				fmt.Fprintf(w, " purpose %q %s\n", k, s.Purpose[k])
			}
		}
		for _, o := range t.Outcomes.List {
			fmt.Fprintf(w, "outcome %q %q %q cautions %s ways %s sources %s steps %d instead %t\n", o.ID, o.Whether.S, o.Method.S,
				plainList(o.Cautions), plainList(o.Ways), plainList(o.Sources), len(o.Steps), len(o.Instead) > 0)
			for _, s := range o.Timeline {
				fmt.Fprintf(w, " wait %q heating %q %d %d\n", s.Wait.S, s.Heating.S, s.Minutes, s.Cool)
			}
		}
	})
}

func (t *Tree) hash(p *Pack) {
	t.hashLogic()
	for _, o := range t.Outcomes.List {
		o.content = digest(func(w io.Writer) {
			fmt.Fprintf(w, "%q %q %s\n", o.Whether.S, o.Method.S, plainList(o.Ways))
			for _, s := range o.Timeline {
				fmt.Fprintf(w, " wait %q heating %q %d %d\n", s.Wait.S, s.Heating.S, s.Minutes, s.Cool)
			}
			for _, l := range p.Languages {
				fmt.Fprintf(w, "%q\n", o.plain(p, l.Code.S))
			}
		})
	}
	t.texts = map[string]string{}
	for _, l := range p.Languages {
		lang := l.Code.S
		t.texts[lang] = digest(func(w io.Writer) {
			for _, line := range t.Says(p, lang) {
				fmt.Fprintf(w, "%q\n", line)
			}
		})
	}
}

// Says lists everything that the tree says in the language, in its order: what the hash of its words is made of, and what is
// compared when they have changed.
func (t *Tree) Says(p *Pack, lang string) []string {
	out := []string{t.Name.In(lang), t.First.In(lang)}
	for _, s := range t.Steps {
		if !s.IsQuestion() {
			continue
		}
		out = append(out, s.Text.In(lang), s.Why.In(lang))
		for _, a := range s.Answers {
			out = append(out, a.Label.In(lang))
		}
		if s.Unsure != nil {
			out = append(out, s.Unsure.Test.In(lang), s.Unsure.Holds.In(lang))
		}
	}
	for _, o := range t.Outcomes.List {
		out = append(out, strings.Split(strings.TrimSpace(o.plain(p, lang)), "\n")...)
	}
	return out
}

// String writes the target for hashing and messages.
func (t Target) String() string {
	if t.End.S != "" {
		return "end " + t.End.S
	}
	return "to " + t.To.S
}

func plainList(ws []Word) string {
	ids := make([]string, len(ws))
	for i, w := range ws {
		ids[i] = w.S
	}
	return "[" + strings.Join(ids, " ") + "]"
}

// digest is 16 hex digits of SHA-256: enough to tell two versions of a dialog apart.
func digest(write func(io.Writer)) string {
	h := sha256.New()
	write(h)
	return hex.EncodeToString(h.Sum(nil))[:16]
}
