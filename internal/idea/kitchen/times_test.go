package kitchen_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/kitchen"
)

func zone(t *testing.T, name string) *time.Location {
	t.Helper()
	z, err := time.LoadLocation(name)
	require.NoError(t, err)
	return z
}

// What a person says of the last hot use means the latest moment that it can mean.
func TestLatest(t *testing.T) {
	for _, c := range []struct {
		name, zone  string
		period      kitchen.Period
		now, latest string
	}{
		{"just now", "Asia/Jerusalem", kitchen.JustNow, "2045-03-20T21:14:05+02:00", "2045-03-20T21:14:05+02:00"},
		{"this morning ends at noon", "Asia/Jerusalem", kitchen.ThisMorning, "2045-03-20T21:14:05+02:00", "2045-03-20T12:00:00+02:00"},
		{"at noon", "Asia/Jerusalem", kitchen.ThisMorning, "2045-03-20T12:00:00+02:00", "2045-03-20T12:00:00+02:00"},
		{"or now, while it is morning", "Asia/Jerusalem", kitchen.ThisMorning, "2045-03-20T09:30:00+02:00", "2045-03-20T09:30:00+02:00"},
		{"yesterday ends at midnight", "Asia/Jerusalem", kitchen.Yesterday, "2045-03-20T21:14:05+02:00", "2045-03-20T00:00:00+02:00"},
		{"a minute after midnight too", "Asia/Jerusalem", kitchen.Yesterday, "2045-03-20T00:01:00+02:00", "2045-03-20T00:00:00+02:00"},
		{"on the first of a month", "Europe/London", kitchen.Yesterday, "2045-01-01T08:00:00Z", "2045-01-01T00:00:00Z"},
		// The clock is put forward at 02:00 (IANA time-zone data).
		{"on the day of a clock change", "Asia/Jerusalem", kitchen.Yesterday, "2027-03-26T10:00:00+03:00", "2027-03-26T00:00:00+02:00"},
		{"this morning on it", "Asia/Jerusalem", kitchen.ThisMorning, "2027-03-26T18:00:00+03:00", "2027-03-26T12:00:00+03:00"},
		// Here it is put forward over midnight itself, which no clock shows: 23:59:59 is followed by 01:00.
		{"where midnight does not exist", "America/Santiago", kitchen.Yesterday, "2026-09-06T08:00:00-03:00", "2026-09-06T01:00:00-03:00"},
		{"nor here", "America/Havana", kitchen.Yesterday, "2026-03-08T08:00:00-04:00", "2026-03-08T01:00:00-04:00"},
		{"nor here, further east", "Africa/Cairo", kitchen.Yesterday, "2026-04-24T08:00:00+03:00", "2026-04-24T01:00:00+03:00"},
	} {
		t.Run(c.name, func(t *testing.T) {
			now, err := time.Parse(time.RFC3339, c.now)
			require.NoError(t, err)
			at, ok := kitchen.Latest(c.period, now.In(zone(t, c.zone)))
			require.True(t, ok)
			require.Equal(t, c.latest, at.Format(time.RFC3339))
		})
	}
	_, ok := kitchen.Latest("last year", start)
	require.False(t, ok)
}

// Whatever the clock does, yesterday ends where today begins, and nothing that a person says lies ahead.
func TestLatestOnEveryDay(t *testing.T) {
	for _, name := range []string{"Asia/Jerusalem", "America/New_York", "Europe/London", "Australia/Lord_Howe", "America/Santiago",
		"America/Havana", "Asia/Beirut", "Africa/Cairo", "America/Sao_Paulo", "Pacific/Chatham"} {
		z := zone(t, name)
		for day := range 11 * 366 {
			now := time.Date(2015, 1, 1+day, 13, 0, 0, 0, z)
			at, ok := kitchen.Latest(kitchen.Yesterday, now)
			require.True(t, ok)
			require.Equal(t, now.Day(), at.Day(), "%s", at)
			require.NotEqual(t, now.Day(), at.Add(-time.Nanosecond).Day(), "%s", at)
			noon, ok := kitchen.Latest(kitchen.ThisMorning, now)
			require.True(t, ok)
			require.Equal(t, time.Hour, now.Sub(noon), "%s", now)
		}
	}
}

func TestCanHeat(t *testing.T) {
	now := time.Date(2045, 3, 24, 15, 0, 0, 0, time.UTC)
	stage := kitchen.Stage{Heats: true, Minutes: 60, Cool: 30}
	over := now.Add(60*time.Minute + 30*time.Minute + 20*time.Minute) // it has ended, has cooled, and the margin is kept
	late := over.Add(-time.Second)
	for _, c := range []struct {
		name             string
		candles, bedtime time.Time
		want             kitchen.Barrier
	}{
		{"nothing binds", time.Time{}, time.Time{}, kitchen.Clear},
		{"just before candle lighting", over, time.Time{}, kitchen.Clear},
		{"a second too late for it", late, time.Time{}, kitchen.BeforeRest},
		{"just before bedtime", time.Time{}, over, kitchen.Clear},
		{"a second too late for it", time.Time{}, late, kitchen.BeforeSleep},
		{"candle lighting is named first", late, late, kitchen.BeforeRest},
		{"both are far", over.Add(time.Hour), over.Add(time.Hour), kitchen.Clear},
		{"candles long ago", now.Add(-time.Hour), time.Time{}, kitchen.BeforeRest},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.Equal(t, c.want, kitchen.CanHeat(stage, now, c.candles, c.bedtime))
		})
	}
	require.Equal(t, kitchen.Clear, kitchen.CanHeat(kitchen.Stage{Heats: true, Minutes: 60}, now, over.Add(-30*time.Minute), time.Time{}),
		"without cooling it is over sooner")
}

func TestBedtime(t *testing.T) {
	z := zone(t, "Asia/Jerusalem")
	for _, c := range []struct {
		minutes   int
		now, want string
	}{
		{23 * 60, "2045-03-20T15:00:00+02:00", "2045-03-20T23:00:00+02:00"},
		{22*60 + 15, "2045-03-20T05:00:00+02:00", "2045-03-20T22:15:00+02:00"},
		{23 * 60, "2045-03-20T04:59:59+02:00", "2045-03-20T04:59:59+02:00"}, // still night
		{23 * 60, "2045-03-20T00:00:00+02:00", "2045-03-20T00:00:00+02:00"},
		{23 * 60, "2045-03-20T23:30:00+02:00", "2045-03-20T23:00:00+02:00"}, // it has passed
		{23 * 60, "2027-03-26T10:00:00+03:00", "2027-03-26T23:00:00+03:00"}, // the clock changed in the night
	} {
		now, err := time.Parse(time.RFC3339, c.now)
		require.NoError(t, err)
		require.Equal(t, c.want, kitchen.Bedtime(c.minutes, now.In(z)).Format(time.RFC3339))
	}
	night := time.Date(2045, 3, 20, 23, 30, 0, 0, z)
	require.Equal(t, kitchen.BeforeSleep, kitchen.CanHeat(kitchen.Stage{Minutes: 1}, night, time.Time{}, kitchen.Bedtime(23*60, night)))
}
