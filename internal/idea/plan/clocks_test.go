package plan

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// The 24 hours elapse, whatever the clock shows. In the United Kingdom clocks are put forward on Sunday 2029-03-25 at 01:00 (the
// last Sunday of March: The Summer Time Order 2002, from memory), five days before the eve of Pesach.
func TestTheClockIsPutForward(t *testing.T) {
	p := newYork(t)
	p.Latitude, p.Longitude, p.Zone = 51.5, -0.13, zone(t, "Europe/London")
	k := Kitchen{Place: p, Items: []Item{{ID: "microwave", Kind: "microwave", LastHot: at(t, p, "2029-03-24 21:00")}}, Slack: 0, Wake: 390, Bedtime: 24 * 60, Hands: 1, Burners: 1, Pots: 1}
	k.Finish = at(t, p, "2029-03-25 22:20")
	k.Work = []Window{{Days: []time.Weekday{time.Sunday}, From: 8 * 60, To: 24 * 60}}
	got, err := Make(k, builtIn(t), at(t, p, "2029-03-24 22:00"))
	require.NoError(t, err)
	require.False(t, got.Fits, "24 hours after 21:00 it is 22:00, and steaming and standing take 25 minutes")
	k.Finish = at(t, p, "2029-03-25 22:25")
	got, err = Make(k, builtIn(t), at(t, p, "2029-03-24 22:00"))
	require.NoError(t, err)
	require.True(t, got.Fits, shown(got))
	require.Equal(t, at(t, p, "2029-03-25 22:00").UTC(), item(t, got, "microwave").step("steam")[0].Begins)
	require.Equal(t, at(t, p, "2029-03-25 22:00").UTC(), item(t, got, "microwave").step(IdleStep)[0].Ends)
}

// Where there are two of an hour, work is in neither twice: a window ends with the first of the two and begins with the last.
func TestTheClockIsPutBack(t *testing.T) {
	p := newYork(t)
	k := Kitchen{Place: p, Wake: 60, Bedtime: 24 * 60, Hands: 1}
	k.Work = []Window{{Days: []time.Weekday{time.Sunday}, From: 60, To: 240}} // 01:00 comes twice on 2027-11-07
	c := newCalendar(&k, at(t, p, "2027-11-06 22:00"), at(t, p, "2027-11-07 12:00"))
	begins, ends := -1, -1
	for slot, w := range c.win {
		if w >= 0 {
			if begins < 0 {
				begins = slot
			}
			ends = slot + 1
		}
	}
	require.Equal(t, "01:00 EST", c.at(begins).In(p.Zone).Format("15:04 MST"))
	require.Equal(t, "04:00 EST", c.at(ends).In(p.Zone).Format("15:04 MST"))
}

// At a height water boils sooner, and colder; the household is told about how cold, and the plan reckons with how soon.
func TestElevation(t *testing.T) {
	k := household(t, Item{Kind: "sink"})
	now := at(t, k.Place, "2027-04-11 20:00")
	low, err := Make(k, builtIn(t), now)
	require.NoError(t, err)
	require.Zero(t, low.Boils)
	require.Equal(t, 30*time.Minute, length(item(t, low, "sink").step("heat-water")[0]))

	k.Place.Elevation = 1 // sea level, as it were: the rows' estimates are those of heat
	sea, err := Make(k, builtIn(t), now)
	require.NoError(t, err)
	require.Equal(t, 100, sea.Boils)
	require.Equal(t, 30*time.Minute, length(item(t, sea, "sink").step("heat-water")[0]))

	k.Place.Elevation = 2240 // where water boils at about 92 to 93 °C (from memory)
	high, err := Make(k, builtIn(t), now)
	require.NoError(t, err)
	require.InDelta(t, 92.5, high.Boils, 1)
	require.Less(t, length(item(t, high, "sink").step("heat-water")[0]), 30*time.Minute+1)
	rows, n := builtIn(t), &network{kitchen: &k}
	for _, row := range rows.kinds { // what the rows say and what is reckoned at sea level is one
		for _, s := range row.steps {
			if s.litres > 0 {
				k.Place.Elevation = 1
				require.InDelta(t, s.minutes, n.boil(s.minutes, s.litres), grid, "%s %s", row.id, s.name)
			}
		}
	}
	k.Place.Elevation = 1
	require.InDelta(t, rows.round.heat, n.boil(rows.round.heat, rows.round.litres), grid)
}

func length(s Step) time.Duration { return s.Ends.Sub(s.Begins) }
