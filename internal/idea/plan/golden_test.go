package plan

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// The timelines of this file are how a family plans each of the four kinds of year: common practice, no source. What is
// required is what must hold, not every minute. New York.

// household is one with two people who work on evenings and Sundays.
func household(t *testing.T, items ...Item) Kitchen {
	k := Kitchen{Place: newYork(t), Slack: DefaultSlack, Wake: 6*60 + 30, Bedtime: 23 * 60, Hands: 2, Burners: 4, Pots: 1}
	k.Work = []Window{{Days: evenings, From: 19 * 60, To: 22*60 + 30, Most: 180}, {Days: sundays, From: 14 * 60, To: 21 * 60, Most: 300}}
	for _, it := range items {
		if it.ID == "" {
			it.ID = it.Kind
		}
		k.Items = append(k.Items, it)
	}
	return k
}

// whole is the kitchen of the timelines; its pots and cutlery went to the kashering day, but for the kashering pot.
func whole() []Item {
	return []Item{{Kind: "self-clean-oven"}, {Kind: "fridge"}, {Kind: "oven"}, {Kind: "grates"}, {Kind: "kashering-pot"}, {Kind: "counter"}, {Kind: "sink"}, {Kind: "covers"}}
}

// planned makes a plan that fits and is proved, and lets the checker look at it.
func planned(t *testing.T, k Kitchen, now time.Time) Plan {
	t.Helper()
	p, err := Make(k, builtIn(t), now)
	require.NoError(t, err)
	require.True(t, p.Fits, shown(p))
	require.True(t, p.Proven)
	check(t, k, p, now, "")
	return p
}

func item(t *testing.T, p Plan, id string) ItemPlan {
	t.Helper()
	i := slices.IndexFunc(p.Items, func(it ItemPlan) bool { return it.ID == id })
	require.GreaterOrEqual(t, i, 0, id)
	return p.Items[i]
}

// on requires that a step begins on a date and at a time of day, or after it.
func (p Plan) on(t *testing.T, id, step, date, from, to string) {
	t.Helper()
	here := newYork(t).Zone
	steps := item(t, p, id).step(step)
	require.NotEmpty(t, steps, "%s %s", id, step)
	for _, s := range steps {
		require.Equal(t, date, s.Begins.In(here).Format(time.DateOnly), "%s %s\n%s", id, step, shown(p))
		require.GreaterOrEqual(t, s.Begins.In(here).Format("15:04"), from, "%s %s\n%s", id, step, shown(p))
		require.LessOrEqual(t, s.Ends.In(here).Format("15:04"), to, "%s %s\n%s", id, step, shown(p))
	}
}

// mealsOn are a breakfast, a midday meal and an evening meal on each of some dates.
func mealsOn(t *testing.T, k Kitchen, dates ...string) []time.Time {
	var out []time.Time
	for _, d := range dates {
		for _, hour := range []string{"08:30", "12:30", "20:00"} {
			out = append(out, at(t, k.Place, d+" "+hour))
		}
	}
	return out
}

// The eve is a Wednesday: the last hot meal is Sunday at noon, scrubbing with hot water follows, kashering is on Monday
// evening, and Tuesday is for what breaks.
func TestEveOnWednesday(t *testing.T) {
	k := household(t, whole()[:7]...) // the covers are for Tuesday
	k.Food = at(t, k.Place, "2027-04-14 09:00")
	k.Meals = mealsOn(t, k, "2027-04-16", "2027-04-17", "2027-04-18", "2027-04-19", "2027-04-20")
	k.Finish = at(t, k.Place, "2027-04-20 23:00") // cooking begins on Tuesday night
	p := planned(t, k, at(t, k.Place, "2027-04-04 20:00"))

	require.Equal(t, at(t, k.Place, "2027-04-18 12:30").UTC(), p.LastMeal.At.UTC(), shown(p))
	for _, id := range []string{"kashering-pot", "counter", "sink", "grates"} {
		p.on(t, id, "scrub", "2027-04-18", "14:00", "21:00")
	}
	p.on(t, "oven", "heat", "2027-04-19", "18:00", "22:40")
	p.on(t, "grates", "heat", "2027-04-19", "18:00", "22:40")
	p.on(t, "kashering-pot", "kasher-first", "2027-04-19", "19:00", "22:30")
	p.on(t, "counter", "pour", "2027-04-19", "19:00", "22:30")
	p.on(t, "sink", "pour", "2027-04-19", "21:30", "22:30")
	for _, id := range []string{"self-clean-oven", "fridge"} { // both by 13 April
		for _, s := range item(t, p, id).Steps {
			require.True(t, s.Ends.Before(at(t, k.Place, "2027-04-14 00:00")), shown(p))
		}
	}
}

// Without a finish line of its own, the same year's ends with the fourth hour, and a day of slack before it.
func TestEveOnWednesdayByDefault(t *testing.T) {
	k := household(t, whole()...)
	k.Work = append(k.Work, Window{Year: 2027, Month: time.April, Day: 20, From: 7*60 + 30, To: 10 * 60})
	p := planned(t, k, at(t, k.Place, "2027-04-04 20:00"))
	require.Equal(t, WhyFourthHour, p.Finish.Why)
	require.Equal(t, "2027-04-21 10:15", p.Finish.At.In(k.Place.Zone).Format("2006-01-02 15:04")) // end of the fourth hour, from 72 minutes before sunrise to 72 after sunset
	require.Equal(t, "2027-04-20 10:15", p.Ready.At.In(k.Place.Zone).Format("2006-01-02 15:04"))
	require.Equal(t, "2027-04-18", p.LastMeal.At.In(k.Place.Zone).Format(time.DateOnly))
	p.on(t, "oven", "heat", "2027-04-19", "18:00", "22:40")
	p.on(t, "covers", "cover", "2027-04-20", "07:30", "10:00")
}

// The eve is a Monday, with a Sabbath two days before: the last hot meal is Wednesday at noon, scrubbing to the evening, and
// kashering on Thursday evening; the Sabbath is eaten from Pesach pots.
func TestEveOnMonday(t *testing.T) {
	k := household(t, whole()...)
	k.Work = []Window{{Days: []time.Weekday{time.Wednesday}, From: 13 * 60, To: 18 * 60, Most: 300}, {Days: evenings, From: 18 * 60, To: 22 * 60, Most: 240}, {Days: sundays, From: 14 * 60, To: 21 * 60, Most: 300}}
	k.Work[1].Days = []time.Weekday{time.Monday, time.Tuesday, time.Thursday}
	k.Meals = mealsOn(t, k, "2028-04-03", "2028-04-04", "2028-04-05", "2028-04-06")
	k.Finish, k.Slack = at(t, k.Place, "2028-04-07 12:00"), 12*time.Hour // cooking for Sabbath begins on Friday
	p := planned(t, k, at(t, k.Place, "2028-03-26 20:00"))

	require.Equal(t, at(t, k.Place, "2028-04-05 12:30").UTC(), p.LastMeal.At.UTC(), shown(p))
	for _, id := range []string{"kashering-pot", "counter", "sink", "grates"} {
		p.on(t, id, "scrub", "2028-04-05", "13:00", "18:00")
	}
	p.on(t, "oven", "heat", "2028-04-06", "16:00", "22:40") // somebody is at home before the evening's work
	p.on(t, "counter", "pour", "2028-04-06", "18:00", "22:00")
	p.on(t, "sink", "pour", "2028-04-06", "18:00", "22:00")
	p.on(t, "covers", "cover", "2028-04-06", "18:00", "22:00")
}

// The same year where it cannot be helped: last hot use on Friday, kashering on Sunday from 08:00 to 14:00, no slack. What is hot
// on the Sabbath does not fit and is put away; the rest does.
func TestEveOnMondayLate(t *testing.T) {
	k := household(t, Item{Kind: "oven"}, Item{Kind: "grates"}, Item{Kind: "kashering-pot"}, Item{Kind: "counter"}, Item{Kind: "sink"},
		Item{Kind: "covers"}, Item{Kind: "hot-plate", Sabbath: true}, Item{Kind: "kettle", Sabbath: true})
	k.Work = []Window{{Days: []time.Weekday{time.Friday}, From: 9 * 60, To: 17 * 60, Most: 300}, {Days: sundays, From: 8 * 60, To: 14 * 60}}
	k.Meals = mealsOn(t, k, "2028-04-06", "2028-04-07", "2028-04-09")
	k.Finish, k.Slack = at(t, k.Place, "2028-04-09 20:00"), 0
	now := at(t, k.Place, "2028-04-06 07:00")
	p, err := Make(k, builtIn(t), now)
	require.NoError(t, err)
	check(t, k, p, now, "")
	require.False(t, p.Fits)
	require.True(t, p.Proven)
	require.ElementsMatch(t, [][3]string{{"hot-plate", WhyHotOnRest, "lock-away"}, {"kettle", WhyHotOnRest, "buy-new"}}, unfits(p))
	require.Equal(t, "2028-04-07", p.LastMeal.At.In(k.Place.Zone).Format(time.DateOnly), shown(p))
	p.on(t, "oven", "heat", "2028-04-09", "08:00", "18:00")
	p.on(t, "counter", "pour", "2028-04-09", "08:00", "14:00")
	p.on(t, "sink", "pour", "2028-04-09", "08:00", "14:00")
	require.NotNil(t, p.Minimal)
}

// The eve is a Sabbath: the kitchen is done by Wednesday evening, a day before Friday's hours.
func TestEveOnSabbath(t *testing.T) {
	k := household(t, whole()...)
	k.Work = []Window{{Days: evenings, From: 18 * 60, To: 22*60 + 30, Most: 240}, {Days: sundays, From: 14 * 60, To: 21 * 60, Most: 300}}
	k.Meals = mealsOn(t, k, "2045-03-26", "2045-03-27", "2045-03-28", "2045-03-29", "2045-03-30")
	p := planned(t, k, at(t, k.Place, "2045-03-12 20:00"))
	require.Equal(t, time.Friday, p.Finish.At.Weekday())
	require.Equal(t, time.Thursday, p.Ready.At.Weekday())
	require.Equal(t, "2045-03-28", p.LastMeal.At.In(k.Place.Zone).Format(time.DateOnly), shown(p))
	p.on(t, "oven", "heat", "2045-03-29", "18:00", "22:40")
	p.on(t, "sink", "pour", "2045-03-29", "18:00", "22:30")
	p.on(t, "covers", "cover", "2045-03-29", "18:00", "22:30")
}

// The eve is a Friday: as on a Wednesday, two days later. Done on Wednesday evening; Thursday night is the search.
func TestEveOnFriday(t *testing.T) {
	k := household(t, whole()...)
	k.Work = []Window{{Days: evenings, From: 18 * 60, To: 22*60 + 30, Most: 240}, {Days: sundays, From: 14 * 60, To: 21 * 60, Most: 300}}
	k.Meals = mealsOn(t, k, "2029-03-25", "2029-03-26", "2029-03-27", "2029-03-28")
	p := planned(t, k, at(t, k.Place, "2029-03-11 20:00"))
	require.Equal(t, "2029-03-29", p.Ready.At.In(k.Place.Zone).Format(time.DateOnly))
	require.Equal(t, "2029-03-27", p.LastMeal.At.In(k.Place.Zone).Format(time.DateOnly), shown(p))
	p.on(t, "oven", "heat", "2029-03-28", "18:00", "22:40")
	p.on(t, "sink", "pour", "2029-03-28", "18:00", "22:30")
	for _, s := range item(t, p, "self-clean-oven").Steps {
		require.True(t, s.Ends.Before(at(t, k.Place, "2029-03-23 00:00")), shown(p))
	}
}

// Slack is counted outside of rest spans: a day before a Sunday afternoon reaches back to Friday.
func TestSlackIsNoSabbath(t *testing.T) {
	p := newYork(t)
	now := at(t, p, "2028-03-30 09:00")
	for _, tt := range []struct {
		finish string
		slack  time.Duration
		ready  string
	}{
		{"2028-04-06 12:00", 24 * time.Hour, "2028-04-05 12:00"},
		{"2028-04-09 22:00", 24 * time.Hour, "2028-04-08 22:00"}, // the Sabbath ended before
		{"2028-04-09 12:00", 12 * time.Hour, "2028-04-09 00:00"},
		{"2028-04-08 22:00", 0, "2028-04-08 22:00"},
	} {
		k := Kitchen{Place: p, Slack: tt.slack, Finish: at(t, p, tt.finish)}
		require.Equal(t, tt.ready, deadlinesOf(&k, now).ready.At.In(k.Place.Zone).Format("2006-01-02 15:04"), tt.finish)
	}
	k := Kitchen{Place: p, Slack: 24 * time.Hour, Finish: at(t, p, "2028-04-09 12:00")}
	ready := deadlinesOf(&k, now).ready.At
	rests := restsBetween(p, ready, k.Finish)
	require.Len(t, rests, 1)
	require.Equal(t, 24*time.Hour, k.Finish.Sub(ready)-rests[0].Ends.Sub(rests[0].Begins))
	require.Equal(t, time.Friday, ready.Weekday())
}
