package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/triage"
)

// shown is a walk as JSON. Exactly one of Question, Outcome and Referral is there.
type shown struct {
	Kind     string         `json:"kind"`
	Purpose  string         `json:"purpose"`
	Custom   string         `json:"custom"`
	Path     []triage.Step  `json:"path"`
	First    string         `json:"first,omitempty"` // with the first question: what to do before anything is asked
	Question *shownQuestion `json:"question,omitempty"`
	Outcome  *shownOutcome  `json:"outcome,omitempty"`
	Referral *shownReferral `json:"referral,omitempty"`
}

type shownQuestion struct {
	ID      string        `json:"id"`
	Text    string        `json:"text"`
	Why     string        `json:"why"`
	Test    string        `json:"test"` // the test at home, or ""
	Photo   bool          `json:"photo"`
	Answers []shownAnswer `json:"answers"`
	Left    int           `json:"left"` // questions that may still follow, at most, this one included
}

type shownAnswer struct {
	ID    string `json:"id"`
	Label string `json:"label"`
}

type shownOutcome struct {
	ID       string        `json:"id"`
	Whether  string        `json:"whether"`
	Method   string        `json:"method"`
	Waits    []shownWait   `json:"waits"`
	Cautions []string      `json:"cautions"`
	Headline string        `json:"headline"`
	Steps    []string      `json:"steps"`
	Instead  string        `json:"instead"`
	Ways     []string      `json:"ways"`
	Sources  []shownSource `json:"sources"`
	Text     string        `json:"text"` // the whole text that a member reads
}

type shownWait struct {
	Name    string `json:"name"`
	Minutes int    `json:"minutes"`
	Cool    int    `json:"cool"` // minutes
}

type shownSource struct {
	ID       string `json:"id"`
	Citation string `json:"citation"`
	Checked  string `json:"checked"` // read, memory or none
}

type shownReferral struct {
	Reason   triage.Reason `json:"reason"`
	Question string        `json:"question"`
	Switch   string        `json:"switch"`
	Possible []string      `json:"possible"` // outcomes
	Text     string        `json:"text"`
	Asks     *shownAsks    `json:"asks,omitempty"` // the end of the tree, where that is what asks the rabbi
}

// shownAsks is what a member reads of an end that always asks the rabbi: why, and what to do until he answers.
type shownAsks struct {
	ID       string   `json:"id"`
	Headline string   `json:"headline"`
	Steps    []string `json:"steps"`
}

func (w *walk) show() shown {
	s := shown{Kind: w.call.kind, Purpose: w.call.purpose, Custom: w.call.custom, Path: append([]triage.Step{}, w.result.Path...)}
	switch r := w.result; {
	case r.Question != nil:
		s.Question = w.question(r.Question, r.Left)
		if len(r.Path) == 0 {
			s.First = w.in(w.tree.First)
		}
	case r.Outcome != nil:
		s.Outcome = w.outcome(r.Outcome)
	default:
		s.Referral = w.referral(r.Refer)
	}
	return s
}

func (w *walk) in(t dialog.Text) string { return strings.TrimSpace(t.In(w.call.lang)) }

func (w *walk) question(q *dialog.Step, left int) *shownQuestion {
	out := &shownQuestion{ID: q.Ask.S, Text: w.in(q.Text), Why: w.in(q.Why), Photo: q.Photo, Left: left}
	if q.Unsure != nil {
		out.Test = w.in(q.Unsure.Test)
	}
	for _, a := range q.Answers {
		out.Answers = append(out.Answers, shownAnswer{a.ID.S, w.in(a.Label)})
	}
	out.Answers = append(out.Answers, shownAnswer{dialog.UnsureFact, w.words.Say("walk-unsure")})
	return out
}

func (w *walk) outcome(o *dialog.Outcome) *shownOutcome {
	word := func(x dialog.Word) string { return x.S }
	out := &shownOutcome{
		ID: o.ID, Whether: o.Whether.S, Method: o.Method.S, Headline: w.in(o.Headline), Instead: w.in(o.Instead),
		Waits:    names(o.Timeline, func(s *dialog.Stage) shownWait { return shownWait{s.Name(), s.Minutes, s.Cool} }),
		Cautions: names(o.Cautions, func(x dialog.Word) string { return w.in(w.pack.Caution(x.S).Text) }),
		Steps:    names(o.Steps, w.in), Ways: names(o.Ways, word),
		Sources: names(o.Sources, func(x dialog.Word) shownSource {
			s := w.pack.Source(x.S)
			return shownSource{s.ID.S, s.Cite(w.call.lang), s.Checked.S}
		}),
	}
	var parts []string
	for _, p := range w.words.Outcome(o) {
		parts = append(parts, p.Text)
	}
	out.Text = strings.Join(parts, "\n\n")
	return out
}

func (w *walk) referral(r *triage.Referral) *shownReferral {
	about := ""
	if s := w.tree.Step(r.Question); s != nil {
		about = w.in(s.Text)
	}
	if sw := w.pack.Switch(r.Switch); sw != nil {
		about = w.in(sw.About)
	}
	out := &shownReferral{
		Reason: r.Reason, Question: r.Question, Switch: r.Switch,
		Possible: names(r.Possible, func(o *dialog.Outcome) string { return o.ID }),
		Text:     w.words.Say("walk-referred"),
	}
	if r.Asks == nil || !w.tree.Intake { // an intake passes on what it was told; no one fact is why
		out.Text += " " + w.words.Say("walk-reason-"+string(r.Reason), "text", about)
	}
	if r.Asks != nil {
		out.Asks = &shownAsks{r.Asks.ID, w.in(r.Asks.Headline), names(r.Asks.Steps, w.in)}
	}
	return out
}

func (w *walk) writeJSON(out io.Writer) error {
	e := json.NewEncoder(out)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	if err := e.Encode(w.show()); err != nil {
		return fmt.Errorf("write the walk: %w", err)
	}
	return nil
}

// writeText prints the walk for a person: the answers that were used, and what comes next.
func (w *walk) writeText(out io.Writer) error {
	s := w.show()
	var b strings.Builder
	for _, step := range s.Path {
		fmt.Fprintf(&b, "%s = %s\n", step.Question, step.Answer)
	}
	if len(s.Path) > 0 {
		b.WriteByte('\n')
	}
	switch {
	case s.Question != nil:
		if s.First != "" {
			fmt.Fprintf(&b, "%s\n\n", s.First)
		}
		w.questionText(&b, s.Question)
	case s.Outcome != nil:
		o := s.Outcome
		fmt.Fprintf(&b, "[outcome %s: %s, %s; ways: %s]\n\n%s\n", o.ID, o.Whether, o.Method, list(o.Ways), o.Text)
	default:
		r := s.Referral
		fmt.Fprintf(&b, "[referral: %s; question: %s; switch: %s]\n\n%s\n", r.Reason, orNone(r.Question), orNone(r.Switch), r.Text)
		if r.Asks != nil {
			for _, text := range append([]string{r.Asks.Headline}, r.Asks.Steps...) {
				fmt.Fprintf(&b, "\n%s\n", text)
			}
		}
		if len(r.Possible) > 0 {
			fmt.Fprintf(&b, "\n%s\n", w.words.Say("walk-possible"))
			for _, id := range r.Possible {
				fmt.Fprintf(&b, "  %s  %s\n", id, w.in(w.tree.Outcome(id).Headline))
			}
		}
	}
	if _, err := io.WriteString(out, b.String()); err != nil {
		return fmt.Errorf("write the walk: %w", err)
	}
	return nil
}

func (w *walk) questionText(b *strings.Builder, q *shownQuestion) {
	fmt.Fprintf(b, "[question %s]\n\n%s\n\n%s\n", q.ID, q.Text, w.words.Say("walk-why", "text", q.Why))
	if q.Test != "" {
		fmt.Fprintf(b, "%s\n", w.words.Say("walk-test", "text", q.Test))
	}
	if q.Photo {
		fmt.Fprintf(b, "%s\n", w.words.Say("walk-photo"))
	}
	fmt.Fprintf(b, "\n%s\n", w.words.Say("walk-answers"))
	t := tabwriter.NewWriter(b, 0, 0, 2, ' ', 0)
	for _, a := range q.Answers {
		fmt.Fprintf(t, "  %s\t%s\n", a.ID, a.Label)
	}
	t.Flush()
	fmt.Fprintf(b, "\n%s\n", w.words.Say("walk-left", "n", q.Left))
}

func list(ids []string) string { return orNone(strings.Join(ids, ", ")) }

func orNone(s string) string {
	if s == "" {
		return "none"
	}
	return s
}
