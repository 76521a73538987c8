package luach_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/luach"
)

// Clock changes: IANA time-zone data.
func TestLocalTimesThatDoNotExistOrExistTwice(t *testing.T) {
	for _, c := range []struct {
		zone            string
		y               int
		m               time.Month
		d, hour, minute int
		want            []string // UTC
	}{
		{"America/New_York", 2027, time.April, 21, 10, 15, []string{"2027-04-21T14:15:00Z"}},
		{"America/New_York", 2027, time.March, 14, 2, 30, nil},
		{"America/New_York", 2027, time.March, 14, 1, 59, []string{"2027-03-14T06:59:00Z"}},
		{"America/New_York", 2027, time.March, 14, 3, 0, []string{"2027-03-14T07:00:00Z"}},
		{"America/New_York", 2027, time.November, 7, 1, 30, []string{"2027-11-07T05:30:00Z", "2027-11-07T06:30:00Z"}},
		{"America/New_York", 2027, time.November, 7, 2, 0, []string{"2027-11-07T07:00:00Z"}},
		{"Asia/Jerusalem", 2027, time.March, 26, 2, 15, nil},
		{"Asia/Jerusalem", 2027, time.October, 31, 1, 15, []string{"2027-10-30T22:15:00Z", "2027-10-30T23:15:00Z"}},
		{"Australia/Lord_Howe", 2027, time.April, 4, 1, 45, []string{"2027-04-03T14:45:00Z", "2027-04-03T15:15:00Z"}}, // half an hour
		{"Pacific/Apia", 2011, time.December, 30, 12, 0, nil},                                                         // a day that was skipped
		{"Pacific/Apia", 2011, time.December, 31, 0, 0, []string{"2011-12-30T10:00:00Z"}},
		{"UTC", 2027, time.February, 29, 12, 0, nil},
		{"UTC", 2027, time.February, 28, 24, 0, nil},
		{"UTC", 2027, time.February, 28, 23, 60, nil},
		{"UTC", 2028, time.February, 29, 23, 59, []string{"2028-02-29T23:59:00Z"}},
	} {
		var got []string
		for _, instant := range luach.Local(zone(t, c.zone), c.y, c.m, c.d, c.hour, c.minute) {
			got = append(got, instant.UTC().Format(time.RFC3339))
		}
		require.Equal(t, c.want, got, "%s %d-%d-%d %d:%d", c.zone, c.y, c.m, c.d, c.hour, c.minute)
	}
	require.Len(t, luach.Local(nil, 2027, time.April, 21, 1, 2), 1, "no zone is UTC")
}

// Clock changes: IANA time-zone data.
func TestBesideATimeThatDoesNotExist(t *testing.T) {
	for _, c := range []struct {
		zone            string
		y               int
		m               time.Month
		d, hour, minute int
		before, after   string // on the zone's clocks; none: the time exists, or its date does not
	}{
		{"America/New_York", 2027, time.March, 14, 2, 30, "2027-03-14T01:30:00-05:00", "2027-03-14T03:30:00-04:00"},
		{"America/New_York", 2027, time.March, 14, 2, 0, "2027-03-14T01:00:00-05:00", "2027-03-14T03:00:00-04:00"},
		{"America/New_York", 2027, time.March, 14, 3, 0, "", ""},
		{"America/New_York", 2027, time.November, 7, 1, 30, "", ""},
		{"Asia/Jerusalem", 2027, time.March, 26, 2, 15, "2027-03-26T01:15:00+02:00", "2027-03-26T03:15:00+03:00"},
		{"Australia/Lord_Howe", 2027, time.October, 3, 2, 10, "2027-10-03T01:40:00+10:30", "2027-10-03T02:40:00+11:00"}, // half an hour
		{"America/Santiago", 2026, time.September, 6, 0, 30, "2026-09-05T23:30:00-04:00", "2026-09-06T01:30:00-03:00"},
		{"Pacific/Apia", 2011, time.December, 30, 12, 0, "2011-12-29T12:00:00-10:00", "2011-12-31T12:00:00+14:00"}, // a day that was skipped
		{"America/New_York", 2027, time.February, 29, 12, 0, "", ""},
		{"UTC", 2027, time.February, 28, 24, 0, "", ""},
	} {
		before, after, ok := luach.Beside(zone(t, c.zone), c.y, c.m, c.d, c.hour, c.minute)
		about := []any{"%s %d-%d-%d %d:%d", c.zone, c.y, c.m, c.d, c.hour, c.minute}
		require.Equal(t, c.before != "", ok, about...)
		if ok {
			require.Equal(t, c.before, before.Format(time.RFC3339), about...)
			require.Equal(t, c.after, after.Format(time.RFC3339), about...)
		}
	}
	_, _, ok := luach.Beside(nil, 2027, time.March, 14, 2, 30)
	require.False(t, ok, "UTC is never put forward")
}

func TestLocalFindsEveryInstantAgain(t *testing.T) {
	random := newRandom(9)
	for _, name := range []string{
		"Asia/Jerusalem", "America/New_York", "Europe/London", "Australia/Melbourne", "Australia/Lord_Howe",
		"America/St_Johns", "Asia/Kathmandu", "Pacific/Kiritimati", "Pacific/Apia", "Africa/Casablanca", "America/Anchorage",
	} {
		z := zone(t, name)
		for range 400 {
			instant := random.instant().Truncate(time.Minute).In(z)
			// And on the minutes around the zone's next clock change.
			if _, change := instant.ZoneBounds(); random.IntN(2) == 0 && !change.IsZero() {
				instant = change.Add(time.Duration(random.IntN(240)-120) * time.Minute)
			}
			instant = instant.In(z)
			y, m, d := instant.Date()
			found := luach.Local(z, y, m, d, instant.Hour(), instant.Minute())
			require.LessOrEqual(t, len(found), 2)
			here := false
			for i, f := range found {
				here = here || f.Equal(instant.Truncate(time.Minute))
				require.Equal(t, instant.Format("2006-01-02 15:04"), f.Format("2006-01-02 15:04"))
				require.True(t, i == 0 || found[i-1].Before(f))
			}
			require.True(t, here, "%s %v: %v", name, instant, found)
		}
	}
}

// Source: elapsed.csv (IANA time-zone data).
func TestElapsedHoursAgreeWithTheReference(t *testing.T) {
	const withOffset = "2006-01-02T15:04:05-07:00" // also for London, where RFC 3339 would write Z
	crossings := 0
	for _, r := range table(t, "elapsed.csv") {
		z := zone(t, r["tz"])
		start := r.instant(t, "start_utc").In(z)
		require.Equal(t, r["start_local"], start.Format(withOffset))
		d := time.Duration(r.int(t, "plus_hours")) * time.Hour
		end := luach.After(start, d)
		require.Equal(t, r["end_local"], end.Format(withOffset), r["start_local"])
		require.True(t, r.instant(t, "end_utc").Equal(end), r["start_local"])

		// The hands of the clock would have said something else.
		y, m, day := start.Date()
		hands := luach.Local(z, y, m, day, start.Hour(), start.Minute())
		require.NotEmpty(t, hands)
		require.Contains(t, hands, start)
		wrong := time.Date(y, m, day, start.Hour()+r.int(t, "plus_hours"), start.Minute(), 0, 0, z)
		if r["crosses_clock_change"] == "yes" {
			crossings++
			if r.int(t, "plus_hours") == 24 {
				require.False(t, wrong.Equal(end), r["start_local"])
			}
		} else {
			require.True(t, wrong.Equal(end), r["start_local"])
		}
	}
	require.Greater(t, crossings, 30)
}

func TestAfterDropsTheMonotonicReading(t *testing.T) {
	now := time.Now()
	require.NotContains(t, luach.After(now, time.Hour).String(), "m=")
}

func TestShownMinutes(t *testing.T) {
	z := zone(t, "Asia/Jerusalem")
	exact := time.Date(2027, time.April, 21, 18, 47, 0, 0, z)
	for _, part := range []time.Duration{1, time.Second, 30 * time.Second, time.Minute - 1} {
		require.Equal(t, exact, luach.ShownStart(exact.Add(part)))
		require.Equal(t, exact, luach.ShownDeadline(exact.Add(part)))
		require.Equal(t, exact.Add(time.Minute), luach.ShownEnd(exact.Add(part)))
	}
	require.Equal(t, exact, luach.ShownStart(exact))
	require.Equal(t, exact, luach.ShownDeadline(exact))
	require.Equal(t, exact, luach.ShownEnd(exact), "a full minute is not rounded further")

	// Amsterdam was 19 minutes and 32 seconds ahead until 1937 (IANA).
	old := time.Date(1930, time.January, 1, 12, 0, 40, 0, zone(t, "Europe/Amsterdam"))
	require.Equal(t, 0, luach.ShownStart(old).Second())
	require.Equal(t, 0, luach.ShownEnd(old).Second())
	require.Equal(t, 40*time.Second, old.Sub(luach.ShownStart(old)))
}
