package triage_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/triage"
)

// grow loads a made-up tree from short lines. A step is one of
//
//	q? a:NEXT b:NEXT unsure:NEXT      a question; unsure is optional
//	s! SWITCH p:NEXT r:NEXT           a policy switch, with all its positions
//	u# pesach:NEXT meat-dairy:NEXT    a branch on the purpose
//
// where NEXT is a step or =outcome; the walk begins at the first one. An outcome is "id WHETHER TEXT": two of the same verdict
// and text are the same content.
func grow(t testing.TB, steps, outcomes []string) *dialog.Tree {
	t.Helper()
	var kind, policy strings.Builder
	fmt.Fprintf(&kind, "kind: thing\nname: {en: Thing}\ngroup: all\nstart: %s\nsteps:\n", goal(strings.TrimRight(strings.Fields(steps[0])[0], "?!#")))
	seen := map[string]bool{}
	for _, line := range steps {
		words := strings.Fields(line)
		id, mark := words[0][:len(words[0])-1], words[0][len(words[0])-1]
		switch mark {
		case '?':
			fmt.Fprintf(&kind, "  - ask: %s\n    text: {en: Q}\n    why: {en: W}\n    answers:\n", id)
			unsure := ""
			for _, w := range words[1:] {
				name, next, _ := strings.Cut(w, ":")
				if name == "unsure" {
					unsure = next
					continue
				}
				fmt.Fprintf(&kind, "      - {id: %s, label: {en: L}, %s\n", name, goal(next)[1:])
			}
			if unsure != "" {
				fmt.Fprintf(&kind, "    unsure: %s\n", goal(unsure))
			}
		case '!':
			fmt.Fprintf(&kind, "  - id: %s\n    switch: %s\n    positions:\n", id, words[1])
			about := fmt.Sprintf("  - id: %s\n    about: {en: A}\n    positions:\n", words[1])
			for _, w := range words[2:] {
				name, next, _ := strings.Cut(w, ":")
				fmt.Fprintf(&kind, "      %s: %s\n", name, goal(next))
				about += fmt.Sprintf("      - {id: %s, label: {en: L}, sources: [src]}\n", name)
			}
			if !seen[words[1]] {
				policy.WriteString(about)
			}
			seen[words[1]] = true
		default:
			fmt.Fprintf(&kind, "  - id: %s\n    purpose:\n", id)
			for _, w := range words[1:] {
				name, next, _ := strings.Cut(w, ":")
				fmt.Fprintf(&kind, "      %s: %s\n", name, goal(next))
			}
		}
	}
	kind.WriteString("outcomes:\n")
	for _, line := range outcomes {
		words := strings.Fields(line)
		fmt.Fprintf(&kind, "  - {id: %s, whether: %s, method: m, headline: {en: %q}, instead: {en: I}, sources: [src]}\n", words[0], words[1], words[2])
	}
	switches := "switches: []\n"
	if policy.Len() > 0 {
		switches = "switches:\n" + policy.String()
	}
	fsys := fstest.MapFS{}
	for name, text := range map[string]string{
		"languages.yaml":    "languages:\n  - {code: en, name: English, direction: ltr}\n",
		"groups.yaml":       "groups:\n  - {id: all, name: {en: All}}\n",
		"policy.yaml":       switches,
		"sources.yaml":      "sources:\n  - {id: src, title: {en: S}, checked: none}\n",
		"methods.yaml":      "methods:\n  - {id: m, name: {en: M}, gloss: {en: G}}\n",
		"cautions.yaml":     "cautions: []\n",
		"sentences/en.yaml": "one: One\n",
		"kinds/thing.yaml":  kind.String(),
	} {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	p, err := dialog.Load(fsys)
	require.NoError(t, err, kind.String())
	return p.Tree("thing")
}

func goal(next string) string {
	if id, end := strings.CutPrefix(next, "="); end {
		return "{end: " + id + "}"
	}
	return "{to: " + next + "}"
}

// pairs reads "a=x b=y".
func pairs(s string) map[string]string {
	m := map[string]string{}
	for _, w := range strings.Fields(s) {
		k, v, _ := strings.Cut(w, "=")
		m[k] = v
	}
	return m
}

// positions is a community's view.
func positions(s string) triage.Lookup {
	m := pairs(s)
	return func(id string) (string, bool) { p, ok := m[id]; return p, ok }
}

// shown writes a result in one line.
func shown(r triage.Result) string {
	var b strings.Builder
	switch {
	case r.Question != nil && r.Outcome == nil && r.Refer == nil:
		fmt.Fprintf(&b, "ask %s, left %d", r.Question.Ask.S, r.Left)
	case r.Outcome != nil && r.Question == nil && r.Refer == nil:
		fmt.Fprintf(&b, "end %s", r.Outcome.ID)
	case r.Refer != nil && r.Question == nil && r.Outcome == nil:
		b.WriteString(referral(*r.Refer))
	default:
		return "not exactly one of question, outcome and referral"
	}
	if len(r.Path) > 0 {
		b.WriteString("; path")
		for _, s := range r.Path {
			b.WriteString(" " + s.Question + "=" + s.Answer)
		}
	}
	if len(r.Met) > 0 {
		var met []string
		for k, v := range r.Met {
			met = append(met, k+"="+v)
		}
		slices.Sort(met)
		b.WriteString("; met " + strings.Join(met, " "))
	}
	return b.String()
}

func referral(r triage.Referral) string {
	s := "refer " + string(r.Reason)
	if r.Question != "" {
		s += ", question " + r.Question
	}
	if r.Switch != "" {
		s += ", switch " + r.Switch
	}
	if r.Asks != nil {
		s += ", asks " + r.Asks.ID
	}
	if len(r.Possible) > 0 {
		s += ", possible"
		for _, o := range r.Possible {
			s += " " + o.ID
		}
	}
	return s
}
