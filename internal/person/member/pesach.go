package member

import (
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/kitchen"
	"benyomo/internal/idea/luach"
	"benyomo/internal/idea/wording"
)

// fridaySwitch is the point of practice that says by when kashering ends on the Friday before an eve of Pesach that is a
// Sabbath. It is the only one that the program asks itself: no tree knows the calendar.
const fridaySwitch = "eve-on-shabbos"

var fridays = map[string]luach.FridayHours{
	"fourth-hour": luach.FridayFourthHour, "fifth-hour": luach.FridayFifthHour, "candles": luach.FridayCandles,
}

// friday is what the household goes by on such a Friday: the strictest, after which the rabbi is asked, where nothing is set.
func friday(t *turn.Turn) luach.FridayHours {
	position, _ := t.Lookup(household(t).Custom)(fridaySwitch)
	return fridays[position]
}

// phaseAt is the part of the calendar that decides for the household which kashering is still possible.
func phaseAt(t *turn.Turn, at time.Time) luach.Phase { return luach.PhaseFor(place(t), at, friday(t)) }

// unsetFriday is the switch, where it decides now and nothing is set.
func unsetFriday(t *turn.Turn) string {
	p := place(t)
	year := luach.PesachAfter(p, t.Now).Year
	_, set := t.Lookup(household(t).Custom)(fridaySwitch)
	if set || !luach.EveOnSabbath(year) || luach.PhaseFor(p, t.Now, luach.FridayFourthHour) != luach.EveAfterFourthHour {
		return ""
	}
	return fridaySwitch
}

// endFor is when the time ends in which an item can be kashered for Pesach without asking; ok is false for one of another
// purpose, once Pesach has begun, and where the sun gives the day no hours.
func endFor(t *turn.Turn, it kitchen.Item, now time.Time) (at time.Time, ok bool) {
	if it.Purpose != dialog.Pesach {
		return at, false
	}
	p := place(t)
	pesach := luach.PesachAfter(p, now)
	end := luach.EndOfKashering(p, pesach.Year, friday(t))
	return luach.ShownDeadline(end.At), end.Happens && now.Before(pesach.Begins)
}

// pressing is how long before its end the time is told in which an item can be kashered for Pesach.
const pressing = 3 * 24 * time.Hour

// byPesach says until when an item must be kashered for Pesach, when that is near.
func byPesach(t *turn.Turn, m *chat.Message, w wording.Words, it kitchen.Item) {
	if end, ok := endFor(t, it, t.Now); ok && end.After(t.Now) && end.Sub(t.Now) <= pressing {
		m.Add(chat.Plain, w.Say("pesach-by", "when", w.Near(end, t.Now)))
	}
}

// tooLate says that a wait which ends then leaves no time before the end, and reports whether it is so.
func tooLate(t *turn.Turn, m *chat.Message, w wording.Words, it kitchen.Item, waitEnds time.Time) bool {
	end, ok := endFor(t, it, t.Now)
	if waitEnds.Before(t.Now) {
		waitEnds = t.Now
	}
	if !ok || !waitEnds.Add(heatings(it)).After(end) {
		return false
	}
	m.Add(chat.Plain, w.Say("pesach-too-late", "when", w.Moment(end)))
	return true
}

// heatings is how long all that is still to be heated takes, or the work by hand.
func heatings(it kitchen.Item) time.Duration {
	minutes := 0
	for _, s := range it.Timeline {
		if s.Heats && !s.Ended {
			minutes += s.Minutes
		}
	}
	if minutes == 0 {
		minutes = handWork
	}
	return time.Duration(minutes) * time.Minute
}
