package luach

import (
	"fmt"
	"time"
)

// Numbers of the Hebrew months as [Date] uses them. The numbering begins with
// Nisan, while the number of the year changes at Tishrei.
const (
	Nisan    = 1
	Iyar     = 2
	Sivan    = 3
	Tammuz   = 4
	Av       = 5
	Elul     = 6
	Tishrei  = 7
	Cheshvan = 8
	Kislev   = 9
	Teves    = 10
	Shevat   = 11
	Adar     = 12 // Adar I in a leap year
	AdarII   = 13 // exists only in a leap year
)

// A Date is a date of the Hebrew calendar, that of the daylight hours of a
// civil day. The zero Date is not a date.
type Date struct {
	Year  int // years of the world; changes at 1 Tishrei
	Month int // Nisan = 1 … Adar = 12 (Adar I in a leap year), Adar II = 13
	Day   int // 1 … 30
}

// The arithmetic below follows the published description of the arithmetic
// Hebrew calendar in Reingold & Dershowitz, Calendrical Calculations. A "day
// number" counts days with 1 = Monday, 1 January of year 1.
const (
	// unixDayNumber is the day number of 1 January 1970.
	unixDayNumber = 719163
	// hebrewEpoch is added to the elapsed days of a year to give the day number
	// of its first of Tishrei.
	hebrewEpoch = -1373427
	// The mean length of a Hebrew year is 35975351/98496 days.
	meanYearNumerator, meanYearDenominator = 35975351, 98496
)

// floorDiv divides rounding towards minus infinity; Go's own division would
// shift every date before the epoch by one.
func floorDiv(a, b int) int {
	q := a / b
	if a%b != 0 && (a < 0) != (b < 0) {
		q--
	}
	return q
}

// floorMod is the remainder that belongs to floorDiv: never negative for b > 0.
func floorMod(a, b int) int { return a - b*floorDiv(a, b) }

// Leap reports whether the Hebrew year has thirteen months.
func Leap(year int) bool { return floorMod(7*year+1, 19) < 7 }

// elapsedDays counts the days from the epoch to the mean new moon of Tishrei of
// the year, moved off Sunday, Wednesday and Friday but not yet corrected for
// years of a forbidden length.
func elapsedDays(year int) int {
	months := floorDiv(235*year-234, 19)
	parts := 12084 + 13753*months
	days := 29*months + floorDiv(parts, 25920)
	if floorMod(3*(days+1), 7) < 3 {
		days++
	}
	return days
}

// newYear is the day number of 1 Tishrei of the year.
func newYear(year int) int {
	before, at, after := elapsedDays(year-1), elapsedDays(year), elapsedDays(year+1)
	shift := 0
	switch {
	case after-at == 356: // the year would be too long
		shift = 2
	case at-before == 382: // the year before would be too short
		shift = 1
	}
	return hebrewEpoch + at + shift
}

// YearLength is the number of days in the Hebrew year: 353, 354, 355, 383, 384
// or 385.
func YearLength(year int) int { return newYear(year+1) - newYear(year) }

// MonthLength is the number of days in the month of the Hebrew year, 29 or 30,
// and 0 where the year has no such month.
func MonthLength(year, month int) int { return monthLength(year, month, YearLength(year)) }

// monthLength is MonthLength for a caller that already knows the year's length.
func monthLength(year, month, yearDays int) int {
	switch month {
	case Nisan, Sivan, Av, Tishrei, Shevat:
		return 30
	case Iyar, Tammuz, Elul, Teves:
		return 29
	case Cheshvan:
		if yearDays%10 == 5 {
			return 30
		}
		return 29
	case Kislev:
		if yearDays%10 == 3 {
			return 29
		}
		return 30
	case Adar:
		if Leap(year) {
			return 30
		}
		return 29
	case AdarII:
		if Leap(year) {
			return 29
		}
	}
	return 0
}

// monthsFromTishrei lists the months in the order in which a year runs.
var monthsFromTishrei = [...]int{
	Tishrei, Cheshvan, Kislev, Teves, Shevat, Adar, AdarII, Nisan, Iyar, Sivan, Tammuz, Av, Elul,
}

// dayNumber is the day number of the date.
func (d Date) dayNumber() int {
	n := newYear(d.Year)
	yearDays := newYear(d.Year+1) - n
	for _, month := range monthsFromTishrei {
		if month == d.Month {
			break
		}
		n += monthLength(d.Year, month, yearDays)
	}
	return n + d.Day - 1
}

// dateOf is the Hebrew date of a day number.
func dateOf(day int) Date {
	year := floorDiv((day-hebrewEpoch)*meanYearDenominator, meanYearNumerator)
	// The mean year only estimates; the first of Tishrei decides.
	start, next := newYear(year), newYear(year+1)
	for next <= day {
		year++
		start, next = next, newYear(year+1)
	}
	for start > day {
		year--
		start, next = newYear(year), start
	}
	yearDays := next - start
	left := day - start
	// The lengths of the months add up to the length of the year (a test proves
	// it for every kind of year), so the walk ends inside the list.
	i := 0
	for {
		length := monthLength(year, monthsFromTishrei[i], yearDays)
		if left < length {
			return Date{Year: year, Month: monthsFromTishrei[i], Day: left + 1}
		}
		left -= length
		i++
	}
}

// civilDayNumber is the day number of a civil date. Months and days outside
// their range carry over as they do in time.Date.
func civilDayNumber(y int, m time.Month, d int) int {
	const secondsPerDay = 24 * 60 * 60
	return floorDiv(int(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix()), secondsPerDay) + unixDayNumber
}

// civilOf is the civil date of a day number.
func civilOf(day int) (y int, m time.Month, d int) {
	return time.Date(1970, time.January, 1+day-unixDayNumber, 0, 0, 0, 0, time.UTC).Date()
}

// weekdayOf is the day of the week of a day number.
func weekdayOf(day int) time.Weekday { return time.Weekday(floorMod(day, 7)) }

// FromCivil is the Hebrew date of the daylight hours of a civil date. A month
// or day outside its range carries over as it does in time.Date.
func FromCivil(y int, m time.Month, d int) Date { return dateOf(civilDayNumber(y, m, d)) }

// Civil is the civil date whose daylight hours carry this Hebrew date. For a
// Date that [Date.Valid] rejects the answer has no meaning.
func (d Date) Civil() (y int, m time.Month, day int) { return civilOf(d.dayNumber()) }

// Weekday is the day of the week of the date's daylight hours.
func (d Date) Weekday() time.Weekday { return weekdayOf(d.dayNumber()) }

// AddDays is the date n days later, or earlier for a negative n.
func (d Date) AddDays(n int) Date { return dateOf(d.dayNumber() + n) }

// Before reports whether d is an earlier day than other.
func (d Date) Before(other Date) bool { return d.dayNumber() < other.dayNumber() }

// Valid returns an error that names what is wrong with a date that does not
// exist, such as 30 Kislev of a year in which Kislev has 29 days. A typed date
// has to pass here before anything is computed from it.
func (d Date) Valid() error {
	if d.Year < 1 {
		return fmt.Errorf("hebrew year %d is before year 1", d.Year)
	}
	length := 0
	if d.Month >= Nisan && d.Month <= AdarII {
		length = MonthLength(d.Year, d.Month)
	}
	switch {
	case length == 0 && d.Month == AdarII:
		return fmt.Errorf("year %d is not a leap year and has no Adar II", d.Year)
	case length == 0:
		return fmt.Errorf("there is no hebrew month %d", d.Month)
	case d.Day < 1 || d.Day > length:
		return fmt.Errorf("day %d: %s %d has %d days", d.Day, monthName(d.Year, d.Month, "en"), d.Year, length)
	}
	return nil
}

// EveOfPesach is 14 Nisan of the Hebrew year.
func EveOfPesach(hebrewYear int) Date { return Date{Year: hebrewYear, Month: Nisan, Day: 14} }

// EveOnSabbath reports whether 14 Nisan of the Hebrew year is a Sabbath, so
// that the deadlines of the day fall inside the rest and everything has to be
// finished before Friday's candle lighting.
func EveOnSabbath(hebrewYear int) bool { return EveOfPesach(hebrewYear).Weekday() == time.Saturday }
