package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"time"

	"benyomo/internal/idea/approval"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/triage"
	"benyomo/internal/idea/wording"
)

// walkCall is how `walk` was called.
type walkCall struct {
	kind, purpose, custom, lang, dialogs string
	demo, json                           bool
	answers, policy                      []assignment
}

// assignment is NAME=VALUE on the command line.
type assignment struct{ name, value string }

func assignments(into *[]assignment) func(string) error {
	return func(s string) error {
		name, value, ok := strings.Cut(s, "=")
		if !ok || name == "" || value == "" {
			return errors.New("write NAME=VALUE")
		}
		*into = append(*into, assignment{name, value})
		return nil
	}
}

func walkFlags(c *walkCall) *flag.FlagSet {
	fs := flags("walk")
	fs.StringVar(&c.purpose, "purpose", "", "what the household kashers for: "+strings.Join(dialog.Purposes(), ", "))
	fs.StringVar(&c.custom, "custom", triage.OtherWay, "the household's custom: "+strings.Join(triage.Customs(), ", "))
	fs.StringVar(&c.lang, "lang", "", "the language, by its code (default the first of the dialogs)")
	fs.StringVar(&c.dialogs, "dialogs", "", "a `folder` of dialogs (default the built-in ones)")
	fs.BoolVar(&c.demo, "demo", false, "take the positions of the invented community")
	fs.BoolVar(&c.json, "json", false, "print JSON")
	fs.Func("answer", "an answer, as `question=answer`; again for each", assignments(&c.answers))
	fs.Func("policy", "a position for every custom, as `switch=position`; again for each", assignments(&c.policy))
	return fs
}

func runWalk(_ context.Context, args []string, stdout, stderr io.Writer) int {
	var c walkCall
	fs := walkFlags(&c)
	rest, code, ok := parse(fs, args, 1, stdout, stderr)
	if !ok {
		return code
	}
	if len(rest) == 0 {
		return wrong(fs, stderr, "name the kind of item")
	}
	c.kind = rest[0]
	p, err := loadDialogs(c.dialogs)
	if err != nil {
		return fail("walk", stderr, err)
	}
	w, err := newWalk(p, c)
	if err != nil {
		fmt.Fprintf(stderr, "benyomo walk: %v\n", err)
		return misuse
	}
	if unused := w.unused(); len(unused) > 0 {
		fmt.Fprintf(stderr, "benyomo walk: not asked on this way: %s\n", strings.Join(unused, ", "))
	}
	if c.json {
		err = w.writeJSON(stdout)
	} else {
		err = w.writeText(stdout)
	}
	if err != nil {
		return fail("walk", stderr, err)
	}
	return fine
}

// walk is a walk that was walked, ready to be shown.
type walk struct {
	call   walkCall
	pack   *dialog.Pack
	tree   *dialog.Tree
	words  wording.Words
	facts  triage.Facts
	result triage.Result
}

// newWalk checks every name of the call against the pack, and walks.
func newWalk(p *dialog.Pack, c walkCall) (*walk, error) {
	w := &walk{call: c, pack: p, tree: p.Tree(c.kind)}
	if w.tree == nil {
		return nil, unknown("kind", c.kind, kinds(p))
	}
	if !slices.Contains(dialog.Purposes(), c.purpose) {
		return nil, unknown("purpose", c.purpose, dialog.Purposes())
	}
	if !slices.Contains(triage.Customs(), c.custom) {
		return nil, unknown("custom", c.custom, triage.Customs())
	}
	if c.lang == "" {
		w.call.lang = p.Languages[0].Code.S
	} else if !p.HasLanguage(c.lang) {
		return nil, unknown("language", c.lang, languages(p))
	}
	w.words = wording.In(p, w.call.lang, time.UTC)
	var err error
	if w.facts, err = facts(w.tree, c.answers); err != nil {
		return nil, err
	}
	positions, err := positions(p, c)
	if err != nil {
		return nil, err
	}
	w.result = triage.Walk(w.tree, c.purpose, w.facts, positions.Lookup(c.custom))
	return w, nil
}

func facts(t *dialog.Tree, given []assignment) (triage.Facts, error) {
	out := triage.Facts{}
	for _, a := range given {
		s := t.Step(a.name)
		if s == nil || !s.IsQuestion() {
			return nil, unknown("question", a.name, questions(t))
		}
		if s.Answer(a.value) == nil && a.value != dialog.UnsureFact {
			return nil, unknown("answer to "+a.name, a.value, answers(s))
		}
		if earlier, twice := out[a.name]; twice && earlier != a.value {
			return nil, fmt.Errorf("%s is answered twice, %s and %s", a.name, earlier, a.value)
		}
		out[a.name] = a.value
	}
	return out, nil
}

// positions are those of the invented community, if it was asked for, under those of the call.
func positions(p *dialog.Pack, c walkCall) (approval.Positions, error) {
	out := approval.Positions{}
	if c.demo {
		for id, by := range p.Demo() {
			out[id] = maps.Clone(by)
		}
	}
	for _, a := range c.policy {
		sw := p.Switch(a.name)
		if sw == nil {
			return nil, unknown("switch", a.name, switches(p))
		}
		if sw.Position(a.value) == nil {
			return nil, unknown("position of "+a.name, a.value, positionIDs(sw))
		}
		out[a.name] = map[string]string{triage.AnyCustom: a.value}
	}
	return out, nil
}

// unused lists the answers that the walk did not come to.
func (w *walk) unused() []string {
	var out []string
	for _, q := range slices.Sorted(maps.Keys(w.facts)) {
		if !slices.ContainsFunc(w.result.Path, func(s triage.Step) bool { return s.Question == q }) {
			out = append(out, q)
		}
	}
	return out
}

func unknown(what, name string, there []string) error {
	if name == "" {
		return fmt.Errorf("name the %s: %s", what, strings.Join(there, ", "))
	}
	if len(there) == 0 {
		return fmt.Errorf("there is no %s %q, nor any other", what, name)
	}
	return fmt.Errorf("there is no %s %q; there are %s", what, name, strings.Join(there, ", "))
}

func kinds(p *dialog.Pack) []string {
	return names(p.Trees, func(t *dialog.Tree) string { return t.Kind.S })
}

func languages(p *dialog.Pack) []string {
	return names(p.Languages, func(l dialog.Language) string { return l.Code.S })
}

func switches(p *dialog.Pack) []string {
	return names(p.Switches, func(s *dialog.Switch) string { return s.ID.S })
}

func positionIDs(s *dialog.Switch) []string {
	return names(s.Positions, func(p *dialog.Position) string { return p.ID.S })
}

func answers(s *dialog.Step) []string {
	return append(names(s.Answers, func(a *dialog.Answer) string { return a.ID.S }), dialog.UnsureFact)
}

func questions(t *dialog.Tree) []string {
	asked := slices.DeleteFunc(slices.Clone(t.Steps), func(s *dialog.Step) bool { return !s.IsQuestion() })
	return names(asked, (*dialog.Step).Name)
}

// names maps a list; the result is never nil, so that JSON shows an empty list as one.
func names[T, U any](list []T, name func(T) U) []U {
	out := make([]U, len(list))
	for i, x := range list {
		out[i] = name(x)
	}
	return out
}
