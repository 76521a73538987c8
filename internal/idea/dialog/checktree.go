package dialog

import (
	"fmt"
	"path"
	"slices"
	"strings"
	"unicode/utf8"
)

func (c *checker) tree(t *Tree) {
	want := strings.TrimSuffix(path.Base(t.File), ".yaml")
	if t.Kind.S != want || !idShape.MatchString(t.Kind.S) || len(t.Kind.S) > idLimit {
		c.report.add(t.File, t.Kind, fmt.Sprintf("kind is %q", t.Kind.S), fmt.Sprintf("write %q, as the file is named", want))
	}
	c.text(t.File, t.Kind, "name", t.Name, labelLimit)
	if !slices.ContainsFunc(c.pack.Groups, func(g *Group) bool { return g.ID.S == t.Group.S }) {
		c.report.add(t.File, at(t.Group, t.Kind), fmt.Sprintf("group is %q", t.Group.S), "take a group of "+fileGroups)
	}
	for _, lang := range sortedKeys(t.Aliases) {
		if !c.pack.HasLanguage(lang) && len(t.Aliases[lang]) > 0 {
			c.report.add(t.File, t.Aliases[lang][0], fmt.Sprintf("aliases have the unknown language %q", lang), "use a language of "+fileLanguages)
		}
	}
	if len(t.First) > 0 {
		c.text(t.File, t.Kind, "first", t.First, 600)
	}
	if t.Urgent && !t.Intake {
		c.report.add(t.File, t.Kind, "only an intake can be urgent", "add intake: true, or remove urgent")
	}
	t.steps = map[string]*Step{}
	seen := map[string]bool{}
	for _, s := range t.Steps {
		c.id(t.File, at(s.Ask, s.ID), "step", seen)
		t.steps[s.Name()] = s
	}
	if t.Outcomes.byID == nil {
		t.Outcomes.byID = map[string]*Outcome{}
	}
	c.target(t, t.Start, t.Kind, "start")
	for _, s := range t.Steps {
		c.step(t, s)
	}
	ids := map[string]bool{}
	for _, o := range t.Outcomes.List {
		c.id(t.File, o.Named, "outcome", ids)
		c.outcome(t, o)
	}
	c.reach(t)
}

func (c *checker) step(t *Tree, s *Step) {
	kinds := 0
	for _, set := range []bool{s.Ask.S != "", s.Switch.S != "", s.Purpose != nil} {
		if set {
			kinds++
		}
	}
	near := at(s.Ask, s.ID, s.Switch)
	if kinds != 1 {
		c.report.add(t.File, near, fmt.Sprintf("step %q has %d of ask, switch and purpose", s.Name(), kinds), "give exactly one")
		return
	}
	c.foreign(t, s, near)
	switch {
	case s.IsQuestion():
		c.question(t, s)
	case s.Switch.S != "":
		c.policyStep(t, s, near)
	default:
		if len(s.Purpose) == 0 {
			c.report.add(t.File, near, fmt.Sprintf("step %q leads on for no purpose", s.Name()), "name at least one of "+strings.Join(Purposes(), ", "))
		}
		for _, p := range Purposes() {
			if tg, ok := s.Purpose[p]; ok {
				c.target(t, tg, near, "purpose "+p)
			}
		}
		for _, k := range sortedKeys(s.Purpose) {
			if !slices.Contains(Purposes(), k) {
				c.report.add(t.File, at(s.Purpose[k].To, s.Purpose[k].End, near), fmt.Sprintf("there is no purpose %q", k), "use "+strings.Join(Purposes(), ", "))
			}
		}
	}
}

// foreign reports what a step holds that belongs to another kind of step: it would be read and never used.
func (c *checker) foreign(t *Tree, s *Step, near Word) {
	question, policy := s.IsQuestion(), s.Switch.S != ""
	for _, part := range []struct {
		name    string
		there   bool
		belongs bool
	}{
		{"id", s.ID.S != "", !question},
		{"text", len(s.Text) > 0, question},
		{"why", len(s.Why) > 0, question},
		{"photo", s.Photo, question},
		{"answers", len(s.Answers) > 0, question},
		{"unsure", s.Unsure != nil, question},
		{"positions", len(s.Positions) > 0, policy},
	} {
		if part.there && !part.belongs {
			c.report.add(t.File, near, fmt.Sprintf("step %q has %s, which it does not use", s.Name(), part.name), "remove it, or make it another kind of step")
		}
	}
}

func (c *checker) question(t *Tree, s *Step) {
	c.text(t.File, s.Ask, "text", s.Text, 600)
	c.text(t.File, s.Ask, "why", s.Why, 600)
	if len(s.Answers) < minAnswers || len(s.Answers) > maxAnswers {
		c.report.add(t.File, s.Ask, fmt.Sprintf("question %q has %d answers", s.Ask.S, len(s.Answers)), fmt.Sprintf("give %d to %d", minAnswers, maxAnswers))
	}
	seen := map[string]bool{UnsureFact: true}
	for _, a := range s.Answers {
		if a.ID.S == UnsureFact {
			c.report.add(t.File, a.ID, "an answer is called unsure", "every question offers 'not sure' by itself; write its test under unsure")
			continue
		}
		c.id(t.File, a.ID, "answer", seen)
		c.text(t.File, a.ID, "label", a.Label, labelLimit)
		c.target(t, a.Target, a.ID, fmt.Sprintf("answer %q", a.ID.S))
	}
	if u := s.Unsure; u != nil {
		if len(u.Test) > 0 {
			c.text(t.File, s.Ask, "test", u.Test, 700)
		}
		if len(u.Holds) > 0 {
			c.text(t.File, s.Ask, "holds", u.Holds, 300)
			if u.Zero() {
				c.report.add(t.File, s.Ask, fmt.Sprintf("'not sure' at %q holds and leads nowhere", s.Ask.S), "add to or end, or remove holds")
			}
		}
		if !u.Zero() {
			c.target(t, u.Target, s.Ask, "unsure")
		}
	}
}

func (c *checker) policyStep(t *Tree, s *Step, near Word) {
	sw := c.pack.switches[s.Switch.S]
	if sw == nil {
		c.report.add(t.File, s.Switch, fmt.Sprintf("there is no switch %q", s.Switch.S), "add it to "+filePolicy+", or correct the name")
		return
	}
	for _, p := range sw.Positions {
		if tg, ok := s.Positions[p.ID.S]; !ok {
			c.report.add(t.File, near, fmt.Sprintf("position %q of switch %q is not answered", p.ID.S, sw.ID.S), "say where it leads")
		} else {
			c.target(t, tg, near, fmt.Sprintf("position %q", p.ID.S))
		}
	}
	for _, k := range sortedKeys(s.Positions) {
		if sw.Position(k) == nil {
			c.report.add(t.File, at(s.Positions[k].To, s.Positions[k].End, near), fmt.Sprintf("switch %q has no position %q", sw.ID.S, k), "take one of "+positionList(sw))
		}
	}
}

func (c *checker) target(t *Tree, tg Target, near Word, what string) {
	switch {
	case tg.Exit.S != "":
		c.report.add(t.File, tg.Exit, what+" takes an exit", "write to or end: only a shared part has exits")
	case tg.To.S != "" && tg.End.S != "":
		c.report.add(t.File, tg.To, what+" has both to and end", "keep one")
	case tg.Zero():
		c.report.add(t.File, near, what+" leads nowhere", "add to: STEP or end: OUTCOME")
	case tg.To.S != "" && t.steps[tg.To.S] == nil:
		c.report.add(t.File, tg.To, fmt.Sprintf("there is no step %q", tg.To.S), "correct the name, or write the step")
	case tg.End.S != "" && t.Outcomes.byID[tg.End.S] == nil:
		c.report.add(t.File, tg.End, fmt.Sprintf("there is no outcome %q", tg.End.S), "correct the name, or write the outcome")
	}
}

func (c *checker) outcome(t *Tree, o *Outcome) {
	id := o.Named
	verdicts := []string{Kasher, Cannot, WashOnly, NotNeeded, AskRabbi}
	if !slices.Contains(verdicts, o.Whether.S) {
		c.report.add(t.File, at(o.Whether, id), fmt.Sprintf("whether is %q", o.Whether.S), "write one of "+strings.Join(verdicts, ", "))
	}
	if t.Intake && o.Whether.S != AskRabbi {
		c.report.add(t.File, id, fmt.Sprintf("outcome %q of an intake rules", o.ID), "write whether: ask; an intake only collects facts")
	}
	c.text(t.File, id, "headline", o.Headline, 300)
	for _, s := range o.Steps {
		c.text(t.File, id, "step", s, 400)
	}
	c.method(t, o, id)
	c.timeline(t, o, id)
	if o.Whether.S == Cannot && len(o.Instead) == 0 {
		c.report.add(t.File, id, fmt.Sprintf("outcome %q says no and offers nothing", o.ID), "add instead: what to do in its place")
	}
	if len(o.Instead) > 0 {
		c.text(t.File, id, "instead", o.Instead, 500)
	}
	c.cites(t.File, id, o.Sources)
	ways := []string{AtHome, KasherDay, ByVisit, PutAway}
	for _, w := range o.Ways {
		if !slices.Contains(ways, w.S) {
			c.report.add(t.File, w, fmt.Sprintf("there is no way %q", w.S), "take from "+strings.Join(ways, ", "))
		}
	}
	for _, l := range c.pack.Languages {
		if n := utf8.RuneCountInString(o.plain(c.pack, l.Code.S)); n > outcomeText {
			c.report.add(t.File, id, fmt.Sprintf("outcome %q has %d characters in %s", o.ID, n, l.Code.S), fmt.Sprintf("shorten it to %d, to fit one message", outcomeText))
		}
	}
}

func (c *checker) method(t *Tree, o *Outcome, id Word) {
	m := c.pack.methods[o.Method.S]
	if m == nil {
		c.report.add(t.File, at(o.Method, id), fmt.Sprintf("there is no method %q", o.Method.S), "take one of "+fileMethods)
		return
	}
	hot := m.Hot
	for _, s := range o.Timeline {
		hot = hot || s.Heating.S != ""
	}
	if hot && len(o.Cautions) == 0 {
		c.report.add(t.File, id, fmt.Sprintf("outcome %q uses heat and has no cautions", o.ID), "name those of "+fileCautions+" that apply")
	}
	for _, w := range o.Cautions {
		if c.pack.cautions[w.S] == nil {
			c.report.add(t.File, w, fmt.Sprintf("there is no caution %q", w.S), "add it to "+fileCautions+", or correct the name")
		}
	}
}

func (c *checker) timeline(t *Tree, o *Outcome, id Word) {
	seen := map[string]bool{}
	for i, s := range o.Timeline {
		near := at(s.Wait, s.Heating, id)
		switch {
		case (s.Wait.S == "") == (s.Heating.S == ""):
			c.report.add(t.File, near, "a stage of the timeline is not exactly one of wait and heating", "give one")
		case s.Wait.S != "" && s.Wait.S != Idle && s.Wait.S != Soak:
			c.report.add(t.File, near, fmt.Sprintf("there is no wait %q", s.Wait.S), "the waits are idle and soak")
		case s.Wait.S == Idle && i > 0:
			c.report.add(t.File, near, "the idle wait does not stand first", "put it at the head of the timeline")
		case s.Wait.S == Soak:
			c.text(t.File, near, "label", s.Label, 120)
		case s.Heating.S != "":
			c.id(t.File, s.Heating, "heating", seen)
			c.text(t.File, near, "label", s.Label, 120)
		}
		if s.Minutes <= 0 || s.Minutes > 14*24*60 {
			c.report.add(t.File, near, fmt.Sprintf("the stage lasts %d minutes", s.Minutes), "give a length between 1 minute and 14 days")
		}
		if s.Wait.S != "" && s.Cool != 0 {
			c.report.add(t.File, near, "a wait does not cool", "remove cool; only a heating has it")
		}
		if s.Cool < 0 || s.Cool > 24*60 {
			c.report.add(t.File, near, fmt.Sprintf("it cools for %d minutes", s.Cool), "give 0 to 1440")
		}
	}
}

// plain is everything that an outcome says in a language, for measuring and hashing.
func (o *Outcome) plain(p *Pack, lang string) string {
	var b strings.Builder
	line := func(s string) { b.WriteString(s); b.WriteByte('\n') }
	line(o.Headline.In(lang))
	if m := p.methods[o.Method.S]; m != nil {
		line(m.Name.In(lang) + " " + m.Gloss.In(lang))
	}
	for _, w := range o.Cautions {
		if x := p.cautions[w.S]; x != nil {
			line(x.Text.In(lang))
		}
	}
	for _, s := range o.Steps {
		line(s.In(lang))
	}
	for _, s := range o.Timeline {
		line(s.Label.In(lang))
	}
	line(o.Instead.In(lang))
	for _, w := range o.Sources {
		if s := p.sources[w.S]; s != nil {
			line(s.Cite(lang))
		}
	}
	return b.String()
}
