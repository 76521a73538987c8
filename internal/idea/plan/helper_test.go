package plan

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"
	_ "time/tzdata"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/luach"
)

func newYork(t testing.TB) luach.Place {
	t.Helper()
	return luach.Place{Name: "New York", Latitude: 40.7128, Longitude: -74.006, Zone: zone(t, "America/New_York")}
}

func zone(t testing.TB, name string) *time.Location {
	t.Helper()
	z, err := time.LoadLocation(name)
	require.NoError(t, err)
	return z
}

// at is a local time at the place.
func at(t testing.TB, p luach.Place, text string) time.Time {
	t.Helper()
	parsed, err := time.ParseInLocation("2006-01-02 15:04", text, p.Zone)
	require.NoError(t, err)
	return parsed
}

var (
	evenings = []time.Weekday{time.Monday, time.Tuesday, time.Wednesday, time.Thursday}
	sundays  = []time.Weekday{time.Sunday}
)

// randomKitchen is a household of so many items, with everything else by chance.
func randomKitchen(t testing.TB, r *rand.Rand, items int) (Kitchen, time.Time) {
	t.Helper()
	p := newYork(t)
	eves := []string{"2027-04-21", "2028-04-10", "2029-03-30", "2045-04-01"}
	year := r.IntN(len(eves))
	switch year { // where clocks are put forward in the weeks before the eve: on Sunday 2029-03-25, on Friday 2045-03-24
	case 2:
		p.Name, p.Latitude, p.Longitude, p.Zone = "London", 51.5, -0.13, zone(t, "Europe/London")
	case 3:
		p.Name, p.Latitude, p.Longitude, p.Israel, p.Zone = "Jerusalem", 31.78, 35.23, true, zone(t, "Asia/Jerusalem")
	}
	eve := at(t, p, eves[year]+" 00:00")
	now := eve.AddDate(0, 0, -(8 + r.IntN(16))).Add(time.Duration(7*60+r.IntN(14*60)) * time.Minute)
	k := Kitchen{Place: p, Slack: time.Duration(r.IntN(3)) * 12 * time.Hour, Bedtime: 23 * 60, Wake: 6*60 + 30,
		Hands: 1 + r.IntN(3), Burners: 2 + r.IntN(3), Pots: 1 + r.IntN(2)}
	from := 18*60 + 15*r.IntN(7)
	k.Work = []Window{
		{Days: evenings, From: from, To: from + 180},
		{Days: sundays, From: 10 * 60, To: 20 * 60, Most: 120 + 30*r.IntN(8)},
	}
	if r.IntN(2) == 0 {
		k.Work = append(k.Work, Window{Days: []time.Weekday{time.Tuesday, time.Friday}, From: 8 * 60, To: 9*60 + 30})
	}
	k.Opening = []Window{{Days: append(append([]time.Weekday{}, evenings...), time.Sunday), From: 9 * 60, To: 21 * 60}}
	if r.IntN(3) > 0 {
		for d := range 16 {
			day := eve.AddDate(0, 0, -d)
			k.Meals = append(k.Meals, day.Add(12*time.Hour+30*time.Minute), day.Add(19*time.Hour))
		}
	}
	kinds := builtIn(t).Kinds()
	for i := range items {
		kind := kinds[r.IntN(len(kinds)-3)]
		it := Item{ID: fmt.Sprintf("%s-%d", kind, i), Kind: kind, Count: 1 + r.IntN(4), Side: []string{Dairy, Meat, ""}[r.IntN(3)]}
		switch kind {
		case "kettle", "hot-plate", "counter", "sink":
			it.Sabbath = r.IntN(2) == 0
		}
		if row := builtIn(t).kind(kind); r.IntN(3) == 0 && row.steps[0].does == work {
			it.Minutes = map[string]int{row.steps[0].name: 5 + r.IntN(85)}
		}
		k.Items = append(k.Items, it)
	}
	return k, now
}

// hardest is a household of twelve items, of 2400 made by chance, whose proof takes very many parts.
func hardest(t testing.TB) (Kitchen, time.Time) {
	return randomKitchen(t, rand.New(rand.NewPCG(2229, 1)), 12)
}

// shortOfWork lets a household be at home for long and work for little of it, so that the bounds of its windows bind.
func shortOfWork(k *Kitchen, r *rand.Rand) {
	for i := range k.Work {
		w := &k.Work[i]
		w.From, w.To = 14*60+15*r.IntN(8), 22*60
		w.Most = 40 + 5*r.IntN(12)
	}
	k.Work = k.Work[:2] // else two windows of one day touch
}

// unfits are what does not fit, each with why and what is done instead.
func unfits(p Plan) [][3]string {
	var out [][3]string
	for _, u := range p.Unfit {
		out = append(out, [3]string{u.Item, u.Why, u.Away})
	}
	return out
}

// said reports whether a reason has a sentence: of the rows, or of the program, whose sentences a test of the whole counts.
func said(rows *Rows, why string) bool {
	return rows.Reason(why) != nil || slices.Contains(Whys(), why)
}

// shown shows a plan in a failed test, and takes no time in others.
type shown Plan

func (p shown) String() string {
	raw, err := json.MarshalIndent(Plan(p), "", " ")
	if err != nil {
		return err.Error()
	}
	return string(raw)
}
