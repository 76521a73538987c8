package luach_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/luach"
)

// Civil dates of fasts and festivals, from memory of printed calendars: a year
// each in which the day moves and in which it does not.
func TestSpecialDays(t *testing.T) {
	for _, c := range []struct {
		y             int
		m             time.Month
		d             int
		abroad, there []string // outside Israel, in Israel
	}{
		{2022, time.August, 6, []string{luach.Sabbath}, []string{luach.Sabbath}},
		{2022, time.August, 7, []string{luach.NinthOfAv}, []string{luach.NinthOfAv}},
		{2023, time.July, 27, []string{luach.NinthOfAv}, []string{luach.NinthOfAv}},
		{2023, time.July, 28, nil, nil},
		{2022, time.July, 17, []string{luach.SeventeenthTammuz}, []string{luach.SeventeenthTammuz}},
		{2024, time.October, 3, []string{luach.RoshHashana}, []string{luach.RoshHashana}},
		{2024, time.October, 5, []string{luach.Sabbath}, []string{luach.Sabbath}},
		{2024, time.October, 6, []string{luach.FastOfGedaliah}, []string{luach.FastOfGedaliah}},
		{2023, time.September, 18, []string{luach.FastOfGedaliah}, []string{luach.FastOfGedaliah}},
		{2023, time.December, 22, []string{luach.TenthOfTeves}, []string{luach.TenthOfTeves}},
		{2024, time.March, 21, []string{luach.FastOfEsther}, []string{luach.FastOfEsther}},
		{2024, time.March, 23, []string{luach.Sabbath}, []string{luach.Sabbath}},
		{2023, time.March, 6, []string{luach.FastOfEsther}, []string{luach.FastOfEsther}},
		{2025, time.April, 10, []string{luach.FastOfFirstborn}, []string{luach.FastOfFirstborn}},
		{2025, time.April, 12, []string{luach.Sabbath, luach.PesachEve}, []string{luach.Sabbath, luach.PesachEve}},
		{2027, time.April, 21, []string{luach.PesachEve, luach.FastOfFirstborn}, []string{luach.PesachEve, luach.FastOfFirstborn}},
		{2027, time.April, 23, []string{luach.Pesach}, []string{luach.CholHamoedPesach}},
		{2027, time.April, 24, []string{luach.Sabbath, luach.CholHamoedPesach}, []string{luach.Sabbath, luach.CholHamoedPesach}},
		{2027, time.April, 29, []string{luach.PesachLastDays}, nil},
		{2026, time.October, 1, []string{luach.CholHamoedSukkos}, []string{luach.CholHamoedSukkos}},
		{2026, time.October, 3, []string{luach.Sabbath, luach.SheminiAtzeres}, []string{luach.Sabbath, luach.SheminiAtzeres}},
		{2026, time.October, 4, []string{luach.SimchasTorah}, nil},
		{2027, time.April, 20, nil, nil},
	} {
		date := luach.FromCivil(c.y, c.m, c.d)
		require.Equal(t, c.abroad, luach.SpecialDays(date, false), "%d-%d-%d %s", c.y, c.m, c.d, date)
		require.Equal(t, c.there, luach.SpecialDays(date, true), "%d-%d-%d %s", c.y, c.m, c.d, date)
	}
}

// Every year has each fast once, never on Sabbath, and the number of festival
// days is that of the place (common practice; the days are checked one by one
// against holy_time.csv elsewhere).
func TestSpecialDaysOfEveryYear(t *testing.T) {
	fasts := []string{
		luach.FastOfGedaliah, luach.TenthOfTeves, luach.FastOfEsther,
		luach.FastOfFirstborn, luach.SeventeenthTammuz, luach.NinthOfAv,
	}
	for year := 5750; year < 5790; year++ {
		for _, israel := range []bool{false, true} {
			count := map[string]int{}
			first := luach.Date{Year: year, Month: luach.Tishrei, Day: 1}
			for n := range luach.YearLength(year) {
				date := first.AddDays(n)
				ids := luach.SpecialDays(date, israel)
				for _, id := range ids {
					count[id]++
				}
				for _, fast := range fasts {
					if date.Weekday() == time.Saturday {
						require.NotContains(t, ids, fast, date)
					}
				}
			}
			for _, fast := range fasts {
				require.Equal(t, 1, count[fast], "%s %d", fast, year)
			}
			days := func(ids ...string) (n int) {
				for _, id := range ids {
					n += count[id]
				}
				return n
			}
			want := map[bool]int{false: 13, true: 8}[israel]
			require.Equal(t, want, days(luach.Pesach, luach.PesachLastDays, luach.Shavuos, luach.RoshHashana,
				luach.YomKippur, luach.Sukkos, luach.SheminiAtzeres, luach.SimchasTorah), year)
			require.Equal(t, map[bool]int{false: 4, true: 5}[israel], count[luach.CholHamoedPesach], year)
			require.Equal(t, map[bool]int{false: 5, true: 6}[israel], count[luach.CholHamoedSukkos], year)
		}
	}
}

func TestNames(t *testing.T) {
	for id, want := range map[string][3]string{
		luach.Sabbath:         {"Shabbos", "Shabbat", "שבת"},
		luach.Pesach:          {"Pesach", "Pesach", "פסח"},
		luach.Shavuos:         {"Shavuos", "Shavuot", "שבועות"},
		luach.Sukkos:          {"Sukkos", "Sukkot", "סוכות"},
		luach.FastOfFirstborn: {"the Fast of the Firstborn", "the Fast of the Firstborn", "תענית בכורות"},
	} {
		require.Equal(t, want, [3]string{luach.Name(id, luach.English), luach.Name(id, luach.EnglishOt), luach.Name(id, luach.Hebrew)})
	}
	require.Equal(t, "something else", luach.Name("something else", luach.Hebrew))
}

// Nothing that SpecialDays can say lacks a name in either language.
func TestEverySpecialDayHasNames(t *testing.T) {
	seen := map[string]bool{}
	for n := range 20_000 {
		for _, id := range luach.SpecialDays(luach.FromCivil(2000, time.January, n), n%2 == 0) {
			seen[id] = true
		}
	}
	require.Len(t, seen, 18)
	for id := range seen {
		require.Regexp(t, `^[A-Za-z ]+$`, luach.Name(id, luach.English))
		require.Regexp(t, `^[A-Za-z ]+$`, luach.Name(id, luach.EnglishOt))
		require.Regexp(t, `^[\x{5D0}-\x{5EA} ]+$`, luach.Name(id, luach.Hebrew))
	}
}
