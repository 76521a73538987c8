package dialog

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"
)

var idShape = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)

// idLimit bounds ids, in bytes: button data holds one of them and has 64 bytes in all.
const idLimit = 32

// checker looks for everything that is wrong with a pack that decoded.
type checker struct {
	pack      *Pack
	report    *report
	undecoded bool // some kind could not be decoded, and is missing in the pack
}

func (c *checker) all() {
	c.index()
	c.groups()
	c.sources()
	c.methodsAndCautions()
	c.switches()
	c.sentences()
	for _, t := range c.pack.Trees {
		c.tree(t)
	}
	c.finding()
}

// index fills the look-ups of the pack.
func (c *checker) index() {
	for _, s := range c.pack.Switches {
		c.pack.switches[s.ID.S] = s
	}
	for _, s := range c.pack.Sources {
		c.pack.sources[s.ID.S] = s
	}
	for _, m := range c.pack.Methods {
		c.pack.methods[m.ID.S] = m
	}
	for _, x := range c.pack.Cautions {
		c.pack.cautions[x.ID.S] = x
	}
	for _, t := range c.pack.Trees {
		c.pack.trees[t.Kind.S] = t
	}
}

func (c *checker) languages() {
	if len(c.pack.Languages) == 0 {
		c.report.add(fileLanguages, Word{}, "there is no language", "add one with code, name and direction")
	}
	seen := map[string]bool{}
	for _, l := range c.pack.Languages {
		if !idShape.MatchString(l.Code.S) {
			c.report.add(fileLanguages, l.Code, fmt.Sprintf("language code %q", l.Code.S), "write a code such as en or he")
		}
		if seen[l.Code.S] {
			c.report.add(fileLanguages, l.Code, fmt.Sprintf("language %q stands twice", l.Code.S), "remove one")
		}
		seen[l.Code.S] = true
		if l.Name.S == "" {
			c.report.add(fileLanguages, l.Code, "the language has no name", "add its name in the language itself")
		}
		if l.Direction.S != "ltr" && l.Direction.S != "rtl" {
			c.report.add(fileLanguages, l.Direction, fmt.Sprintf("direction %q", l.Direction.S), "write ltr or rtl")
		}
	}
}

func (c *checker) sources() {
	seen := map[string]bool{}
	for _, s := range c.pack.Sources {
		c.id(fileSources, s.ID, "source", seen)
		c.text(fileSources, s.ID, "title", s.Title, 200)
		if len(s.Section) > 0 {
			c.text(fileSources, s.ID, "section", s.Section, 100)
		}
		if !slices.Contains([]string{"read", "memory", "none"}, s.Checked.S) {
			c.report.add(fileSources, at(s.Checked, s.ID), fmt.Sprintf("checked is %q", s.Checked.S), "write read, memory or none")
		}
	}
}

func (c *checker) groups() {
	seen := map[string]bool{}
	for _, g := range c.pack.Groups {
		c.id(fileGroups, g.ID, "group", seen)
		c.text(fileGroups, g.ID, "name", g.Name, labelLimit)
		if len(c.pack.InGroup(g.ID.S)) == 0 && !c.undecoded {
			c.report.add(fileGroups, g.ID, fmt.Sprintf("group %q has no kind", g.ID.S), "put a kind in it, or remove it")
		}
	}
}

func (c *checker) methodsAndCautions() {
	seen := map[string]bool{}
	for _, m := range c.pack.Methods {
		c.id(fileMethods, m.ID, "method", seen)
		c.text(fileMethods, m.ID, "name", m.Name, 60)
		c.text(fileMethods, m.ID, "gloss", m.Gloss, 120)
	}
	seen = map[string]bool{}
	for _, x := range c.pack.Cautions {
		c.id(fileCautions, x.ID, "caution", seen)
		c.text(fileCautions, x.ID, "text", x.Text, 300)
	}
}

func (c *checker) switches() {
	seen := map[string]bool{}
	for _, s := range c.pack.Switches {
		c.id(filePolicy, s.ID, "switch", seen)
		c.text(filePolicy, s.ID, "about", s.About, 200)
		if len(s.Positions) < 2 {
			c.report.add(filePolicy, s.ID, fmt.Sprintf("switch %q has %d positions", s.ID.S, len(s.Positions)), "give at least two, or remove the switch")
		}
		inner := map[string]bool{}
		for _, p := range s.Positions {
			c.id(filePolicy, p.ID, "position", inner)
			c.text(filePolicy, p.ID, "label", p.Label, labelLimit)
			c.cites(filePolicy, p.ID, p.Sources)
		}
	}
}

// sentences compares the languages: each must have the keys of the first, with the same places for values.
func (c *checker) sentences() {
	if len(c.pack.Languages) == 0 {
		return
	}
	first := c.pack.sentences[c.pack.Languages[0].Code.S]
	if first == nil {
		return
	}
	for _, l := range c.pack.Languages {
		f := c.pack.sentences[l.Code.S]
		if f == nil {
			continue
		}
		for _, k := range sortedKeys(first.at) {
			w, ok := f.at[k]
			switch {
			case !ok:
				c.report.add(f.file, Word{}, fmt.Sprintf("sentence %q is missing in %s", k, l.Code.S), fmt.Sprintf("translate %q", clip(first.at[k].S)))
			case strings.Trim(w.S, "\r\n") == "": // a space alone joins two sentences
				c.report.add(f.file, w, fmt.Sprintf("sentence %q is empty", k), "write it")
			case !slices.Equal(places(w.S), places(first.at[k].S)):
				c.report.add(f.file, w, fmt.Sprintf("sentence %q has the places %v, not %v", k, places(w.S), places(first.at[k].S)), "use the same {places} as "+first.file)
			}
		}
		for _, k := range sortedKeys(f.at) {
			if _, ok := first.at[k]; !ok {
				c.report.add(f.file, f.at[k], fmt.Sprintf("sentence %q is not in %s", k, first.file), "remove it, or add it there")
			}
		}
	}
}

var placeShape = regexp.MustCompile(`\{[a-z]+\}`)

func places(s string) []string {
	p := placeShape.FindAllString(s, -1)
	slices.Sort(p)
	return slices.Compact(p)
}

// id checks the shape and uniqueness of an id.
func (c *checker) id(file string, w Word, what string, seen map[string]bool) {
	switch {
	case !idShape.MatchString(w.S) || len(w.S) > idLimit:
		c.report.add(file, w, fmt.Sprintf("%s id %q", what, w.S), fmt.Sprintf("use lower-case letters, digits and hyphens, at most %d", idLimit))
	case seen[w.S]:
		c.report.add(file, w, fmt.Sprintf("%s %q stands twice", what, w.S), "rename or remove one")
	}
	seen[w.S] = true
}

// text checks that a text has every language, and no more than limit characters in each.
func (c *checker) text(file string, near Word, what string, t Text, limit int) {
	for _, l := range c.pack.Languages {
		code := l.Code.S
		w, ok := t[code]
		switch {
		case !ok:
			c.report.add(file, near, fmt.Sprintf("%s lacks the language %s", what, code), "add it")
		case strings.TrimSpace(w.S) == "":
			c.report.add(file, w, fmt.Sprintf("%s is empty in %s", what, code), "write it")
		case utf8.RuneCountInString(w.S) > limit:
			c.report.add(file, w, fmt.Sprintf("%s has %d characters in %s", what, utf8.RuneCountInString(w.S), code), fmt.Sprintf("shorten it to %d", limit))
		}
	}
	for _, code := range sortedKeys(t) {
		if !c.pack.HasLanguage(code) {
			c.report.add(file, t[code], fmt.Sprintf("%s has the unknown language %q", what, code), "add the language to "+fileLanguages+", or remove it")
		}
	}
}

func (c *checker) cites(file string, near Word, ids []Word) {
	if len(ids) == 0 {
		c.report.add(file, near, fmt.Sprintf("%q names no source", near.S), "name one of "+fileSources+", or common-practice")
	}
	for _, w := range ids {
		if c.pack.sources[w.S] == nil {
			c.report.add(file, w, fmt.Sprintf("there is no source %q", w.S), "add it to "+fileSources+", or correct the name")
		}
	}
}

// at takes the first word that has a place.
func at(ws ...Word) Word {
	for _, w := range ws {
		if w.Line > 0 {
			return w
		}
	}
	return Word{}
}

func clip(s string) string {
	s = strings.Join(strings.Fields(s), " ")
	if r := []rune(s); len(r) > 60 {
		return string(r[:60]) + "…"
	}
	return s
}
