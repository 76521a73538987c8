package paper

import (
	"path"
	"strings"

	"benyomo/internal/idea/dialog"
)

// partOf names the shared part from which a step or an outcome of a tree comes, or "".
func partOf(of interface{ Shared() string }) string {
	if of.Shared() == "" {
		return ""
	}
	return strings.TrimSuffix(path.Base(of.Shared()), ".yaml")
}

// part is a shared part as the kinds use it: what it asks and what it comes to, each once, with the first kind that reaches it.
type part struct {
	name  string
	kinds []*dialog.Tree
	rows  []partRow
}

// partRow is a step or an outcome of a part, in a kind that uses it.
type partRow struct {
	in   *dialog.Tree
	step *dialog.Step // or end
	end  *dialog.Outcome
}

// parts lists the shared parts of a pack in the order in which its kinds name them. The branch on the purpose is nothing that a
// reader would look for, and is left out.
func parts(p *dialog.Pack) []*part {
	var list []*part
	by := map[string]*part{}
	for _, t := range p.Trees {
		for _, u := range t.Uses {
			pt := by[u.Shared.S]
			if pt == nil {
				pt = &part{name: u.Shared.S}
				by[u.Shared.S] = pt
				list = append(list, pt)
			}
			if len(pt.kinds) == 0 || pt.kinds[len(pt.kinds)-1] != t {
				pt.kinds = append(pt.kinds, t)
			}
		}
	}
	seen := map[string]bool{}
	add := func(name, what string, r partRow) {
		if pt := by[name]; pt != nil && !seen[name+" "+what] {
			seen[name+" "+what] = true
			pt.rows = append(pt.rows, r)
		}
	}
	for _, t := range p.Trees {
		for _, s := range t.Steps {
			switch {
			case s.Switch.S != "":
				add(partOf(s), "switch "+s.Switch.S, partRow{in: t, step: s})
			case s.IsQuestion():
				add(partOf(s), "ask "+s.Name(), partRow{in: t, step: s})
			}
		}
	}
	for _, t := range p.Trees {
		for _, o := range t.Outcomes.List {
			add(partOf(o), "end "+o.ID, partRow{in: t, end: o})
		}
	}
	return list
}
