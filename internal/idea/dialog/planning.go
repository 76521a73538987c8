package dialog

import "io/fs"

// Planning is what the planning of a whole kitchen needs to know: the rows of plan.yaml, as they are written. What they mean,
// and what is wrong with them, is the business of the package plan.
type Planning struct {
	Rows       []PlanRow       `yaml:"rows"`
	NotPlanned []NotPlanned    `yaml:"not-planned"`
	Round      PlanRound       `yaml:"round"`
	Rules      []PlanRule      `yaml:"rules"`
	Minimal    []MinimalRow    `yaml:"minimal"` // the kitchen that is left when time is short
	Steps      map[string]Text `yaml:"steps"`   // the name of a step → what it is called
	Reasons    map[string]Text `yaml:"reasons"` // of the rules
	Instead    map[string]Text `yaml:"instead"` // what can be done instead → what is said of it
}

// PlanRow says what the kashering of one kind of thing takes.
type PlanRow struct {
	Row       Word       `yaml:"row"`
	Name      Text       `yaml:"name"`
	Plans     []PlanKind `yaml:"plans"`
	LastUse   Word       `yaml:"last-use"`
	Rides     Word       `yaml:"rides"`
	Away      PlanAway   `yaml:"away"`
	BeforeEve Word       `yaml:"days-before-eve"`
	Food      Word       `yaml:"before-food"`
	Drains    Word       `yaml:"drains"`
	Sabbath   Word       `yaml:"hot-on-shabbos"`
	Unlisted  Word       `yaml:"unlisted"`
	Steps     []PlanStep `yaml:"steps"`
}

// PlanKind names a kind of the dialogs that a row plans: where there are methods, only for outcomes with one of them.
type PlanKind struct {
	Kind    Word   `yaml:"kind"`
	Methods []Word `yaml:"methods"`
}

// NotPlanned names kinds of the dialogs that no row plans, and why not.
type NotPlanned struct {
	Kinds []Word `yaml:"kinds"`
	Why   Text   `yaml:"why"`
}

// PlanAway says what can be done where a thing does not fit.
type PlanAway struct {
	Order Word `yaml:"order"`
	How   Word `yaml:"how"`
}

// PlanStep is one step of a row.
type PlanStep struct {
	Name    Word            `yaml:"name"`
	Does    Word            `yaml:"does"`
	Minutes Word            `yaml:"minutes"`
	Litres  Word            `yaml:"litres"`
	Hands   Word            `yaml:"hands"`
	Uses    map[string]Word `yaml:"uses"`
	Each    Word            `yaml:"each"`
	Hot     Word            `yaml:"hot"`
	Idle    Word            `yaml:"idle"`
	Joined  Word            `yaml:"joined"`
	Alone   Word            `yaml:"alone"`
	Round   Word            `yaml:"round"`
	Outside Word            `yaml:"outside"`
	Marks   []Word          `yaml:"marks"`
}

// PlanRound is what boiling things together takes.
type PlanRound struct {
	Name    Text            `yaml:"name"`
	Heat    Word            `yaml:"heat"`
	Litres  Word            `yaml:"litres"`
	Longest Word            `yaml:"longest"`
	Uses    map[string]Word `yaml:"uses"`
}

// PlanRule says what comes before what.
type PlanRule struct {
	First  Word `yaml:"first"`
	Then   Word `yaml:"then"`
	Cooled Word `yaml:"cooled"`
	Why    Word `yaml:"why"` // of the reasons
}

// MinimalRow is one thing of the minimal kitchen.
type MinimalRow struct {
	Row   Word `yaml:"row"`
	Count Word `yaml:"count"`
}

// FilePlan is the file of the planning.
const FilePlan = "plan.yaml"

// planning reads the rows, where there are any: without them no kitchen is planned.
func (l *loader) planning(p *Pack) error {
	if _, err := fs.Stat(l.fs, FilePlan); err != nil {
		return nil
	}
	var f Planning
	if ok, err := l.read(FilePlan, &f); err != nil || !ok {
		return err
	}
	p.Planning = &f
	return nil
}
