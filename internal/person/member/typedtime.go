package member

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/luach"
	"benyomo/internal/idea/wording"
)

// Problems with typed words. A time that cannot be told from another one is asked about, and never guessed.
const (
	unread  = "unread"  // no time
	never   = "never"   // of a day that does not exist
	ahead   = "ahead"   // not yet
	twice   = "twice"   // the clock was put back over it: there are two
	skipped = "skipped" // the clock was put forward over it: there is none
)

var typedTime = regexp.MustCompile(`^(?:(\d{1,2})[./](\d{1,2})(?:[./](\d{4}))?\s+)?(\d{1,2})[:.](\d{2})$`)

// typeHot reads a time that the member writes: '18:30', '20.4 18:30'. A time alone is the last one that has passed.
func typeHot(t *turn.Turn, s chat.Screen) {
	found, problem := readTime(t.Event.Text, here(t))
	switch problem {
	case "":
		checkHot(t, s.Arg(0), found[0])
	case twice, skipped:
		args := []string{s.Arg(0), problem}
		for _, at := range found {
			args = append(args, strconv.FormatInt(at.Unix(), 10))
		}
		show(t, screenHotWhich, args...)
	default:
		show(t, screenHotOther, s.Arg(0), problem)
	}
}

// drawHotWhich asks which of two times is meant.
func drawHotWhich(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	var m chat.Message
	if s.Arg(1) == twice {
		m.Add(chat.Heading, w.Say("hot-twice"))
	} else {
		m.Add(chat.Heading, w.Say("hot-skipped"))
	}
	for i := 2; i < len(s.Args); i++ {
		unix, err := strconv.ParseInt(s.Args[i], 10, 64)
		if err != nil {
			continue
		}
		at := time.Unix(unix, 0).In(w.Zone)
		label := w.Moment(at)
		if s.Arg(1) == twice {
			label = whichOf(w, at, twins(at))
		}
		m.Row(chat.Button{Label: label, Data: chat.Data("m.hotat", s.Step, i)})
	}
	m.Row(button(w, "hot-other", "m.hot", s.Step, "other"), button(w, "btn-hot-unknown", "m.hot", s.Step, "unsure"))
	return m
}

// pickHotWhich takes one of the times that were offered.
func pickHotWhich(t *turn.Turn, s chat.Screen, args []string) {
	if len(args) != 1 || s.Name != screenHotWhich {
		return
	}
	i, err := strconv.Atoi(args[0])
	if err != nil || i < 2 {
		return
	}
	if unix, err := strconv.ParseInt(s.Arg(i), 10, 64); err == nil {
		checkHot(t, s.Arg(0), time.Unix(unix, 0))
	}
}

// twins are the instants at which the clocks show the same as at this one.
func twins(at time.Time) []time.Time {
	y, mo, d := at.Date()
	return luach.Local(at.Location(), y, mo, d, at.Hour(), at.Minute())
}

// whichOf says which of two like times one is.
func whichOf(w wording.Words, at time.Time, twins []time.Time) string {
	if at.Truncate(time.Minute).Equal(twins[0].Truncate(time.Minute)) {
		return w.Say("hot-first", "time", at.Format("15:04"))
	}
	return w.Say("hot-second", "time", at.Format("15:04"))
}

// readTime finds the times that the words can mean, none of which lies ahead: one where the problem is "", and those to choose
// from where it is twice or skipped.
func readTime(text string, now time.Time) (found []time.Time, problem string) {
	f := typedTime.FindStringSubmatch(strings.TrimSpace(text))
	if f == nil {
		return nil, unread
	}
	n := func(i int) int { v, _ := strconv.Atoi(f[i]); return v }
	y, mo, d := now.Date()
	if f[1] != "" {
		d, mo = n(1), time.Month(n(2))
		if f[3] != "" {
			y = n(3)
		}
	}
	if mo < 1 || mo > 12 || d < 1 || d > 31 || n(4) > 23 || n(5) > 59 {
		return nil, unread
	}
	find := func(y int, mo time.Month, d int) ([]time.Time, string) { return timesOf(now, y, mo, d, n(4), n(5)) }
	found, problem = find(y, mo, d)
	switch {
	case problem != ahead:
	case f[1] == "": // a time alone: it was yesterday
		found, problem = find(time.Date(y, mo, d-1, 12, 0, 0, 0, time.UTC).Date())
	case f[3] == "": // a date without its year: it was last year
		if last, why := find(y-1, mo, d); why != never {
			found, problem = last, why
		}
	}
	return found, problem
}

// timesOf are those of a day's times of the clock that have passed.
func timesOf(now time.Time, y int, mo time.Month, d, hour, minute int) (found []time.Time, problem string) {
	passed := func(all []time.Time) []time.Time {
		return slices.DeleteFunc(all, func(at time.Time) bool { return at.After(now) })
	}
	all := luach.Local(now.Location(), y, mo, d, hour, minute)
	if len(all) == 0 {
		before, after, ok := luach.Beside(now.Location(), y, mo, d, hour, minute)
		if !ok {
			return nil, never
		}
		if found = passed([]time.Time{before, after}); len(found) > 0 {
			return found, skipped
		}
		return nil, ahead
	}
	switch found = passed(all); len(found) {
	case 0:
		return nil, ahead
	case 1: // of two, only the first has come
		return found, ""
	}
	return found, twice
}
