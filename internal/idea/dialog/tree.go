// Package dialog holds the language in which the question trees are written: it reads the YAML files, checks them, and
// hashes what a rabbi approves.
//
// Basics: a Pack is one folder of dialogs, read whole. A Tree is the questions about one kind of item; its steps are
// questions, policy switches and branches on the purpose; its ends are Outcomes. docs/dialogs.md is the author's guide.
//
// Caveats: nothing here decides anything about a person. How facts walk through a tree is the business of package triage,
// and whether an outcome may be told is that of package approval.
package dialog

// Purposes, in the order in which they are offered.
const (
	Pesach     = "pesach"
	NonKosher  = "from-nonkosher"
	MeatDairy  = "meat-dairy"
	UnsureFact = "unsure" // the fact recorded when a person does not know
)

// Purposes lists every purpose for which a household may kasher.
func Purposes() []string { return []string{Pesach, NonKosher, MeatDairy} }

// Verdicts that an outcome may give: whether the item can be kashered.
const (
	Kasher    = "kasher"
	Cannot    = "cannot"
	WashOnly  = "wash"
	NotNeeded = "not-needed"
	AskRabbi  = "ask"
)

// The waits. Idle is the one without hot use, counted from the last hot use; a soaking is begun by the member, who is reminded
// to change the water.
const (
	Idle = "idle"
	Soak = "soak"
)

// Ways in which an outcome can be carried out.
const (
	AtHome      = "home"
	KasherDay   = "kashering-day"
	ByVisit     = "visit"
	PutAway     = "put-away"
	maxAnswers  = 6
	minAnswers  = 2
	labelLimit  = 40   // characters on a phone's button before it is cut
	outcomeText = 3500 // characters, so that an outcome always fits one message with its headings
)

// Tree is the dialog about one kind of item.
type Tree struct {
	Kind     Word              `yaml:"kind"`
	Name     Text              `yaml:"name"`
	Group    Word              `yaml:"group"` // of the menu
	Aliases  map[string][]Word `yaml:"aliases"`
	Intake   bool              `yaml:"intake"` // it only collects facts for the rabbi, and never rules
	Urgent   bool              `yaml:"urgent"` // food may be waiting: the question goes to him as urgent
	First    Text              `yaml:"first"`  // what to do before the first question, such as putting the flame off
	Start    Target            `yaml:"start"`
	Uses     []Use             `yaml:"uses"` // shared parts
	Steps    []*Step           `yaml:"steps"`
	Outcomes Outcomes          `yaml:"outcomes"`

	File  string `yaml:"-"` // where it was read, for mistakes
	steps map[string]*Step
	logic func() string     // hash of the logic, taken when it is first asked for
	texts map[string]string // language → hash of its words
}

// Step is one place in a tree: exactly one of Ask, Switch and Purpose is set.
type Step struct {
	Ask     Word      `yaml:"ask"` // the question's id, and the id of the fact that it collects
	Text    Text      `yaml:"text"`
	Why     Text      `yaml:"why"`
	Photo   bool      `yaml:"photo"`  // a photo helps with this question
	Record  bool      `yaml:"record"` // it is asked for the rabbi to know; its answers need not differ
	Answers []*Answer `yaml:"answers"`
	Unsure  *Unsure   `yaml:"unsure"`

	ID        Word              `yaml:"id"`
	Switch    Word              `yaml:"switch"`
	Positions map[string]Target `yaml:"positions"`
	Purpose   map[string]Target `yaml:"purpose"`

	shared string // the shared part that it comes from, or ""
}

// Answer is one answer to a question.
type Answer struct {
	ID     Word `yaml:"id"`
	Label  Text `yaml:"label"`
	Target `yaml:",inline"`
}

// Unsure says what a question does for a person who does not know.
type Unsure struct {
	Test   Text `yaml:"test"`  // a test that can be done at home
	Holds  Text `yaml:"holds"` // why what it leads to is right whatever the answer is, where that is not plain; the rabbi approves it
	Target `yaml:",inline"`
}

// Target names where an answer leads: a step or an outcome.
type Target struct {
	To   Word `yaml:"to"`
	End  Word `yaml:"end"`
	Exit Word `yaml:"exit"` // only within a shared part
}

// Zero reports whether the target leads nowhere.
func (t Target) Zero() bool { return t.To.S == "" && t.End.S == "" }

// Outcome is an end of a tree: what to do.
type Outcome struct {
	ID       string   `yaml:"-"`
	Named    Word     `yaml:"id"` // the id where it stands
	Whether  Word     `yaml:"whether"`
	Method   Word     `yaml:"method"`
	Headline Text     `yaml:"headline"`
	Cautions []Word   `yaml:"cautions"`
	Steps    []Text   `yaml:"steps"`
	Timeline []*Stage `yaml:"timeline"`
	Instead  Text     `yaml:"instead"`
	Ways     []Word   `yaml:"ways"`
	Sources  []Word   `yaml:"sources"`

	content string
	shared  string // the shared part that it comes from, or ""
}

// Content is the hash of what the outcome says and does: two outcomes with the same content are one answer.
func (o *Outcome) Content() string { return o.content }

// Heats reports whether carrying the outcome out uses heat.
func (o *Outcome) Heats() bool {
	for _, s := range o.Timeline {
		if s.Heating.S != "" {
			return true
		}
	}
	return false
}

// Stage is one timed part of an outcome. Exactly one of Wait and Heating is set.
type Stage struct {
	Wait    Word `yaml:"wait"`    // Idle or Soak
	Heating Word `yaml:"heating"` // started by the member
	Minutes int  `yaml:"minutes"`
	Cool    int  `yaml:"cool"` // minutes until cool and unlocked, after a heating
	Label   Text `yaml:"label"`
}

// Name is the stage's id within its outcome.
func (s *Stage) Name() string {
	if s.Wait.S != "" {
		return s.Wait.S
	}
	return s.Heating.S
}

// Name returns the step's id.
func (s *Step) Name() string {
	if s.Ask.S != "" {
		return s.Ask.S
	}
	return s.ID.S
}

// Shared is the file of the shared part that the step comes from, or "".
func (s *Step) Shared() string { return s.shared }

// Shared is the file of the shared part that the outcome comes from, or "".
func (o *Outcome) Shared() string { return o.shared }

// IsQuestion reports whether the step asks a person.
func (s *Step) IsQuestion() bool { return s.Ask.S != "" }

// Answer returns the answer with the id, or nil.
func (s *Step) Answer(id string) *Answer {
	for _, a := range s.Answers {
		if a.ID.S == id {
			return a
		}
	}
	return nil
}

// Step returns the step with the id, or nil.
func (t *Tree) Step(id string) *Step { return t.steps[id] }

// Outcome returns the outcome with the id, or nil.
func (t *Tree) Outcome(id string) *Outcome { return t.Outcomes.byID[id] }

// Targets lists where the step can lead, in the order of the file where it has one.
func (s *Step) Targets() []Target {
	var out []Target
	for _, a := range s.Answers {
		out = append(out, a.Target)
	}
	if s.Unsure != nil && !s.Unsure.Zero() {
		out = append(out, s.Unsure.Target)
	}
	for _, k := range sortedKeys(s.Positions) {
		out = append(out, s.Positions[k])
	}
	for _, k := range sortedKeys(s.Purpose) {
		out = append(out, s.Purpose[k])
	}
	return out
}
