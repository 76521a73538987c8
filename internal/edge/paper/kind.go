package paper

import (
	"fmt"
	"slices"
	"strings"

	"benyomo/internal/idea/approval"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/triage"
	"benyomo/internal/idea/wording"
)

// kind writes one kind: its picture, its questions, its outcomes.
func (v *volume) kind(t *dialog.Tree) error {
	c := v.charts[t]
	id := v.kindID(t)
	fmt.Fprintf(v, "<article class=\"kind\" aria-labelledby=\"%s\">\n<h3 id=\"%s\">%s</h3>\n", clean(id), clean(id), clean(v.text(t.Name)))
	v.element("p", "versions", strings.Join([]string{v.say("kind-id", "id", t.Kind.S), v.say("logic", "hash", t.Logic()),
		v.say("words", "hash", t.Words(v.Lang)), v.standing(t)}, " · "))
	if t.Intake {
		v.element("p", "", v.say("kind-of-intake"))
	}
	if t.Urgent {
		v.element("p", "", v.say("kind-of-urgent"))
	}
	if first := v.text(t.First); first != "" {
		v.paragraphs("first", v.say("first", "text", first))
	}

	v.element("h4", "", v.say("picture"))
	sheets, err := Flowchart(v.pack, t, v.Lang, Options{Bare: true, Anchor: id})
	if err != nil {
		return err
	}
	for i, s := range sheets {
		v.WriteString("<figure class=\"sheet\">\n")
		v.Write(s)
		if len(sheets) > 1 {
			v.element("figcaption", "", v.text(t.Name)+" – "+v.say("sheet", "n", i+1, "most", len(sheets)))
		}
		v.WriteString("</figure>\n")
	}

	if len(c.places) > 0 {
		v.element("h4", "", v.say("questions"))
		v.WriteString("<div class=\"columns\">\n")
		for _, p := range c.places {
			v.step(c, p)
		}
		v.WriteString("</div>\n")
	}
	v.element("h4", "", v.say("outcomes"))
	v.WriteString("<div class=\"columns\">\n")
	for _, o := range t.Outcomes.List {
		v.outcome(c, o)
	}
	v.WriteString("</div>\n")
	v.toContents()
	v.WriteString("</article>\n")
	return nil
}

// standing says how a tree stands against its approval.
func (v *volume) standing(t *dialog.Tree) string {
	if v.o.Approvals == nil {
		return v.say("approval-unknown")
	}
	a, given := v.o.Approvals[t.Kind.S]
	return v.say(string(approval.Judge(t, v.Lang, a, given)), "date", v.date(a.At.In(v.o.Now.Location())))
}

// step writes a question, a point of practice, or the branch on the purpose.
func (v *volume) step(c *chart, p *place) {
	s := p.step
	fmt.Fprintf(v, "<section class=\"step\">\n<h5 id=\"%s\">%s</h5>\n", clean(stepAnchor(v.kindID(c.tree), s)),
		clean(v.say("numbered", "n", p.index+1, "text", c.text(s))))
	if name := partOf(s); name != "" {
		before, after, _ := strings.Cut(v.say("shared-step", "part", "\x00"), "\x00")
		fmt.Fprintf(v, "<p class=\"note\">%s<a href=\"#%s\" dir=\"ltr\">%s</a>%s</p>\n", clean(before), clean(v.id("part", name)), clean(name), clean(after))
	}
	practised := map[string]string{}
	switch {
	case s.IsQuestion():
		if why := v.text(s.Why); why != "" {
			v.paragraphs("", v.say("why", "text", why))
		}
		if s.Record {
			v.element("p", "note", v.say("record-step"))
		}
		if s.Photo {
			v.element("p", "note", v.say("photo"))
		}
	case s.Switch.S != "":
		v.element("p", "note", v.say("practice-step"))
		practised = v.practised(s.Switch.S)
	default:
		v.element("p", "note", v.say("purpose-step"))
	}
	v.WriteString("<ul class=\"answers\">\n")
	for _, e := range p.exits {
		if e.unsure {
			continue
		}
		v.answer(c, e, practised[e.id])
	}
	v.WriteString("</ul>\n")
	if len(s.Purpose) > 0 && len(s.Purpose) < len(dialog.Purposes()) {
		v.element("p", "note", v.say("uncovered"))
	}
	v.unsure(c, p)
	v.WriteString("</section>\n")
}

// unsure writes what a person gets who does not know: the test at home, and where a lasting 'not sure' leads.
func (v *volume) unsure(c *chart, p *place) {
	u := p.step.Unsure
	if u == nil {
		return
	}
	if test := v.text(u.Test); test != "" {
		v.paragraphs("test", v.say("test", "text", test))
	}
	for _, e := range p.exits {
		if e.unsure {
			v.WriteString("<ul class=\"answers\">\n")
			v.answer(c, e, "")
			v.WriteString("</ul>\n")
		}
	}
	if holds := v.text(u.Holds); holds != "" {
		v.paragraphs("note", v.say("unsure-holds", "text", holds))
	}
}

// answer writes one answer, with a link to where it leads.
func (v *volume) answer(c *chart, e exit, practised string) {
	arrow := "→"
	if v.rtl() {
		arrow = "←"
	}
	anchor, name := v.target(c, e)
	fmt.Fprintf(v, "<li><b>%s</b> <span aria-hidden=\"true\">%s</span> <a href=\"#%s\">%s</a>", clean(e.label), arrow, clean(anchor), clean(name))
	if practised != "" {
		fmt.Fprintf(v, " <span class=\"ours\">(%s)</span>", clean(v.say("practised", "who", practised)))
	}
	v.WriteString("</li>\n")
}

// target is the place to which an exit leads, and its name.
func (v *volume) target(c *chart, e exit) (anchor, name string) {
	id := v.kindID(c.tree)
	if e.end != nil {
		return outcomeAnchor(id, e.end), v.outcomeName(c, e.end)
	}
	return stepAnchor(id, e.to), v.say("numbered", "n", c.indexOf(e.to)+1, "text", short(c.text(e.to)))
}

// short is the beginning of a text, where it is long.
func short(s string) string {
	const most = 56
	letters := []rune(strings.ReplaceAll(s, "\n", " "))
	if len(letters) <= most {
		return string(letters)
	}
	cut := most
	for i := most; i > most/2; i-- {
		if letters[i] == ' ' {
			cut = i
			break
		}
	}
	return strings.TrimRight(string(letters[:cut]), " ,.;:") + "…"
}

// practised names, for each position of a switch, the customs of the community that practise it.
func (v *volume) practised(id string) map[string]string {
	out := map[string]string{}
	for _, c := range v.customs(id) {
		if c.position != nil {
			if out[c.position.ID.S] != "" {
				out[c.position.ID.S] += v.say("list-and")
			}
			out[c.position.ID.S] += c.who
		}
	}
	return out
}

// customPosition is what the community practises by a custom, or by every custom; position is nil where nothing is set.
type customPosition struct {
	who      string
	position *dialog.Position
}

// customs lists what the community practises on a switch; nothing where its data are not known.
func (v *volume) customs(id string) []customPosition {
	sw := v.pack.Switch(id)
	if v.o.Positions == nil || sw == nil {
		return nil
	}
	var out []customPosition
	for _, custom := range triage.Customs() {
		c := customPosition{who: v.say("custom-" + custom)}
		if pos, ok := v.o.Positions.Lookup(custom)(id); ok {
			c.position = sw.Position(pos)
		}
		out = append(out, c)
	}
	same := func(c customPosition) bool { return c.position == out[0].position }
	if !slices.ContainsFunc(out, func(c customPosition) bool { return !same(c) }) {
		return []customPosition{{v.say("practice-everybody"), out[0].position}}
	}
	return out
}

// outcome writes an outcome whole, as members read it.
func (v *volume) outcome(c *chart, o *dialog.Outcome) {
	fmt.Fprintf(v, "<section class=\"outcome\">\n<h5 id=\"%s\">%s</h5>\n", clean(outcomeAnchor(v.kindID(c.tree), o)), clean(v.outcomeName(c, o)))
	for _, part := range v.Outcome(o) {
		switch part.Style {
		case wording.HeadingPart:
			v.element("p", "says", part.Text)
		case wording.AsidePart:
			v.element("p", "aside", part.Text)
		default:
			v.plain(part.Text)
		}
	}
	if len(o.Ways) > 0 {
		ways := make([]string, len(o.Ways))
		for i, w := range o.Ways {
			ways[i] = v.say("way-" + w.S)
		}
		v.element("p", "note", v.say("ways", "list", strings.Join(ways, v.say("list-and"))))
	}
	v.comesFrom(c, o)
	v.WriteString("</section>\n")
}

// plain writes a part of an outcome: its lines as a list, where it has several.
func (v *volume) plain(text string) {
	lines := strings.Split(text, "\n")
	if len(lines) == 1 || strings.Contains(text, "\n\n") {
		v.paragraphs("", text)
		return
	}
	v.WriteString("<ul class=\"lines\">\n")
	for _, l := range lines {
		v.element("li", "", l)
	}
	v.WriteString("</ul>\n")
}

// comesFrom lists the steps that lead to an outcome.
func (v *volume) comesFrom(c *chart, o *dialog.Outcome) {
	var from []string
	for _, p := range c.places {
		if slices.ContainsFunc(p.exits, func(e exit) bool { return e.end == o }) {
			from = append(from, fmt.Sprintf("<a href=\"#%s\">%d</a>", clean(stepAnchor(v.kindID(c.tree), p.step)), p.index+1))
		}
	}
	if len(from) > 0 {
		before, after, _ := strings.Cut(v.say("comes-from", "list", "\x00"), "\x00")
		fmt.Fprintf(v, "<p class=\"note\">%s%s%s</p>\n", clean(before), strings.Join(from, clean(v.say("list-and"))), clean(after))
	}
}
