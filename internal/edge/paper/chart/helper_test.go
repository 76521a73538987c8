package chart

import (
	"fmt"
	"image/color"
	"math"
	"math/rand/v2"
	"os"
	"sync"
	"testing"
	"time"
	_ "time/tzdata"

	"github.com/stretchr/testify/require"

	"benyomo/dialogs"
	"benyomo/internal/edge/paper/ink"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/luach"
	"benyomo/internal/idea/plan"
	"benyomo/internal/idea/wording"
)

// example is a kitchen with its plan, in words of both languages.
type example struct {
	plan plan.Plan
	kind map[string]string // by item
	opts Options
}

// planned are the kitchens of the tests, each planned once: the plan of forty items takes long. Tests change copies only.
var planned sync.Map

var loaded = sync.OnceValues(func() (*dialog.Pack, error) { return dialog.Load(dialogs.FS) })

func pack(t testing.TB) *dialog.Pack {
	t.Helper()
	p, err := loaded()
	require.NoError(t, err)
	return p
}

var rowsRead = sync.OnceValues(func() (*plan.Rows, error) {
	p, err := loaded()
	if err != nil {
		return nil, err
	}
	return plan.Read(p)
})

func rows(t testing.TB) *plan.Rows {
	t.Helper()
	r, err := rowsRead()
	require.NoError(t, err)
	return r
}

// parsed plans the kitchen of a file.
func parsed(t testing.TB, raw []byte) example {
	t.Helper()
	if e, ok := planned.Load(string(raw)); ok {
		return e.(example)
	}
	f, err := plan.Parse("kitchen.yaml", raw, rows(t), time.LoadLocation)
	require.NoError(t, err)
	p, err := plan.Make(f.Kitchen, rows(t), f.Now)
	require.NoError(t, err)
	e := example{p, map[string]string{}, Options{Place: f.Kitchen.Place, Wake: f.Kitchen.Wake, Bedtime: f.Kitchen.Bedtime}}
	for _, it := range f.Kitchen.Items {
		e.kind[it.ID] = it.Kind
	}
	planned.Store(string(raw), e)
	return e
}

// twelve is the example of the documents, with one item more.
func twelve(t testing.TB) example {
	t.Helper()
	raw, err := os.ReadFile("../../../../docs/examples/plan.yaml")
	require.NoError(t, err)
	return parsed(t, append(raw, "\n  - {row: pot, id: dairy-pots, side: dairy, count: 2}\n"...))
}

const beginning = `place: {name: Emek Rimon, latitude: 40.7128, longitude: -74.006, zone: America/New_York}
now: "2027-04-04 20:00"
slack-hours: 24
hands: 3
burners: 4
pots: 1
work:
  - {days: [sun], from: "10:00", to: "21:00"}
  - {days: [mon, tue, wed, thu], from: "18:00", to: "22:30"}
  - {date: 2027-04-20, from: "07:30", to: "10:00"}
opening:
  - {days: [sun, mon, tue, wed, thu], from: "09:00", to: "21:00"}
`

// three is a small kitchen with a soaking of three days and one item that is done.
func three(t testing.TB) example {
	t.Helper()
	return parsed(t, []byte(beginning+`items:
  - {row: oven}
  - {row: glass-soak}
  - {row: fridge}
done:
  - {item: fridge, step: clean, begins: "2027-04-04 18:00", ends: "2027-04-04 19:10"}
`))
}

// forty is a kitchen of forty items.
func forty(t testing.TB) example {
	t.Helper()
	text := beginning + "items:\n"
	kinds := []string{"self-clean-oven", "oven", "grates", "kashering-pot", "counter", "sink", "covers", "dishwasher", "cutlery", "pot",
		"microwave", "kettle", "hot-plate", "glass-soak", "fridge", "freezer", "large-pot", "immersion", "pot", "cutlery"}
	for i := range 40 {
		k := kinds[i%len(kinds)]
		text += fmt.Sprintf("  - {row: %s, id: %s-%d}\n", k, k, i)
	}
	return parsed(t, []byte(text))
}

// tight is a kitchen that does not fit.
func tight(t testing.TB) example {
	t.Helper()
	e := parsed(t, []byte(`place: {name: Emek Rimon, latitude: 40.7128, longitude: -74.006, zone: America/New_York}
now: "2027-04-18 20:00"
slack-hours: 24
hands: 1
work:
  - {days: [mon, tue], from: "19:00", to: "21:00", most: 90}
items:
  - {row: oven}
  - {row: counter}
  - {row: sink}
  - {row: pot}
  - {row: fridge}
`))
	require.False(t, e.plan.Fits)
	require.NotEmpty(t, e.plan.Unfit)
	return e
}

// words are those of a language.
func (e example) words(t testing.TB, lang string) Words {
	t.Helper()
	w, err := In(pack(t), wording.In(pack(t), lang, e.opts.Place.Zone), &e.plan, nil, rows(t))
	require.NoError(t, err)
	return w
}

// drawn are the pictures as marks.
func (e example) drawn(t testing.TB, lang string) []*ink.Drawing {
	t.Helper()
	out, err := sheets(&e.plan, e.words(t, lang), e.opts)
	require.NoError(t, err)
	return out
}

// named are the marks of a name, of all sheets.
func named(sheets []*ink.Drawing, name string) []ink.Mark {
	var out []ink.Mark
	for _, d := range sheets {
		for _, m := range d.Marks {
			if m.Name == name {
				out = append(out, m)
			}
		}
	}
	return out
}

// contrast is that of the Web Content Accessibility Guidelines 2.2, "contrast ratio" and "relative luminance".
func contrast(a, b color.RGBA) float64 {
	l := func(c color.RGBA) float64 {
		part := func(v uint8) float64 {
			x := float64(v) / 255
			if x <= 0.04045 {
				return x / 12.92
			}
			return math.Pow((x+0.055)/1.055, 2.4)
		}
		return 0.2126*part(c.R) + 0.7152*part(c.G) + 0.0722*part(c.B)
	}
	hi, lo := max(l(a), l(b)), min(l(a), l(b))
	return (hi + 0.05) / (lo + 0.05)
}

// anyPlan is a plan by chance, which no kitchen need have.
func anyPlan(t testing.TB, r *rand.Rand) example {
	t.Helper()
	zone, err := time.LoadLocation([]string{"America/New_York", "Asia/Jerusalem", "Europe/London"}[r.IntN(3)])
	require.NoError(t, err)
	e := example{kind: map[string]string{}, opts: Options{
		Place: luach.Place{Name: "Emek Rimon", Latitude: 30 + 20*r.Float64(), Longitude: 40 * r.Float64(), Zone: zone},
		Wake:  r.IntN(10 * 60), Bedtime: 20*60 + r.IntN(4*60+1), Dark: r.IntN(2) == 0,
	}}
	begin := time.Date(2027, time.Month(1+r.IntN(12)), 1+r.IntN(28), r.IntN(24), r.IntN(60), r.IntN(60), 0, zone)
	at := func() time.Time { return begin.Add(time.Duration(r.IntN(9*24*60)) * time.Minute) }
	kinds := rows(t).Kinds()
	names := []string{"scrub", "idle", "heat", "boil", "cool", "dry", "soak-1"}
	p := &e.plan
	p.Fits, p.Made, p.Finish = r.IntN(2) == 0, begin, plan.Moment{At: at(), Why: "ready"}
	p.Ready = plan.Moment{At: p.Finish.At.Add(-time.Duration(r.IntN(48)) * time.Hour)}
	if r.IntN(2) == 0 {
		p.LastMeal = &plan.Moment{At: at(), Why: "meal-named"}
	}
	for i := range r.IntN(14) {
		id := fmt.Sprint("item-", i)
		e.kind[id] = kinds[r.IntN(len(kinds))]
		it := plan.ItemPlan{ID: id, Kind: e.kind[id], Count: r.IntN(4)}
		if r.IntN(3) == 0 {
			it.LastUse = &plan.Moment{At: at(), Why: "idle"}
		}
		for range r.IntN(7) {
			s := plan.Step{Name: names[r.IntN(len(names))], Begins: at(), Attended: r.IntN(2) == 0, Done: r.IntN(4) == 0, Why: "own-order"}
			s.Ends = s.Begins.Add(time.Duration(r.IntN(6*60)) * time.Minute)
			if r.IntN(4) == 0 {
				s.Ends = s.Begins.Add(time.Duration(r.IntN(40)) * time.Hour)
			}
			s.Awake = s.Attended || r.IntN(2) == 0
			if s.Attended {
				s.Uses = map[string]int{"hands": 1 + r.IntN(9)}
			}
			s.In = []string{"", "", "", "round-dairy-1", "round-meat-1", "item-0", "item-1", id}[r.IntN(8)]
			it.Steps = append(it.Steps, s)
		}
		p.Items = append(p.Items, it)
	}
	for i := range r.IntN(4) {
		p.Unfit = append(p.Unfit, plan.Unfit{Item: fmt.Sprint("item-", i), Why: "no-time-left", Away: []string{"", "shut"}[r.IntN(2)]})
	}
	return e
}

func rng(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 3)) }
