package dialog

// Pack is a whole folder of dialogs.
type Pack struct {
	Languages []Language
	Groups    []*Group // of the menu, in its order
	Trees     []*Tree  // in the order of their kinds
	Switches  []*Switch
	Sources   []*Source
	Methods   []*Method
	Cautions  []*Caution
	Sentences map[string]map[string]string // language → key → sentence
	Finding   Finding                      // what helps to recognise kinds in typed words
	Planning  *Planning                    // what the planning of a kitchen takes; nil where the folder says nothing of it

	trees     map[string]*Tree
	switches  map[string]*Switch
	sources   map[string]*Source
	methods   map[string]*Method
	cautions  map[string]*Caution
	demo      map[string]map[string]string
	sentences map[string]*sentenceFile

	lines       map[string][]string        // file → its lines, for quoting
	sharedSteps map[string]map[string]Word // shared part → what no tree has reached of it
}

// Language is one language in which the program speaks.
type Language struct {
	Code      Word `yaml:"code"`
	Name      Word `yaml:"name"`      // in the language itself
	Direction Word `yaml:"direction"` // ltr or rtl
}

// Group is a group of kinds in the menu.
type Group struct {
	ID   Word `yaml:"id"`
	Name Text `yaml:"name"`
}

// Switch is a point on which communities differ. No position is set here: the community's own are in its data.
type Switch struct {
	ID        Word        `yaml:"id"`
	About     Text        `yaml:"about"`
	Positions []*Position `yaml:"positions"`
}

// Position is one way in which a community may practise.
type Position struct {
	ID      Word   `yaml:"id"`
	Label   Text   `yaml:"label"`
	Sources []Word `yaml:"sources"`
}

// Source is a published work, cited by title and section.
type Source struct {
	ID      Word `yaml:"id"`
	Title   Text `yaml:"title"`
	Section Text `yaml:"section"`
	Checked Word `yaml:"checked"` // read, memory or none
}

// Cite returns the source as it is shown to people.
func (s *Source) Cite(lang string) string {
	if sec := s.Section.In(lang); sec != "" {
		return s.Title.In(lang) + " " + sec
	}
	return s.Title.In(lang)
}

// Method is a method of the trade. Hot ones use heat, steam, fire or boiling water.
type Method struct {
	ID    Word `yaml:"id"`
	Hot   bool `yaml:"hot"`
	Boils bool `yaml:"boils"` // it uses boiling water
	Name  Text `yaml:"name"`
	Gloss Text `yaml:"gloss"`
}

// Caution is a safety sentence.
type Caution struct {
	ID   Word `yaml:"id"`
	Text Text `yaml:"text"`
}

// Position returns the position with the id, or nil.
func (s *Switch) Position(id string) *Position {
	for _, p := range s.Positions {
		if p.ID.S == id {
			return p
		}
	}
	return nil
}

// InGroup lists the trees of a group, in the order of their kinds.
func (p *Pack) InGroup(id string) []*Tree {
	var out []*Tree
	for _, t := range p.Trees {
		if t.Group.S == id {
			out = append(out, t)
		}
	}
	return out
}

// Tree returns the tree of the kind, or nil.
func (p *Pack) Tree(kind string) *Tree { return p.trees[kind] }

// Switch returns the switch with the id, or nil.
func (p *Pack) Switch(id string) *Switch { return p.switches[id] }

// Source returns the source with the id, or nil.
func (p *Pack) Source(id string) *Source { return p.sources[id] }

// Method returns the method with the id, or nil.
func (p *Pack) Method(id string) *Method { return p.methods[id] }

// Caution returns the caution with the id, or nil.
func (p *Pack) Caution(id string) *Caution { return p.cautions[id] }

// HasLanguage reports whether the program speaks the language.
func (p *Pack) HasLanguage(code string) bool {
	for _, l := range p.Languages {
		if l.Code.S == code {
			return true
		}
	}
	return false
}

// RightToLeft reports whether the language is written from right to left.
func (p *Pack) RightToLeft(code string) bool {
	for _, l := range p.Languages {
		if l.Code.S == code {
			return l.Direction.S == "rtl"
		}
	}
	return false
}

// Demo returns the positions of the invented community, by switch and custom. It is empty where the folder has none.
func (p *Pack) Demo() map[string]map[string]string { return p.demo }
