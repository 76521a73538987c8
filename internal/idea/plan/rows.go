package plan

import (
	"cmp"
	_ "embed" // for the built-in rows
	"fmt"
	"slices"
	"strings"
	"sync"

	"benyomo/internal/idea/dialog"
)

//go:embed rows.yaml
var builtIn []byte

// Rows say what the kashering of each kind of thing takes, and in what order it goes.
type Rows struct {
	kinds   []*kind
	rules   []rule
	round   round
	minimal []Item
}

// kind is the row of one kind of thing.
type kind struct {
	id        string
	name      dialog.Text
	use       lastUse
	rides     string // the kind in whose heating this one lies, where there is one
	away      away
	beforeEve int  // whole days between its end and the eve of Pesach
	food      bool // its end is before food for Pesach comes
	drains    bool // hot water of other washing begins its 24 hours anew
	steps     []stepRow
}

// lastUse says what begins the wait of a thing.
type lastUse string

const (
	ownUse  lastUse = "own"  // a last use of its own
	mealUse lastUse = "meal" // the last hot meal, which it shares with others
	noUse   lastUse = "none" // it is not used for chametz
)

// away is what can be done where a thing does not fit.
type away struct {
	order int    // which goes first: 1 before 2; 0 is never
	how   string // id of the sentence
}

// does is the manner of a step.
type does string

const (
	work does = "work" // somebody stands at it
	heat does = "heat" // nobody does, but an adult is awake: also cooling and unlocking
	wait does = "wait" // it passes by itself
)

// stepRow is one step of a row.
type stepRow struct {
	name                                             string
	does                                             does
	minutes                                          int
	hands                                            int
	uses                                             [resources]int // allOf is all there is
	each, hot, idle, joined, alone, isRound, outside bool
	marks                                            []string
}

// allOf stands for a household's whole number of a resource.
const allOf = -1

// rule is what has to come before what.
type rule struct {
	first, then string // marks of steps
	cooled      bool
	why         string
}

// round is what boiling together takes.
type round struct {
	name          dialog.Text
	heat, longest int // minutes
	uses          [resources]int
}

// Resources, beside which an adult awake and a window of work are asked for by the calendar.
const (
	hands = iota
	burners
	pots
	oven
	sink
	resources
)

var resourceNames = [resources]string{"hands", "burners", "pots", "oven", "sink"}

// Sides of what is boiled in a round. Pareve goes with dairy.
const (
	Dairy  = "dairy"
	Pareve = "pareve"
	Meat   = "meat"
)

// Marks that are not written in rows: those of the rounds of boiling.
const (
	markRound      = "round"
	markRoundDairy = "round-dairy"
	markRoundMeat  = "round-meat"
)

var byDefault = sync.OnceValue(func() *Rows {
	rows, err := ParseRows("rows.yaml", builtIn)
	if err != nil {
		panic(err) // a test reads them: they are part of the program
	}
	return rows
})

// BuiltIn are the rows that come with the program. They are estimates.
func BuiltIn() *Rows { return byDefault() }

// kind is the row of that name, or nil.
func (r *Rows) kind(id string) *kind {
	i := slices.IndexFunc(r.kinds, func(k *kind) bool { return k.id == id })
	if i < 0 {
		return nil
	}
	return r.kinds[i]
}

// Kinds are the names of all rows, in order.
func (r *Rows) Kinds() []string {
	out := make([]string, len(r.kinds))
	for i, k := range r.kinds {
		out[i] = k.id
	}
	return out
}

type rowsFile struct {
	Kinds   []kindFile `yaml:"kinds"`
	Round   roundFile  `yaml:"round"`
	Rules   []ruleFile `yaml:"rules"`
	Minimal []struct {
		Kind, Count word
	} `yaml:"minimal"`
}

type kindFile struct {
	Kind      word        `yaml:"kind"`
	Name      dialog.Text `yaml:"name"`
	LastUse   word        `yaml:"last-use"`
	Rides     word        `yaml:"rides"`
	Away      awayFile    `yaml:"away"`
	BeforeEve word        `yaml:"days-before-eve"`
	Food      word        `yaml:"before-food"`
	Drains    word        `yaml:"drains"`
	Steps     []stepFile  `yaml:"steps"`
}

type awayFile struct {
	Order word `yaml:"order"`
	How   word `yaml:"how"`
}

type stepFile struct {
	Name    word            `yaml:"name"`
	Does    word            `yaml:"does"`
	Minutes word            `yaml:"minutes"`
	Hands   word            `yaml:"hands"`
	Uses    map[string]word `yaml:"uses"`
	Each    word            `yaml:"each"`
	Hot     word            `yaml:"hot"`
	Idle    word            `yaml:"idle"`
	Joined  word            `yaml:"joined"`
	Alone   word            `yaml:"alone"`
	Round   word            `yaml:"round"`
	Outside word            `yaml:"outside"`
	Marks   []word          `yaml:"marks"`
}

type ruleFile struct {
	First  word `yaml:"first"`
	Then   word `yaml:"then"`
	Cooled word `yaml:"cooled"`
	Why    word `yaml:"why"`
}

type roundFile struct {
	Name    dialog.Text     `yaml:"name"`
	Heat    word            `yaml:"heat"`
	Longest word            `yaml:"longest"`
	Uses    map[string]word `yaml:"uses"`
}

// maxStep bounds a step, in minutes: three days.
const maxStep = 3 * 24 * 60

// ParseRows reads rows; name is the file's, for mistakes. Every mistake is in the error, which is then dialog.Mistakes.
func ParseRows(name string, raw []byte) (*Rows, error) {
	r := &reader{name: name}
	var f rowsFile
	if !r.decode(raw, &f) {
		return nil, r.err()
	}
	rows := &Rows{}
	for _, k := range f.Kinds {
		if rows.kind(k.Kind.s) != nil {
			r.add(k.Kind, fmt.Sprintf("the kind %q stands twice", k.Kind.s), "keep one")
		}
		rows.kinds = append(rows.kinds, r.kind(k))
	}
	if len(f.Kinds) == 0 {
		r.add(word{}, "there are no kinds", "write kinds:")
	}
	rows.round = round{
		name: f.Round.Name, heat: r.minutes(f.Round.Heat, "heat"), longest: r.minutes(f.Round.Longest, "longest"),
		uses: r.uses(f.Round.Uses),
	}
	marks := rows.marks()
	for _, x := range f.Rules {
		for _, m := range []word{x.First, x.Then} {
			if !slices.Contains(marks, m.s) {
				r.add(m, fmt.Sprintf("no step has the mark %q", m.s), "take one of "+strings.Join(marks, ", "))
			}
		}
		if x.Why.s == "" || x.First.s == x.Then.s {
			r.add(x.First, "the rule is not whole", "write first, then another mark as then, and why")
		}
		rows.rules = append(rows.rules, rule{x.First.s, x.Then.s, r.yes(x.Cooled, "cooled"), x.Why.s})
	}
	for i, m := range f.Minimal {
		if rows.kind(m.Kind.s) == nil {
			r.add(m.Kind, fmt.Sprintf("there is no kind %q", m.Kind.s), "take one of "+strings.Join(rows.Kinds(), ", "))
		}
		rows.minimal = append(rows.minimal, Item{ID: fmt.Sprintf("minimal-%d-%s", i+1, m.Kind.s), Kind: m.Kind.s, Count: r.number(m.Count, "count", 1, 1, maxCount)})
	}
	if err := r.err(); err != nil {
		return nil, err
	}
	return rows, nil
}

// marks are all by which a rule can name steps.
func (r *Rows) marks() []string {
	out := []string{markRound, markRoundDairy, markRoundMeat}
	for _, k := range r.kinds {
		for _, s := range k.steps {
			for _, m := range s.marks {
				if !slices.Contains(out, m) {
					out = append(out, m)
				}
			}
		}
	}
	return out
}

func (r *reader) minutes(w word, key string) int {
	if !w.there() {
		r.add(w, key+" is missing", "write the minutes")
	}
	return r.number(w, key, grid, 1, maxStep)
}

func (r *reader) uses(m map[string]word) (out [resources]int) {
	for key, w := range m {
		i := slices.Index(resourceNames[:], key)
		switch {
		case i <= hands:
			r.add(w, fmt.Sprintf("there is no resource %q", key), "take one of "+strings.Join(resourceNames[hands+1:], ", "))
		case w.s == "all":
			out[i] = allOf
		default:
			out[i] = r.number(w, key, 1, 1, maxResource)
		}
	}
	return out
}

func (r *reader) kind(f kindFile) *kind {
	k := &kind{
		id: f.Kind.s, name: f.Name, use: lastUse(r.choice(f.LastUse, "last-use", string(ownUse), string(mealUse), string(noUse))),
		rides: f.Rides.s, away: away{r.number(f.Away.Order, "order", 0, 1, 99), f.Away.How.s},
		beforeEve: r.number(f.BeforeEve, "days-before-eve", 0, 0, 60), food: r.yes(f.Food, "before-food"), drains: r.yes(f.Drains, "drains"),
	}
	if k.id == "" || k.name.In("en") == "" {
		r.add(f.Kind, "the kind has no id or no name", "write kind and name")
	}
	if !f.LastUse.there() {
		r.add(f.Kind, fmt.Sprintf("the kind %q lacks last-use", k.id), "write own, meal or none")
	}
	if (k.away.order == 0) != (k.away.how == "") {
		r.add(cmp.Or(f.Away.Order, f.Away.How), "away is not whole", "write order and how")
	}
	seen := map[string]bool{}
	for i, s := range f.Steps {
		if seen[s.Name.s] || s.Name.s == "" {
			r.add(s.Name, "the step has no name of its own", "give it another")
		}
		seen[s.Name.s] = true
		k.steps = append(k.steps, r.step(s, i, k.steps))
	}
	if len(k.steps) == 0 {
		r.add(f.Kind, fmt.Sprintf("the kind %q has no steps", k.id), "write them")
	}
	return k
}

func (r *reader) step(f stepFile, i int, before []stepRow) stepRow {
	s := stepRow{
		name: f.Name.s, does: does(r.choice(f.Does, "does", string(work), string(heat), string(wait))), minutes: r.minutes(f.Minutes, "minutes"),
		uses: r.uses(f.Uses), each: r.yes(f.Each, "each"), hot: r.yes(f.Hot, "hot"), idle: r.yes(f.Idle, "idle"), joined: r.yes(f.Joined, "joined"),
		alone: r.yes(f.Alone, "alone"), isRound: r.yes(f.Round, "round"), outside: r.yes(f.Outside, "outside"),
	}
	for _, m := range f.Marks {
		s.marks = append(s.marks, m.s)
	}
	if s.does == work {
		s.hands = r.number(f.Hands, "hands", 1, 1, maxResource)
	} else if f.Hands.there() || s.outside || s.isRound {
		r.add(f.Name, "only work has hands, is outside or is done in a round", "write does: work, or remove it")
	}
	if !f.Does.there() {
		r.add(f.Name, fmt.Sprintf("the step %q lacks does", s.name), "write work, heat or wait")
	}
	if s.joined {
		r.joined(f, s, before)
	}
	if s.isRound && s.joined || i > 0 && before[i-1].isRound {
		r.add(f.Name, "a round is a step by itself, the last of its kind", "let nothing be joined to it or follow it")
	}
	return s
}

// joined checks a step that follows at once. A plan is made backwards, and its proof needs that what runs in one piece takes
// at its end all that it took before; only what cools, dries or stands at the very end takes nothing.
func (r *reader) joined(f stepFile, s stepRow, before []stepRow) {
	if len(before) == 0 || s.idle || s.alone != before[len(before)-1].alone {
		r.add(f.Name, "the step cannot be joined here", "remove joined; idle stands at the first of the joined steps")
		return
	}
	last := before[len(before)-1]
	if s.takes() && !(last.takes() || !last.joined) {
		r.add(f.Name, "a step that takes something is joined to one that only passes", "let it stand by itself")
	}
	if !s.takes() {
		return
	}
	for i, n := range last.uses {
		if n != allOf && s.uses[i] != allOf && s.uses[i] < n || n == allOf && s.uses[i] != allOf || s.hands < last.hands {
			r.add(f.Name, "the joined step takes less than the one before it", "let it stand by itself, or use the same things")
			return
		}
	}
}

// takes reports whether somebody or something is occupied by the step.
func (s stepRow) takes() bool { return s.hands > 0 || s.uses != [resources]int{} }
