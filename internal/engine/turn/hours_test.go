package turn_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/engine/turn"
)

func TestHours(t *testing.T) {
	night, noon, never := turn.Hours{From: 22*60 + 30, To: 7 * 60}, turn.Hours{From: 12 * 60, To: 13 * 60}, turn.Hours{From: 600, To: 600}
	early := turn.Hours{From: 1 * 60, To: 2*60 + 30}
	for _, c := range []struct {
		name     string
		hours    turn.Hours
		zone     string
		at, ends string // no end: they do not hold
	}{
		{"before", noon, "Asia/Jerusalem", "2045-03-20T11:59:59+02:00", ""},
		{"from the first minute", noon, "Asia/Jerusalem", "2045-03-20T12:00:00+02:00", "2045-03-20T13:00:00+02:00"},
		{"within a minute", noon, "Asia/Jerusalem", "2045-03-20T12:59:59+02:00", "2045-03-20T13:00:00+02:00"},
		{"to the last minute, without it", noon, "Asia/Jerusalem", "2045-03-20T13:00:00+02:00", ""},
		{"in the evening", night, "Asia/Jerusalem", "2045-03-20T22:30:00+02:00", "2045-03-21T07:00:00+02:00"},
		{"after midnight", night, "Asia/Jerusalem", "2045-03-21T00:00:00+02:00", "2045-03-21T07:00:00+02:00"},
		{"just before the morning", night, "Asia/Jerusalem", "2045-03-21T06:59:59+02:00", "2045-03-21T07:00:00+02:00"},
		{"in the morning", night, "Asia/Jerusalem", "2045-03-21T07:00:00+02:00", ""},
		{"by day", night, "Asia/Jerusalem", "2045-03-21T15:00:00+02:00", ""},
		{"over the end of a year", night, "Europe/London", "2044-12-31T23:00:00Z", "2045-01-01T07:00:00Z"},
		{"never", never, "Asia/Jerusalem", "2045-03-20T10:00:00+02:00", ""},
		// The clock changes in the night (IANA time-zone data).
		{"a night that is an hour short", night, "Asia/Jerusalem", "2027-03-25T23:00:00+02:00", "2027-03-26T07:00:00+03:00"},
		{"a night that is an hour long", night, "Asia/Jerusalem", "2027-10-30T23:00:00+03:00", "2027-10-31T07:00:00+02:00"},
		{"an end that no clock shows", early, "America/New_York", "2027-03-14T01:30:00-05:00", "2027-03-14T03:00:00-04:00"},
		{"nor here", early, "Asia/Jerusalem", "2027-03-26T01:30:00+02:00", "2027-03-26T03:00:00+03:00"},
		{"the second time an hour comes", turn.Hours{From: 60, To: 100}, "America/New_York", "2027-11-07T01:30:00-05:00", "2027-11-07T01:40:00-05:00"},
	} {
		t.Run(c.name, func(t *testing.T) {
			zone, err := time.LoadLocation(c.zone)
			require.NoError(t, err)
			at, err := time.Parse(time.RFC3339, c.at)
			require.NoError(t, err)
			ends, ok := c.hours.At(at.In(zone))
			require.Equal(t, c.ends != "", ok)
			if ok {
				require.Equal(t, c.ends, ends.Format(time.RFC3339))
			}
		})
	}
}

// An end always lies ahead, and the hours do not hold there: whoever waits for it comes to an end.
func TestHoursEnd(t *testing.T) {
	for _, name := range []string{"Asia/Jerusalem", "America/New_York", "America/Havana", "Australia/Lord_Howe", "Asia/Kathmandu"} {
		zone, err := time.LoadLocation(name)
		require.NoError(t, err)
		held := 0
		for _, h := range []turn.Hours{{22*60 + 30, 7 * 60}, {0, 105}, {60, 150}, {23 * 60, 0}, {12 * 60, 13 * 60}} {
			for at := time.Date(2027, 1, 1, 0, 7, 13, 0, zone); at.Year() == 2027; at = at.Add(5*time.Hour + 17*time.Minute) {
				ends, ok := h.At(at)
				if !ok {
					require.True(t, ends.IsZero())
					continue
				}
				held++
				require.True(t, ends.After(at), "%v at %s", h, at)
				_, again := h.At(ends)
				require.False(t, again, "%v at %s", h, at)
				_, before := h.At(ends.Add(-time.Second))
				require.True(t, before, "%v at %s", h, at)
			}
		}
		require.Greater(t, held, 500)
	}
	ends, ok := turn.Hours{From: 0, To: 24 * 60}.At(time.Date(2045, 3, 20, 9, 0, 0, 0, time.UTC))
	require.True(t, ok)
	require.True(t, ends.After(time.Date(2045, 3, 21, 9, 0, 0, 0, time.UTC)), "hours without an end do not hang")
}
