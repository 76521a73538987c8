package luach

import (
	"strconv"
	"strings"
)

// Languages of the names in this package. The spelling of Hebrew words in Latin
// letters is a custom of the community: English has both.
const (
	English   = "en"      // Shavuos, Sukkos, Teves
	EnglishOt = "en-x-ot" // Shavuot, Sukkot, Tevet
	Hebrew    = "he"
)

// text is one name in the languages of the package.
type text struct {
	en string
	ot string // other English spelling; empty where it is the same
	he string
}

// in chooses the language: Hebrew for "he" with any region, the second English
// spelling for EnglishOt, and otherwise English.
func (t text) in(lang string) string {
	switch {
	case isHebrew(lang):
		return t.he
	case lang == EnglishOt && t.ot != "":
		return t.ot
	default:
		return t.en
	}
}

// isHebrew accepts the bare tag and a tag with a region, such as "he-IL".
func isHebrew(lang string) bool { return lang == Hebrew || strings.HasPrefix(lang, Hebrew+"-") }

var monthNames = [...]text{
	Nisan:    {en: "Nisan", he: "ניסן"},
	Iyar:     {en: "Iyar", he: "אייר"},
	Sivan:    {en: "Sivan", he: "סיוון"},
	Tammuz:   {en: "Tammuz", he: "תמוז"},
	Av:       {en: "Av", he: "אב"},
	Elul:     {en: "Elul", he: "אלול"},
	Tishrei:  {en: "Tishrei", he: "תשרי"},
	Cheshvan: {en: "Cheshvan", he: "חשוון"},
	Kislev:   {en: "Kislev", he: "כסלו"},
	Teves:    {en: "Teves", ot: "Tevet", he: "טבת"},
	Shevat:   {en: "Shevat", he: "שבט"},
	Adar:     {en: "Adar", he: "אדר"},
	AdarII:   {en: "Adar II", he: "אדר ב׳"},
}

// adarI is the name of month 12 in a leap year, where plain "Adar" would be
// ambiguous.
var adarI = text{en: "Adar I", he: "אדר א׳"}

// monthName is the name of a month that exists in the year, and its number
// where it does not.
func monthName(year, month int, lang string) string {
	switch {
	case month < Nisan || month > AdarII:
		return strconv.Itoa(month)
	case month == Adar && Leap(year):
		return adarI.in(lang)
	}
	return monthNames[month].in(lang)
}

// MonthName is the month's name in the language: [English], [EnglishOt] or
// [Hebrew]. Month 12 is called Adar I in a leap year.
func (d Date) MonthName(lang string) string { return monthName(d.Year, d.Month, lang) }

// Format writes the date in the language, as "14 Nisan 5787" or as
// "י״ד בניסן תשפ״ז". An unknown language is written in English.
func (d Date) Format(lang string) string {
	if isHebrew(lang) {
		return numeral(d.Day) + " ב" + d.MonthName(lang) + " " + yearNumeral(d.Year)
	}
	return strconv.Itoa(d.Day) + " " + d.MonthName(lang) + " " + strconv.Itoa(d.Year)
}

// String is the English form.
func (d Date) String() string { return d.Format(English) }

const (
	geresh    = "׳" // after a single letter
	gershayim = "״" // before the last of several letters
)

// letterValues are the letters of Hebrew numerals from the greatest down.
var letterValues = []struct {
	value  int
	letter string
}{
	{400, "ת"}, {300, "ש"}, {200, "ר"}, {100, "ק"},
	{90, "צ"}, {80, "פ"}, {70, "ע"}, {60, "ס"}, {50, "נ"}, {40, "מ"}, {30, "ל"}, {20, "כ"}, {10, "י"},
	{9, "ט"}, {8, "ח"}, {7, "ז"}, {6, "ו"}, {5, "ה"}, {4, "ד"}, {3, "ג"}, {2, "ב"}, {1, "א"},
}

// letters spells 1 … 999 without punctuation; 0 is the empty string.
func letters(n int) string {
	// 15 and 16 are written 9+6 and 9+7: the plain letters would be those of the
	// divine name.
	tail := ""
	switch n % 100 {
	case 15:
		n, tail = n-15, "טו"
	case 16:
		n, tail = n-16, "טז"
	}
	var b strings.Builder
	for _, v := range letterValues {
		for n >= v.value {
			b.WriteString(v.letter)
			n -= v.value
		}
	}
	return b.String() + tail
}

// numeral spells 1 … 999 with its geresh or gershayim. Other numbers, which no
// date holds, are written in digits.
func numeral(n int) string {
	if n < 1 || n > 999 {
		return strconv.Itoa(n)
	}
	runes := []rune(letters(n))
	last := len(runes) - 1
	if last == 0 {
		return string(runes) + geresh
	}
	return string(runes[:last]) + gershayim + string(runes[last:])
}

// yearNumeral spells a year. The thousands are left out in the sixth
// millennium, the present one, as is usual; elsewhere they stand first with a
// geresh of their own.
func yearNumeral(year int) string {
	thousands, rest := year/1000, year%1000
	switch {
	case year < 1 || thousands > 9:
		return strconv.Itoa(year)
	case thousands == 5 && rest != 0, thousands == 0:
		return numeral(rest)
	case rest == 0:
		return letters(thousands) + geresh + " אלפים"
	}
	return letters(thousands) + geresh + numeral(rest)
}
