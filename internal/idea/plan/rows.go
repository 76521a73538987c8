package plan

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"benyomo/internal/idea/dialog"
)

// Rows say what the kashering of each kind of thing takes, and in what order it goes. They are read from a pack by [Read] and
// never change.
type Rows struct {
	kinds   []*kind
	rules   []rule
	round   round
	minimal []Item
	texts   map[string]map[string]dialog.Text // steps, reasons, instead → id → what is said
	plans   map[string][]plannedBy            // kind of the dialogs → rows
	not     map[string]dialog.Text            // kind of the dialogs → why it is not planned
	hot     map[string]bool                   // methods
}

// plannedBy is a row that plans a kind of the dialogs: by these methods, or by every hot one that no other row names.
type plannedBy struct {
	row     string
	methods []string
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
	sabbath   bool // many keep it in hot use on Sabbath
	unlisted  bool // a household does not choose it
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
	litres                                           int // of water that it brings to the boil, or 0
	hands                                            int
	uses                                             [resources]int // allOf is all there is
	each, hot, idle, joined, alone, isRound, outside bool
	marks                                            []string
}

// takes reports whether somebody or something is occupied by the step.
func (s stepRow) takes() bool { return s.hands > 0 || s.uses != [resources]int{} }

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
	name                  dialog.Text
	heat, litres, longest int // minutes, of which litres is none
	uses                  [resources]int
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

// Hands is the resource of people in Step.Uses.
const Hands = "hands"

var resourceNames = [resources]string{Hands, "burners", "pots", "oven", "sink"}

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

// roundID is the id of the nth round of boiling under a mark.
func roundID(mark string, n int) string { return fmt.Sprintf("%s-%d", mark, n) }

// RoundOf reads the id of a round of boiling, as Step.In and Step.Item hold it: Dairy or Meat, and which of them.
func RoundOf(id string) (side string, n int, ok bool) {
	for side, mark := range map[string]string{Dairy: markRoundDairy, Meat: markRoundMeat} {
		if rest, found := strings.CutPrefix(id, mark+"-"); found {
			n, err := strconv.Atoi(rest)
			return side, n, err == nil
		}
	}
	return "", 0, false
}

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

// Name is what a row is called. A round of boiling, which is no row, has the name of its mark.
func (r *Rows) Name(row string) dialog.Text {
	if k := r.kind(row); k != nil {
		return k.name
	}
	return nil
}

// Round is what a round of boiling is called.
func (r *Rows) Round() dialog.Text { return r.round.name }

// Step is what a step is called, by its name.
func (r *Rows) Step(name string) dialog.Text { return r.texts[textSteps][name] }

// Reason is the sentence of a rule's reason; nil where the id is one of [Whys], which the program itself says.
func (r *Rows) Reason(id string) dialog.Text { return r.texts[textReasons][id] }

// Instead is what is said of what can be done instead, by Unfit.Away.
func (r *Rows) Instead(id string) dialog.Text { return r.texts[textInstead][id] }

// For is the row that plans a thing of a kind of the dialogs, for which an outcome gave a method; "" where none does, as where
// it is put away. Without a method, of what has no outcome yet, it is the row of its hot methods, else the first that plans it.
func (r *Rows) For(kind, method string) string {
	rows := r.plans[kind]
	for _, p := range rows {
		if method != "" && slices.Contains(p.methods, method) {
			return p.row
		}
	}
	if method != "" && !r.hot[method] {
		return ""
	}
	for _, p := range rows {
		if len(p.methods) == 0 {
			return p.row
		}
	}
	if method == "" && len(rows) > 0 {
		return rows[0].row
	}
	return ""
}

// NotPlanned says why no row plans a kind of the dialogs; nil where one does.
func (r *Rows) NotPlanned(kind string) dialog.Text { return r.not[kind] }

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
