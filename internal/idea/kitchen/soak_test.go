package kitchen_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/kitchen"
)

// Three soakings of 24 hours each (Yoreh Deah 135:12): each is begun by the member when the water is changed, and the days need
// not follow one another. Hot use has no meaning for them.
func TestSoaking(t *testing.T) {
	now := time.Date(2027, 4, 8, 10, 0, 0, 0, time.UTC)
	stage := kitchen.Stage{Name: "soak", Minutes: 1440}
	it := kitchen.Item{}
	it.Tell(1, []kitchen.Stage{stage, stage, stage}, now)
	require.False(t, it.StartIdle(now, now), "it is no wait from the last hot use")
	require.False(t, it.StartHeating(now), "and heats nothing")
	for left := 3; left > 0; left-- {
		require.Equal(t, left, it.SoakLeft())
		require.False(t, it.Finish(now), "%d soakings are left", left)
		require.True(t, it.StartSoak(now))
		require.Equal(t, kitchen.Waiting, it.State)
		require.Equal(t, kitchen.NoMeaning, it.HotUse())
		require.False(t, it.StartSoak(now), "it runs already")
		require.False(t, it.EndIdle(now.Add(24*time.Hour-time.Second)), "a second is missing")
		now = now.Add(30 * time.Hour) // later does no harm
		require.True(t, it.EndIdle(now))
		require.Equal(t, kitchen.Ready, it.State)
	}
	require.False(t, it.StartSoak(now), "there are only three")
	require.True(t, it.Finish(now))
	require.Equal(t, kitchen.Done, it.State)
}
