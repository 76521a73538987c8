package plan

import (
	"encoding/json"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A household that says only what it has gets the usual evenings, and a plan of all that it has.
func TestHousehold(t *testing.T) {
	p := newYork(t)
	now := at(t, p, "2027-04-08 20:00")
	items := []Item{{Kind: "oven"}, {Kind: "grates"}, {Kind: "kashering-pot"}, {Kind: "pot", Side: Meat, Count: 3}, {Kind: "pot", Side: Dairy}, {Kind: "pot", ID: "pot-2"}, {Kind: "sink"}}
	k := Household(p, items, Asked{Finish: at(t, p, "2027-04-21 08:00"), Meals: []time.Time{at(t, p, "2027-04-15 12:30"), at(t, p, "2027-04-18 12:30")}})
	ids := []string{}
	for _, it := range k.Items {
		ids = append(ids, it.ID)
	}
	require.Equal(t, []string{"oven", "grates", "kashering-pot", "pot", "pot-3", "pot-2", "sink"}, ids)
	require.Empty(t, items[0].ID, "what was given is not changed")
	require.Equal(t, time.UTC, k.Finish.Location())
	got, err := Make(k, builtIn(t), now)
	require.NoError(t, err)
	require.True(t, got.Fits, shown(got))
	check(t, k, got, now, "")
	for _, it := range got.Items {
		for _, s := range it.Steps {
			if s.Attended {
				day := s.Begins.In(p.Zone).Weekday()
				require.NotContains(t, []time.Weekday{time.Friday, time.Saturday}, day)
			}
		}
	}

	some := Household(p, items, Asked{Evenings: []time.Weekday{time.Monday, time.Sunday}})
	require.Equal(t, []Window{
		{Days: []time.Weekday{time.Monday, time.Sunday}, From: 1170, To: 1350, Most: 180},
		{Days: []time.Weekday{time.Sunday}, From: 780, To: 1080, Most: 180},
	}, some.Work)
	require.Empty(t, Household(p, items, Asked{Evenings: []time.Weekday{}}).Work)
	p.Israel = true
	require.Len(t, Household(p, items, Asked{}).Work, 1, "Sunday is a working day there")
}

// A kitchen and its plan are the same when they were stored as JSON and read again, and so is what is planned with them.
func TestStoredAndReadAgain(t *testing.T) {
	t.Parallel()
	for seed := range uint64(40) {
		r := rand.New(rand.NewPCG(seed, 5))
		k, now := randomKitchen(t, r, 1+r.IntN(7))
		house := Household(k.Place, k.Items, Asked{Finish: k.Finish, Meals: k.Meals})
		house.Items[0].LastHot = now.Add(-time.Hour).UTC()
		house.Work, house.Slack, house.Opening = k.Work, k.Slack, k.Opening
		p, err := Make(house, builtIn(t), now)
		require.NoError(t, err)
		require.NotEmpty(t, p.Items)

		raw, err := json.Marshal(house)
		require.NoError(t, err)
		var back Kitchen
		require.NoError(t, json.Unmarshal(raw, &back))
		back.Place = house.Place // the community's
		require.Equal(t, house, back)

		stored, err := json.Marshal(p)
		require.NoError(t, err)
		var read Plan
		require.NoError(t, json.Unmarshal(stored, &read))
		require.Equal(t, p, read, "seed %d", seed)
		again, err := json.Marshal(read)
		require.NoError(t, err)
		require.Equal(t, string(stored), string(again))

		same, err := Make(back, builtIn(t), now)
		require.NoError(t, err)
		require.Equal(t, p, same)
		require.Empty(t, Diff(read, same))
	}
}
