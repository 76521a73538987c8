package plan

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"benyomo/internal/idea/dialog"
)

// Bounds of rows.
const (
	maxStep   = 3 * 24 * 60 // minutes
	maxLitres = 60
	maxText   = 120 // characters
)

// The lists of texts in the file of rows.
const (
	textSteps   = "steps"
	textReasons = "reasons"
	textInstead = "instead"
)

// Read makes the rows of a pack. Every mistake is in the error, which is then dialog.Mistakes. A pack that says nothing of
// planning has no rows: with them no kitchen can be planned.
func Read(p *dialog.Pack) (*Rows, error) {
	rows := &Rows{plans: map[string][]plannedBy{}, not: map[string]dialog.Text{}, hot: map[string]bool{}}
	for _, m := range p.Methods {
		rows.hot[m.ID.S] = m.Hot
	}
	if p.Planning == nil {
		return rows, nil
	}
	var list dialog.Mistakes
	wrong := false
	r := &reader{add: func(at dialog.Word, what, do string) {
		wrong = true
		list = append(list, p.MistakeIn(dialog.FilePlan, at, what, do))
	}}
	x := &rowReader{reader: r, wrong: &wrong, pack: p, f: p.Planning, rows: rows, used: map[string]map[string]bool{}}
	x.all()
	if len(list) > 0 {
		return nil, list.Sorted()
	}
	return rows, nil
}

// rowReader reads the rows of one pack.
type rowReader struct {
	*reader
	wrong *bool // some mistake was found
	pack  *dialog.Pack
	f     *dialog.Planning
	rows  *Rows
	used  map[string]map[string]bool // list of texts → id → it is used
}

func (r *rowReader) all() {
	rows, f := r.rows, r.f
	rows.texts = map[string]map[string]dialog.Text{textSteps: f.Steps, textReasons: f.Reasons, textInstead: f.Instead}
	for i := range f.Rows {
		k := &f.Rows[i]
		if rows.kind(k.Row.S) != nil {
			r.add(k.Row, fmt.Sprintf("the row %q stands twice", k.Row.S), "keep one")
		}
		rows.kinds = append(rows.kinds, r.kind(k))
	}
	if len(f.Rows) == 0 {
		r.add(dialog.Word{}, "there are no rows", "write rows:")
	}
	for i := range f.Rows {
		if k := &f.Rows[i]; k.Rides.S != "" && (rows.kind(k.Rides.S) == nil || k.Rides.S == k.Row.S) {
			r.add(k.Rides, fmt.Sprintf("there is no other row %q to ride with", k.Rides.S), "take one of "+strings.Join(rows.Kinds(), ", "))
		}
	}
	r.texted(dialog.Word{}, "the round's name", f.Round.Name)
	rows.round = round{
		name: f.Round.Name, heat: r.minutes(f.Round.Heat, "heat", dialog.Word{}), longest: r.minutes(f.Round.Longest, "longest", dialog.Word{}),
		litres: r.number(f.Round.Litres, "litres", 0, 1, maxLitres), uses: r.uses(f.Round.Uses),
	}
	r.rules()
	for i, m := range f.Minimal {
		if rows.kind(m.Row.S) == nil {
			r.add(m.Row, fmt.Sprintf("there is no row %q", m.Row.S), "take one of "+strings.Join(rows.Kinds(), ", "))
		}
		rows.minimal = append(rows.minimal, Item{ID: fmt.Sprintf("minimal-%d-%s", i+1, m.Row.S), Kind: m.Row.S, Count: r.number(m.Count, "count", 1, 1, maxCount)})
	}
	r.covered()
	r.texts()
	if !*r.wrong && rows.circle() {
		r.add(f.Rules[0].First, "the rules run in a circle", "let nothing have to come before what has to come before it")
	}
}

// circle reports whether the rules and the order of the steps contradict each other in some kitchen: in one with all things, or
// in one without those in whose heating others lie.
func (r *Rows) circle() bool {
	hosts := map[string]bool{}
	for _, k := range r.kinds {
		hosts[k.rides] = true
	}
	for _, alone := range []bool{false, true} {
		var k Kitchen
		for _, row := range r.kinds {
			if alone && hosts[row.id] {
				continue
			}
			for _, side := range []string{Dairy, Meat} {
				k.Items = append(k.Items, Item{ID: row.id + "-" + side, Kind: row.id, Side: side})
			}
		}
		k.Place.Zone, k.Bedtime = time.UTC, 24*60
		now := time.Unix(0, 0)
		if _, err := build(&k, r, newCalendar(&k, now, now), deadlines{eve: now}); err != nil {
			return true
		}
	}
	return false
}

func (r *rowReader) rules() {
	marks := r.rows.marks()
	for _, x := range r.f.Rules {
		for _, m := range []dialog.Word{x.First, x.Then} {
			if there(m) && !slices.Contains(marks, m.S) {
				r.add(m, fmt.Sprintf("no step has the mark %q", m.S), "take one of "+strings.Join(marks, ", "))
			}
		}
		if !there(x.First) || !there(x.Then) || !there(x.Why) || x.First.S == x.Then.S {
			r.add(cmp.Or(x.First, x.Then, x.Why), "the rule is not whole", "write first, then another mark as then, and why")
		}
		r.says(textReasons, x.Why)
		r.rows.rules = append(r.rows.rules, rule{x.First.S, x.Then.S, r.yes(x.Cooled, "cooled"), x.Why.S})
	}
}

// covered checks that every kind of the dialogs is planned, or is said not to be, and that no two rows plan the same.
func (r *rowReader) covered() {
	claimed := map[string]dialog.Word{} // kind and method → where
	claim := func(kind dialog.Word, method string) {
		key := kind.S + " " + method
		if _, twice := claimed[key]; twice {
			r.add(kind, fmt.Sprintf("another row plans %q already", strings.TrimSpace(key)), "name methods, or remove it from one of them")
		}
		claimed[key] = kind
	}
	for _, k := range r.f.Rows {
		for _, p := range k.Plans {
			r.known(p.Kind)
			var methods []string
			for _, m := range p.Methods {
				if r.pack.Method(m.S) == nil {
					r.add(m, fmt.Sprintf("there is no method %q", m.S), "take one of methods.yaml")
				}
				methods = append(methods, m.S)
				claim(dialog.Word{S: p.Kind.S, Line: m.Line, Col: m.Col}, m.S)
			}
			if len(methods) == 0 {
				claim(p.Kind, "")
			}
			r.rows.plans[p.Kind.S] = append(r.rows.plans[p.Kind.S], plannedBy{k.Row.S, methods})
		}
	}
	for _, n := range r.f.NotPlanned {
		for _, kind := range n.Kinds {
			r.known(kind)
			r.texted(kind, "why it is not planned", n.Why)
			if r.rows.plans[kind.S] != nil || r.rows.not[kind.S] != nil {
				r.add(kind, fmt.Sprintf("%q is planned by a row, or stands here twice", kind.S), "keep one of them")
			}
			r.rows.not[kind.S] = n.Why
		}
	}
	for _, t := range r.pack.Trees {
		if r.rows.plans[t.Kind.S] == nil && r.rows.not[t.Kind.S] == nil {
			r.add(dialog.Word{}, fmt.Sprintf("nothing is said of the kind %q", t.Kind.S), "let a row plan it, or write it under not-planned")
		}
	}
}

func (r *rowReader) known(kind dialog.Word) {
	if r.pack.Tree(kind.S) == nil {
		r.add(kind, fmt.Sprintf("there is no kind %q", kind.S), "take the kind of a file in kinds")
	}
}

// says notes that an id of a list of texts is used, and reports one that is not there.
func (r *rowReader) says(list string, id dialog.Word) {
	if id.S == "" {
		return
	}
	if r.used[list] == nil {
		r.used[list] = map[string]bool{}
	}
	r.used[list][id.S] = true
	if r.rows.texts[list][id.S] == nil {
		r.add(id, fmt.Sprintf("%s has no sentence %q", list, id.S), "write it below "+list+":")
	}
}

// texts checks the sentences of the file, and that each is used and none is also the program's own.
func (r *rowReader) texts() {
	for list, all := range r.rows.texts {
		for id, t := range all {
			at := anyWord(t)
			r.texted(at, fmt.Sprintf("%s: %s", list, id), t)
			if !r.used[list][id] {
				r.add(at, fmt.Sprintf("nothing uses the sentence %q of %s", id, list), "remove it")
			}
			if list == textReasons && slices.Contains(Whys(), id) {
				r.add(at, fmt.Sprintf("the program itself says %q", id), "choose another id")
			}
		}
	}
}

// anyWord is the word of a text that stands first in the file.
func anyWord(t dialog.Text) dialog.Word {
	var first dialog.Word
	for _, w := range t {
		if !there(first) || w.Line < first.Line || w.Line == first.Line && w.Col < first.Col {
			first = w
		}
	}
	return first
}

// texted checks that a text is there in every language of the pack.
func (r *rowReader) texted(at dialog.Word, what string, t dialog.Text) {
	for _, l := range r.pack.Languages {
		w, ok := t[l.Code.S]
		switch {
		case !ok:
			r.add(cmp.Or(at, anyWord(t)), fmt.Sprintf("%s lacks the language %s", what, l.Code.S), "add it")
		case strings.TrimSpace(w.S) == "" || utf8.RuneCountInString(w.S) > maxText:
			r.add(w, fmt.Sprintf("%s is empty, or longer than %d characters", what, maxText), "write it anew")
		}
	}
	for _, code := range slices.Sorted(maps.Keys(t)) {
		if !r.pack.HasLanguage(code) {
			r.add(t[code], fmt.Sprintf("%s has the unknown language %q", what, code), "use a language of languages.yaml")
		}
	}
}

func (r *rowReader) minutes(w dialog.Word, setting string, near dialog.Word) int {
	if !there(w) {
		r.add(near, setting+" is missing", "write the minutes")
	}
	return r.number(w, setting, grid, 1, maxStep)
}

func (r *rowReader) uses(m map[string]dialog.Word) (out [resources]int) {
	for name, w := range m {
		i := slices.Index(resourceNames[:], name)
		switch {
		case i <= hands:
			r.add(w, fmt.Sprintf("there is no resource %q", name), "take one of "+strings.Join(resourceNames[hands+1:], ", "))
		case w.S == "all":
			out[i] = allOf
		default:
			out[i] = r.number(w, name, 1, 1, maxResource)
		}
	}
	return out
}

func (r *rowReader) kind(f *dialog.PlanRow) *kind {
	k := &kind{
		id: f.Row.S, name: f.Name, use: lastUse(r.choice(f.LastUse, "last-use", string(ownUse), string(mealUse), string(noUse))),
		rides: f.Rides.S, away: away{r.number(f.Away.Order, "order", 0, 1, 99), f.Away.How.S},
		beforeEve: r.number(f.BeforeEve, "days-before-eve", 0, 0, 60), food: r.yes(f.Food, "before-food"), drains: r.yes(f.Drains, "drains"),
		sabbath: r.yes(f.Sabbath, "hot-on-shabbos"), unlisted: r.yes(f.Unlisted, "unlisted"),
	}
	if k.id == "" {
		r.add(anyWord(f.Name), "the row has no id", "write row:")
	}
	r.texted(f.Row, "the row's name", f.Name)
	if !there(f.LastUse) {
		r.add(f.Row, fmt.Sprintf("the row %q lacks last-use", k.id), "write own, meal or none")
	}
	if (k.away.order == 0) != (k.away.how == "") {
		r.add(cmp.Or(f.Away.Order, f.Away.How), "away is not whole", "write order and how")
	}
	r.says(textInstead, f.Away.How)
	seen := map[string]bool{}
	for i := range f.Steps {
		s := &f.Steps[i]
		if seen[s.Name.S] || s.Name.S == "" || s.Name.S == IdleStep {
			r.add(cmp.Or(s.Name, f.Row), "the step has no name of its own", "give it another")
		}
		seen[s.Name.S] = true
		r.says(textSteps, s.Name)
		k.steps = append(k.steps, r.step(s, i, k.steps))
	}
	if len(k.steps) == 0 {
		r.add(f.Row, fmt.Sprintf("the row %q has no steps", k.id), "write them")
	}
	return k
}

func (r *rowReader) step(f *dialog.PlanStep, i int, before []stepRow) stepRow {
	s := stepRow{
		name: f.Name.S, does: does(r.choice(f.Does, "does", string(work), string(heat), string(wait))), minutes: r.minutes(f.Minutes, "minutes", f.Name),
		litres: r.number(f.Litres, "litres", 0, 1, maxLitres),
		uses:   r.uses(f.Uses), each: r.yes(f.Each, "each"), hot: r.yes(f.Hot, "hot"), idle: r.yes(f.Idle, "idle"), joined: r.yes(f.Joined, "joined"),
		alone: r.yes(f.Alone, "alone"), isRound: r.yes(f.Round, "round"), outside: r.yes(f.Outside, "outside"),
	}
	for _, m := range f.Marks {
		s.marks = append(s.marks, m.S)
	}
	if s.does == work {
		s.hands = r.number(f.Hands, "hands", 1, 1, maxResource)
	} else if there(f.Hands) || s.outside || s.isRound {
		r.add(f.Name, "only work has hands, is outside or is done in a round", "write does: work, or remove it")
	}
	if s.litres > 0 && s.does != heat {
		r.add(f.Litres, "only what heats brings water to the boil", "write does: heat, or remove litres")
	}
	if !there(f.Does) {
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
func (r *rowReader) joined(f *dialog.PlanStep, s stepRow, before []stepRow) {
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
