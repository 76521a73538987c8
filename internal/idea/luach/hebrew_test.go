package luach_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/luach"
)

// Source: hebrew_dates.csv (ICU).
func TestHebrewDatesAgreeWithTheReferenceBothWays(t *testing.T) {
	kinds := map[[2]int]bool{}
	for _, r := range table(t, "hebrew_dates.csv") {
		y, m, d := r.civil(t, "gregorian")
		want := luach.Date{Year: r.int(t, "hebrew_year"), Month: r.int(t, "hebrew_month"), Day: r.int(t, "hebrew_day")}
		about := r["gregorian"]

		require.Equal(t, want, luach.FromCivil(y, m, d), about)
		require.NoError(t, want.Valid(), about)
		gy, gm, gd := want.Civil()
		require.Equal(t, []int{y, int(m), d}, []int{gy, int(gm), gd}, about)
		require.Equal(t, r["weekday"], want.Weekday().String(), about)
		require.Equal(t, r["hebrew_year_leap"] == "yes", luach.Leap(want.Year), about)
		require.Equal(t, r.int(t, "hebrew_year_days"), luach.YearLength(want.Year), about)
		require.Equal(t, r.int(t, "hebrew_month_days"), luach.MonthLength(want.Year, want.Month), about)
		require.Equal(t, monthNameHere(r["hebrew_month_name"]), want.MonthName(luach.EnglishOt), about)

		newYear := luach.Date{Year: want.Year, Month: luach.Tishrei, Day: 1}
		kinds[[2]int{luach.YearLength(want.Year), int(newYear.Weekday())}] = true
	}
	require.Len(t, kinds, 14, "the table holds every kind of year: its length and the weekday on which it begins")
}

// monthNameHere is the spelling of this package for that of the reference.
func monthNameHere(reference string) string {
	switch reference {
	case "Tamuz":
		return "Tammuz"
	case "Tishri":
		return "Tishrei"
	case "Heshvan":
		return "Cheshvan"
	}
	return reference
}

// Source: calendrical_table.csv (sample table of Calendrical Calculations).
func TestHebrewDatesAgreeWithThePublishedTable(t *testing.T) {
	for _, r := range table(t, "calendrical_table.csv") {
		y, m, d := r.civil(t, "gregorian_proleptic")
		want := luach.Date{Year: r.int(t, "hebrew_year"), Month: r.int(t, "hebrew_month"), Day: r.int(t, "hebrew_day")}
		require.Equal(t, want, luach.FromCivil(y, m, d), r["gregorian_proleptic"])
		gy, gm, gd := want.Civil()
		require.Equal(t, []int{y, int(m), d}, []int{gy, int(gm), gd}, r["gregorian_proleptic"])
		require.Equal(t, r["weekday"], want.Weekday().String(), r["gregorian_proleptic"])
	}
}

// Source: pesach.csv (ICU).
func TestPesachAgreesWithTheReference(t *testing.T) {
	for _, r := range table(t, "pesach.csv") {
		year := r.int(t, "hebrew_year")
		about := r["gregorian_year"]
		eve := luach.EveOfPesach(year)
		requireCivil(t, r["eve_14_nisan"], eve, about)
		requireCivil(t, r["pesach_15_nisan"], eve.AddDays(1), about)
		requireCivil(t, r["seventh_day_21_nisan"], eve.AddDays(7), about)
		requireCivil(t, r["eighth_day_22_nisan_abroad"], eve.AddDays(8), about)
		require.Equal(t, r["eve_weekday"], eve.Weekday().String(), about)
		require.Equal(t, r["pesach_weekday"], eve.AddDays(1).Weekday().String(), about)
		require.Equal(t, r["eve_on_sabbath"] == "yes", luach.EveOnSabbath(year), about)
		require.Equal(t, r["hebrew_year_leap"] == "yes", luach.Leap(year), about)
		require.Equal(t, r.int(t, "hebrew_year_days"), luach.YearLength(year), about)
	}
}

func requireCivil(t *testing.T, want string, got luach.Date, about string) {
	t.Helper()
	y, m, d := got.Civil()
	require.Equal(t, want, time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Format(time.DateOnly), about)
}

// Source: Orach Chaim 428:1 (from memory): 14 Nisan is a Monday, Wednesday,
// Friday or Sabbath; and the six lengths of a year are those of the published
// arithmetic.
func TestEveryYearHasALawfulLengthAndEve(t *testing.T) {
	for year := 1; year <= 10000; year++ {
		require.Contains(t, []int{353, 354, 355, 383, 384, 385}, luach.YearLength(year), year)
		require.Equal(t, luach.Leap(year), luach.YearLength(year) > 360, year)
		sum := 0
		for month := luach.Nisan; month <= luach.AdarII; month++ {
			sum += luach.MonthLength(year, month)
		}
		require.Equal(t, luach.YearLength(year), sum, "the months of %d fill it", year)
		require.Contains(t, []time.Weekday{time.Monday, time.Wednesday, time.Friday, time.Saturday},
			luach.EveOfPesach(year).Weekday(), year)
	}
}

func TestConsecutiveDaysHaveConsecutiveDates(t *testing.T) {
	before := luach.FromCivil(1899, time.September, 4)
	for n := 5; n < 60_000; n++ {
		date := luach.FromCivil(1899, time.September, n)
		y, m, d := date.Civil()
		require.True(t, time.Date(1899, time.September, n, 0, 0, 0, 0, time.UTC).Equal(time.Date(y, m, d, 0, 0, 0, 0, time.UTC)))
		require.Equal(t, date, before.AddDays(1))
		require.True(t, before.Before(date))
		require.False(t, date.Before(before))
		newMonth := date.Day == 1
		require.Equal(t, newMonth, before.Day == luach.MonthLength(before.Year, before.Month), "%v after %v", date, before)
		if !newMonth {
			require.Equal(t, before.Day+1, date.Day)
			require.Equal(t, before.Month, date.Month)
		}
		require.Equal(t, newMonth && date.Month == luach.Tishrei, date.Year != before.Year, "%v after %v", date, before)
		before = date
	}
}

func TestValidNamesWhatIsWrong(t *testing.T) {
	for _, c := range []struct {
		date luach.Date
		want string // empty for a date that exists
	}{
		{luach.Date{Year: 5787, Month: luach.Nisan, Day: 14}, ""},
		{luach.Date{Year: 5787, Month: luach.AdarII, Day: 29}, ""}, // 5787 is a leap year: hebrew_dates.csv
		{luach.Date{Year: 5788, Month: luach.AdarII, Day: 1}, "year 5788 is not a leap year and has no Adar II"},
		{luach.Date{Year: 5787, Month: luach.Adar, Day: 30}, ""},
		{luach.Date{Year: 5788, Month: luach.Adar, Day: 30}, "day 30: Adar 5788 has 29 days"},
		{luach.Date{Year: 5787, Month: luach.Adar, Day: 31}, "day 31: Adar I 5787 has 30 days"},
		{luach.Date{Year: 5787, Month: luach.Iyar, Day: 30}, "day 30: Iyar 5787 has 29 days"},
		{luach.Date{Year: 5787, Month: luach.Nisan, Day: 0}, "day 0: Nisan 5787 has 30 days"},
		{luach.Date{Year: 5787, Month: 0, Day: 1}, "there is no hebrew month 0"},
		{luach.Date{Year: 5787, Month: 14, Day: 1}, "there is no hebrew month 14"},
		{luach.Date{}, "hebrew year 0 is before year 1"},
	} {
		err := c.date.Valid()
		if c.want == "" {
			require.NoError(t, err)
			continue
		}
		require.EqualError(t, err, c.want)
	}
}

// 30 Cheshvan and 30 Kislev are there in some years only: the lengths of years
// come from hebrew_dates.csv.
func TestTheTwoMonthsOfChangingLength(t *testing.T) {
	lengths := map[int][2]int{3: {29, 29}, 4: {29, 30}, 5: {30, 30}}
	for _, r := range table(t, "hebrew_dates.csv") {
		year := r.int(t, "hebrew_year")
		want := lengths[r.int(t, "hebrew_year_days")%10]
		for i, month := range []int{luach.Cheshvan, luach.Kislev} {
			last := luach.Date{Year: year, Month: month, Day: 30}
			require.Equal(t, want[i], luach.MonthLength(year, month))
			require.Equal(t, want[i] == 30, last.Valid() == nil, last)
		}
	}
}

func TestFormat(t *testing.T) {
	for _, c := range []struct {
		date        luach.Date
		en, ot, heb string
	}{
		{luach.Date{Year: 5787, Month: luach.Nisan, Day: 14}, "14 Nisan 5787", "14 Nisan 5787", "י״ד בניסן תשפ״ז"},
		{luach.Date{Year: 5787, Month: luach.Adar, Day: 15}, "15 Adar I 5787", "15 Adar I 5787", "ט״ו באדר א׳ תשפ״ז"},
		{luach.Date{Year: 5787, Month: luach.AdarII, Day: 16}, "16 Adar II 5787", "16 Adar II 5787", "ט״ז באדר ב׳ תשפ״ז"},
		{luach.Date{Year: 5788, Month: luach.Adar, Day: 30}, "30 Adar 5788", "30 Adar 5788", "ל׳ באדר תשפ״ח"},
		{luach.Date{Year: 5775, Month: luach.Teves, Day: 1}, "1 Teves 5775", "1 Tevet 5775", "א׳ בטבת תשע״ה"},
		{luach.Date{Year: 5716, Month: luach.Av, Day: 9}, "9 Av 5716", "9 Av 5716", "ט׳ באב תשט״ז"},
		{luach.Date{Year: 5700, Month: luach.Iyar, Day: 29}, "29 Iyar 5700", "29 Iyar 5700", "כ״ט באייר ת״ש"},
		{luach.Date{Year: 5800, Month: luach.Shevat, Day: 20}, "20 Shevat 5800", "20 Shevat 5800", "כ׳ בשבט ת״ת"},
		{luach.Date{Year: 5400, Month: luach.Elul, Day: 11}, "11 Elul 5400", "11 Elul 5400", "י״א באלול ת׳"},
		{luach.Date{Year: 5000, Month: luach.Sivan, Day: 6}, "6 Sivan 5000", "6 Sivan 5000", "ו׳ בסיוון ה׳ אלפים"},
		{luach.Date{Year: 6001, Month: luach.Tammuz, Day: 17}, "17 Tammuz 6001", "17 Tammuz 6001", "י״ז בתמוז ו׳א׳"},
		{luach.Date{Year: 4999, Month: luach.Kislev, Day: 25}, "25 Kislev 4999", "25 Kislev 4999", "כ״ה בכסלו ד׳תתקצ״ט"},
		{luach.Date{Year: 812, Month: luach.Cheshvan, Day: 10}, "10 Cheshvan 812", "10 Cheshvan 812", "י׳ בחשוון תתי״ב"},
	} {
		require.Equal(t, c.en, c.date.Format(luach.English))
		require.Equal(t, c.en, c.date.String())
		require.Equal(t, c.en, c.date.Format("xx"), "an unknown language is English")
		require.Equal(t, c.ot, c.date.Format(luach.EnglishOt))
		require.Equal(t, c.heb, c.date.Format(luach.Hebrew))
		require.Equal(t, c.heb, c.date.Format("he-IL"))
	}
}

// Written dates are told apart: no two days of a leap year read the same.
func TestNoTwoDaysOfAYearReadTheSame(t *testing.T) {
	for _, lang := range []string{luach.English, luach.Hebrew} {
		seen := map[string]bool{}
		first := luach.Date{Year: 5787, Month: luach.Tishrei, Day: 1}
		for n := range luach.YearLength(5787) {
			text := first.AddDays(n).Format(lang)
			require.False(t, seen[text], text)
			seen[text] = true
		}
	}
}

func FuzzDateRoundTrip(f *testing.F) {
	for _, day := range []int32{0, -1, 719163, -2092591, 20929, 29220, 1 << 21} {
		f.Add(day, uint8(1), uint8(1))
	}
	f.Fuzz(func(t *testing.T, day int32, month, dayOfMonth uint8) {
		// A civil day, forth and back.
		days := int(day % 4_000_000) // eleven thousand years each way
		y, m, d := time.Date(1970, time.January, 1+days, 0, 0, 0, 0, time.UTC).Date()
		date := luach.FromCivil(y, m, d)
		gy, gm, gd := date.Civil()
		if gy != y || gm != m || gd != d {
			t.Fatalf("%d-%d-%d is %+v, and that is %d-%d-%d", y, m, d, date, gy, gm, gd)
		}
		if err := date.Valid(); err != nil && date.Year >= 1 {
			t.Fatalf("%d-%d-%d: %v", y, m, d, err)
		}
		if want := time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Weekday(); date.Weekday() != want {
			t.Fatalf("%d-%d-%d is a %s, not a %s", y, m, d, want, date.Weekday())
		}
		// A typed Hebrew date: what is accepted comes back unchanged, what is not
		// does no harm.
		typed := luach.Date{Year: days % 10_000, Month: int(month), Day: int(dayOfMonth)}
		ty, tm, td := typed.Civil()
		if back := luach.FromCivil(ty, tm, td); typed.Valid() == nil && back != typed {
			t.Fatalf("%+v comes back as %+v", typed, back)
		}
		if typed.Format(luach.Hebrew) == "" || typed.Format(luach.English) == "" {
			t.Fatalf("%+v is written as nothing", typed)
		}
	})
}
