package stage_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/app/config"
	"benyomo/internal/edge/rehearsal/server"
	"benyomo/internal/engine/clock"
	"benyomo/internal/idea/luach"
)

// weeks is how many random weeks are played; BENYOMO_WEEKS asks for more, BENYOMO_WEEK for a single one by its number.
const weeks = 12

// margin is how near to the edge of a rest nothing is decided: the checker's sun is that good.
const margin = 90 * time.Second

// TestRandomWeeks plays random conversations around rests of the reference tables, of one, two and three days, at the places
// of these tables: members of the community and of a household elsewhere, the rabbi or his group, the office and its announcements, waits
// and reminders under way, sends that fail just before a rest, and a restart in some. In the local server's log there is
// then nothing inside anybody's rest, except that a press is answered without words; and each chat that wrote in a rest gets
// one resuming message after it, and nobody else does.
func TestRandomWeeks(t *testing.T) {
	a := readAlmanac(t)
	first, last := 1, weeks
	if n, err := strconv.Atoi(os.Getenv("BENYOMO_WEEKS")); err == nil {
		last = n
	}
	if n, err := strconv.Atoi(os.Getenv("BENYOMO_WEEK")); err == nil {
		first, last = n, n
	}
	for seed := first; seed <= last; seed++ {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			t.Parallel()
			w := newWeek(t, a, seed)
			w.settleIn()
			w.live()
			w.check()
		})
	}
}

// week is one random week.
type week struct {
	*play
	a     almanac
	r     *rand.Rand
	seed  int
	date  time.Time // the first day of its rest
	here  calendar  // of the community
	there calendar  // of the household elsewhere
	begin time.Time
	end   time.Time

	rests map[string][]interval // of each person
	wrote map[string][]time.Time
}

// cast are the people of a week, each in the chat in which he is played.
func (w *week) cast() []string {
	if w.grouped() {
		return []string{"Dina", "Moshe", "Chana", inDesk, "Office"}
	}
	return []string{"Dina", "Moshe", "Chana", "Rav", "Office"}
}

// inDesk is the rabbi in a group that is the inbox, as it is in every fourth week.
const inDesk = "Rav in Desk"

func (w *week) grouped() bool { return w.seed%4 == 0 }

// newWeek draws a rest of as many days as the seed asks for, and where it is kept.
func newWeek(t *testing.T, a almanac, seed int) *week {
	w := &week{play: newPlay(t), a: a, r: rand.New(rand.NewPCG(uint64(seed), 613)), seed: seed, wrote: map[string][]time.Time{}}
	var places []string
	for name := range a.places {
		places = append(places, name)
	}
	slices.Sort(places)
	days := strconv.Itoa(1 + seed%3)
	for {
		row := a.spans[w.r.IntN(len(a.spans))]
		here, there := a.places[places[w.r.IntN(len(places))]], a.places[places[w.r.IntN(len(places))]]
		if row["days"] != days || here.Israel != (row["schedule"] == "israel") || here.Name == there.Name {
			continue
		}
		here.CandleMinutes, there.CandleMinutes = 18, 18+w.r.IntN(23)
		w.date, w.here, w.there = day(t, row["first_day"]), calendar{here, row["schedule"]}, calendar{there, "abroad"}
		if there.Israel && w.r.IntN(2) == 0 {
			w.there.schedule = "israel"
		}
		if w.bounds() {
			break
		}
	}
	w.zone = w.here.place.Zone
	w.household = clock.NewManual(w.begin)
	w.options.Household = w.household
	w.changes = append(w.changes, func(c *config.Config) { c.Place, c.Places = w.here.place, []luach.Place{w.there.place} })
	return w
}

// bounds finds when the week begins, with everybody awake for some hours, and ends. It is false where that cannot be.
func (w *week) bounds() bool {
	mine, ok := w.a.around(w.here, w.date, 2, 5)
	theirs, ok2 := w.a.around(w.there, w.date, 2, 5)
	if !ok || !ok2 {
		return false
	}
	w.rests = map[string][]interval{}
	for _, name := range w.cast() {
		w.rests[name] = mine
	}
	w.rests["Chana"] = theirs
	first := func(all []interval) interval { // the one that holds the noon of the day
		for _, i := range all {
			if i.ends.After(w.date.Add(12 * time.Hour)) {
				return i
			}
		}
		return interval{}
	}
	one, two := first(mine), first(theirs)
	w.begin, w.end = one.begins, one.ends
	if two.begins.Before(w.begin) {
		w.begin = two.begins
	}
	if two.ends.After(w.end) {
		w.end = two.ends
	}
	w.begin, w.end = w.begin.Add(-9*time.Hour).Truncate(time.Minute), w.end.Add(8*time.Hour)
	for _, i := range slices.Concat(mine, theirs) {
		if i.begins.Before(w.begin.Add(2*time.Hour)) && i.ends.After(w.begin.Add(-time.Hour)) {
			return false
		}
	}
	return w.end.Sub(w.begin) < 5*24*time.Hour
}

// settleIn brings everybody in, and sets a wait under way in each kitchen, which ends in the rest.
func (w *week) settleIn() {
	var lines []string
	if w.grouped() {
		lines = append(lines, "the inbox is the group Desk", "the group Desk has Rav and a second rav Levi")
	}
	lines = append(lines, "Moshe comes, with a phone in en", "Chana comes, with a phone in en")
	for _, name := range []string{"Dina", "Moshe", "Chana"} {
		where := w.here.schedule
		if name == "Chana" {
			where = w.there.schedule
		}
		lines = append(lines, name+" is at home: pesach, ashkenazi, "+where+", in en")
		if name == "Chana" {
			lines = append(lines, "Chana: /settings", "Chana presses [Where we are]", "Chana presses ["+w.there.place.Name+"]")
		}
		lines = append(lines, name+": cutlery", name+" presses [Cutlery]", name+" presses [One solid piece of metal]",
			name+" presses [Nothing: clean and smooth]", name+" presses [All of one side, or pareve]", name+" presses [Start the 24 hours]",
			name+" presses [Just now]", name+" presses [Yes, start]")
	}
	for _, l := range lines {
		w.line(l)
		if w.started {
			w.settle()
			w.told()
		}
	}
}

// live plays the week: from moment to moment, at each of which somebody does something.
func (w *week) live() {
	restart := w.r.IntN(2) == 0
	moments := w.moments()
	for i, at := range moments {
		require.NoError(w.t, w.household.AdvanceTo(at))
		w.settle()
		w.told()
		if restart && i == len(moments)/3 {
			w.line("the program is restarted")
			w.settle()
		}
		switch here, there := w.restsAt("Office", at), w.restsAt("Chana", at); { // what is for those who rest waits
		case there && !here:
			w.announce()
		case here && !there:
			w.ask("Chana")
		}
		for range 1 + w.r.IntN(2) {
			w.act(w.cast()[w.r.IntN(len(w.cast()))])
		}
		if i+1 < len(moments) && w.r.IntN(4) == 0 && w.restsAt("Dina", moments[i+1]) && !w.restsAt("Dina", at) {
			w.owe("Dina")
		}
	}
	require.NoError(w.t, w.household.AdvanceTo(w.end.Add(time.Minute)))
	w.settle()
}

// moments are random ones and those about the edges of rests, none within the margin of an edge.
func (w *week) moments() []time.Time {
	var out []time.Time
	for range 26 {
		out = append(out, w.begin.Add(time.Duration(w.r.Int64N(int64(w.end.Sub(w.begin))))))
	}
	for _, name := range []string{"Dina", "Chana"} {
		for _, i := range w.rests[name] {
			for _, edge := range []time.Time{i.begins, i.ends} {
				out = append(out, edge.Add(-2*time.Minute), edge.Add(2*time.Minute))
			}
		}
	}
	slices.SortFunc(out, time.Time.Compare)
	return slices.DeleteFunc(slices.Compact(out), func(at time.Time) bool {
		near := func(i interval) bool { return at.Sub(i.begins).Abs() <= margin || at.Sub(i.ends).Abs() <= margin }
		return !at.After(w.begin) || at.After(w.end) || slices.ContainsFunc(w.rests["Dina"], near) || slices.ContainsFunc(w.rests["Chana"], near)
	})
}

func (w *week) restsAt(name string, at time.Time) bool {
	return slices.ContainsFunc(w.rests[name], func(i interval) bool { return i.holds(at, margin) })
}

// words are what people write.
var typed = []string{"/menu", "/kitchen", "/settings", "sink", "oven", "18:30", "pot and frying pan", "thank you", "Is my kettle all right?", "/language", "תנור"}

// act lets somebody do something.
func (w *week) act(name string) {
	x := w.who(name)
	switch n := w.r.IntN(10); {
	case name == "Office" && n < 4:
		w.announce()
	case name == inDesk && n >= 5, name == "Rav" && n < 3: // in a group the bot hears only commands and presses
		w.say(name, "/inbox")
	case !strings.HasPrefix(name, "Rav") && name != "Office" && n < 2:
		w.ask(name)
	case n < 8:
		w.press(name, "")
	case n == 8:
		w.stage.Server.Photo(x.id, x.chat, "photo.png", picture, "")
		w.note(name)
	default:
		w.say(name, typed[w.r.IntN(len(typed))])
	}
}

// announce sends news to all members.
func (w *week) announce() {
	w.say("Office", "/announce Invented news")
	w.press("Office", "o.send")
}

// ask passes a question on to the rabbi.
func (w *week) ask(name string) {
	w.say(name, "/menu")
	if w.press(name, "m.go|words") {
		w.say(name, "May I use the blue lid?")
		w.press(name, "m.words")
	}
}

// note keeps when somebody did something, and lets the bot answer.
func (w *week) note(name string) {
	w.wrote[name] = append(w.wrote[name], w.household.Now())
	w.settle()
	w.told()
}

func (w *week) say(name, text string) {
	x := w.who(name)
	w.stage.Server.Say(x.id, x.chat, text)
	w.note(name)
}

// press presses a button whose data begin so, on one of the last messages; any button, but none by which the household
// would move to other days of rest. It is false where there is none.
func (w *week) press(name, data string) bool {
	x := w.who(name)
	all := w.buttons[x.chat]
	type choice struct {
		message int
		data    string
	}
	var choices []choice
	for _, k := range all[max(0, len(all)-3):] {
		for _, row := range k.rows {
			for _, b := range row {
				if b.Data != "" && strings.HasPrefix(b.Data, data) && !strings.HasPrefix(b.Data, "m.town") && !strings.HasPrefix(b.Data, "m.set") {
					choices = append(choices, choice{k.message, b.Data})
				}
			}
		}
	}
	if len(choices) == 0 {
		return false
	}
	c := choices[w.r.IntN(len(choices))]
	if data != "" {
		c = choices[len(choices)-1]
	}
	w.stage.Server.Press(x.id, x.chat, c.message, c.data)
	w.note(name)
	return true
}

// owe lets a send fail, so that it is owed when the rest begins.
func (w *week) owe(name string) {
	x := w.who(name)
	w.stage.Server.Fail(server.Fault{Kind: server.FaultServerError, Method: "sendMessage", Chat: x.chat, Count: 1})
	w.stage.Server.Say(x.id, x.chat, "/menu")
	w.wrote[name] = append(w.wrote[name], w.household.Now())
	require.NoError(w.t, w.stage.Server.Until(w.t.Context(), func() bool { return len(w.stage.Server.Faults()) == 0 }))
	w.machine.Advance(time.Minute) // longer than the pause before the next try
}

// check looks through the server's log.
func (w *week) check() {
	inside, outside, resumed := 0, 0, 0
	log := w.stage.Server.Log(0)
	for _, name := range w.cast() {
		id := w.who(name).chat
		for _, rest := range w.rests[name] {
			wrote := slices.ContainsFunc(w.wrote[name], func(at time.Time) bool { return rest.holds(at, 0) })
			resumes := 0
			for _, e := range log {
				if e.Chat != id {
					continue
				}
				if rest.holds(e.Time, margin) && !(passing(e) && e.Text == "") {
					require.Fail(w.t, "something was sent in a rest", "to %s in week %d (%s, %s; elsewhere %s): %s at %s, in the rest %s – %s: %s", name, w.seed,
						w.here.place.Name, w.date.Format(time.DateOnly), w.there.place.Name, e.Method, e.Time, rest.begins, rest.ends, e.Text)
				}
				if after := e.Time.Sub(rest.ends); after > -margin && after < 16*time.Hour && resuming(e) {
					resumes++
				}
			}
			if wrote {
				inside++
				require.Equal(w.t, 1, resumes, "resuming messages to %s in week %d after %s", name, w.seed, rest.ends)
			} else {
				require.Zero(w.t, resumes, "resuming messages to %s in week %d after %s, in which nothing came", name, w.seed, rest.ends)
			}
			resumed += resumes
		}
	}
	for _, e := range log {
		if !passing(e) {
			outside++
		}
	}
	require.Greater(w.t, outside, 60, "the week was played")
	require.Positive(w.t, inside, "somebody wrote in a rest")
	require.Equal(w.t, inside, resumed)
	all := 0
	for _, e := range log {
		if resuming(e) {
			all++
		}
	}
	require.Equal(w.t, resumed, all, "resuming messages at other times")
}

// resuming reports whether an entry is the message that picks up after a rest.
func resuming(e server.Entry) bool {
	if e.Method != "sendMessage" {
		return false // its buttons may go
	}
	for _, l := range pack.Languages {
		if strings.HasPrefix(e.Text, pack.Sentences[l.Code.S]["after-rest"]) {
			return true
		}
	}
	return false
}
