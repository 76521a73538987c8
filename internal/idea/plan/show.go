package plan

import (
	_ "embed" // for the built-in sentences
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"benyomo/internal/idea/dialog"
)

//go:embed words.yaml
var wordsFile []byte

var words = sync.OnceValue(func() map[string]dialog.Text {
	r, out := &reader{name: "words.yaml"}, map[string]dialog.Text{}
	if !r.decode(wordsFile, &out) {
		panic(r.err()) // a test reads them: they are part of the program
	}
	return out
})

// Say is the sentence of an id in the language en or he, with values in its places, given as name, value, name, value. An id
// without a sentence, as rows of others may have, is said as it is.
func Say(lang, id string, values ...string) string {
	t, ok := words()[id]
	if !ok {
		return id
	}
	pairs := make([]string, 0, len(values))
	for i := 0; i+1 < len(values); i += 2 {
		pairs = append(pairs, "{"+values[i]+"}", values[i+1])
	}
	return strings.NewReplacer(pairs...).Replace(t.In(lang))
}

// page writes a plan for people.
type page struct {
	strings.Builder
	lang string
}

// Text is the plan for people, in the language en or he: when what is done, and why not later.
func (p *Plan) Text(lang string) string {
	w := &page{lang: lang}
	if p.Fits {
		w.line(Say(lang, "title-fits"))
	} else {
		w.line(Say(lang, "title-misfit"))
	}
	w.titled("title-finish", p.Finish)
	w.titled("title-ready", p.Ready)
	w.body(p)
	if !p.Fits {
		w.misfit(p)
	}
	if p.Minimal != nil {
		w.line("\n" + Say(lang, "title-minimal"))
		w.body(p.Minimal)
	}
	for _, n := range p.Notes {
		w.line("\n* " + Say(lang, n.Why, "item", n.Item))
	}
	w.line("\n" + Say(lang, "title-estimates"))
	return w.String()
}

func (w *page) line(s string) { w.WriteString(s + "\n") }

func (w *page) titled(id string, m Moment) {
	w.line(Say(w.lang, id, "time", w.moment(m.At), "why", Say(w.lang, m.Why, "item", m.Item)))
}

func (w *page) day(t time.Time) string {
	return fmt.Sprintf("%s %s", Say(w.lang, fmt.Sprintf("day-%d", t.Weekday())), t.Format("2006-01-02"))
}

func (w *page) moment(t time.Time) string { return w.day(t) + " " + t.Format("15:04") }

// body is the last uses and the steps, day by day.
func (w *page) body(p *Plan) {
	if p.LastMeal != nil {
		w.titled("title-meal", *p.LastMeal)
	}
	var own []string
	for _, it := range p.Items {
		if it.LastUse != nil && it.LastUse.Why != WhyMeal {
			own = append(own, fmt.Sprintf("  %s: %s (%s)", it.ID, w.moment(it.LastUse.At), Say(w.lang, it.LastUse.Why, "item", it.LastUse.Item)))
		}
	}
	if len(own) > 0 {
		w.line("\n" + Say(w.lang, "title-uses"))
		w.line(strings.Join(own, "\n"))
	}
	day := ""
	for _, l := range lines(p) {
		if d := w.day(l.step.Begins); d != day {
			day = d
			w.line("\n" + day)
		}
		w.line("  " + w.step(l))
	}
}

// shared is one step with those who share it.
type shared struct {
	step  Step
	items []string
}

// lines are all steps in order. What several items share, such as a round of boiling, is one.
func lines(p *Plan) []shared {
	var out []shared
	for _, it := range p.Items {
		for _, s := range it.Steps {
			i := slices.IndexFunc(out, func(l shared) bool {
				same := l.step.Name == s.Name && l.step.Begins.Equal(s.Begins) && l.step.Ends.Equal(s.Ends)
				round := s.Name == "idle" || s.In != "" && (s.In == l.step.In || slices.Contains(l.items, s.In)) || l.step.In == it.ID
				return same && round && l.step.Why == s.Why
			})
			if i >= 0 && !slices.Contains(out[i].items, it.ID) {
				out[i].items = append(out[i].items, it.ID)
				continue
			}
			out = append(out, shared{s, []string{it.ID}})
		}
	}
	slices.SortStableFunc(out, func(a, b shared) int { return a.step.Begins.Compare(b.step.Begins) })
	return out
}

func (w *page) step(l shared) string {
	s := l.step
	until := s.Ends.Format("15:04")
	if s.Ends.Format(time.DateOnly) != s.Begins.Format(time.DateOnly) {
		until = w.moment(s.Ends)
	}
	var marks []string
	switch {
	case s.Attended:
		marks = append(marks, fmt.Sprintf("%s: %d", Say(w.lang, "hands"), s.Uses[resourceNames[hands]]))
	case s.Awake:
		marks = append(marks, Say(w.lang, "step-awake"))
	}
	if s.Done {
		marks = append(marks, Say(w.lang, "step-done"))
	}
	line := fmt.Sprintf("%s–%s  %s: %s", s.Begins.Format("15:04"), until, strings.Join(l.items, ", "), Say(w.lang, "step-"+s.Name))
	if len(marks) > 0 {
		line += " [" + strings.Join(marks, ", ") + "]"
	}
	return line + " (" + Say(w.lang, s.Why, "item", s.Item) + ")"
}

// misfit is what does not fit, and what would help.
func (w *page) misfit(p *Plan) {
	if len(p.Unfit) > 0 {
		w.line("\n" + Say(w.lang, "title-unfit"))
	}
	for _, u := range p.Unfit {
		line := fmt.Sprintf("  %s: %s", u.Item, Say(w.lang, u.Why))
		if u.Away != "" {
			line += "; " + Say(w.lang, u.Away)
		}
		w.line(line)
	}
	if len(p.Changes) == 0 {
		w.line("\n" + Say(w.lang, "title-no-changes"))
		return
	}
	w.line("\n" + Say(w.lang, "title-changes"))
	for _, c := range p.Changes {
		hours := ""
		if c.SlackMinutes != nil {
			hours = fmt.Sprint(*c.SlackMinutes / 60)
		}
		w.line("  " + Say(w.lang, c.Why, "item", c.Item, "time", w.moment(c.Evening), "until", c.Until.Format("15:04"), "n", hours))
	}
}
