package dialog

import (
	"fmt"
	"io/fs"
	"path"
	"reflect"
	"slices"
	"strings"
)

// A shared part is a piece of a tree that several kinds use: it is written once, in shared/NAME.yaml, and becomes part of each
// tree that uses it. Where it ends without deciding it takes an exit, and the tree says where each exit leads.

// Use is a tree's wish for a shared part.
type Use struct {
	Shared Word              `yaml:"shared"`
	Exits  map[string]Target `yaml:"exits"`
}

type sharedPart struct {
	Shared   Word     `yaml:"shared"`
	Exits    []Word   `yaml:"exits"`
	Steps    []*Step  `yaml:"steps"`
	Outcomes Outcomes `yaml:"outcomes"`
}

// parts lists the shared parts there are, by name.
func (l *loader) parts() (map[string]string, error) {
	names, err := fs.Glob(l.fs, "shared/*.yaml")
	if err != nil {
		return nil, fmt.Errorf("list shared parts: %w", err)
	}
	out := map[string]string{}
	for _, name := range names {
		out[strings.TrimSuffix(path.Base(name), ".yaml")] = name
	}
	return out, nil
}

// splice makes the shared parts that the tree uses part of it.
func (l *loader) splice(p *Pack, t *Tree) error {
	files, err := l.parts()
	if err != nil {
		return err
	}
	for _, u := range t.Uses {
		file, ok := files[u.Shared.S]
		if !ok {
			l.report.add(t.File, u.Shared, fmt.Sprintf("there is no shared part %q", u.Shared.S), "correct the name, or write shared/"+u.Shared.S+".yaml")
			continue
		}
		part := &sharedPart{} // read anew for each use: every tree has its own copy
		if ok, err := l.read(file, part); err != nil || !ok {
			return err
		}
		stamp(reflect.ValueOf(part), file)
		if part.Shared.S != u.Shared.S {
			l.report.add(file, part.Shared, fmt.Sprintf("shared is %q", part.Shared.S), fmt.Sprintf("write %q, as the file is named", u.Shared.S))
		}
		l.exits(t, u, part, file)
		p.sharedSteps[file] = part.names()
		for _, s := range part.Steps {
			s.shared = file
		}
		for _, o := range part.Outcomes.List {
			o.shared = file
		}
		t.Steps = append(t.Steps, part.Steps...)
		t.Outcomes.List = append(t.Outcomes.List, part.Outcomes.List...)
	}
	t.Outcomes.index()
	return nil
}

func (part *sharedPart) names() map[string]Word {
	out := map[string]Word{}
	for _, s := range part.Steps {
		out["step "+s.Name()] = at(s.Ask, s.ID)
		for purpose, tg := range s.Purpose {
			stands := at(tg.To, tg.End)
			if stands.file == "" {
				stands = at(s.ID) // the target is that of an exit, and stands in the tree's file
			}
			out[branchName(s, purpose)] = stands
		}
	}
	for _, o := range part.Outcomes.List {
		out["outcome "+o.ID] = o.Named
	}
	return out
}

func branchName(s *Step, purpose string) string {
	return fmt.Sprintf("the branch on %q of step %q", purpose, s.Name())
}

// exits puts the tree's own targets in the place of the part's exits.
func (l *loader) exits(t *Tree, u Use, part *sharedPart, file string) {
	known := map[string]bool{}
	for _, e := range part.Exits {
		known[e.S] = true
		if _, ok := u.Exits[e.S]; !ok {
			l.report.add(t.File, u.Shared, fmt.Sprintf("exit %q of %q leads nowhere", e.S, u.Shared.S), "say under exits where it leads")
		}
	}
	for _, k := range sortedKeys(u.Exits) {
		if !known[k] {
			l.report.add(t.File, at(u.Exits[k].To, u.Exits[k].End, u.Shared), fmt.Sprintf("%q has no exit %q", u.Shared.S, k), "take those that "+file+" names")
		}
	}
	resolve := func(tg *Target) {
		if tg.Exit.S == "" {
			return
		}
		if !known[tg.Exit.S] {
			l.report.add(file, tg.Exit, fmt.Sprintf("exit %q is not among the exits of the part", tg.Exit.S), "add it to exits, or correct the name")
		}
		*tg = u.Exits[tg.Exit.S]
	}
	for _, s := range part.Steps {
		for _, a := range s.Answers {
			resolve(&a.Target)
		}
		if s.Unsure != nil {
			resolve(&s.Unsure.Target)
		}
		for _, m := range []map[string]Target{s.Positions, s.Purpose} {
			for k, tg := range m {
				resolve(&tg)
				m[k] = tg
			}
		}
	}
}

// stamp writes the file into every word below v, so that mistakes are reported where they stand.
func stamp(v reflect.Value, file string) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			stamp(v.Elem(), file)
		}
	case reflect.Slice:
		for i := range v.Len() {
			stamp(v.Index(i), file)
		}
	case reflect.Map:
		for _, k := range v.MapKeys() {
			fresh := reflect.New(v.Type().Elem()).Elem()
			fresh.Set(v.MapIndex(k))
			stamp(fresh, file)
			v.SetMapIndex(k, fresh)
		}
	case reflect.Struct:
		if w, ok := v.Addr().Interface().(*Word); ok {
			w.file = file
			return
		}
		for i := range v.NumField() {
			if f := v.Field(i); f.CanSet() {
				stamp(f, file)
			}
		}
	}
}

// trim takes out of the tree's shared steps the branches on purposes that never come to them here: an outcome that only another
// kind's members are told is none of this one's. It remembers those that do.
func (c *checker) trim(t *Tree) {
	come := map[*Step]map[string]bool{}
	var visit func(tg Target, purpose string)
	visit = func(tg Target, purpose string) {
		s := t.steps[tg.To.S]
		if s == nil || come[s][purpose] {
			return
		}
		if come[s] == nil {
			come[s] = map[string]bool{}
		}
		come[s][purpose] = true
		next := s.Targets()
		if s.Purpose != nil {
			next = []Target{s.Purpose[purpose]}
		}
		for _, tg := range next {
			visit(tg, purpose)
		}
	}
	for _, purpose := range Purposes() {
		visit(t.Start, purpose)
	}
	for s, purposes := range come {
		if s.shared == "" {
			continue
		}
		for purpose := range s.Purpose {
			if purposes[purpose] {
				delete(c.pack.sharedSteps[s.shared], branchName(s, purpose))
			} else if slices.Contains(Purposes(), purpose) {
				delete(s.Purpose, purpose)
			}
		}
	}
}

// prune takes out of the tree what it does not reach of its shared parts, and remembers what it does.
func (c *checker) prune(t *Tree, reached func(step string) bool, ended func(outcome string) bool) {
	t.Steps = slices.DeleteFunc(t.Steps, func(s *Step) bool {
		if s.shared == "" {
			return false
		}
		if reached(s.Name()) {
			delete(c.pack.sharedSteps[s.shared], "step "+s.Name())
			return false
		}
		return true
	})
	t.Outcomes.List = slices.DeleteFunc(t.Outcomes.List, func(o *Outcome) bool {
		if o.shared == "" {
			return false
		}
		if ended(o.ID) {
			delete(c.pack.sharedSteps[o.shared], "outcome "+o.ID)
			return false
		}
		return true
	})
	t.Outcomes.index()
}

// unusedParts reports shared parts that no tree uses, and pieces of them that no tree reaches.
func (c *checker) unusedParts(files map[string]string) {
	for _, name := range sortedKeys(files) {
		file := files[name]
		left, used := c.pack.sharedSteps[file]
		if !used {
			c.report.add(file, Word{}, "no kind uses this part", "use it, or remove it")
			continue
		}
		for _, what := range sortedKeys(left) {
			c.report.add(file, left[what], "no kind reaches "+what, "lead an answer to it, or remove it")
		}
	}
}
