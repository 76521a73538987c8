package plan

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/luach"
)

// orderOf is an order with things, in the place of these tests.
func orderOf(rows ...string) Order {
	o := NewOrder(7)
	for _, r := range rows {
		o.Pick(r, "", 1)
	}
	return o
}

func TestOrderPicks(t *testing.T) {
	o := orderOf("oven", "sink")
	o.Pick("pot", Meat, 3)
	o.Pick("pot", Dairy, 1)
	o.Pick("pot", Meat, 4)
	require.Equal(t, 4, o.Picked("pot", Meat).Count)
	require.Equal(t, "pot-meat", o.Picked("pot", Meat).ID())
	require.Equal(t, "sink", o.Picked("sink", "").ID())
	o.Done = []Done{{Item: "pot-meat", Step: "scrub"}, {Item: "sink", Step: "scrub"}}
	o.Pick("pot", Meat, 0)
	require.Nil(t, o.Picked("pot", Meat))
	require.Equal(t, []Done{{Item: "sink", Step: "scrub"}}, o.Done, "what was done of it goes with it")
	require.Len(t, o.Picks, 3)
	o.Pick("nothing", "", 0)
	require.Len(t, o.Picks, 3)
}

// Another year a household begins with what it said before, and with nothing done.
func TestNextOrder(t *testing.T) {
	first := Order{}.Next(7)
	require.Equal(t, uint64(7), first.Household)
	require.NotEmpty(t, first.Times)
	o := orderOf("oven", "sink")
	o.Rev, o.People, o.Plan, o.LastMeal, o.Files = 9, 3, &Plan{}, time.Unix(1, 0), 2
	o.Picked("sink", "").LastHot = time.Unix(1, 0)
	o.Done = []Done{{Item: "sink", Step: "scrub"}}
	next := o.Next(7)
	require.Equal(t, uint64(10), next.Rev, "what was made of the old one is void")
	require.Equal(t, 3, next.People)
	require.Equal(t, 2, next.Files)
	require.Len(t, next.Picks, 2)
	require.True(t, next.Picked("sink", "").LastHot.IsZero())
	require.True(t, next.LastMeal.IsZero())
	require.Empty(t, next.Done)
	require.Nil(t, next.Plan)
	require.False(t, o.Picked("sink", "").LastHot.IsZero(), "the old one stays as it was")
}

func TestToggle(t *testing.T) {
	list := []string{"a", "c"}
	require.Equal(t, []string{"a", "b", "c"}, Toggle(list, "b"))
	require.Equal(t, []string{"c"}, Toggle(list, "a"))
	require.Equal(t, []string{"a", "c"}, list, "the list itself stays")
}

// What a household says becomes a kitchen that can be planned, whatever it says: nothing that buttons allow is refused.
func TestOrderKitchen(t *testing.T) {
	k := household(t)
	now := at(t, k.Place, "2027-04-11 20:05")
	o := orderOf("oven", "grates", "kashering-pot", "counter", "sink", "hot-plate")
	o.Picked("hot-plate", "").Sabbath = true
	kitchen := o.Kitchen(k.Place, 23*60, now)
	require.Len(t, kitchen.Items, 6)
	require.True(t, kitchen.Items[5].Sabbath)
	require.NoError(t, kitchen.valid(builtIn(t)))
	for _, m := range kitchen.Meals {
		require.False(t, m.Before(now))
		require.True(t, m.Before(luach.PesachAfter(k.Place, now).Begins))
	}
	require.Equal(t, at(t, k.Place, "2027-04-12 08:30"), kitchen.Meals[0].In(k.Place.Zone), "tonight's supper is over")
	p, err := Make(kitchen, builtIn(t), now)
	require.NoError(t, err)
	require.True(t, p.Fits)
	o.Times, o.Meals, o.People, o.Burners, o.Pots = nil, nil, 1, 1, 1
	p, err = Make(o.Kitchen(k.Place, 23*60, now), builtIn(t), now)
	require.NoError(t, err)
	require.False(t, p.Fits, "nobody works")
}

// An evening that was added is one of its date, on which the hours of the week hold too.
func TestOrderAdded(t *testing.T) {
	k := household(t)
	now := at(t, k.Place, "2027-04-11 20:00")
	o := orderOf("sink")
	o.Times = []string{"0-afternoon", "0-evening"}
	o.Apply(Remedy{Why: OfferEvening, Evening: at(t, k.Place, "2027-04-13 19:30"), Until: at(t, k.Place, "2027-04-13 22:30")})
	o.Apply(Remedy{Why: OfferEvening, Evening: at(t, k.Place, "2027-04-18 09:00"), Until: at(t, k.Place, "2027-04-18 12:00")})
	var sunday, tuesday int
	for _, w := range o.Kitchen(k.Place, 23*60, now).Work {
		if w.Year != 0 && w.Day == 18 {
			sunday++
		}
		if w.on(2027, time.April, 13) {
			tuesday++
			require.Equal(t, 19*60+30, w.From)
			require.Equal(t, 22*60+30, w.To)
		}
	}
	require.Equal(t, 3, sunday, "the afternoon and the evening of the week, and the morning")
	require.Equal(t, 1, tuesday)
}

func TestOrderApply(t *testing.T) {
	o := orderOf("oven", "hot-plate")
	o.Picked("hot-plate", "").Sabbath = true
	o.Apply(Remedy{Why: OfferNotHot, Item: "hot-plate"})
	require.False(t, o.Picked("hot-plate", "").Sabbath)
	o.Apply(Remedy{Why: OfferHands})
	require.Equal(t, 3, o.People)
	less := 360
	o.Apply(Remedy{Why: OfferSlack, SlackMinutes: &less})
	require.Equal(t, 360, o.Slack)
	o.Apply(Remedy{Why: OfferAway, Item: "oven"})
	require.Nil(t, o.Picked("oven", ""))
}

// Every change that a plan offers makes everything fit, applied to the order: that is what it is offered for.
func TestOffersHelp(t *testing.T) {
	k := household(t)
	offered := map[string]int{}
	for i, moment := range []string{"2027-04-14 21:00", "2027-04-15 08:00", "2027-04-15 21:00", "2027-04-16 08:00", "2027-04-18 10:00", "2027-04-18 13:00"} {
		now := at(t, k.Place, moment)
		o := orderOf("oven", "grates", "kashering-pot", "counter", "sink", "microwave", "hot-plate")
		o.Picked("hot-plate", "").Sabbath = true
		o.Finish = at(t, k.Place, "2027-04-20 18:00")
		o.People = 1 + i%2
		p, err := Make(o.Kitchen(k.Place, 23*60, now), builtIn(t), now)
		require.NoError(t, err)
		for _, r := range p.Changes {
			offered[r.Why]++
			raw, err := json.Marshal(o) // a copy that shares nothing
			require.NoError(t, err)
			var next Order
			require.NoError(t, json.Unmarshal(raw, &next))
			next.Apply(r)
			p, err := Make(next.Kitchen(k.Place, 23*60, now), builtIn(t), now)
			require.NoError(t, err)
			require.True(t, p.Fits, "%s: %s %s", moment, r.Why, r.Item)
		}
	}
	require.GreaterOrEqual(t, len(offered), 2, "%v", offered)
}

// Hot use begins the 24 hours anew, of one thing or of all that shares the last hot meal. What is kashered already is given back
// instead: hot use of it is a question, and no wait.
func TestHotAgain(t *testing.T) {
	r := builtIn(t)
	when := time.Date(2027, time.April, 18, 18, 0, 0, 0, time.UTC)
	o := orderOf("sink", "counter", "oven", "kashering-pot")
	o.Done = []Done{{Item: "sink", Step: "scrub"}, {Item: "counter", Step: "pour"}, {Item: "oven", Step: "heat"}}
	require.Empty(t, o.HotAgain(r, "sink", when))
	require.Equal(t, when, o.Picked("sink", "").LastHot)
	require.True(t, o.LastMeal.IsZero())
	require.Equal(t, []string{"counter"}, o.HotAgain(r, AllThatShare, when.Add(time.Hour)))
	require.Equal(t, when.Add(time.Hour), o.LastMeal)
	require.Equal(t, when.Add(time.Hour), o.Picked("sink", "").LastHot, "its own time was earlier")
	require.True(t, o.Picked("oven", "").LastHot.IsZero(), "the oven was not meant")
	o.HotAgain(r, AllThatShare, when)
	require.Equal(t, when.Add(time.Hour), o.LastMeal, "the latest counts")
	require.Equal(t, []string{"oven"}, o.HotAgain(r, "oven", when))
	require.True(t, o.Picked("oven", "").LastHot.IsZero())
	require.Len(t, o.Done, 3, "what was done stays done")
}

// Last uses that are over are taken as the plan said them, so that a later plan does not move them.
func TestPass(t *testing.T) {
	k := household(t)
	now := at(t, k.Place, "2027-04-11 20:00")
	o := orderOf("oven", "grates", "kashering-pot", "sink")
	p, err := Make(o.Kitchen(k.Place, 23*60, now), builtIn(t), now)
	require.NoError(t, err)
	o.Plan = &p
	o.Pass(p.LastMeal.At.Add(-time.Minute))
	require.True(t, o.LastMeal.IsZero())
	o.Pass(p.LastMeal.At)
	require.Equal(t, p.LastMeal.At, o.LastMeal)
	require.True(t, o.Picked("oven", "").LastHot.IsZero(), "that is later")
	for _, task := range p.Tasks() {
		if task.Ends.Before(p.LastMeal.At.Add(12 * time.Hour)) {
			o.Did(task, task.Ends)
		}
	}
	later := p.LastMeal.At.Add(12 * time.Hour)
	again, changes, err := Again(p, o.Kitchen(k.Place, 23*60, later), builtIn(t), later)
	require.NoError(t, err)
	require.True(t, again.Fits)
	require.Empty(t, changes, "all was done in its time: nothing changes")
}
