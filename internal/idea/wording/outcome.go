package wording

import (
	"strings"

	"benyomo/internal/idea/dialog"
)

// Styles of a Part. They are named as the blocks of a message are.
const (
	HeadingPart = "heading"
	PlainPart   = "plain"
	AsidePart   = "aside"
)

// Part is one paragraph of what is told, with how it looks.
type Part struct {
	Style string // HeadingPart, PlainPart or AsidePart
	Text  string
}

// Outcome composes everything that a member reads of an outcome, in the order in which he needs it: whether and how; safety;
// the steps; what is timed; what to do instead; on what it is based; and when to stop.
func (w Words) Outcome(o *dialog.Outcome) []Part {
	parts := []Part{{HeadingPart, w.text(o.Headline)}}
	add := func(style, text string) {
		if text != "" {
			parts = append(parts, Part{style, text})
		}
	}
	add(PlainPart, w.method(o))
	if lines := w.cautions(o); len(lines) > 0 {
		add(HeadingPart, w.Say("outcome-safety"))
		add(PlainPart, strings.Join(lines, "\n"))
	}
	add(PlainPart, strings.Join(w.steps(o), "\n"))
	if lines := w.timed(o); len(lines) > 0 {
		add(HeadingPart, w.Say("outcome-timed"))
		add(PlainPart, strings.Join(lines, "\n"))
	}
	if s := w.text(o.Instead); s != "" {
		add(PlainPart, w.Say("outcome-instead", "text", s))
	}
	if s := w.Sources(o.Sources); s != "" {
		add(AsidePart, w.Say("outcome-sources", "list", s))
	}
	add(PlainPart, w.Say("outcome-stop"))
	return parts
}

// text is a text of the dialogs in the language.
func (w Words) text(t dialog.Text) string { return strings.TrimSpace(t.In(w.Lang)) }

// method names the method with its gloss. Where the rabbi is asked there is none yet.
func (w Words) method(o *dialog.Outcome) string {
	m := w.pack.Method(o.Method.S)
	if m == nil || o.Whether.S == dialog.AskRabbi {
		return ""
	}
	return w.Say("outcome-method", "method", w.text(m.Name), "gloss", w.text(m.Gloss))
}

func (w Words) cautions(o *dialog.Outcome) []string {
	var lines []string
	for _, id := range o.Cautions {
		if c := w.pack.Caution(id.S); c != nil {
			lines = append(lines, w.text(c.Text))
		}
	}
	return lines
}

func (w Words) steps(o *dialog.Outcome) []string {
	lines := make([]string, len(o.Steps))
	for i, s := range o.Steps {
		lines[i] = w.Say("outcome-step", "n", i+1, "text", w.text(s))
	}
	return lines
}

func (w Words) timed(o *dialog.Outcome) []string {
	lines := make([]string, len(o.Timeline))
	for i, s := range o.Timeline {
		switch {
		case s.Wait.S == dialog.Idle:
			lines[i] = w.Say("outcome-idle", "length", w.Length(s.Minutes))
		case s.Cool > 0:
			lines[i] = w.Say("outcome-heating-cool", "what", w.text(s.Label), "length", w.Length(s.Minutes), "cool", w.Length(s.Cool))
		default:
			lines[i] = w.Say("outcome-heating", "what", w.text(s.Label), "length", w.Length(s.Minutes))
		}
	}
	return lines
}

// Sources cites works by their ids in one line: each title once with its sections, in the order in which they are first named.
// What was cited from memory is marked; where there is no source, the pack's own entry says so.
func (w Words) Sources(ids []dialog.Word) string {
	var titles []string
	sections := map[string][]string{}
	for _, id := range ids {
		s := w.pack.Source(id.S)
		if s == nil {
			continue
		}
		title := w.text(s.Title)
		if _, met := sections[title]; !met {
			titles = append(titles, title)
		}
		// A title without a section is cited by itself; the mark then stands behind the title.
		section := w.text(s.Section)
		if s.Checked.S == "memory" {
			section = strings.TrimSpace(w.Say("outcome-source-memory", "source", section))
		}
		sections[title] = append(sections[title], section)
	}
	and := w.Say("outcome-source-and")
	cited := make([]string, len(titles))
	for i, t := range titles {
		cited[i] = strings.TrimSpace(t + " " + strings.Join(sections[t], and))
	}
	return strings.Join(cited, and)
}
