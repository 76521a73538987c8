package paper

import (
	"fmt"
	"slices"
	"strings"

	"benyomo/internal/idea/dialog"
)

// chapterHead begins one of the last chapters.
func (v *volume) chapterHead(id, key string) {
	fmt.Fprintf(v, "<section class=\"chapter\">\n<h2 id=\"%s\">%s</h2>\n", v.id(id), clean(v.say(key)))
	v.element("p", "", v.say(key+"-what"))
}

// kindLinks lists kinds by name.
func (v *volume) kindLinks(trees []*dialog.Tree) string {
	links := make([]string, len(trees))
	for i, t := range trees {
		links[i] = fmt.Sprintf("<a href=\"#%s\">%s</a>", clean(v.kindID(t)), clean(v.text(t.Name)))
	}
	return strings.Join(links, clean(v.say("list-and")))
}

// linked writes a sentence with a list of links in it.
func (v *volume) linked(class, key, list string) {
	before, after, _ := strings.Cut(v.say(key, "list", "\x00"), "\x00")
	fmt.Fprintf(v, "<p class=\"%s\">%s%s%s</p>\n", class, clean(before), list, clean(after))
}

// shared writes who shares which questions.
func (v *volume) shared() {
	if len(v.parts) == 0 {
		return
	}
	v.chapterHead("shared", "shared")
	for _, pt := range v.parts {
		fmt.Fprintf(v, "<section class=\"entry\">\n<h3 id=\"%s\"><span dir=\"ltr\">%s</span></h3>\n", clean(v.id("part", pt.name)), clean(pt.name))
		v.linked("note", "shared-kinds", v.kindLinks(pt.kinds))
		v.WriteString("<ul>\n")
		before, after, _ := strings.Cut(v.say("shared-step-in", "kind", "\x00"), "\x00")
		for _, r := range pt.rows {
			c := v.charts[r.in]
			text, anchor := "", ""
			if r.step != nil {
				text, anchor = c.text(r.step), stepAnchor(v.kindID(r.in), r.step)
			} else {
				text, anchor = v.text(r.end.Headline), outcomeAnchor(v.kindID(r.in), r.end)
			}
			fmt.Fprintf(v, "<li>%s %s<a href=\"#%s\">%s</a>%s</li>\n", clean(text), clean(before), clean(anchor), clean(v.text(r.in.Name)), clean(after))
		}
		v.WriteString("</ul>\n</section>\n")
	}
	v.toContents()
	v.WriteString("</section>\n")
}

// practice writes the points on which communities differ.
func (v *volume) practice() {
	v.chapterHead("practice", "practice")
	if v.o.Positions == nil {
		v.element("p", "warning", v.say("practice-unknown"))
	}
	for _, sw := range v.pack.Switches {
		fmt.Fprintf(v, "<section class=\"entry\">\n<h3 id=\"%s\">%s</h3>\n<ul>\n", clean(v.id("switch", sw.ID.S)), clean(v.text(sw.About)))
		for _, p := range sw.Positions {
			fmt.Fprintf(v, "<li><b>%s</b> <span class=\"aside\">(%s)</span></li>\n", clean(v.text(p.Label)), clean(v.Sources(p.Sources)))
		}
		v.WriteString("</ul>\n")
		v.ours(sw)
		var in []*dialog.Tree
		for _, t := range v.pack.Trees {
			if slices.ContainsFunc(v.charts[t].places, func(p *place) bool { return p.step.Switch.S == sw.ID.S }) {
				in = append(in, t)
			}
		}
		if len(in) > 0 {
			v.linked("note", "practice-in", v.kindLinks(in))
		} else {
			v.element("p", "note", v.say("practice-nowhere"))
		}
		v.WriteString("</section>\n")
	}
	v.toContents()
	v.WriteString("</section>\n")
}

// ours writes what the community itself practises on a point.
func (v *volume) ours(sw *dialog.Switch) {
	customs := v.customs(sw.ID.S)
	if len(customs) == 0 {
		return
	}
	rows := make([]string, len(customs))
	for i, c := range customs {
		position := v.say("not-set")
		if c.position != nil {
			position = v.text(c.position.Label)
		}
		rows[i] = v.say("position-of", "who", c.who, "position", position)
	}
	fmt.Fprintf(v, "<p class=\"ours\"><b>%s</b></p>\n<ul class=\"ours\">\n", clean(v.say("practice-ours")))
	for _, r := range rows {
		v.element("li", "", r)
	}
	v.WriteString("</ul>\n")
}

// table begins a table with its heads.
func (v *volume) table(id string, heads ...string) {
	fmt.Fprintf(v, "<table aria-labelledby=\"%s\">\n<thead><tr>", v.id(id))
	for _, h := range heads {
		fmt.Fprintf(v, "<th scope=\"col\">%s</th>", clean(v.say(h)))
	}
	v.WriteString("</tr></thead>\n<tbody>\n")
}

// sources writes every source of the pack, with how it was checked.
func (v *volume) sources() {
	v.chapterHead("sources", "sources")
	v.table("sources", "source", "checked")
	for _, s := range v.pack.Sources {
		fmt.Fprintf(v, "<tr><td>%s</td><td>%s</td></tr>\n", clean(s.Cite(v.Lang)), clean(v.say("checked-"+s.Checked.S)))
	}
	v.WriteString("</tbody>\n</table>\n")
	v.toContents()
	v.WriteString("</section>\n")
}

// versions writes the hashes of every dialog, and its approval.
func (v *volume) versions() {
	v.chapterHead("versions", "versions")
	v.table("versions", "col-kind", "col-logic", "col-words", "col-approval")
	for _, t := range v.pack.Trees {
		fmt.Fprintf(v, "<tr><th scope=\"row\">%s</th><td><code>%s</code></td><td><code>%s</code></td><td>%s</td></tr>\n",
			v.kindLinks([]*dialog.Tree{t}), clean(t.Logic()), clean(t.Words(v.Lang)), clean(v.standing(t)))
	}
	v.WriteString("</tbody>\n</table>\n")
	v.toContents()
	v.WriteString("</section>\n")
}
