package paper

import (
	"bytes"
	_ "embed"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"benyomo/internal/idea/approval"
	"benyomo/internal/idea/dialog"
)

//go:embed handbook.css
var handbookStyle string

// Handbook writes the whole pack as one page of HTML in UTF-8, with pictures, for reading and printing. It needs nothing from
// elsewhere and no script. It fails where the pack does not have the language, or where the layout engine fails.
func Handbook(p *dialog.Pack, o HandbookOptions) ([]byte, error) {
	if p == nil || len(p.Languages) == 0 {
		return nil, errors.New("write a handbook: there are no dialogs")
	}
	langs := []string{o.Lang}
	if o.Lang == "" {
		langs = nil
		for _, l := range p.Languages {
			langs = append(langs, l.Code.S)
		}
	}
	var parts []*volume
	for _, l := range langs {
		w, err := wordsIn(p, l)
		if err != nil {
			return nil, fmt.Errorf("write a handbook: %w", err)
		}
		parts = append(parts, newVolume(w, o))
	}
	main := parts[0].words
	var out bytes.Buffer
	fmt.Fprintf(&out, "<!DOCTYPE html>\n<html lang=\"%s\" dir=\"%s\">\n<head>\n<meta charset=\"utf-8\">\n", clean(main.Lang), main.direction())
	out.WriteString("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n")
	out.WriteString("<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">\n")
	titles := make([]string, len(parts))
	for i, v := range parts {
		titles[i] = v.title()
	}
	fmt.Fprintf(&out, "<title>%s</title>\n<style>\n%s", clean(strings.Join(titles, " · ")), handbookStyle)
	for _, v := range parts {
		out.WriteString(v.runningHead())
	}
	out.WriteString("</style>\n</head>\n<body>\n")
	for _, v := range parts {
		fmt.Fprintf(&out, "<a class=\"skip\" href=\"#%s\" lang=\"%s\" dir=\"%s\">%s</a>\n", v.id("contents"), clean(v.Lang), v.direction(), clean(v.say("skip")))
	}
	out.WriteString("<main>\n")
	for _, v := range parts {
		if err := v.write(); err != nil {
			return nil, err
		}
		out.Write(v.Bytes())
	}
	out.WriteString("</main>\n</body>\n</html>\n")
	return out.Bytes(), nil
}

// volume is the handbook in one language.
type volume struct {
	words
	bytes.Buffer
	o      HandbookOptions
	charts map[*dialog.Tree]*chart
	groups []*chapter
	parts  []*part
}

// chapter is a group of the menu with its kinds.
type chapter struct {
	id, name string
	trees    []*dialog.Tree
}

func newVolume(w words, o HandbookOptions) *volume {
	v := &volume{words: w, o: o, charts: map[*dialog.Tree]*chart{}, parts: parts(w.pack)}
	for _, t := range w.pack.Trees {
		v.charts[t] = newChart(w, t)
	}
	for _, g := range w.pack.Groups {
		v.groups = append(v.groups, &chapter{id: v.id("group", g.ID.S), name: w.text(g.Name), trees: w.pack.InGroup(g.ID.S)})
	}
	return v
}

// id makes the id of a place of the page.
func (v *volume) id(names ...string) string { return v.Lang + "-" + strings.Join(names, "-") }

func (v *volume) kindID(t *dialog.Tree) string { return v.id("kind", t.Kind.S) }

// title names the handbook and its community.
func (v *volume) title() string {
	if v.o.Community == "" {
		return v.say("title")
	}
	return v.say("title") + " " + v.say("of-community", "community", v.o.Community)
}

// runningHead is the style of the printed pages: what stands above and below. Browsers that do not know it leave it out.
func (v *volume) runningHead() string {
	head, foot, start, end := v.say("title"), "", "left", "right"
	if v.o.Community != "" {
		foot = v.o.Community
	}
	if v.o.Invented {
		foot = strings.TrimPrefix(foot+" · "+v.say("invented-mark"), " · ")
	}
	if v.rtl() {
		start, end = end, start
	}
	return fmt.Sprintf("section.volume:lang(%s) { page: volume-%s; }\n@page volume-%s { @top-%s { content: %s; } @top-%s { content: %s; } @bottom-center { content: counter(page); } }\n",
		v.Lang, v.Lang, v.Lang, start, cssText(head), end, cssText(foot))
}

// cssText is a text within CSS.
func cssText(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\' || r == '<' || r < ' ':
			fmt.Fprintf(&b, "\\%x ", r)
		default:
			b.WriteRune(r)
		}
	}
	return b.String() + `"`
}

func (v *volume) write() error {
	fmt.Fprintf(v, "<section class=\"volume\" lang=\"%s\" dir=\"%s\">\n", clean(v.Lang), v.direction())
	v.titlePage()
	v.contents()
	v.howTo()
	for _, g := range v.groups {
		fmt.Fprintf(v, "<section class=\"chapter\">\n<h2 id=\"%s\">%s</h2>\n", g.id, clean(g.name))
		for _, t := range g.trees {
			if err := v.kind(t); err != nil {
				return err
			}
		}
		v.WriteString("</section>\n")
	}
	v.shared()
	v.practice()
	v.sources()
	v.versions()
	v.WriteString("</section>\n")
	return nil
}

// element writes an element that holds only words.
func (v *volume) element(tag, class, text string) {
	if text == "" {
		return
	}
	if class != "" {
		class = ` class="` + class + `"`
	}
	fmt.Fprintf(v, "<%s%s>%s</%s>\n", tag, class, clean(text), tag)
}

// paragraphs writes a text of the dialogs: a blank line parts paragraphs.
func (v *volume) paragraphs(class, text string) {
	for _, p := range strings.Split(text, "\n\n") {
		v.element("p", class, strings.TrimSpace(p))
	}
}

func (v *volume) titlePage() {
	p := v.pack
	questions, outcomes := 0, 0
	for _, t := range p.Trees {
		for _, pl := range v.charts[t].places {
			if pl.step.IsQuestion() {
				questions++
			}
		}
		outcomes += len(t.Outcomes.List)
	}
	v.WriteString("<header class=\"title-page\">\n")
	v.element("h1", "", v.say("title"))
	if v.o.Community != "" {
		v.element("p", "community", v.o.Community)
	}
	if v.o.Invented {
		v.element("p", "warning", v.say("invented"))
	}
	v.element("p", "", v.say("printed", "date", v.date(v.o.Now)))
	v.element("p", "", v.say("holds", "kinds", v.count("n-kinds", len(p.Trees)), "questions", v.count("n-questions", questions),
		"outcomes", v.count("n-outcomes", outcomes), "switches", v.count("n-switches", len(p.Switches))))
	if v.o.Approvals != nil {
		n := 0
		for _, t := range p.Trees {
			a, given := v.o.Approvals[t.Kind.S]
			if approval.Judge(t, v.Lang, a, given) == approval.Approved {
				n++
			}
		}
		v.element("p", "", v.say("n-approved", "n", n, "most", len(p.Trees)))
	}
	v.element("p", "", v.say("print-may-age"))
	v.WriteString("</header>\n")
}

func (v *volume) contents() {
	id := v.id("contents")
	fmt.Fprintf(v, "<nav class=\"contents\" aria-labelledby=\"%s\">\n<h2 id=\"%s\">%s</h2>\n<ul>\n", id, id, clean(v.say("contents")))
	row := func(id, name string) { fmt.Fprintf(v, "<li><a href=\"#%s\">%s</a></li>\n", clean(id), clean(name)) }
	row(v.id("how"), v.say("how"))
	for _, g := range v.groups {
		fmt.Fprintf(v, "<li><a href=\"#%s\">%s</a>\n<ul>\n", clean(g.id), clean(g.name))
		for _, t := range g.trees {
			row(v.kindID(t), v.text(t.Name))
		}
		v.WriteString("</ul></li>\n")
	}
	if len(v.parts) > 0 {
		row(v.id("shared"), v.say("shared"))
	}
	row(v.id("practice"), v.say("practice"))
	row(v.id("sources"), v.say("sources"))
	row(v.id("versions"), v.say("versions"))
	v.WriteString("</ul>\n</nav>\n")
}

func (v *volume) howTo() {
	fmt.Fprintf(v, "<section class=\"chapter how\">\n<h2 id=\"%s\">%s</h2>\n", v.id("how"), clean(v.say("how")))
	for _, key := range []string{"how-what", "how-whose", "how-picture", "how-practice", "how-unsure", "how-idle"} {
		v.element("p", "", v.say(key))
	}
	v.WriteString("<figure>\n")
	first := false
	for _, t := range v.pack.Trees {
		first = first || v.text(t.First) != ""
	}
	used := map[shape]bool{terminator: true, process: first, decision: true, preparation: true, predefined: true, connector: true}
	b := legendOf(v.words, used, len(v.parts) > 0)
	p := &pen{flip: v.rtl(), width: sheetWidth + 8}
	fmt.Fprintf(p, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" direction="%s" role="img" aria-labelledby="%s" font-family="sans-serif" fill="#000">`+"\n<title id=\"%s\">%s</title>\n",
		num(sheetWidth+8), num(b.h+8), v.direction(), v.id("legend"), v.id("legend"), clean(v.say("legend")))
	b.draw(p, 4, 4)
	p.WriteString("</svg>\n")
	v.Write(p.Bytes())
	v.WriteString("</figure>\n</section>\n")
}

// toContents closes a chapter for readers at a screen.
func (v *volume) toContents() {
	fmt.Fprintf(v, "<p class=\"back\"><a href=\"#%s\">%s</a></p>\n", v.id("contents"), clean(v.say("to-contents")))
}

func (v *volume) outcomeName(c *chart, o *dialog.Outcome) string {
	return v.say("outcome-verdict", "n", strconv.Itoa(c.number[o.ID]), "verdict", v.say("verdict-"+o.Whether.S))
}
