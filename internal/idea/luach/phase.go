package luach

import (
	"fmt"
	"time"
)

// A Phase is the part of the calendar that decides which kashering for Pesach
// is still possible (Orach Chaim 452:1). What follows from it is not decided
// here.
type Phase int

// The phases.
const (
	// Ordinary is every weekday that none of the others claims.
	Ordinary Phase = iota
	// EveBeforeFourthHour runs from the sunset that begins 14 Nisan to the end
	// of the fourth hour of its morning. See FridayHours for an eve on a Sabbath.
	EveBeforeFourthHour
	// EveAfterFourthHour runs from there to the rest of the festival. Where the
	// sun gives the eve no hours, all of the eve is in this stricter phase.
	EveAfterFourthHour
	// CholHamoed is a weekday of Chol Hamoed of Pesach: all the time between
	// the first and the last festival days that is not Sabbath.
	CholHamoed
	// Rest is Sabbath or a festival, at any time of the year.
	Rest
)

// String is the phase's name in English, for logs and tests.
func (f Phase) String() string {
	switch f {
	case Ordinary:
		return "ordinary"
	case EveBeforeFourthHour:
		return "eve of Pesach before the end of the fourth hour"
	case EveAfterFourthHour:
		return "eve of Pesach after the end of the fourth hour"
	case CholHamoed:
		return "Chol Hamoed Pesach"
	case Rest:
		return "rest"
	}
	return fmt.Sprintf("Phase(%d)", int(f))
}

// FridayHours say by when kashering is finished when the eve of Pesach is a
// Sabbath. Its own hours fall inside the rest; whether those of the Friday
// before it bind in their place is a question for the community's rabbi.
type FridayHours int

// The ways to go by Friday's hours. The zero value is the strictest.
const (
	FridayFourthHour FridayHours = iota // to the end of the fourth hour, as on any eve
	FridayFifthHour                     // to the end of the fifth, by which chametz is burned
	FridayCandles                       // as on any Friday, to candle lighting
)

// PhaseAt is PhaseFor those who go by no hours of a Friday: when 14 Nisan is a
// Sabbath, the phases of the eve do not occur, Friday is Ordinary until candle
// lighting and Rest follows.
func PhaseAt(p Place, now time.Time) Phase { return PhaseFor(p, now, FridayCandles) }

// PhaseFor is the phase at the instant. The hours end by the place's reckoning.
// When 14 Nisan is a Sabbath, the phases of the eve are those of Friday, with
// the hour that the community goes by.
func PhaseFor(p Place, now time.Time, friday FridayHours) Phase {
	if _, resting := RestAt(p, now); resting {
		return Rest
	}
	civil := dateOf(p.dayAt(now))
	if civil.Month != Nisan || civil.Day < 12 || civil.Day > 24 {
		return Ordinary // far from Pesach even if the sun and the clock disagree
	}
	pesach := pesachOf(p, civil.Year)
	switch {
	case now.Before(pesach.Begins):
		day, _, ok := bindingHour(pesach.Year, friday)
		if !ok || DateAt(p, now) != day {
			return Ordinary
		}
		if end := EndOfKashering(p, pesach.Year, friday); end.Happens && now.Before(end.At) {
			return EveBeforeFourthHour
		}
		return EveAfterFourthHour
	case now.Before(pesach.Last.Begins):
		return CholHamoed
	}
	return Ordinary
}

// bindingHour is the day whose hours bind before the Pesach of a Hebrew year,
// and which of them; ok is false where none does.
func bindingHour(year int, friday FridayHours) (day Date, hour int, ok bool) {
	eve := EveOfPesach(year)
	if !EveOnSabbath(year) {
		return eve, fourth, true
	}
	switch friday {
	case FridayCandles:
		return eve, 0, false
	case FridayFifthHour:
		return eve.AddDays(-1), fifth, true
	}
	return eve.AddDays(-1), fourth, true
}

// EndOfKashering is when the time ends in which utensils are kashered for the
// Pesach of a Hebrew year without asking (Orach Chaim 452:1): with the fourth
// hour of the eve, or, when the eve is a Sabbath, with what the community goes
// by on Friday. Where the sun gives the day no hours it does not happen.
func EndOfKashering(p Place, year int, friday FridayHours) Event {
	day, hour, ok := bindingHour(year, friday)
	if !ok {
		return Event{At: pesachOf(p, year).Begins, Happens: true}
	}
	ends := deadlines(p, day.dayNumber())
	if hour == fifth {
		return ends.EndFifth.By(p.Hours)
	}
	return ends.EndFourth.By(p.Hours)
}

// A PesachTime is one year's Pesach at a place.
type PesachTime struct {
	Year int  // Hebrew year
	Eve  Date // 14 Nisan; its Civil method gives the civil date
	// First and Last are the rest spans that hold the first and the last
	// festival days, with any Sabbath that touches them.
	First, Last Span
	// Begins is the beginning of First: what has to be finished before the
	// festival has to be finished by then. If the eve is a Sabbath, this is on
	// Friday. Ends is the end of Last.
	Begins, Ends time.Time
}

// PesachAfter is the first Pesach that ends after the instant: the present one
// during the festival, else the next.
func PesachAfter(p Place, now time.Time) PesachTime {
	// The day before yesterday is certainly not later than now by the sun.
	for year := dateOf(p.dayAt(now) - 2).Year; ; year++ {
		// A lower bound that spares the sun of a Pesach long past.
		if EveOfPesach(year).dayNumber()+12 < p.dayAt(now) {
			continue
		}
		if pesach := pesachOf(p, year); pesach.Ends.After(now) {
			return pesach
		}
	}
}

// pesachOf is the Pesach of a Hebrew year.
func pesachOf(p Place, year int) PesachTime {
	eve := EveOfPesach(year)
	t := PesachTime{
		Year:  year,
		Eve:   eve,
		First: spanAround(p, eve.dayNumber()+1),
		Last:  spanAround(p, eve.dayNumber()+7),
	}
	t.Begins, t.Ends = t.First.Begins, t.Last.Ends
	return t
}

// DateAt is the Hebrew date at an instant. It changes at sunset; where the sun
// does not set or does not rise, six hours after the sun's noon.
func DateAt(p Place, now time.Time) Date {
	day := p.dayAt(now)
	// The evening of a civil day can be after its midnight by the clock, and in
	// a zone far from the sun even before its morning.
	for now.Before(evening(p, day-1)) {
		day--
	}
	for !now.Before(evening(p, day)) {
		day++
	}
	return dateOf(day)
}

// evening is when the Hebrew date of the civil day's daylight ends.
func evening(p Place, day int) time.Time {
	if set := sunset(p, day); set.Happens {
		return set.At
	}
	return solarNoon(p, day).Add(eveningAfterNoon)
}
