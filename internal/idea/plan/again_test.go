package plan

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// doneBy says of all steps of a plan that end by a time that they were done then, and of the meal and last uses that they were.
func doneBy(t testing.TB, k Kitchen, p Plan, now time.Time) Kitchen {
	k.Items, k.Done = slices.Clone(k.Items), nil
	if p.LastMeal != nil && !p.LastMeal.At.After(now) {
		k.LastMeal = p.LastMeal.At
	}
	for i, it := range p.Items {
		if it.LastUse != nil && it.LastUse.Why != WhyMeal && !it.LastUse.At.After(now) {
			k.Items[i].LastHot = it.LastUse.At
		}
		for _, s := range it.Steps {
			if s.Name != "idle" && !s.Begins.After(now) && builtIn(t).kind(it.Kind).has(s.Name) {
				d := Done{Item: it.ID, Step: s.Name, Begins: s.Begins}
				if !s.Ends.After(now) {
					d.Ends = s.Ends
				}
				k.Done = append(k.Done, d)
			}
		}
	}
	return k
}

// Who does everything as planned, and asks again in the middle, is told nothing new.
func TestAsPlannedNothingChanges(t *testing.T) {
	t.Parallel()
	asked := 0
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 81))
		k, now := randomKitchen(t, r, 3+r.IntN(8))
		for i := range k.Items {
			k.Items[i].Count = 1 // what is done for each is not divided
		}
		p, err := Make(k, builtIn(t), now)
		require.NoError(t, err)
		if !p.Fits {
			continue
		}
		// Somewhere in the middle; of a round of boiling that runs nobody knows when each thing is out.
		later := now
		for _, it := range p.Items {
			for _, s := range it.Steps {
				if s.Name != "idle" && r.IntN(2) == 0 && s.Begins.After(later) {
					later = s.Begins.Add(-5 * time.Minute)
				}
			}
		}
		if slices.ContainsFunc(p.Items, func(it ItemPlan) bool {
			return slices.ContainsFunc(it.Steps, func(s Step) bool { return s.In != "" && !s.Begins.After(later) && !s.Ends.Before(later) })
		}) {
			continue
		}
		asked++
		q, changes, err := Again(p, doneBy(t, k, p, later), builtIn(t), later)
		require.NoError(t, err)
		about := fmt.Sprintf("seed %d, at %v\n%s\n%s", seed, later, shown(p), shown(q))
		require.True(t, q.Fits, about)
		changes = slices.DeleteFunc(changes, func(c Change) bool { return c.What == ChangedUse }) // a use that is over is no news; it has another reason
		require.Empty(t, changes, about)
	}
	t.Logf("asked %d times", asked)
	require.Greater(t, asked, 20)
}

// The household of the example: what was late or went wrong changes what it has to, and no more.
func TestPlanAgain(t *testing.T) {
	k := household(t, whole()[2:]...)
	k.Meals = mealsOn(t, k, "2027-04-17", "2027-04-18", "2027-04-19")
	k.Finish = at(t, k.Place, "2027-04-20 23:00")
	p := planned(t, k, at(t, k.Place, "2027-04-11 20:00"))
	require.Equal(t, "2027-04-18 12:30", p.LastMeal.At.In(k.Place.Zone).Format("2006-01-02 15:04"))

	t.Run("the same", func(t *testing.T) {
		_, changes, err := Again(p, k, builtIn(t), at(t, k.Place, "2027-04-12 09:00"))
		require.NoError(t, err)
		require.Empty(t, changes)
	})
	t.Run("the covers are done, against the order", func(t *testing.T) {
		now := at(t, k.Place, "2027-04-12 09:00")
		broken := k
		broken.Done = []Done{{Item: "covers", Step: "cover", Begins: now.Add(-2 * time.Hour), Ends: now.Add(-time.Hour)}}
		q, _, err := Again(p, broken, builtIn(t), now)
		require.NoError(t, err)
		require.Contains(t, q.Notes, Note{Why: NoteOrderBroken, Item: "oven"})
		require.Contains(t, q.Notes, Note{Why: NoteOrderBroken, Item: "counter"})
	})
	t.Run("a scrub was missed", func(t *testing.T) {
		now := at(t, k.Place, "2027-04-18 21:30")
		late := doneBy(t, k, p, now)
		late.Done = slices.DeleteFunc(late.Done, func(d Done) bool { return d.Item == "counter" })
		q, changes, err := Again(p, late, builtIn(t), now)
		require.NoError(t, err)
		check(t, late, q, now, "")
		require.False(t, q.Fits) // scrubbed on Monday it is idle until Tuesday
		require.Equal(t, [][3]string{{"counter", WhyNow, "cover"}}, unfits(q))
		require.Contains(t, changes, Change{What: ChangedFit, Item: "counter", Why: WhyNow})
		require.False(t, slices.ContainsFunc(changes, func(c Change) bool { return c.What == ChangedStep && c.Item == "counter" }))
	})
	t.Run("used hot on Monday morning", func(t *testing.T) {
		now := at(t, k.Place, "2027-04-19 09:00")
		used := doneBy(t, k, p, now)
		used.LastMeal = at(t, k.Place, "2027-04-19 08:30").UTC()
		used.Finish = at(t, k.Place, "2027-04-21 22:00") // beyond the deadline, which holds
		used.Slack = 0
		q, changes, err := Again(p, used, builtIn(t), now)
		require.NoError(t, err)
		require.Contains(t, q.Notes, Note{Why: NoteFinishAfter})
		require.Contains(t, changes, Change{What: ChangedMeal, From: p.LastMeal.At, To: used.LastMeal, Why: WhyDecided})
		for _, it := range q.Items {
			if builtIn(t).kind(it.Kind).use != mealUse {
				continue
			}
			for _, s := range it.Steps {
				if !s.Done && s.Name != "idle" && s.Name != "boil-again" && s.Name != "kasher-last" {
					require.False(t, s.Begins.Before(used.LastMeal.Add(Idle)), "%s %s\n%s", it.ID, s.Name, shown(q))
				}
			}
		}
	})
	t.Run("a heating runs", func(t *testing.T) {
		begins := item(t, p, "oven").step("heat-up")[0].Begins
		now := begins.Add(10 * time.Minute)
		runs := doneBy(t, k, p, now)
		runs.Done = append(runs.Done, Done{Item: "grates", Step: "scrub", Begins: begins.Add(-25 * time.Hour), Ends: begins.Add(-24 * time.Hour)})
		q, changes, err := Again(p, runs, builtIn(t), now)
		require.NoError(t, err)
		require.True(t, q.Fits, shown(q))
		for _, c := range changes {
			require.NotEqual(t, "oven", c.Item, "%+v", c)
		}
	})
	t.Run("an item more, another less", func(t *testing.T) {
		other := k.without("sink")
		other.Items = append(other.Items, Item{ID: "microwave", Kind: "microwave"})
		_, changes, err := Again(p, other, builtIn(t), at(t, k.Place, "2027-04-12 09:00"))
		require.NoError(t, err)
		gone, come := 0, 0
		for _, c := range changes {
			switch c.Item {
			case "sink":
				gone++
				require.True(t, c.To.IsZero())
			case "microwave":
				come++
				require.True(t, c.From.IsZero())
			}
		}
		require.Equal(t, len(item(t, p, "sink").Steps), gone)
		require.Equal(t, 5, come) // last use, wipe, steam, stand, wait
	})
	t.Run("lengths and fits", func(t *testing.T) {
		a := Plan{Items: []ItemPlan{{ID: "x", Steps: []Step{{Name: "s", Begins: p.Made, Ends: p.Made.Add(time.Hour)}}}}, Unfit: []Unfit{{Item: "y"}, {Item: "put away meanwhile"}}}
		b := Plan{Items: []ItemPlan{{ID: "x", Steps: []Step{{Name: "s", Begins: p.Made, Ends: p.Made.Add(2 * time.Hour)}}}, {ID: "y"}}}
		require.Equal(t, []Change{{What: ChangedFit, Item: "y"}, {What: ChangedLength, Item: "x", Step: "s", From: p.Made.Add(time.Hour), To: p.Made.Add(2 * time.Hour)}}, Diff(a, b))
	})
}
