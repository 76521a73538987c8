package plan

import (
	"slices"
	"time"

	"benyomo/internal/idea/luach"
)

// What the checker looks at in the order of things: the 24 hours, last uses, and what comes before what.

// kashered is when the kashering of an item begins: that before which its 24 hours have to be over.
func (c *checker) kashered(it ItemPlan) (time.Time, bool) {
	row := c.kind[it.ID]
	if !slices.ContainsFunc(row.steps, func(s stepRow) bool { return s.idle }) {
		return time.Time{}, false
	}
	var first time.Time
	for _, s := range it.Steps {
		i := slices.IndexFunc(row.steps, func(r stepRow) bool { return r.name == s.Name })
		scrubs := s.In == "" && i >= 0 && !row.steps[i].isRound && i < slices.IndexFunc(row.steps, func(r stepRow) bool { return r.idle })
		if s.Name == "idle" || scrubs {
			continue
		}
		if first.IsZero() || s.Begins.Before(first) {
			first = s.Begins
		}
	}
	return first, true
}

// idle: 24 elapsed hours lie between the last hot use, or what began them anew, and the kashering.
func (c *checker) idle() {
	for _, it := range c.p.Items {
		k, ok := c.kashered(it)
		if !ok || it.LastUse == nil {
			continue
		}
		c.require(k.Sub(it.LastUse.At) >= Idle, "%s is kashered %v after its last use", it.ID, k.Sub(it.LastUse.At))
		for _, other := range c.p.Items {
			for _, s := range other.Steps {
				i := slices.IndexFunc(c.kind[other.ID].steps, func(r stepRow) bool { return r.name == s.Name && r.hot })
				drains := it.Kind == "sink" && s.Uses["sink"] > 0
				if i >= 0 && (other.ID == it.ID || drains) {
					c.require(k.Sub(s.Ends) >= Idle, "%s is kashered %v after the hot washing of %s", it.ID, k.Sub(s.Ends), other.ID)
				}
			}
		}
		said := c.k.Items[slices.IndexFunc(c.k.Items, func(x Item) bool { return x.ID == it.ID })]
		if !said.Sabbath || !said.LastHot.IsZero() || !c.k.LastMeal.IsZero() {
			continue
		}
		for t := k.Add(-Idle); t.Before(c.p.Ready.At); t = t.Add(5 * time.Minute) {
			_, rests := luach.RestAt(c.k.Place, t)
			c.require(!rests, "%s is in hot use on Sabbath less than 24 hours before, or after, its kashering", it.ID)
		}
	}
}

// lastUses: nothing is worked on before its last use; what shares the last hot meal has that; it is one of those named.
func (c *checker) lastUses() {
	if c.p.LastMeal != nil && len(c.k.Meals) > 0 && c.k.LastMeal.IsZero() {
		c.require(slices.ContainsFunc(c.k.Meals, c.p.LastMeal.At.Equal), "the meal at %v was not named", c.p.LastMeal.At)
	}
	for _, it := range c.p.Items {
		row := c.kind[it.ID]
		c.require(row.use != noUse || it.LastUse == nil, "%s has a last use", it.ID)
		if row.use == mealUse && it.LastUse != nil && it.LastUse.Why == WhyMeal {
			c.require(it.LastUse.At.Equal(c.p.LastMeal.At), "%s has a meal of its own", it.ID)
		}
		for _, s := range it.Steps {
			c.require(it.LastUse == nil || !s.Begins.Before(it.LastUse.At) || s.Done, "%s is worked on before its last use", it.ID)
		}
	}
}

// chain: an item's steps come in the order of its row, one after the other; what is boiled or lies in another's heating comes
// after its own.
func (c *checker) chain() {
	for _, it := range c.p.Items {
		rank := func(s Step) int {
			if s.In != "" {
				return 100
			}
			return slices.IndexFunc(c.kind[it.ID].steps, func(r stepRow) bool { return r.name == s.Name })
		}
		for _, a := range it.Steps {
			for _, b := range it.Steps {
				if a.Name != "idle" && b.Name != "idle" && rank(a) < rank(b) {
					c.require(!b.Begins.Before(a.Ends), "%s: %s begins before %s ends", it.ID, b.Name, a.Name)
				}
			}
		}
	}
}

// order: the rules of order, written out once more by kinds and steps.
func (c *checker) order() {
	type occasion struct {
		id           string
		begins, ends time.Time
	}
	var boiled, dairy, meat, first, last, counters, poured, sinks, covers, hobs, ovens, kettles, immersions []occasion
	add := func(to *[]occasion, it ItemPlan, cooled bool, names ...string) {
		for _, s := range it.step(names...) {
			one := occasion{it.ID, s.Begins, s.Ends}
			if cooled && len(*to) > 0 && (*to)[len(*to)-1].id == it.ID {
				(*to)[len(*to)-1].ends = s.Ends
				continue
			}
			*to = append(*to, one)
		}
	}
	for _, it := range c.p.Items {
		lies := c.kind[it.ID].rides != "" && c.hostOf(Item{ID: it.ID, Kind: it.Kind}) != ""
		switch it.Kind {
		case "cutlery", "pot", "large-pot", "small-things", "machine-parts":
			side := c.k.Items[slices.IndexFunc(c.k.Items, func(x Item) bool { return x.ID == it.ID })].Side
			for _, boil := range it.step("boil") {
				x := occasion{it.ID, boil.Begins, boil.Ends}
				for _, s := range it.step("heat-water") { // a round begins with its water
					if s.In == boil.In && s.In != "" {
						x.begins = s.Begins
					}
				}
				boiled = append(boiled, x)
				if side == Meat {
					meat = append(meat, x)
				} else {
					dairy = append(dairy, x)
				}
			}
		case "kashering-pot":
			add(&first, it, false, "kasher-first")
			add(&last, it, true, "boil-again", "kasher-last")
		case "counter":
			add(&poured, it, false, "pour")
			add(&counters, it, true, "heat-water", "pour", "dry-after")
		case "sink":
			add(&sinks, it, true, "heat-water", "pour")
		case "covers", "covered-corner":
			add(&covers, it, false, "cover")
		case "coil-hob", "glass-hob", "one-burner", "grates", "induction-hob":
			if !lies {
				add(&hobs, it, true, "heat", "heat-water", "pour", "cool", "dry-after")
			}
		case "oven":
			add(&ovens, it, true, "heat-up", "heat", "cool")
		case "kettle":
			add(&kettles, it, false, "boil")
		case "immersion":
			add(&immersions, it, false, "immerse")
		}
	}
	before := func(a, b []occasion, what string) {
		for _, x := range a {
			for _, y := range b {
				c.require(!y.begins.Before(x.ends), "%s: %s at %v, %s over at %v", what, y.id, y.begins, x.id, x.ends)
			}
		}
	}
	before(first, boiled, "kashering pot first")
	before(first, counters, "kashering pot first")
	before(boiled, last, "kashering pot last")
	before(dairy, meat, "dairy before meat")
	before(boiled, counters, "counter after the boiling")
	before(kettles, counters, "kettle before pouring")
	before(boiled, sinks, "sink last")
	before(first, sinks, "sink last")
	before(last, sinks, "sink last")
	before(poured, sinks, "sink last")
	before(ovens, covers, "oven before the covers")
	before(hobs, covers, "covers when the hob is cool")
	before(counters, covers, "covers when the counter is dry")
	before(kettles, immersions, "immersion after kashering")
	before(boiled, immersions, "immersion after kashering")
}
