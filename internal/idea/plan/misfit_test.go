package plan

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// apply is a kitchen with the change that was offered.
func apply(t *testing.T, k Kitchen, r Remedy) Kitchen {
	t.Helper()
	k.Items, k.Work = slices.Clone(k.Items), slices.Clone(k.Work)
	i := slices.IndexFunc(k.Items, func(it Item) bool { return it.ID == r.Item })
	switch r.Why {
	case OfferEvening:
		y, m, d := r.Evening.Date()
		dated := []Window{{From: r.Evening.Hour()*60 + r.Evening.Minute(), To: r.Until.Hour()*60 + r.Until.Minute()}}
		for _, w := range k.Work {
			if w.on(y, m, d) {
				dated = append(dated, w)
			}
		}
		for _, w := range dated {
			w.Year, w.Month, w.Day = y, m, d
			k.Work = append(k.Work, w)
		}
	case OfferAway:
		return k.without(k.Items[i].ID)
	case OfferHands:
		k.Hands++
	case OfferNotHot:
		k.Items[i].Sabbath = false
	case OfferSlack:
		require.Less(t, time.Duration(*r.SlackMinutes)*time.Minute, k.Slack)
		k.Slack = time.Duration(*r.SlackMinutes) * time.Minute
	default:
		require.Fail(t, r.Why)
	}
	return k
}

// Whatever is offered makes everything fit, the smallest first; what is left fits; and of two that do not fit none could stay.
func TestOffersHold(t *testing.T) {
	t.Parallel()
	misfits, offers := 0, map[string]int{}
	for seed := range uint64(100 / share) {
		r := rand.New(rand.NewPCG(seed, 71))
		k, now := randomKitchen(t, r, 3+r.IntN(10))
		if seed%3 == 0 { // evenings that are free
			k.Work[0].Days = evenings[:1+r.IntN(2)]
		}
		if seed%2 == 0 { // little time
			now = now.Add(deadlinesOf(&k, now).ready.At.Sub(now) * 3 / 5)
		}
		p, err := Make(k, builtIn(t), now)
		require.NoError(t, err)
		check(t, k, p, now, fmt.Sprintf("seed %d", seed))
		if p.Fits {
			require.Empty(t, p.Changes)
			require.Nil(t, p.Minimal)
			continue
		}
		misfits++
		require.NotEmpty(t, p.Unfit, "seed %d", seed)
		rank := []string{OfferEvening, OfferAway, OfferHands, OfferNotHot, OfferSlack}
		last := 0
		for _, c := range p.Changes {
			offers[c.Why]++
			at := slices.Index(rank, c.Why)
			require.GreaterOrEqual(t, at, last, "seed %d", seed)
			last = at
			changed := apply(t, k, c)
			q, err := Make(changed, builtIn(t), now)
			require.NoError(t, err)
			require.True(t, q.Fits, "seed %d: %+v\n%s", seed, c, shown(q))
		}
		if slices.ContainsFunc(p.Changes, func(c Remedy) bool { return c.Why == OfferAway }) {
			require.Len(t, p.Unfit, 1, "seed %d: one thing would be enough", seed)
		}
		for _, u := range p.Unfit {
			require.True(t, said(builtIn(t), u.Why), "seed %d: %s", seed, u.Why)
		}
		if p.Minimal != nil {
			minimal := k
			minimal.Items = slices.Clone(builtIn(t).minimal)
			if slices.Contains(p.Minimal.Notes, Note{Why: NoteAnyHour}) {
				minimal.Work = []Window{{Days: []time.Weekday{0, 1, 2, 3, 4, 5, 6}, From: k.Wake, To: k.Bedtime}}
			}
			check(t, minimal, *p.Minimal, now, fmt.Sprintf("seed %d, minimal", seed))
		} else {
			require.Contains(t, p.Notes, Note{Why: NoteNotMinimal}, "seed %d", seed)
		}
	}
	t.Logf("%d misfits, offers %v", misfits, offers)
	require.Greater(t, misfits, 27/share/2)
	for _, why := range []string{OfferEvening, OfferAway, OfferHands, OfferNotHot, OfferSlack} {
		require.Positive(t, offers[why], why)
	}
}

// Why a thing does not fit is said, and each reason can come.
func TestWhyNot(t *testing.T) {
	day := func(k *Kitchen, from, to string) { k.Finish = at(t, k.Place, "2027-04-14 "+to); _ = from }
	for _, tt := range []struct {
		name, why, away string
		item            Item
		change          func(*Kitchen)
	}{
		{"one pair of hands", WhyNeeds + "hands", "cover", Item{Kind: "counter"}, func(k *Kitchen) { k.Hands = 1 }},
		{"no burner", WhyNeeds + "burners", "basin", Item{Kind: "sink"}, func(k *Kitchen) { k.Burners = 0 }},
		{"no pot", WhyNeeds + "pots", "basin", Item{Kind: "sink"}, func(k *Kitchen) { k.Pots = 0 }},
		{"hot on the Sabbath before", WhyHotOnRest, "lock-away", Item{Kind: "hot-plate", Sabbath: true}, func(k *Kitchen) { k.Finish = at(t, k.Place, "2027-04-11 19:00") }},
		{"no window long enough", WhyNoWindow, "shut", Item{Kind: "oven"}, func(k *Kitchen) { k.Work = []Window{{Days: evenings, From: 1200, To: 1260}} }},
		{"no time", WhyNow, "shut", Item{Kind: "oven"}, func(k *Kitchen) { k.Finish = at(t, k.Place, "2027-04-11 18:00") }},
		{"the last week", WhyDaysBefore, "shut", Item{Kind: "self-clean-oven"}, func(k *Kitchen) { k.Finish = time.Time{} }},
		{"no meal early enough", WhyNoMeal, "one-burner", Item{Kind: "coil-hob"}, func(k *Kitchen) { day(k, "", "22:00"); k.Meals = []time.Time{at(t, k.Place, "2027-04-14 20:00")} }},
		{"closed", WhyClosed, "lock-away", Item{Kind: "immersion"}, func(k *Kitchen) { k.Opening = nil }},
		{"food is there", WhyFood, "", Item{Kind: "fridge"}, func(k *Kitchen) { k.Food = at(t, k.Place, "2027-04-08 12:00") }},
	} {
		t.Run(tt.name, func(t *testing.T) {
			k := household(t, tt.item)
			k.Finish, k.Slack = at(t, k.Place, "2027-04-15 22:00"), 0
			now := at(t, k.Place, "2027-04-08 23:00")
			if tt.item.Kind == "self-clean-oven" {
				now = at(t, k.Place, "2027-04-14 09:00")
			}
			tt.change(&k)
			p, err := Make(k, builtIn(t), now)
			require.NoError(t, err)
			require.False(t, p.Fits, shown(p))
			require.True(t, p.Proven)
			require.Equal(t, [][3]string{{tt.item.Kind, tt.why, tt.away}}, unfits(p))
		})
	}
}

// A thing that alone would fit and together with others does not is called so, and what is easiest to do without goes.
func TestCrowded(t *testing.T) {
	k := household(t, Item{Kind: "oven"}, Item{Kind: "dishwasher"}, Item{Kind: "fridge"})
	k.Hands = 1
	k.Work = []Window{{Days: []time.Weekday{time.Monday}, From: 19 * 60, To: 22*60 + 20}}
	k.Finish, k.Slack = at(t, k.Place, "2027-04-13 22:00"), 0
	now := at(t, k.Place, "2027-04-11 20:00")
	p, err := Make(k, builtIn(t), now)
	require.NoError(t, err)
	check(t, k, p, now, "")
	require.Equal(t, [][3]string{{"dishwasher", WhyCrowded, "shut"}}, unfits(p))
	require.NotEmpty(t, item(t, p, "oven").Steps)
	k.Items[1].Keep = true // now the oven goes
	p, err = Make(k, builtIn(t), now)
	require.NoError(t, err)
	require.Equal(t, [][3]string{{"oven", WhyCrowded, "shut"}}, unfits(p))
}

// After the finish line nothing fits, and the plan says so.
func TestTooLate(t *testing.T) {
	k := household(t, whole()...)
	now := at(t, k.Place, "2027-04-24 21:30") // Chol Hamoed
	p, err := Make(k, builtIn(t), now)
	require.NoError(t, err)
	require.False(t, p.Fits)
	require.Len(t, p.Unfit, len(k.Items))
	require.Nil(t, p.Minimal)
	require.Contains(t, p.Notes, Note{Why: NoteNotMinimal})
}

// On the last evening but one the minimal kitchen still fits: without slack, and with work at any hour.
func TestMinimalKitchenAtTheLast(t *testing.T) {
	k := household(t, whole()[2:]...)
	k.Hands = 1
	for _, tt := range []struct {
		now     string
		slack   time.Duration
		anyHour bool
	}{
		{"2027-04-17 21:30", 24 * time.Hour, false},
		{"2027-04-18 13:00", 24 * time.Hour, false},
		{"2027-04-19 06:00", 12 * time.Hour, false},
		{"2027-04-19 20:00", 0, true},
	} {
		p, err := Make(k, builtIn(t), at(t, k.Place, tt.now))
		require.NoError(t, err)
		require.False(t, p.Fits)
		require.NotNil(t, p.Minimal, tt.now)
		require.Equal(t, tt.slack, p.Minimal.Finish.At.Sub(p.Minimal.Ready.At), tt.now)
		require.Equal(t, tt.anyHour, slices.Contains(p.Minimal.Notes, Note{Why: NoteAnyHour}), tt.now)
	}
}

func TestWhatNoKitchenSays(t *testing.T) {
	now := at(t, newYork(t), "2027-04-11 20:00")
	for _, tt := range []struct {
		change func(*Kitchen)
		want   string
	}{
		{func(k *Kitchen) { k.Place.Latitude = 100 }, "latitude 100 is not between"},
		{func(k *Kitchen) { k.Items = make([]Item, 201) }, "201 items are more than 200"},
		{func(k *Kitchen) { k.Slack = -time.Hour }, "slack of -1h0m0s"},
		{func(k *Kitchen) { k.Bedtime = 60 }, "the day from minute 390 to minute 60 is none"},
		{func(k *Kitchen) { k.Hands = 100 }, "hands, burners and pots are not between"},
		{func(k *Kitchen) { k.Work[0].To = k.Work[0].From }, "is none"},
		{func(k *Kitchen) { k.Work[0].Most = 1000 }, "at most 1000 minutes"},
		{func(k *Kitchen) { k.Work[0].Days = nil }, "neither days nor a date"},
		{func(k *Kitchen) { k.Items[1].ID = "oven" }, `item "oven" has no id of its own`},
		{func(k *Kitchen) { k.Items[0].Kind = "rocket" }, `there is no row "rocket"`},
		{func(k *Kitchen) { k.Items[0].Count = -1 }, "a count of -1"},
		{func(k *Kitchen) { k.Items[0].Side = "left" }, `there is no side "left"`},
		{func(k *Kitchen) { k.Items[0].Minutes = map[string]int{"fly": 5} }, `5 minutes of "fly"`},
		{func(k *Kitchen) { k.Done = []Done{{Item: "oven", Step: "fly", Begins: now}} }, `what was done of "oven", step "fly"`},
		{func(k *Kitchen) { k.Done = []Done{{Item: "oven", Step: "scrub", Begins: now.Add(time.Hour)}} }, "begins after now"},
		{func(k *Kitchen) { k.Finish = now.AddDate(0, 0, 200); k.Place.Latitude = 40 }, ""},
	} {
		k := household(t, whole()[2:4]...)
		tt.change(&k)
		_, err := Make(k, builtIn(t), now)
		if tt.want == "" {
			require.NoError(t, err) // the deadline of the eve holds, and a note says so
			continue
		}
		require.ErrorContains(t, err, tt.want)
	}
	_, err := Make(household(t), builtIn(t), time.Time{})
	require.ErrorContains(t, err, "there is no now")
	_, err = Make(household(t), builtIn(t), at(t, newYork(t), "2026-05-01 20:00"))
	require.ErrorContains(t, err, "more than 100 days away")
}
