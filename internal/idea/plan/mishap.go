package plan

import (
	"slices"
	"time"
)

// UsedHot is the kitchen after a mishap: at that time the things were used with heat, so that their 24 hours begin anew; without
// ids, all that still waits to be kashered was, as where nobody knows what the hot water touched. What is kashered already is not
// changed and given back as mixed: that is no longer a wait, but a mix-up, which is a question for the rabbi.
func (k Kitchen) UsedHot(rows *Rows, at time.Time, ids ...string) (after Kitchen, mixed []string) {
	at = at.UTC()
	k.Items = slices.Clone(k.Items)
	for i := range k.Items {
		it := &k.Items[i]
		row := rows.kind(it.Kind)
		if row == nil || len(ids) > 0 && !slices.Contains(ids, it.ID) {
			continue
		}
		switch {
		case k.kashered(rows, *it):
			mixed = append(mixed, it.ID)
		case row.use == mealUse && len(ids) == 0:
			if !it.LastHot.IsZero() && it.LastHot.Before(at) {
				it.LastHot = at
			}
		case slices.ContainsFunc(row.steps, func(s stepRow) bool { return s.idle }) && it.LastHot.Before(at):
			it.LastHot = at
		}
	}
	if len(ids) == 0 && k.LastMeal.Before(at) {
		k.LastMeal = at
	}
	return k, mixed
}

// kashered reports whether the kashering of an item was begun: a step for which its 24 hours had to be over, its own or that of
// another in whose heating it lies.
func (k *Kitchen) kashered(rows *Rows, it Item) bool {
	begun := func(id, kind string) bool {
		row := rows.kind(kind)
		from := slices.IndexFunc(row.steps, func(s stepRow) bool { return s.idle })
		return from >= 0 && slices.ContainsFunc(k.Done, func(d Done) bool {
			return d.Item == id && slices.ContainsFunc(row.steps[from:], func(s stepRow) bool { return s.name == d.Step })
		})
	}
	if begun(it.ID, it.Kind) {
		return true
	}
	host := slices.IndexFunc(k.Items, func(x Item) bool { return x.Kind == rows.kind(it.Kind).rides })
	return host >= 0 && begun(k.Items[host].ID, k.Items[host].Kind)
}
