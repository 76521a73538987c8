package plan

import (
	"cmp"
	"fmt"
	"slices"
	"time"
)

// misfit plans what fits of a kitchen that does not, and says what does not and which changes would make everything fit.
func misfit(s *solution, now time.Time) (Plan, error) {
	k, rows := *s.net.kitchen, s.net.rows
	rest, gone, err := fitting(s, now)
	if err != nil {
		return Plan{}, fmt.Errorf("plan: %w", err)
	}
	best, err := solve(&rest, rows, now, full)
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
		p.Unfit = append(p.Unfit, Unfit{Item: it.ID, Kind: it.Kind, Name: it.Name, Side: it.Side, Why: alone(k, rows, it, now), Away: rows.kind(it.Kind).away.how})
	}
	if !s.proven && !slices.ContainsFunc(p.Notes, func(n Note) bool { return n.Why == NoteNotProven }) {
		p.Notes = append(p.Notes, Note{Why: NoteNotProven})
	}
	if p.Changes, err = changes(k, rows, now); err != nil {
		return Plan{}, fmt.Errorf("plan: %w", err)
	}
	if len(rows.minimal) == 0 {
		return p, nil
	}
	small := k
	small.Items, small.Done = slices.Clone(rows.minimal), nil
	least, err := solve(&small, rows, now, full)
	if err != nil {
		return Plan{}, fmt.Errorf("plan: the minimal kitchen: %w", err)
	}
	if least.fits() {
		m := least.plan(now)
		p.Minimal = &m
	} else {
		p.Notes = append(p.Notes, Note{Why: NoteNotMinimal})
	}
	return p, nil
}

// fits reports whether a kitchen fits, without a proof that it does not.
func fits(k Kitchen, rows *Rows, now time.Time) (bool, error) {
	s, err := solve(&k, rows, now, quick)
	return err == nil && s.fits(), err
}

// fitting is the kitchen without the items that do not fit: one that is easily put away, if that is enough; else those whose
// steps found no place, of which as many as possible are taken back.
func fitting(s *solution, now time.Time) (Kitchen, []Item, error) {
	k, rows := *s.net.kitchen, s.net.rows
	for _, it := range byAway(k.Items, rows) {
		if rows.kind(it.Kind).away.order == 0 || it.Keep {
			break
		}
		ok, err := fits(k.without(it.ID), rows, now)
		if ok || err != nil {
			return k.without(it.ID), []Item{it}, err
		}
	}
	rest, gone := k, []Item{}
	for lost := s.lost(); len(lost) > 0; {
		for _, it := range lost {
			rest, gone = rest.without(it.ID), append(gone, it)
		}
		next, err := solve(&rest, rows, now, full)
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
		ok, err := fits(with, rows, now)
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
func alone(k Kitchen, rows *Rows, it Item, now time.Time) string {
	k.Items = []Item{it}
	k.Done = slices.DeleteFunc(slices.Clone(k.Done), func(d Done) bool { return d.Item != it.ID })
	s, err := solve(&k, rows, now, quick)
	if err != nil || s.fits() {
		return WhyCrowded
	}
	for j := range s.net.tasks {
		t := &s.net.tasks[j]
		if t.impossib != "" {
			return t.impossib
		}
		if t.next[0] == never && t.work > 0 {
			return WhyWindow
		}
	}
	if it.Sabbath {
		k.Items[0].Sabbath = false
		if ok, err := fits(k, rows, now); ok && err == nil {
			return WhyHotOnRest
		}
	}
	if k.Meals = nil; rows.kind(it.Kind).use == mealUse {
		if ok, err := fits(k, rows, now); ok && err == nil {
			return WhyNoMeal
		}
	}
	return WhyNow
}

// changes are single changes by which everything fits, the smallest first: an evening more, one thing put away, one more
// person, one thing not hot on the last Sabbath, and last, since slack is worth most, less slack.
func changes(k Kitchen, rows *Rows, now time.Time) ([]Remedy, error) {
	var out []Remedy
	try := func(changed Kitchen, r Remedy) (bool, error) {
		ok, err := fits(changed, rows, now)
		if ok {
			out = append(out, r)
		}
		return ok, err
	}
	for _, e := range evening(&k, now) { // the latest that helps
		more := k
		more.Work = slices.Concat(k.Work, e.windows)
		if ok, err := try(more, Remedy{Why: OfferEvening, Evening: e.from, Until: e.to}); ok || err != nil {
			if err != nil {
				return nil, err
			}
			break
		}
	}
	for _, it := range byAway(k.Items, rows) {
		if rows.kind(it.Kind).away.order == 0 || it.Keep {
			continue
		}
		if _, err := try(k.without(it.ID), Remedy{Why: OfferAway, Item: it.ID}); err != nil {
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
