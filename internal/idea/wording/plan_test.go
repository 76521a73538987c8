package wording_test

import (
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/dialogs"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/luach"
	"benyomo/internal/idea/plan"
	"benyomo/internal/idea/wording"
)

// emekRimon is the built-in pack with its rows, and a place of an invented community.
func emekRimon(t *testing.T) (*dialog.Pack, *plan.Rows, luach.Place) {
	t.Helper()
	p, err := dialog.Load(dialogs.FS)
	require.NoError(t, err)
	rows, err := plan.Read(p)
	require.NoError(t, err)
	zone, err := time.LoadLocation("America/New_York")
	require.NoError(t, err)
	return p, rows, luach.Place{Name: "Emek Rimon", Latitude: 40.7, Longitude: -74, Zone: zone}
}

func local(t *testing.T, p luach.Place, text string) time.Time {
	t.Helper()
	at, err := time.ParseInLocation("2006-01-02 15:04", text, p.Zone)
	require.NoError(t, err)
	return at
}

// unsaid finds what nobody should read: a place for a value, or the key of a sentence.
var unsaid = regexp.MustCompile(`\{[a-z]+\}|plan-[a-z]|length-|order-[a-z]|round-[a-z]`)

// What a plan says is whole in every language: no id, and no place for a value, is left.
func TestPlanIsSaidWhole(t *testing.T) {
	pack, rows, place := emekRimon(t)
	place.Elevation = 1400
	items := []plan.Item{
		{Kind: "oven"}, {Kind: "grates"}, {Kind: "kashering-pot"}, {Kind: "cutlery"}, {Kind: "pot", Side: plan.Meat, Count: 2},
		{Kind: "pot", Side: plan.Dairy}, {Kind: "pot", Side: plan.Dairy, Name: "Milchig saucepans"}, {Kind: "microwave"}, {Kind: "microwave"},
		{Kind: "hot-plate", Sabbath: true}, {Kind: "kettle"}, {Kind: "counter"}, {Kind: "sink"}, {Kind: "covers"}, {Kind: "fridge"},
	}
	k := plan.Household(place, items, plan.Asked{})
	for _, tt := range []struct {
		now  string
		fits bool
	}{{"2027-04-08 20:00", true}, {"2027-04-16 09:00", false}, {"2027-04-19 20:00", false}, {"2027-04-20 20:00", false}} {
		p, err := plan.Make(k, rows, local(t, place, tt.now))
		require.NoError(t, err)
		require.Equal(t, tt.fits, p.Fits, tt.now)
		for _, lang := range []string{"en", "he"} {
			w := wording.In(pack, lang, place.Zone)
			for _, reasons := range []bool{false, true} {
				parts := w.Plan(&p, rows, reasons)
				for _, part := range parts {
					require.NotEmpty(t, part.Text)
				}
				text := wording.Plain(parts)
				require.NotRegexp(t, unsaid, text, "%s %s", tt.now, lang)
				for _, kind := range rows.Kinds() {
					if strings.Contains(kind, "-") {
						require.NotContains(t, text, kind, "a row is said by its name")
					}
				}
			}
		}
	}
}

// Things that would be called alike are told apart, a household's own names hold, and a round of boiling has its side.
func TestPlanNames(t *testing.T) {
	pack, rows, place := emekRimon(t)
	k := plan.Household(place, []plan.Item{
		{Kind: "pot", Side: plan.Meat}, {Kind: "pot", Side: plan.Dairy}, {Kind: "pot", Side: plan.Dairy}, {Kind: "pot", Side: plan.Dairy, Name: "The blue one"},
	}, plan.Asked{})
	p, err := plan.Make(k, rows, local(t, place, "2027-04-08 20:00"))
	require.NoError(t, err)
	require.True(t, p.Fits)
	text := wording.Plain(wording.In(pack, "en", place.Zone).Plan(&p, rows, true))
	for _, want := range []string{"Pot (meat): scrub", "Pot (dairy): scrub", "Pot (dairy) no. 2: scrub", "The blue one: scrub"} {
		require.Contains(t, text, want)
	}
	require.Contains(t, text, "Pot (dairy), Pot (dairy) no. 2, The blue one: kasher by boiling (", "a round is one line")
	require.NotContains(t, wording.Plain(wording.In(pack, "en", place.Zone).Plan(&p, rows, false)), "(24 hours", "without reasons")
}

// Times are those of the place, whatever zone the plan was stored in.
func TestPlanSaysLocalTimes(t *testing.T) {
	pack, rows, place := emekRimon(t)
	at := local(t, place, "2027-04-19 23:30").UTC() // the next day in UTC
	p := plan.Plan{
		Fits: true, Finish: plan.Moment{At: at, Why: plan.WhyCooking}, Ready: plan.Moment{At: at, Why: plan.WhySlack},
		Items: []plan.ItemPlan{{ID: "oven", Kind: "oven", Steps: []plan.Step{{Name: "heat", Begins: at, Ends: at.Add(time.Hour), Why: plan.WhyFinish, Awake: true}}}},
	}
	text := wording.Plain(wording.In(pack, "en", place.Zone).Plan(&p, rows, false))
	require.Contains(t, text, "Mon 19 Apr\n23:30–Tue 20 Apr at 00:30 Oven at its highest heat: heating [an adult awake at home]")
	require.Contains(t, text, "Finish line: Mon 19 Apr at 23:30 (cooking for Pesach begins).")
}

// Every change has its sentence, in every language.
func TestPlanChangesAreSaid(t *testing.T) {
	pack, rows, place := emekRimon(t)
	at := local(t, place, "2027-04-19 20:00")
	p := &plan.Plan{Items: []plan.ItemPlan{{ID: "oven", Kind: "oven"}}, Unfit: []plan.Unfit{{Item: "sink", Kind: "sink"}}}
	changes := []plan.Change{
		{What: plan.ChangedMeal, To: at}, {What: plan.ChangedMeal, From: at}, {What: plan.ChangedUse, Item: "oven", To: at}, {What: plan.ChangedUse, Item: "oven", From: at},
		{What: plan.ChangedStep, Item: "oven", Step: "heat", From: at, To: at}, {What: plan.ChangedStep, Item: "oven", Step: "heat", From: at},
		{What: plan.ChangedStep, Item: "oven", Step: plan.IdleStep, To: at}, {What: plan.ChangedLength, Item: "oven", Step: "heat", From: at, To: at},
		{What: plan.ChangedReady, From: at, To: at}, {What: plan.ChangedFit, Item: "oven"}, {What: plan.ChangedFit, Item: "sink", Why: plan.WhyNow},
	}
	require.Equal(t, []string{
		"Last hot chametz meal: over by Mon 19 Apr at 20:00.",
		"The plan no longer has a last hot chametz meal.",
		"Oven at its highest heat: last use by Mon 19 Apr at 20:00.",
		"Oven at its highest heat: the plan no longer has a last use.",
		"Oven at its highest heat: heating – now from Mon 19 Apr at 20:00.",
		"Oven at its highest heat: heating is no longer in the plan.",
		"Oven at its highest heat: no hot use – now from Mon 19 Apr at 20:00.",
		"Oven at its highest heat: heating – now until Mon 19 Apr at 20:00.",
		"Everything is done by Mon 19 Apr at 20:00.",
		"Fits now: Oven at its highest heat.",
		"Does not fit now: Sink (there is not enough time before the finish line).",
	}, wording.In(pack, "en", place.Zone).Changes(changes, p, rows))
	for _, line := range wording.In(pack, "he", place.Zone).Changes(changes, p, rows) {
		require.NotRegexp(t, unsaid, line)
	}
}
