package luach

import (
	"slices"
	"time"
)

// A Span is a time in which the program rests: one Sabbath or festival, or
// several that touch, from the candle lighting of the eve to the nightfall of
// the last day. An instant is inside when it is not before Begins and before
// Ends.
type Span struct {
	Begins, Ends time.Time
	First, Last  Date // the first and last day that is Sabbath or festival
	// Days names what the span holds, each once, in order, Sabbath before a
	// festival on the same day. The names are this package's constants.
	Days []string
	// Why says which convention bounds the span where the sun does not; empty
	// as a rule.
	Why string
}

// Contains reports whether the program rests at the instant because of this
// span.
func (s Span) Contains(t time.Time) bool { return !t.Before(s.Begins) && t.Before(s.Ends) }

// restsOn reports whether work is forbidden on the day.
func restsOn(day int, israel bool) bool {
	return weekdayOf(day) == time.Saturday || festivalOn(dateOf(day), israel) != ""
}

// RestAt returns the span that holds the instant, and whether there is one.
//
// A span begins at the candle lighting of its eve and ends at the nightfall of
// its last day. Where the sun does not give one of these, the program has to
// stop resting all the same, and it must not speak on anybody's Sabbath; so the
// end in question is moved outwards, to the later edge of the customary ways to
// count days there (the day changes at six in the evening by the sun, or at the
// sun's midnight, or when the vanishing sunset would be). None of this decides
// between them; it is common practice, no source:
//
//   - Beginning, the sun does not set on the eve: six hours after the sun's
//     noon, less the candle minutes.
//   - Beginning, the sun does not rise on the eve: the sun's noon, where the
//     last sunsets before the polar night were, less the candle minutes.
//   - End, the sun sets but there is no nightfall: the place's
//     PolarNightfallMinutes after sunset if set, else as for a sun that does
//     not set.
//   - End, the sun does not set on the last day: the sun's midnight and a
//     night's 72 minutes, or the place's own minutes if they are more.
//   - End, the sun does not rise on the last day: six hours after the sun's
//     noon and the same minutes, or nightfall by degrees if that is later.
//
// With a valid Place no span is as long as four days.
func RestAt(p Place, now time.Time) (Span, bool) {
	s := NextRest(p, now)
	if s.Contains(now) {
		return s, true
	}
	return Span{}, false
}

// NextRest returns the first span that ends after the instant: the one that
// holds it, or the next to come.
func NextRest(p Place, now time.Time) Span {
	// A span ends at the latest on the day after its last day of rest, by the
	// sun; a second day back allows for a clock far from the sun. A Sabbath in
	// every week bounds the loop.
	for day := p.dayAt(now) - 2; ; day++ {
		if !restsOn(day, p.Israel) {
			continue
		}
		first, last := restRun(day, p.Israel)
		end, whyEnd := endOfRest(p, last)
		if end.After(now) {
			return spanOf(p, first, last, end, whyEnd)
		}
		day = last
	}
}

// restRun is the first and last day of the unbroken run of days of rest around
// one of them.
func restRun(day int, israel bool) (first, last int) {
	first, last = day, day
	for restsOn(first-1, israel) {
		first--
	}
	for restsOn(last+1, israel) {
		last++
	}
	return first, last
}

// spanAround is the whole span to which a day of rest belongs.
func spanAround(p Place, day int) Span {
	first, last := restRun(day, p.Israel)
	end, why := endOfRest(p, last)
	return spanOf(p, first, last, end, why)
}

// spanOf puts a span together whose end has been found.
func spanOf(p Place, first, last int, end time.Time, whyEnd string) Span {
	begin, whyBegin := beginOfRest(p, first-1)
	s := Span{Begins: begin, Ends: end, First: dateOf(first), Last: dateOf(last)}
	for day := first; day <= last; day++ {
		if weekdayOf(day) == time.Saturday {
			s.Days = appendNew(s.Days, Sabbath)
		}
		if id := festivalOn(dateOf(day), p.Israel); id != "" {
			s.Days = appendNew(s.Days, id)
		}
	}
	switch {
	case whyBegin != "" && whyEnd != "":
		s.Why = "beginning: " + whyBegin + "; end: " + whyEnd
	case whyBegin != "":
		s.Why = "beginning: " + whyBegin
	case whyEnd != "":
		s.Why = "end: " + whyEnd
	}
	return s
}

// appendNew appends the name unless it is there.
func appendNew(ids []string, id string) []string {
	if slices.Contains(ids, id) {
		return ids
	}
	return append(ids, id)
}

// The conventional day of a place where the sun gives no evening.
const (
	eveningAfterNoon  = 6 * time.Hour  // evening by the sun, without a sunset
	midnightAfterNoon = 12 * time.Hour // when the sun is lowest
)

// conventionalNight is how long after a sunset that has no nightfall it is
// night by any custom, that of the place included.
func conventionalNight(p Place) time.Duration {
	return max(72*time.Minute,
		time.Duration(p.NightfallMinutes)*time.Minute, time.Duration(p.PolarNightfallMinutes)*time.Minute)
}

// solarNoon is when the sun of the civil day is highest.
func solarNoon(p Place, day int) time.Time { return p.instant(skyOf(p, day).noon) }

// beginOfRest is when the rest begins on the evening of the eve, by the rules
// at RestAt.
func beginOfRest(p Place, eve int) (at time.Time, why string) {
	set := sunset(p, eve)
	switch {
	case set.Happens:
		return set.At.Add(-p.candleLead()), ""
	case set.Why == WhyStaysBelow:
		return solarNoon(p, eve).Add(-p.candleLead()),
			"no sunset, " + set.Why + ": the sun's noon taken for sunset"
	default:
		return solarNoon(p, eve).Add(eveningAfterNoon - p.candleLead()),
			"no sunset, " + set.Why + ": six hours after the sun's noon taken for sunset"
	}
}

// endOfRest is when the rest ends after its last day, by the rules at RestAt.
func endOfRest(p Place, last int) (at time.Time, why string) {
	night := nightfall(p, last)
	if night.Happens && p.NightfallMinutes > 0 {
		return night.At, "" // counted from a sunset that happened
	}
	set := sunset(p, last)
	switch {
	case set.Happens && night.Happens:
		return night.At, night.Why
	case set.Happens, set.Why != WhyStaysBelow:
		return solarNoon(p, last).Add(midnightAfterNoon + conventionalNight(p)),
			"no nightfall, " + night.Why + ": twilight counted from the sun's midnight"
	}
	at = solarNoon(p, last).Add(eveningAfterNoon + conventionalNight(p))
	if night.Happens && night.At.After(at) {
		return night.At, "no sunset, " + set.Why + ": nightfall by degrees"
	}
	return at, "no sunset, " + set.Why + ": twilight counted from six hours after the sun's noon"
}
