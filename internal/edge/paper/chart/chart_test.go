package chart

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/edge/paper/ink"
	"benyomo/internal/idea/plan"
)

// everyone is each kitchen of the tests in both languages.
func everyone(t *testing.T, check func(t *testing.T, e example, lang string, sheets []*ink.Drawing)) {
	for name, of := range map[string]func(testing.TB) example{"three": three, "twelve": twelve, "forty": forty, "tight": tight} {
		e := of(t)
		for _, lang := range []string{"en", "he"} {
			t.Run(name+"-"+lang, func(t *testing.T) { check(t, e, lang, e.drawn(t, lang)) })
		}
	}
}

// sound requires what every picture has to be: all of it inside the picture, no words on other words, no bar on a bar beside it,
// all letters large enough.
func sound(t *testing.T, sheets []*ink.Drawing) {
	t.Helper()
	for _, d := range sheets {
		require.Equal(t, 1080, d.W)
		require.LessOrEqual(t, d.H, 4000)
		whole := ink.Box{W: float64(d.W), H: float64(d.H)}
		var texts []ink.Mark
		for _, m := range d.Marks {
			require.True(t, m.Box.Within(whole), "%s %q at %v is outside", m.Name, m.Text, m.Box)
			if m.Text == "" {
				continue
			}
			require.GreaterOrEqual(t, m.Size, 26.0, m.Text)
			require.Positive(t, m.Box.W, m.Text)
			texts = append(texts, m)
		}
		slices.SortFunc(texts, func(a, b ink.Mark) int { return int(a.Box.Y - b.Box.Y) })
		for i, a := range texts {
			for _, b := range texts[i+1:] {
				if b.Box.Y > a.Box.Y+a.Box.H {
					break
				}
				lower := a.Box
				lower.H = a.Size * 1.15 // what letters take of the line's height
				require.False(t, lower.Meets(b.Box), "%s %q at %v is on %s %q at %v", a.Name, a.Text, a.Box, b.Name, b.Text, b.Box)
			}
		}
	}
}

func TestEverythingIsInItsPlace(t *testing.T) {
	everyone(t, func(t *testing.T, e example, _ string, sheets []*ink.Drawing) {
		sound(t, sheets)
		if len(e.plan.Items) < 15 {
			require.Len(t, sheets, 1)
		}
	})
}

// Names stand where writing begins, time runs from there, and the head of each hour is over its line.
func TestTimeRunsWithTheWriting(t *testing.T) {
	everyone(t, func(t *testing.T, _ example, lang string, sheets []*ink.Drawing) {
		column := ink.Box{X: margin, W: nameWidth, H: Tallest}
		hours := ink.Box{X: laneFrom, W: lane, H: Tallest}
		if lang == "he" {
			column.X, hours.X = width-margin-nameWidth, margin
		}
		require.NotEmpty(t, named(sheets, "name"))
		for _, m := range named(sheets, "name") {
			require.True(t, m.Box.Within(column), "%q at %v", m.Text, m.Box)
		}
		for _, s := range []sort{work, heat, wait} {
			for _, m := range named(sheets, "bar "+s.name()) {
				require.True(t, m.Box.Within(hours), "%v", m.Box)
			}
		}
		var before *ink.Mark
		for _, d := range sheets {
			for _, m := range d.Marks {
				if m.Name != "hour" {
					continue
				}
				if before != nil && before.Box.Y == m.Box.Y {
					require.Equal(t, lang == "he", m.Box.X < before.Box.X, "%s after %s", m.Text, before.Text)
				}
				before = &m
			}
			before = nil
		}
	})
}

// The same words in the other direction give the mirror image.
func TestTheOtherDirectionIsTheMirrorImage(t *testing.T) {
	e := twelve(t)
	words := e.words(t, "en")
	a, err := sheets(&e.plan, words, e.opts)
	require.NoError(t, err)
	words.RTL = true
	b, err := sheets(&e.plan, words, e.opts)
	require.NoError(t, err)
	require.Len(t, b, len(a))
	for i := range a {
		require.Len(t, b[i].Marks, len(a[i].Marks))
		for j, m := range a[i].Marks {
			o := b[i].Marks[j]
			require.Equal(t, m.Text, o.Text)
			require.InDelta(t, width-m.Box.X-m.Box.W, o.Box.X, 0.5, "%s %q", m.Name, m.Text)
			require.InDelta(t, m.Box.Y, o.Box.Y, 0.01)
		}
	}
}

// Work, heat and waiting differ by pattern and outline; so do rest and night; and the legend shows each as it is drawn.
func TestNothingIsToldByColourAlone(t *testing.T) {
	everyone(t, func(t *testing.T, _ example, _ string, sheets []*ink.Drawing) {
		type form struct {
			pattern ink.Pattern
			dashed  bool
			edge    bool
		}
		of := func(name string) form {
			all := named(sheets, name)
			require.NotEmpty(t, all, name)
			f := all[0].Fill
			for _, m := range all {
				if !strings.HasPrefix(name, "bar ") || m.Fill.Edge != light.done {
					require.Equal(t, f.Pattern, m.Fill.Pattern, name)
				}
			}
			return form{f.Pattern, f.Dashed, f.Edge.A > 0}
		}
		forms := map[form]string{}
		for _, key := range []string{"legend-work", "legend-heat", "legend-wait", "legend-done", "legend-rest", "legend-night"} {
			f := of(key)
			require.NotContains(t, forms, f, "%s looks like %s", key, forms[f])
			forms[f] = key
		}
		for _, l := range named(sheets, "bar heat") {
			require.Contains(t, []ink.Pattern{ink.Diagonals, ink.Plain}, l.Fill.Pattern)
			require.Equal(t, l.Fill.Pattern == ink.Plain, l.Fill.Edge == light.done, "only what is done has no hatching")
		}
		if len(named(sheets, "bar wait")) > 0 {
			require.Equal(t, of("legend-wait"), of("bar wait"))
		}
		require.Equal(t, of("legend-night"), of("night"))
	})
	e := twelve(t)
	require.Greater(t, len(named(e.drawn(t, "en"), "bar wait")), 10)
	require.Equal(t, ink.Crosses, named(e.drawn(t, "en"), "rest")[0].Fill.Pattern)
	require.Equal(t, ink.Diagonals, named(e.drawn(t, "en"), "bar heat")[0].Fill.Pattern)
	require.Equal(t, ink.Plain, named(e.drawn(t, "en"), "bar work")[0].Fill.Pattern)
}

// Words have the contrast of Success Criterion 1.4.3 of the Web Content Accessibility Guidelines 2.2 (4.5), and shapes and
// symbols that of 1.4.11 (3), on light and on dark.
func TestContrast(t *testing.T) {
	for _, dark := range []bool{false, true} {
		e := twelve(t)
		e.opts.Dark = dark
		for _, d := range e.drawn(t, "he") {
			for _, m := range d.Marks {
				if m.Text != "" {
					require.GreaterOrEqual(t, contrast(m.Fill.Ink, m.Fill.Paper), 4.5, "%s %q", m.Name, m.Text)
				}
			}
		}
	}
	for _, l := range []look{light, dark} {
		require.GreaterOrEqual(t, contrast(l.work, l.paper), 3.0)
		require.GreaterOrEqual(t, contrast(l.workInk, l.work), 3.0)
		require.GreaterOrEqual(t, contrast(l.heatEdge, l.paper), 3.0)
		require.GreaterOrEqual(t, contrast(l.heatInk, l.heat), 3.0)
		require.GreaterOrEqual(t, contrast(l.waitEdge, l.wait), 3.0)
		require.GreaterOrEqual(t, contrast(l.ink, l.rest), 3.0)
		require.GreaterOrEqual(t, contrast(l.ink, l.night), 3.0)
		require.GreaterOrEqual(t, contrast(l.ink, l.restInk), 3.0, "candles on their pattern")
		require.GreaterOrEqual(t, contrast(l.ink, l.nightInk), 3.0, "the moon on its pattern")
		require.GreaterOrEqual(t, contrast(l.now, l.paper), 3.0)
		require.GreaterOrEqual(t, contrast(l.meal, l.paper), 3.0)
		require.GreaterOrEqual(t, contrast(l.finish, l.paper), 3.0)
		require.GreaterOrEqual(t, contrast(l.done, l.paper), 3.0)
		require.GreaterOrEqual(t, contrast(l.onLine, l.done), 3.0)
	}
}

// Every step that asks something of the household has its bar, at its hours, and its words; what is shared stands once.
func TestEveryStepIsShownOnce(t *testing.T) {
	everyone(t, func(t *testing.T, e example, lang string, sheets []*ink.Drawing) {
		c := &chart{plan: &e.plan, words: e.words(t, lang), opts: e.opts, now: e.plan.Made}
		c.strands = c.group()
		bands := c.divide()
		said := named(sheets, "step")
		n := map[sort]int{}
		for _, l := range c.strands {
			for _, k := range l.tasks {
				if k.sort == wait {
					continue
				}
				in := slices.DeleteFunc(slices.Clone(bands), func(b *band) bool { return !b.touches(k.Begins, k.Ends) })
				require.NotEmpty(t, in, "%s %s", l.id, k.Name)
				n[k.sort] += len(in)
				require.True(t, slices.ContainsFunc(said, func(m ink.Mark) bool {
					return strings.HasPrefix(m.Text, c.clock(k.Begins))
				}), "%s %s at %s", l.id, k.Name, c.clock(k.Begins))
			}
		}
		for _, s := range []sort{work, heat} {
			require.Len(t, named(sheets, "bar "+s.name()), n[s])
		}
		for i, b := range bands {
			require.Equal(t, bands[0].until.Sub(bands[0].from), b.until.Sub(b.from), "an hour is equally wide in all bands")
			require.True(t, i == 0 || !b.from.Before(bands[i-1].until), "bands do not cover each other")
		}
	})
}

// What is done in the oven stands in the oven's row, which then has the names of both; so do things that are boiled in one round.
func TestWhatIsSharedStandsOnce(t *testing.T) {
	e := twelve(t)
	together := 0
	for _, it := range e.plan.Items {
		for _, s := range it.Steps {
			if s.In != "" && s.Name == "boil" {
				together++
			}
		}
	}
	require.GreaterOrEqual(t, together, 3, "cutlery and two sorts of pots are boiled in rounds")
	c := &chart{plan: &e.plan, words: e.words(t, "en")}
	rounds, guests := 0, 0
	for _, l := range c.group() {
		boils := 0
		for _, k := range l.tasks {
			if k.Name == "boil" {
				boils++
			}
		}
		if strings.HasPrefix(l.id, "round ") {
			rounds++
			require.Equal(t, []string{"cutlery", "dairy-pots"}, l.items)
			require.Equal(t, "Together: Cutlery, 60 pieces (dairy) + Pot (dairy) ×2", c.name(l, l.tasks))
		}
		guests += len(l.guests)
	}
	require.Equal(t, 1, rounds, "meat has a round with one sort of things, which is in its row")
	require.Equal(t, 1, guests, "the grates, in the oven")
	var texts []string
	for _, m := range named(e.drawn(t, "en"), "name") {
		texts = append(texts, m.Text)
	}
	require.Contains(t, strings.Join(texts, " "), "Oven at its highest heat + Gas grates")
}

// Bars are where their times are: an hour after the beginning of the band is an hour's width from its edge.
func TestABarIsAsLongAsItsTime(t *testing.T) {
	e := three(t)
	sheets := e.drawn(t, "en")
	c := &chart{plan: &e.plan, words: e.words(t, "en"), opts: e.opts, now: e.plan.Made}
	c.strands = c.group()
	for _, b := range c.divide() {
		for _, r := range b.rows {
			for _, k := range r.shown {
				if k.sort != heat || k.Begins.Before(b.from) || k.Ends.After(b.until) {
					continue
				}
				hour := lane / b.until.Sub(b.from).Hours()
				require.True(t, slices.ContainsFunc(named(sheets, "bar heat"), func(m ink.Mark) bool {
					x := laneFrom + hour*k.Begins.Sub(b.from).Hours()
					w := hour * k.Ends.Sub(k.Begins).Hours()
					return m.Box.X-x >= 0 && m.Box.X-x < 1.5 && w-m.Box.W >= 0 && w-m.Box.W < 2.5
				}), k.Name)
			}
		}
	}
	require.Len(t, named(sheets, "bar heat"), 3)
}

func TestTheMomentsThatCount(t *testing.T) {
	e := twelve(t)
	everyone := e.drawn(t, "en")
	text := func(name string) string {
		all := named(everyone, name)
		require.NotEmpty(t, all, name)
		return all[0].Text
	}
	require.Equal(t, "Now Sun 11 April 20:00", text("moment now words"))
	require.Equal(t, "Last hot meal over by Sun 18 April 12:30", text("moment meal words"))
	require.Equal(t, "Ready by 10:15", text("label ready words"))
	require.Equal(t, "Finish line: Wed 21 April 10:15", text("moment finish words"))
	require.Equal(t, "Shabbos: Fri 16 April 19:18 to Shabbos 17 April 20:21", text("rest words"))
	require.NotEmpty(t, named(everyone, "line ready"), "it goes through the rows")
	for _, name := range []string{"glance now", "glance meal", "glance finish", "glance rest", "glance night", "glance work", "glance heat"} {
		require.NotEmpty(t, named(everyone, name), name)
	}

	e.opts.Now = e.plan.Ready.At.Add(-2 * time.Hour)
	later := e.drawn(t, "en")
	require.Equal(t, "Now 08:15", named(later, "label now words")[0].Text)
	require.Empty(t, named(later, "moment now words"))
}

func TestWhatIsDoneIsMarked(t *testing.T) {
	sheets := three(t).drawn(t, "en")
	require.Len(t, named(sheets, "bar done"), 1)
	require.Len(t, named(sheets, "done row"), 1)
	require.Empty(t, named(twelve(t).drawn(t, "en"), "bar done"))
}

func TestWhatDoesNotFitIsSaid(t *testing.T) {
	e := tight(t)
	sheets := e.drawn(t, "en")
	require.Equal(t, "Not everything fits.", named(sheets, "verdict words")[0].Text)
	var all []string
	for _, m := range named(sheets, "unfit words") {
		all = append(all, m.Text)
	}
	for _, u := range e.plan.Unfit {
		require.Contains(t, strings.Join(all, " "), e.words(t, "en").Item(u.Item))
		require.NotContains(t, strings.Join(all, " "), u.Why, "in words, not by its id")
	}

	e.plan.Items = nil // nothing fits at all
	sound(t, e.drawn(t, "he"))
	e.plan.Unfit = nil
	_, err := Picture(e.plan, e.words(t, "en"), e.opts)
	require.ErrorIs(t, err, ErrNothing)
}

func TestALongPlanMakesSeveralPictures(t *testing.T) {
	e := forty(t)
	all := e.drawn(t, "en")
	require.Greater(t, len(all), 1)
	for i, d := range all {
		one := []*ink.Drawing{d}
		require.Equal(t, "Plan of the kitchen", named(one, "title")[0].Text)
		require.Equal(t, e.words(t, "en").Say("page", "n", i+1, "of", len(all)), named(one, "page")[0].Text)
		require.NotEmpty(t, named(one, "legend-work"), "each stands by itself")
		days, rows := named(one, "day"), named(one, "name")
		require.True(t, len(rows) == 0 || len(days) > 0 && days[0].Box.Y < rows[0].Box.Y, "no row is without its day")
	}
}

// A night in which clocks are put forward (New York, 14 March 2027, at two o'clock) has no hour of two, and one hour is as wide
// as another.
func TestTheNightOfTheClock(t *testing.T) {
	e := three(t)
	at := func(day, hour int) time.Time { return time.Date(2027, 3, day, hour, 0, 0, 0, e.opts.Place.Zone) }
	e.opts.Bedtime, e.opts.Wake = 0, 0
	e.plan = plan.Plan{Fits: true, Made: at(13, 20), Finish: plan.Moment{At: at(15, 10)}, Ready: plan.Moment{At: at(15, 10)}, Items: []plan.ItemPlan{
		{ID: "oven", Steps: []plan.Step{{Name: "heat", Awake: true, Begins: at(14, 0), Ends: at(14, 5)}}},
	}}
	hours := named(e.drawn(t, "en"), "hour")
	var texts []string
	for _, m := range hours {
		texts = append(texts, m.Text)
	}
	require.Equal(t, []string{"00:00", "01:00", "03:00", "04:00", "05:00", "06:00"}, texts)
	require.InDelta(t, hours[2].Box.X-hours[1].Box.X, hours[3].Box.X-hours[2].Box.X, 0.01)
}
