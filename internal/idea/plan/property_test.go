package plan

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Random households of every size: whatever is planned breaks nothing, and whatever is not planned is named.
func TestPlansBreakNothing(t *testing.T) {
	t.Parallel()
	sizes := []int{1, 2, 3, 5, 8, 12, 12, 20, 40}
	fits := 0
	for seed := range uint64(60 / share) {
		r := rand.New(rand.NewPCG(seed, 11))
		k, now := randomKitchen(t, r, sizes[int(seed)%len(sizes)])
		if seed%4 == 0 {
			shortOfWork(&k, r)
		}
		p, err := Make(k, builtIn(t), now)
		require.NoError(t, err, "seed %d", seed)
		check(t, k, p, now, fmt.Sprintf("seed %d", seed))
		require.Equal(t, p.Fits, len(p.Unfit) == 0, "seed %d", seed)
		if p.Fits {
			fits++
		}
		if len(k.Items) <= exactItems && p.Fits && seed%4 > 0 {
			require.True(t, p.Proven, "seed %d: not proven", seed)
		}
	}
	require.Greater(t, fits, 25/share/2)
	t.Logf("%d of 60 fit", fits)
}

// block is steps that follow at once upon each other: places of them in a plan.
type place struct{ item, step int }

// pieces are the blocks of a plan that are not done: the steps of one, and their copies with other items.
func pieces(t testing.TB, p Plan) [][]place {
	var out [][]place
	at := map[string]int{} // owner and end of the last step → its block
	begun := map[string]int{}
	for i, it := range p.Items {
		for s, step := range it.Steps {
			if step.Name == "idle" || step.Done {
				continue
			}
			owner, joined := it.ID, false
			if step.In != "" {
				owner = step.In
			}
			for _, host := range p.Items {
				if host.ID == owner {
					for _, r := range builtIn(t).kind(host.Kind).steps {
						joined = joined || r.name == step.Name && r.joined
					}
				}
			}
			joined = joined || owner != it.ID && step.Name == "boil"
			key := fmt.Sprint(owner, step.Name, step.Begins.Unix())
			b, copied := begun[key]
			before, follows := at[fmt.Sprint(owner, step.Begins.Unix())]
			switch {
			case copied:
			case joined && follows:
				b = before
			default:
				b = len(out)
				out = append(out, nil)
			}
			out[b] = append(out[b], place{i, s})
			begun[key] = b
			at[fmt.Sprint(owner, step.Ends.Unix())] = b
		}
	}
	return out
}

// moved is a plan of which one block is later by five minutes.
func moved(p Plan, block []place, by time.Duration) Plan {
	p.Items = slices.Clone(p.Items)
	for _, at := range block {
		it := &p.Items[at.item]
		it.Steps = slices.Clone(it.Steps)
		it.Steps[at.step].Begins = it.Steps[at.step].Begins.Add(by)
		it.Steps[at.step].Ends = it.Steps[at.step].Ends.Add(by)
	}
	return p
}

// Every step has a reason why it is not later: five minutes later it would break something, and the checker, which knows
// nothing of reasons, says so. This is also how the checker is seen to notice.
func TestNothingCanBeLater(t *testing.T) {
	t.Parallel()
	blocks, whys := 0, map[string]int{}
	for seed := range uint64(80) {
		r := rand.New(rand.NewPCG(seed, 91))
		k, now := randomKitchen(t, r, 1+r.IntN(12))
		if seed%3 == 0 {
			shortOfWork(&k, r)
		}
		if seed%4 == 0 {
			y, m, d := deadlinesOf(&k, now).ready.At.AddDate(0, 0, -2).Date()
			k.Food = time.Date(y, m, d, 20, 0, 0, 0, k.Place.Zone)
		}
		p, err := Make(k, builtIn(t), now)
		require.NoError(t, err)
		if !p.Fits {
			continue
		}
		require.Empty(t, mistake(t, k, p, now), "seed %d", seed)
		for _, b := range pieces(t, p) {
			blocks++
			step := p.Items[b[0].item].Steps[b[0].step]
			whys[step.Why]++
			require.NotEmpty(t, mistake(t, k, moved(p, b, 5*time.Minute), now), "seed %d: %s %s can be later, though %s\n%s",
				seed, p.Items[b[0].item].ID, step.Name, step.Why, shown(p))
		}
		// Nor can the meal: with any later one, something is worked on before it or waits too short.
		if p.LastMeal != nil && len(k.Meals) == 0 {
			q := p
			meal := *p.LastMeal
			meal.At = meal.At.Add(5 * time.Minute)
			if awake, _ := (&checker{k: k}).awake(meal.At.Add(-time.Minute)); !awake {
				continue // it was counted as ending when the household went to bed
			}
			q.LastMeal = &meal
			q.Items = slices.Clone(p.Items)
			for i, it := range q.Items {
				if it.LastUse != nil && it.LastUse.Why == WhyMeal {
					q.Items[i].LastUse = &Moment{At: meal.At, Why: WhyMeal}
				}
			}
			require.NotEmpty(t, mistake(t, k, q, now), "seed %d", seed)
		}
	}
	t.Logf("%d blocks, because %v", blocks, whys)
	require.Greater(t, blocks, 400)
	for _, why := range []string{WhyFinish, WhyWindow, WhyMost, WhyOpening, WhyBusy + "hands", WhyBusy + "pots", WhyBusy + "sink", WhyIdleWashed, WhyDrains, WhyOwnOrder, WhyFood, WhyDaysBefore} {
		require.Positive(t, whys[why], why)
	}
}

// Where the plan ends in the night or in a rest span, what heats is cold before, with twenty minutes to spare.
func TestNotInTheNight(t *testing.T) {
	for _, tt := range []struct{ finish, why, cold string }{
		{"2027-04-15 03:00", WhySleep, "2027-04-14 22:40"},
		{"2027-04-17 21:00", WhyRest, "2027-04-16 18:55"}, // candle lighting at 19:18; its sunset is in the reference table of package luach
	} {
		k := household(t, Item{Kind: "hot-plate"})
		k.Finish, k.Slack = at(t, k.Place, tt.finish), 0
		p := planned(t, k, at(t, k.Place, "2027-04-08 23:00"))
		cool := item(t, p, "hot-plate").step("cool")[0]
		require.Equal(t, tt.cold, cool.Ends.In(k.Place.Zone).Format("2006-01-02 15:04"))
		require.Equal(t, tt.why, cool.Why)
	}
}
