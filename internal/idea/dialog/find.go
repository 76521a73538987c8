package dialog

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"benyomo/internal/idea/linear"
)

// Finding is what helps to recognise kinds of item in typed words, apart from the names and aliases of the trees. All of it is
// words, by language: a further language needs no program. What the groups mean is the business of the package find.
type Finding struct {
	// Groups are words and phrases under a name, by language.
	Groups map[string]map[string][]Word `yaml:"groups"`
	// Hints narrow an ambiguous name down to the kind under which they stand, and name nothing by themselves.
	Hints map[string]map[string][]Word `yaml:"hints"`
	// Sounds are letters that are heard alike where a word is spelled by ear.
	Sounds Sounds `yaml:"sounds"`
	// Learned weighs what the words say, as learned from examples; nil where the folder has no file of weights.
	Learned *linear.Model `yaml:"-"`
	// Rules say what the groups found in a text mean together, the first that holds before the later ones.
	Rules []FindRule `yaml:"rules"`
}

// Sounds says by language how letters are replaced before words are compared by ear: each entry is what is written, a space, and what is heard, or
// only what is written where nothing is heard. The earlier entries come before the later ones.
type Sounds struct {
	Letters map[string][]Word `yaml:"letters"`
	Ends    map[string][]Word `yaml:"ends"` // only where a word ends
	Vowels  map[string][]Word `yaml:"vowels"`
}

// FindRule holds where all groups of All, and none of None, have a word in the text. It says one thing: a kind to offer first,
// a purpose that the text names, or that the text is about something else.
type FindRule struct {
	Offer   Word   `yaml:"offer"`
	Purpose Word   `yaml:"purpose"`
	Outside bool   `yaml:"outside"`
	All     []Word `yaml:"all"`
	None    []Word `yaml:"none"`
}

const (
	fileFind    = "find.yaml"
	fileWeights = "find.weights.gz"
)

// Outside is the class of texts about no kind, among the kinds that the weights know.
const Outside = "-"

// NamedGroup is the group, of rules only, that holds where the text names a kind outright.
const NamedGroup = "named"

// finding reads the file about recognition, where there is one: without it only names and aliases are recognised.
func (l *loader) finding(p *Pack) error {
	if _, err := fs.Stat(l.fs, fileFind); err != nil {
		return nil
	}
	var f Finding
	if ok, err := l.read(fileFind, &f); err != nil || !ok {
		return err
	}
	p.Finding = f
	return l.weights(p)
}

// weights reads what was learned from examples, where there is such a file. A command writes it, not a person.
func (l *loader) weights(p *Pack) error {
	raw, err := fs.ReadFile(l.fs, fileWeights)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("read %s: %w", fileWeights, err)
	}
	if p.Finding.Learned, err = linear.Read(bytes.NewReader(raw)); err != nil {
		l.report.add(fileWeights, Word{}, err.Error(), "let benyomo learn write it again")
	}
	return nil
}

// finding checks that everything which the file names is there.
func (c *checker) finding() {
	f := c.pack.Finding
	for _, part := range []map[string]map[string][]Word{f.Groups, f.Hints} {
		for _, name := range sortedKeys(part) {
			for _, lang := range sortedKeys(part[name]) {
				if !c.pack.HasLanguage(lang) && len(part[name][lang]) > 0 {
					c.report.add(fileFind, part[name][lang][0], fmt.Sprintf("%q has the unknown language %q", name, lang), "use a language of "+fileLanguages)
				}
			}
		}
	}
	for _, by := range []map[string][]Word{f.Sounds.Letters, f.Sounds.Ends, f.Sounds.Vowels} {
		for _, lang := range sortedKeys(by) {
			for _, w := range by[lang] {
				if !c.pack.HasLanguage(lang) {
					c.report.add(fileFind, w, fmt.Sprintf("sounds of the unknown language %q", lang), "use a language of "+fileLanguages)
				} else if n := len(strings.Fields(w.S)); n != 1 && n != 2 {
					c.report.add(fileFind, w, "the sound is not one spelling and another", "write what is written, a space, and what is heard")
				}
			}
		}
	}
	for _, kind := range sortedKeys(f.Hints) {
		if c.missing(kind) {
			c.report.add(fileFind, firstWord(f.Hints[kind]), fmt.Sprintf("hints for %q, which is no kind", kind), "take the kind of a file in kinds")
		}
	}
	if f.Learned != nil {
		for _, class := range f.Learned.Classes() {
			if class != Outside && c.missing(class) {
				c.report.add(fileWeights, Word{}, fmt.Sprintf("there are weights for %q, which is no kind", class), "let benyomo learn write it again")
			}
		}
	}
	for _, r := range f.Rules {
		near := at(r.Offer, r.Purpose, firstOf(r.All))
		said := 0
		for _, set := range []bool{r.Offer.S != "", r.Purpose.S != "", r.Outside} {
			if set {
				said++
			}
		}
		if said != 1 || len(r.All) == 0 {
			c.report.add(fileFind, near, "the rule does not say one thing", "write one of offer, purpose and outside, and groups under all")
		}
		if r.Offer.S != "" && c.missing(r.Offer.S) {
			c.report.add(fileFind, r.Offer, fmt.Sprintf("the rule offers %q, which is no kind", r.Offer.S), "take the kind of a file in kinds")
		}
		if r.Purpose.S != "" && !slices.Contains(Purposes(), r.Purpose.S) {
			c.report.add(fileFind, r.Purpose, fmt.Sprintf("the rule names the unknown purpose %q", r.Purpose.S), "take one of pesach, from-nonkosher, meat-dairy")
		}
		for _, g := range slices.Concat(r.All, r.None) {
			if f.Groups[g.S] == nil && g.S != NamedGroup {
				c.report.add(fileFind, g, fmt.Sprintf("there is no group %q", g.S), "write it under groups, or correct the name")
			}
		}
	}
}

// missing reports whether there is no such kind. While some kind could not be decoded nobody knows.
func (c *checker) missing(kind string) bool { return c.pack.trees[kind] == nil && !c.undecoded }

func firstOf(words []Word) Word {
	if len(words) == 0 {
		return Word{}
	}
	return words[0]
}

// firstWord is the word that stands first in the file.
func firstWord(by map[string][]Word) Word {
	var first Word
	for _, lang := range sortedKeys(by) {
		if w := firstOf(by[lang]); w.Line > 0 && (first.Line == 0 || w.Line < first.Line) {
			first = w
		}
	}
	return first
}
