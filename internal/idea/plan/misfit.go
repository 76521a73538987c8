package plan

import (
	"cmp"
	"fmt"
	"slices"
	"time"
)

// misfit plans what fits of a kitchen that does not, and says what does not and which changes would make everything fit.
func misfit(s *solution, now time.Time) (Plan, error) {
	k, rows, ask := *s.net.kitchen, s.net.rows, s.asker
	aways := map[string]bool{}
	rest, gone, err := fitting(s, aways)
	if err != nil {
		return Plan{}, fmt.Errorf("plan: %w", err)
	}
	best, err := ask.solve(&rest, full)
	if err != nil {
		return Plan{}, fmt.Errorf("plan: %w", err)
	}
	p := Plan{Made: now.UTC(), Boils: boils(k.Place), Finish: s.dl.finish, Ready: s.dl.ready, Notes: s.dl.notes, Items: []ItemPlan{}}
	if best.fits() {
		p = best.plan(now)
	}
	// Proof of the rest's order is the rest's; that not everything fits has its own.
	p.Fits, p.Proven = false, s.proven && best.proven
	for _, it := range gone {
		p.Unfit = append(p.Unfit, Unfit{Item: it.ID, Kind: it.Kind, Name: it.Name, Side: it.Side, Why: ask.alone(k, it), Away: rows.kind(it.Kind).away.how})
	}
	if !s.proven && !slices.ContainsFunc(p.Notes, func(n Note) bool { return n.Why == NoteNotProven }) {
		p.Notes = append(p.Notes, Note{Why: NoteNotProven})
	}
	if p.Changes, err = ask.changes(k, aways); err != nil {
		return Plan{}, fmt.Errorf("plan: %w", err)
	}
	if len(rows.minimal) == 0 {
		return p, nil
	}
	if p.Minimal, err = ask.minimal(k); err != nil {
		return Plan{}, fmt.Errorf("plan: the minimal kitchen: %w", err)
	}
	if p.Minimal == nil {
		p.Notes = append(p.Notes, Note{Why: NoteNotMinimal})
	}
	return p, nil
}

// minimal plans the minimal kitchen, with as much of the slack as there is time for, and as a last resort with work at all hours
// in which the household is awake; nil where there is not time enough for that either.
func (a *asker) minimal(k Kitchen) (*Plan, error) {
	k.Items, k.Done = slices.Clone(a.rows.minimal), nil
	for anyHour := false; ; {
		s, err := a.solve(&k, full)
		if err != nil {
			return nil, err
		}
		if s.fits() {
			p := s.plan(a.now)
			if anyHour {
				p.Notes = append(p.Notes, Note{Why: NoteAnyHour})
			}
			return &p, nil
		}
		switch {
		case k.Slack > 0:
			k.Slack = max((k.Slack - 1).Truncate(slackStep), 0)
		case !anyHour:
			anyHour = true
			k.Work = []Window{{Days: []time.Weekday{0, 1, 2, 3, 4, 5, 6}, From: k.Wake, To: k.Bedtime}}
		default:
			return nil, nil
		}
	}
}

// fitting is the kitchen without the items that do not fit: one that is easily put away, if that is enough; else those whose
// steps found no place, of which as many as possible are taken back. Aways is filled with whether one thing put away is enough.
func fitting(s *solution, aways map[string]bool) (Kitchen, []Item, error) {
	k, rows, ask := *s.net.kitchen, s.net.rows, s.asker
	for _, it := range byAway(k.Items, rows) {
		if rows.kind(it.Kind).away.order == 0 || it.Keep {
			break
		}
		ok, err := ask.fits(k.without(it.ID))
		aways[it.ID] = ok
		if ok || err != nil {
			return k.without(it.ID), []Item{it}, err
		}
	}
	rest, gone := k, []Item{}
	for lost := s.lost(); len(lost) > 0; {
		for _, it := range lost {
			rest, gone = rest.without(it.ID), append(gone, it)
		}
		next, err := ask.solve(&rest, full)
		if err != nil {
			return rest, gone, err
		}
		lost = next.lost()
	}
	for _, it := range slices.Backward(byAway(gone, rows)) { // what is hardest to do without comes back first
		with := rest
		with.Items = slices.DeleteFunc(slices.Clone(k.Items), func(x Item) bool {
			return x.ID != it.ID && slices.ContainsFunc(gone, func(g Item) bool { return g.ID == x.ID })
		})
		with.Done = slices.DeleteFunc(slices.Clone(k.Done), func(d Done) bool {
			return !slices.ContainsFunc(with.Items, func(x Item) bool { return x.ID == d.Item })
		})
		ok, err := ask.fits(with)
		if err != nil {
			return rest, gone, err
		}
		if ok {
			rest = with
			gone = slices.DeleteFunc(gone, func(g Item) bool { return g.ID == it.ID })
		}
	}
	return rest, gone, nil
}

// lost are the items of which some step found no place. Those of a round are lost together.
func (s *solution) lost() []Item {
	gone := map[int]bool{}
	for j, f := range s.start {
		if f >= 0 && f < never {
			continue
		}
		for _, i := range s.net.tasks[j].all() {
			gone[i] = true
		}
	}
	if len(gone) == 0 && !s.fits() { // no meal was named that would do: what waits for it
		for i, it := range s.net.kitchen.Items {
			gone[i] = s.net.rows.kind(it.Kind).use == mealUse
		}
	}
	var out []Item
	for i, it := range s.net.kitchen.Items {
		if gone[i] {
			out = append(out, it)
		}
	}
	return out
}

// byAway are items with what is put away most easily first.
func byAway(items []Item, rows *Rows) []Item {
	out := slices.Clone(items)
	key := func(it Item) int {
		if o := rows.kind(it.Kind).away.order; o > 0 && !it.Keep {
			return o
		}
		return 1000
	}
	slices.SortStableFunc(out, func(a, b Item) int { return cmp.Compare(key(a), key(b)) })
	return out
}

// alone says why an item does not fit: by itself, or only together with the others.
func (a *asker) alone(k Kitchen, it Item) string {
	k.Items = []Item{it}
	k.Done = slices.DeleteFunc(slices.Clone(k.Done), func(d Done) bool { return d.Item != it.ID })
	s, err := a.solve(&k, quick)
	if err != nil || s.fits() {
		return WhyCrowded
	}
	for j := range s.net.tasks {
		t := &s.net.tasks[j]
		if t.impossib != "" {
			return t.impossib
		}
		if t.next[0] < never || t.work == 0 {
			continue
		}
		if slices.ContainsFunc(t.steps, func(r stepRow) bool { return r.outside }) {
			return WhyClosed
		}
		return WhyNoWindow
	}
	if a.rows.kind(it.Kind).food && !k.Food.IsZero() && a.fitsWith(k.withoutFood(), a.rows) {
		return WhyFood
	}
	if before := a.rows.kind(it.Kind).beforeEve; before > 0 {
		if late := a.anyDay(it.Kind); a.fitsWith(k, late) {
			return WhyDaysBefore
		}
	}
	if it.Sabbath {
		k.Items[0].Sabbath = false
		if ok, err := a.fits(k); ok && err == nil {
			return WhyHotOnRest
		}
	}
	if k.Meals = nil; a.rows.kind(it.Kind).use == mealUse {
		if ok, err := a.fits(k); ok && err == nil {
			return WhyNoMeal
		}
	}
	return WhyNow
}

// withoutFood is the kitchen to which no food for Pesach comes before the end of the plan.
func (k Kitchen) withoutFood() Kitchen {
	k.Food = time.Time{}
	return k
}

// anyDay are the rows without the days that a kind keeps free before the eve.
func (a *asker) anyDay(kind string) *Rows {
	rows := *a.rows
	rows.kinds = slices.Clone(rows.kinds)
	for i, row := range rows.kinds {
		if row.id == kind {
			other := *row
			other.beforeEve = 0
			rows.kinds[i] = &other
		}
	}
	return &rows
}

// fitsWith reports whether a kitchen fits with other rows.
func (a *asker) fitsWith(k Kitchen, rows *Rows) bool {
	other := *a
	other.rows = rows
	ok, err := other.fits(k)
	return ok && err == nil
}

// changes are single changes by which everything fits, the smallest first: an evening more, one thing put away, one more
// person, one thing not hot on the last Sabbath, and last, since slack is worth most, less slack.
func (a *asker) changes(k Kitchen, aways map[string]bool) ([]Remedy, error) {
	var out []Remedy
	try := func(changed Kitchen, r Remedy) (bool, error) {
		ok, err := a.fits(changed)
		if ok {
			out = append(out, r)
		}
		return ok, err
	}
	for _, e := range evening(&k, a.now) { // the latest that helps
		more := k
		more.Work = slices.Concat(k.Work, e.windows)
		if ok, err := try(more, Remedy{Why: OfferEvening, Evening: e.from, Until: e.to}); ok || err != nil {
			if err != nil {
				return nil, err
			}
			break
		}
	}
	for _, it := range byAway(k.Items, a.rows) {
		if a.rows.kind(it.Kind).away.order == 0 || it.Keep {
			continue
		}
		r := Remedy{Why: OfferAway, Item: it.ID}
		if enough, known := aways[it.ID]; known && enough {
			out = append(out, r)
		} else if known {
			continue
		} else if _, err := try(k.without(it.ID), r); err != nil {
			return nil, err
		}
	}
	if k.Hands < maxResource {
		more := k
		more.Hands++
		if _, err := try(more, Remedy{Why: OfferHands}); err != nil {
			return nil, err
		}
	}
	for i, it := range k.Items {
		if !it.Sabbath {
			continue
		}
		cold := k
		cold.Items = slices.Clone(k.Items)
		cold.Items[i].Sabbath = false
		if _, err := try(cold, Remedy{Why: OfferNotHot, Item: it.ID}); err != nil {
			return nil, err
		}
	}
	for slack := (k.Slack - 1).Truncate(slackStep); k.Slack > 0 && slack >= 0; slack -= slackStep {
		less := k
		less.Slack = slack
		left := int(slack / time.Minute)
		ok, err := try(less, Remedy{Why: OfferSlack, SlackMinutes: &left})
		if err != nil {
			return nil, err
		}
		if ok {
			break
		}
	}
	return out, nil
}

const slackStep = 6 * time.Hour

// dated is a window of work on one date.
type dated struct {
	windows  []Window // all of the date's, which then has no others
	from, to time.Time
}

// evening lists the evenings on which the household does not work yet, the latest first: as long as its longest evening is, or
// three hours.
func evening(k *Kitchen, now time.Time) []dated {
	const starts, length = 19 * 60, 180
	w := Window{From: starts, To: min(starts+length, k.Bedtime)}
	for _, x := range k.Work {
		if x.From >= 17*60 && x.To-x.From > w.To-w.From {
			w.From, w.To, w.Most = x.From, x.To, x.Most
		}
	}
	if w.From >= w.To {
		return nil
	}
	d := deadlinesOf(k, now)
	var out []dated
	for i := 0; ; i++ {
		y, m, day := now.In(k.Place.Zone).AddDate(0, 0, i).Date()
		from, to := local(k.Place.Zone, y, m, day, w.From, true), local(k.Place.Zone, y, m, day, w.To, false)
		if to.After(d.ready.At) {
			break
		}
		if from.Before(now) || len(restsBetween(k.Place, from, to)) > 0 {
			continue
		}
		busy, windows := false, []Window{w}
		for _, x := range k.Work {
			if x.on(y, m, day) {
				busy = busy || x.From < w.To && w.From < x.To
				windows = append(windows, x)
			}
		}
		if busy {
			continue
		}
		for j := range windows {
			windows[j].Year, windows[j].Month, windows[j].Day = y, m, day
		}
		out = append(out, dated{windows, from, to})
	}
	slices.Reverse(out)
	return out
}
