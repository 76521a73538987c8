package turn_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/luach"
	"benyomo/internal/idea/people"
)

// A household is where it chose to be, by the calendar that it keeps, the stricter one where two could be meant.
func TestPlaceOf(t *testing.T) {
	here := luach.Place{Name: "Emek Rimon", Zone: time.UTC}
	there := luach.Place{Name: "Har Tomer", Latitude: 31.9, Zone: time.UTC, Israel: true}
	two := there
	two.Israel = false
	c := turn.Community{Place: here, Places: []luach.Place{there}}
	for _, x := range []struct {
		name string
		home people.Household
		want luach.Place
	}{
		{"nowhere else", people.Household{Place: people.Abroad}, here},
		{"one day, abroad: the community keeps two", people.Household{Place: people.Israel}, here},
		{"in Israel, with one day", people.Household{Town: "Har Tomer", Place: people.Israel}, there},
		{"in Israel, with two days", people.Household{Town: "Har Tomer", Place: people.Abroad}, two},
		{"in Israel, not asked yet", people.Household{Town: "Har Tomer"}, there},
		{"where nothing is listed any more", people.Household{Town: "Gan Alon", Place: people.Israel}, here},
	} {
		require.Equal(t, x.want, c.PlaceOf(x.home), x.name)
		require.Contains(t, c.Calendars(), x.want, x.name)
	}
	require.Len(t, c.Calendars(), 3)
	inIsrael := turn.Community{Place: there}
	require.Equal(t, []luach.Place{there, two}, inIsrael.Calendars())
	require.Equal(t, two, inIsrael.PlaceOf(people.Household{Place: people.Abroad}))
}
