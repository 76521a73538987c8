package dialog

import (
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
)

type sentenceFile struct {
	file string
	at   map[string]Word
}

// Load reads and checks a folder of dialogs. Where anything is wrong the error is Mistakes, with all of them;
// other errors are those of reading the folder.
func Load(fsys fs.FS) (*Pack, error) { return load(fsys, &report{}) }

func load(fsys fs.FS, r *report) (*Pack, error) {
	r.lines = map[string][]string{}
	l := &loader{fs: fsys, report: r}
	p := &Pack{
		Sentences: map[string]map[string]string{}, trees: map[string]*Tree{}, switches: map[string]*Switch{},
		sources: map[string]*Source{}, methods: map[string]*Method{}, cautions: map[string]*Caution{},
		demo: map[string]map[string]string{}, sentences: map[string]*sentenceFile{}, sharedSteps: map[string]map[string]Word{},
	}
	if err := l.shared(p); err != nil {
		return nil, err
	}
	if err := l.kinds(p); err != nil {
		return nil, err
	}
	if l.whole {
		c := &checker{pack: p, report: l.report, undecoded: l.undecoded}
		c.all()
		parts, err := l.parts()
		if err != nil {
			return nil, err
		}
		if len(l.report.list) == 0 {
			c.unusedParts(parts)
		}
	}
	if err := l.report.err(); err != nil {
		return nil, err
	}
	p.lines = r.lines
	for _, t := range p.Trees {
		t.hash(p)
	}
	return p, nil
}

type loader struct {
	fs        fs.FS
	report    *report
	guide     string // where an author reads what may stand in the files; "" is docs/dialogs.md
	undecoded bool   // some kind could not be decoded
	whole     bool   // the shared files could be read and the languages are right: only then do further checks mean anything
}

func (l *loader) shared(p *Pack) error {
	var langs struct {
		Languages []Language `yaml:"languages"`
	}
	var groups struct {
		Groups []*Group `yaml:"groups"`
	}
	var policy struct {
		Switches []*Switch `yaml:"switches"`
	}
	var sources struct {
		Sources []*Source `yaml:"sources"`
	}
	var methods struct {
		Methods []*Method `yaml:"methods"`
	}
	var cautions struct {
		Cautions []*Caution `yaml:"cautions"`
	}
	for _, f := range []struct {
		name string
		into any
	}{
		{fileLanguages, &langs}, {fileGroups, &groups}, {filePolicy, &policy}, {fileSources, &sources}, {fileMethods, &methods}, {fileCautions, &cautions},
	} {
		if _, err := l.read(f.name, f.into); err != nil {
			return err
		}
	}
	p.Languages, p.Groups, p.Switches, p.Sources, p.Methods, p.Cautions =
		langs.Languages, groups.Groups, policy.Switches, sources.Sources, methods.Methods, cautions.Cautions
	if len(l.report.list) == 0 {
		c := &checker{pack: p, report: l.report}
		c.languages() // before all else: every text is checked against them
	}
	l.whole = len(l.report.list) == 0
	for _, g := range p.Languages {
		if !idShape.MatchString(g.Code.S) {
			continue // reported above; there can be no such file
		}
		if err := l.sentences(p, g.Code.S); err != nil {
			return err
		}
	}
	if _, err := fs.Stat(l.fs, fileDemo); err == nil && l.whole {
		if err := l.demo(p); err != nil {
			return err
		}
	}
	if err := l.planning(p); err != nil {
		return err
	}
	return l.finding(p)
}

func (l *loader) sentences(p *Pack, lang string) error {
	name := path.Join("sentences", lang+".yaml")
	var words map[string]Word
	if ok, err := l.read(name, &words); err != nil || !ok {
		return err
	}
	p.sentences[lang] = &sentenceFile{file: name, at: words}
	plain := make(map[string]string, len(words))
	for k, w := range words {
		plain[k] = strings.Trim(w.S, "\r\n") // inner and outer spaces count: some sentences join others
	}
	p.Sentences[lang] = plain
	return nil
}

func (l *loader) demo(p *Pack) error {
	var d struct {
		Positions map[string]map[string]Word `yaml:"positions"`
	}
	if ok, err := l.read(fileDemo, &d); err != nil || !ok {
		return err
	}
	for id, by := range d.Positions {
		p.demo[id] = map[string]string{}
		for custom, w := range by {
			p.demo[id][custom] = w.S
			if custom != "any" && custom != "ashkenazi" && custom != "sephardi" {
				l.report.add(fileDemo, w, fmt.Sprintf("unknown custom %q", custom), "write any, ashkenazi or sephardi")
			}
		}
	}
	c := &checker{pack: p, report: l.report}
	c.index()
	for _, id := range sortedKeys(d.Positions) {
		for _, custom := range sortedKeys(d.Positions[id]) {
			w := d.Positions[id][custom]
			sw := p.switches[id]
			if sw == nil {
				l.report.add(fileDemo, w, fmt.Sprintf("there is no switch %q", id), "take a switch of "+filePolicy)
			} else if sw.Position(w.S) == nil {
				l.report.add(fileDemo, w, fmt.Sprintf("switch %q has no position %q", id, w.S), "take one of "+positionList(sw))
			}
		}
	}
	return nil
}

func (l *loader) kinds(p *Pack) error {
	names, err := fs.Glob(l.fs, "kinds/*.yaml")
	if err != nil {
		return fmt.Errorf("list kinds: %w", err)
	}
	slices.Sort(names)
	for _, name := range names {
		t := &Tree{File: name}
		ok, err := l.read(name, t)
		if err != nil {
			return err
		}
		if !ok {
			l.undecoded = true
			continue // it could not be decoded: what follows from that is noise
		}
		if err := l.splice(p, t); err != nil {
			return err
		}
		p.Trees = append(p.Trees, t)
	}
	others, err := fs.Glob(l.fs, "kinds/*.yml")
	if err != nil {
		return fmt.Errorf("list kinds: %w", err)
	}
	for _, name := range others {
		l.report.add(name, Word{}, "the file is not read", "let its name end in .yaml")
	}
	if len(names) == 0 {
		l.report.add("kinds", Word{}, "there is no kind of item", "add kinds/KIND.yaml")
	}
	return nil
}

// UnmarshalYAML reads the list of outcomes and fills the look-ups.
func (o *Outcomes) UnmarshalYAML(n ast.Node) error {
	seq, ok := n.(*ast.SequenceNode)
	if !ok {
		return &shapeError{tk: firstToken(n), want: "a list of outcomes, each with its id"}
	}
	for _, v := range seq.Values {
		out := &Outcome{}
		if err := yaml.NodeToValue(v, out, yaml.Strict()); err != nil {
			return err
		}
		out.ID = out.Named.S
		if out.Named.Line == 0 {
			p := v.GetToken().Position
			out.Named.Line, out.Named.Col = p.Line, p.Column
		}
		o.List = append(o.List, out)
	}
	o.index()
	return nil
}

func (o *Outcomes) index() {
	o.byID = map[string]*Outcome{}
	for _, out := range o.List {
		o.byID[out.ID] = out
	}
}

const (
	fileLanguages = "languages.yaml"
	fileGroups    = "groups.yaml"
	filePolicy    = "policy.yaml"
	fileSources   = "sources.yaml"
	fileMethods   = "methods.yaml"
	fileCautions  = "cautions.yaml"
	fileDemo      = "demo.yaml"
)

func positionList(s *Switch) string {
	ids := make([]string, len(s.Positions))
	for i, p := range s.Positions {
		ids[i] = p.ID.S
	}
	return strings.Join(ids, ", ")
}
