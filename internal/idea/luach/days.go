package luach

import "time"

// Names by which this package calls the special days; [Name] turns one into
// text for people. They are stable and may be stored.
const (
	Sabbath           = "Sabbath"
	Pesach            = "Pesach" // its first days
	PesachLastDays    = "Pesach last days"
	Shavuos           = "Shavuos"
	RoshHashana       = "Rosh Hashana"
	YomKippur         = "Yom Kippur"
	Sukkos            = "Sukkos"
	SheminiAtzeres    = "Shemini Atzeres"
	SimchasTorah      = "Simchas Torah" // a day of its own only outside Israel
	PesachEve         = "eve of Pesach"
	CholHamoedPesach  = "Chol Hamoed Pesach"
	CholHamoedSukkos  = "Chol Hamoed Sukkos"
	FastOfGedaliah    = "Fast of Gedaliah"
	TenthOfTeves      = "Tenth of Teves"
	FastOfEsther      = "Fast of Esther"
	FastOfFirstborn   = "Fast of the Firstborn"
	SeventeenthTammuz = "Seventeenth of Tammuz"
	NinthOfAv         = "Ninth of Av"
)

var dayNames = map[string]text{
	Sabbath:           {en: "Shabbos", ot: "Shabbat", he: "שבת"},
	Pesach:            {en: "Pesach", he: "פסח"},
	PesachLastDays:    {en: "the last days of Pesach", he: "שביעי של פסח"},
	Shavuos:           {en: "Shavuos", ot: "Shavuot", he: "שבועות"},
	RoshHashana:       {en: "Rosh Hashana", he: "ראש השנה"},
	YomKippur:         {en: "Yom Kippur", he: "יום כיפור"},
	Sukkos:            {en: "Sukkos", ot: "Sukkot", he: "סוכות"},
	SheminiAtzeres:    {en: "Shemini Atzeres", ot: "Shemini Atzeret", he: "שמיני עצרת"},
	SimchasTorah:      {en: "Simchas Torah", ot: "Simchat Torah", he: "שמחת תורה"},
	PesachEve:         {en: "Erev Pesach", he: "ערב פסח"},
	CholHamoedPesach:  {en: "Chol Hamoed Pesach", he: "חול המועד פסח"},
	CholHamoedSukkos:  {en: "Chol Hamoed Sukkos", ot: "Chol Hamoed Sukkot", he: "חול המועד סוכות"},
	FastOfGedaliah:    {en: "the Fast of Gedaliah", he: "צום גדליה"},
	TenthOfTeves:      {en: "the Tenth of Teves", ot: "the Tenth of Tevet", he: "עשרה בטבת"},
	FastOfEsther:      {en: "the Fast of Esther", he: "תענית אסתר"},
	FastOfFirstborn:   {en: "the Fast of the Firstborn", he: "תענית בכורות"},
	SeventeenthTammuz: {en: "the Seventeenth of Tammuz", he: "שבעה עשר בתמוז"},
	NinthOfAv:         {en: "the Ninth of Av", he: "תשעה באב"},
}

// Name is the special day's name for people in the language: [English],
// [EnglishOt] or [Hebrew]. A name that this package does not know comes back
// unchanged.
func Name(id, lang string) string {
	if t, ok := dayNames[id]; ok {
		return t.in(lang)
	}
	return id
}

// festivalOn is the festival on which work is forbidden on the date, or "".
// Outside Israel each has a second day, except Yom Kippur, which has one day
// everywhere, and Rosh Hashana, which has two everywhere (Orach Chaim 490, 494,
// 496, 600, 601, 624 and 668; sections from memory).
func festivalOn(d Date, israel bool) string {
	abroad := !israel
	switch d.Month {
	case Nisan:
		switch {
		case d.Day == 15, d.Day == 16 && abroad:
			return Pesach
		case d.Day == 21, d.Day == 22 && abroad:
			return PesachLastDays
		}
	case Sivan:
		if d.Day == 6 || d.Day == 7 && abroad {
			return Shavuos
		}
	case Tishrei:
		switch {
		case d.Day <= 2:
			return RoshHashana
		case d.Day == 10:
			return YomKippur
		case d.Day == 15, d.Day == 16 && abroad:
			return Sukkos
		case d.Day == 22:
			return SheminiAtzeres
		case d.Day == 23 && abroad:
			return SimchasTorah
		}
	}
	return ""
}

// cholHamoedOn is the intermediate day of a festival on the date, or "".
func cholHamoedOn(d Date, israel bool) string {
	switch {
	case d.Day < 16 || d.Day > 21 || festivalOn(d, israel) != "":
		return ""
	case d.Month == Nisan:
		return CholHamoedPesach
	case d.Month == Tishrei:
		return CholHamoedSukkos
	}
	return ""
}

// fastOn is the public fast kept on the date, or "". Yom Kippur is a festival
// and not listed here. A fast that would fall on Sabbath is put off to Sunday,
// except the fasts of Esther and of the firstborn, which are brought forward to
// Thursday (Orach Chaim 549–550, 686:2, 470; sections from memory).
func fastOn(d Date, weekday time.Weekday) string {
	putOff := func(day int) bool {
		return d.Day == day && weekday != time.Saturday || d.Day == day+1 && weekday == time.Sunday
	}
	broughtForward := func(day int) bool {
		return d.Day == day && weekday != time.Saturday || d.Day == day-2 && weekday == time.Thursday
	}
	adar := Adar
	if Leap(d.Year) {
		adar = AdarII // Purim is in the Adar next to Nisan
	}
	switch {
	case d.Month == Tishrei && putOff(3):
		return FastOfGedaliah
	case d.Month == Teves && d.Day == 10: // never a Sabbath
		return TenthOfTeves
	case d.Month == adar && broughtForward(13):
		return FastOfEsther
	case d.Month == Nisan && broughtForward(14):
		return FastOfFirstborn
	case d.Month == Tammuz && putOff(17):
		return SeventeenthTammuz
	case d.Month == Av && putOff(9):
		return NinthOfAv
	}
	return ""
}

// SpecialDays lists what is special about the Hebrew date, by the names
// declared above: Sabbath first, then the festival, its eve or intermediate
// day, then a fast. It is nil on an ordinary day.
func SpecialDays(d Date, israel bool) []string {
	var ids []string
	add := func(id string) {
		if id != "" {
			ids = append(ids, id)
		}
	}
	weekday := d.Weekday()
	if weekday == time.Saturday {
		add(Sabbath)
	}
	add(festivalOn(d, israel))
	if d.Month == Nisan && d.Day == 14 {
		add(PesachEve)
	}
	add(cholHamoedOn(d, israel))
	add(fastOn(d, weekday))
	return ids
}
