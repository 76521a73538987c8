// Package triage walks the facts that a person has given through a tree: to the next question, to an outcome, or to the
// rabbi.
//
// A walk is a set of facts and not a place in a tree. It is walked again from the start at every step, under the content
// and the positions of that moment, so that nothing is ever told from an older state. A person who does not know an answer
// keeps every position open: the walk goes on with each of them, and is firm only when all of them end in the same content.
//
// Nothing here sends, stores or reads a clock; whether an outcome may be told is asked of package approval.
package triage

import (
	"slices"

	"benyomo/internal/idea/dialog"
)

// Customs that a household may follow. A household that is not sure follows the community's default.
const (
	Ashkenazi = "ashkenazi"
	Sephardi  = "sephardi"
	OtherWay  = "other"
	AnyCustom = "any" // the community's default, in positions
)

// Customs lists the customs in the order in which they are offered.
func Customs() []string { return []string{Ashkenazi, Sephardi, OtherWay} }

// Facts are the answers given, by question; dialog.UnsureFact stands for 'not sure'.
type Facts map[string]string

// Lookup gives the community's position on a switch; ok is false where none is set.
type Lookup func(switchID string) (position string, ok bool)

// Reason says why a question goes to the rabbi.
type Reason string

const (
	MemberAsked  Reason = "asked"        // the member chose to ask him
	OutcomeAsks  Reason = "always-asked" // the tree ends with him
	SwitchUnset  Reason = "unset"        // the community has no position on this point
	NotSure      Reason = "unsure"       // the positions left open end differently
	ThirdNotSure Reason = "third-unsure" // three facts are unknown
	NoBranch     Reason = "no-branch"    // the tree does not cover this purpose
	Unapproved   Reason = "unapproved"   // the content is not approved: it is proposed to him
	MixUp        Reason = "mix-up"       // used hot after the kashering
	WrongTime    Reason = "wrong-time"   // the calendar no longer allows it without him
	OffTopic     Reason = "off-topic"    // words that fit no kind
)

// Reasons lists every reason: each has its sentences.
func Reasons() []Reason {
	return []Reason{MemberAsked, OutcomeAsks, SwitchUnset, NotSure, ThirdNotSure, NoBranch, Unapproved, MixUp, WrongTime, OffTopic}
}

// maxUnsure is the number of unknown facts at which guessing on would be worse than asking.
const maxUnsure = 3

// Step is one question on the way, with its answer.
type Step struct {
	Question string `json:"question"`
	Answer   string `json:"answer"`
}

// Referral says what the rabbi is asked.
type Referral struct {
	Reason   Reason
	Question string            // the question in doubt, or ""
	Switch   string            // the switch in doubt, or ""
	Asks     *dialog.Outcome   // the end of the tree that always asks him, whose headline says why, or nil
	Possible []*dialog.Outcome // the outcomes still possible, in the order of the tree; never one that asks him
}

// Result is where a walk stands: exactly one of Question, Outcome and Refer is set.
type Result struct {
	Question *dialog.Step
	Outcome  *dialog.Outcome
	Refer    *Referral

	Path []Step            // the facts that were used, in order; facts beside the way are left out
	Left int               // questions that may still follow, at most, the present one included, while all are answered
	Met  map[string]string // the switches that decided, with their positions

	possible []*dialog.Outcome // with a Question: the outcomes that all open positions together can still reach
}

// Walk walks the facts through the tree for a purpose, under the community's positions.
func Walk(t *dialog.Tree, purpose string, facts Facts, lookup Lookup) Result {
	w := &walker{tree: t, purpose: purpose, facts: facts, lookup: lookup, met: map[string]string{}, seen: map[string]bool{}}
	w.follow(t.Start)
	r := w.result()
	r.Path, r.Met = w.path, w.met
	return r
}

type walker struct {
	tree    *dialog.Tree
	purpose string
	facts   Facts
	lookup  Lookup

	path   []Step
	met    map[string]string
	seen   map[string]bool // steps already followed: positions that meet again are one
	open   []*dialog.Step  // questions without a fact, one for each position that waits at it
	ends   []*dialog.Outcome
	unset  *dialog.Step // the first switch without a position
	gap    *dialog.Step // the first branch that does not cover the purpose
	unsure []string     // questions answered 'not sure', in order
}

// follow takes one position as far as the facts lead.
func (w *walker) follow(tg dialog.Target) {
	if tg.End.S != "" {
		o := w.tree.Outcome(tg.End.S)
		if !has(w.ends, o) {
			w.ends = append(w.ends, o)
		}
		return
	}
	s := w.tree.Step(tg.To.S)
	if w.seen[s.Name()] && !s.IsQuestion() {
		return
	}
	switch {
	case s.IsQuestion():
		w.question(s)
	case s.Switch.S != "":
		w.seen[s.Name()] = true
		pos, ok := w.lookup(s.Switch.S)
		next, known := s.Positions[pos]
		if !ok || !known {
			if w.unset == nil {
				w.unset = s
			}
			return
		}
		w.met[s.Switch.S] = pos
		w.follow(next)
	default:
		w.seen[s.Name()] = true
		next, ok := s.Purpose[w.purpose]
		if !ok {
			if w.gap == nil {
				w.gap = s
			}
			return
		}
		w.follow(next)
	}
}

func (w *walker) question(s *dialog.Step) {
	fact, given := w.facts[s.Ask.S]
	answer := s.Answer(fact)
	if !given || (answer == nil && fact != dialog.UnsureFact) {
		w.open = append(w.open, s) // also when the content changed and the old answer is gone
		return
	}
	if w.seen[s.Name()] {
		return
	}
	w.seen[s.Name()] = true
	w.path = append(w.path, Step{Question: s.Ask.S, Answer: fact})
	if answer != nil {
		w.follow(answer.Target)
		return
	}
	w.unsure = append(w.unsure, s.Ask.S)
	if s.Unsure != nil && !s.Unsure.Zero() {
		w.follow(s.Unsure.Target)
		return
	}
	for _, a := range s.Answers {
		w.follow(a.Target)
	}
}

func (w *walker) result() Result {
	switch {
	case w.gap != nil:
		return refer(NoBranch, "", "", nil)
	case w.unset != nil:
		return refer(SwitchUnset, "", w.unset.Switch.S, w.possible(dialog.Target{To: dialog.Word{S: w.unset.Name()}}))
	case len(w.unsure) >= maxUnsure && (len(w.open) > 0 || len(w.ends) > 1):
		return refer(ThirdNotSure, w.settling(), "", w.possible())
	case len(w.open) > 0 && w.hopeful():
		return Result{Question: w.next(), Left: w.left(), possible: w.possible()}
	case len(w.open) > 0 || len(w.ends) > 1:
		return refer(NotSure, w.settling(), "", w.possible())
	case len(w.ends) == 0:
		return refer(NoBranch, "", "", nil)
	case w.ends[0].Whether.S == dialog.AskRabbi:
		r := refer(OutcomeAsks, w.last(), "", w.beside())
		r.Refer.Asks = w.ends[0]
		return r
	}
	return Result{Outcome: w.ends[0]}
}

func refer(why Reason, question, sw string, possible []*dialog.Outcome) Result {
	return Result{Refer: &Referral{Reason: why, Question: question, Switch: sw, Possible: possible}}
}

// hopeful reports whether the positions may still meet in one end: whether there is one that each of them can reach.
func (w *walker) hopeful() bool {
	if len(w.ends) > 1 {
		return false
	}
	var reach [][]*dialog.Outcome
	if len(w.ends) == 1 {
		reach = append(reach, w.ends)
	}
	for _, s := range w.open {
		reach = append(reach, w.endsFrom(dialog.Target{To: s.Ask}))
	}
	return len(reach) == 1 || slices.ContainsFunc(reach[0], func(o *dialog.Outcome) bool {
		return !slices.ContainsFunc(reach[1:], func(others []*dialog.Outcome) bool { return !has(others, o) })
	})
}

// next picks the question that most positions wait at; of several, the first in the tree.
func (w *walker) next() *dialog.Step {
	count := map[*dialog.Step]int{}
	for _, s := range w.open {
		count[s]++
	}
	var best *dialog.Step
	for _, s := range w.tree.Steps {
		if count[s] > 0 && (best == nil || count[s] > count[best]) {
			best = s
		}
	}
	return best
}

// left bounds the questions that follow: each position may wait at one of its own.
func (w *walker) left() int {
	n := 0
	for i, s := range w.open {
		if !slices.Contains(w.open[:i], s) {
			n += w.tree.Longest(dialog.Target{To: s.Ask})
		}
	}
	return n
}

// possible lists the ends that the open positions have reached or can still reach, and those that can be reached from the
// further targets.
func (w *walker) possible(further ...dialog.Target) []*dialog.Outcome {
	reached := slices.Clone(w.ends)
	for _, s := range w.open {
		further = append(further, dialog.Target{To: s.Ask})
	}
	for _, tg := range further {
		reached = append(reached, w.endsFrom(tg)...)
	}
	var out []*dialog.Outcome
	for _, o := range w.tree.Outcomes.List {
		if slices.Contains(reached, o) {
			out = addOutcome(out, o)
		}
	}
	return out
}

// beside lists the other ends of the last question: what the rabbi may choose from where the tree itself ends with him.
func (w *walker) beside() []*dialog.Outcome {
	var out []*dialog.Outcome
	from := w.tree.Start
	if last := w.last(); last != "" {
		from = dialog.Target{To: dialog.Word{S: last}}
	}
	for _, o := range w.endsFrom(from) {
		out = addOutcome(out, o)
	}
	return out
}

func (w *walker) last() string {
	if len(w.path) == 0 {
		return ""
	}
	return w.path[len(w.path)-1].Question
}

// settling is the one unknown fact that, once known, would give a firm end whatever it is; else the first unknown one.
func (w *walker) settling() string {
	for _, q := range w.unsure {
		firm := true
		for _, a := range w.tree.Step(q).Answers {
			trial := Facts{}
			for k, v := range w.facts {
				trial[k] = v
			}
			trial[q] = a.ID.S
			again := &walker{tree: w.tree, purpose: w.purpose, facts: trial, lookup: w.lookup, met: map[string]string{}, seen: map[string]bool{}}
			again.follow(w.tree.Start)
			if len(again.open) > 0 || len(again.ends) != 1 || again.unset != nil || again.gap != nil {
				firm = false
				break
			}
		}
		if firm {
			return q
		}
	}
	if len(w.unsure) > 0 {
		return w.unsure[0]
	}
	return w.last()
}

// endsFrom lists the outcomes that can be reached from the target for this purpose, under the positions that are set: those
// that could be this household's answer.
func (w *walker) endsFrom(tg dialog.Target) []*dialog.Outcome {
	return w.tree.Ends(tg, func(s *dialog.Step) []dialog.Target {
		if s.Purpose != nil {
			return []dialog.Target{s.Purpose[w.purpose]}
		}
		if pos, ok := w.lookup(s.Switch.S); s.Switch.S != "" && ok {
			if next, known := s.Positions[pos]; known {
				return []dialog.Target{next}
			}
		}
		return s.Targets()
	})
}

func addOutcome(list []*dialog.Outcome, o *dialog.Outcome) []*dialog.Outcome {
	if o.Whether.S == dialog.AskRabbi || has(list, o) {
		return list
	}
	return append(list, o)
}

// has reports whether the list holds an outcome of the same content.
func has(list []*dialog.Outcome, o *dialog.Outcome) bool {
	return slices.ContainsFunc(list, func(x *dialog.Outcome) bool { return x.Content() == o.Content() })
}

// Ask is the referral of a member who wants the rabbi's answer at the point where the walk stands.
func Ask(t *dialog.Tree, purpose string, lookup Lookup, r Result) Referral {
	out := Referral{Reason: MemberAsked}
	from := t.Start
	switch {
	case r.Refer != nil:
		return *r.Refer
	case r.Outcome != nil:
		out.Possible = addOutcome(nil, r.Outcome)
		return out
	case r.Question != nil:
		out.Question = r.Question.Ask.S
		if out.Possible = r.possible; out.Possible != nil {
			return out
		}
		from = dialog.Target{To: r.Question.Ask}
	}
	w := &walker{tree: t, purpose: purpose, lookup: lookup}
	for _, o := range w.endsFrom(from) {
		out.Possible = addOutcome(out.Possible, o)
	}
	return out
}
