package plan

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/luach"
)

// File is what a kitchen's file says.
type File struct {
	Kitchen Kitchen
	Now     time.Time // zero where the file leaves it to the clock
}

type kitchenFile struct {
	Place    placeFile     `yaml:"place"`
	Now      dialog.Word   `yaml:"now"`
	Finish   dialog.Word   `yaml:"finish"`
	Slack    dialog.Word   `yaml:"slack-hours"`
	Food     dialog.Word   `yaml:"food"`
	Wake     dialog.Word   `yaml:"wake"`
	Bedtime  dialog.Word   `yaml:"bedtime"`
	Hands    dialog.Word   `yaml:"hands"`
	Burners  dialog.Word   `yaml:"burners"`
	Pots     dialog.Word   `yaml:"pots"`
	Work     []windowFile  `yaml:"work"`
	Opening  []windowFile  `yaml:"opening"`
	Meals    []dialog.Word `yaml:"meals"`
	LastMeal dialog.Word   `yaml:"last-meal"`
	Items    []itemFile    `yaml:"items"`
	Done     []doneFile    `yaml:"done"`
}

type placeFile struct {
	Name      dialog.Word `yaml:"name"`
	Latitude  dialog.Word `yaml:"latitude"`
	Longitude dialog.Word `yaml:"longitude"`
	Zone      dialog.Word `yaml:"zone"`
	Israel    dialog.Word `yaml:"israel"`
	Candles   dialog.Word `yaml:"candle-minutes"`
	Elevation dialog.Word `yaml:"elevation"`
}

type windowFile struct {
	Days []dialog.Word `yaml:"days"`
	Date dialog.Word   `yaml:"date"`
	From dialog.Word   `yaml:"from"`
	To   dialog.Word   `yaml:"to"`
	Most dialog.Word   `yaml:"most"`
}

type itemFile struct {
	Kind    dialog.Word            `yaml:"row"`
	Name    dialog.Word            `yaml:"name"`
	ID      dialog.Word            `yaml:"id"`
	Count   dialog.Word            `yaml:"count"`
	Side    dialog.Word            `yaml:"side"`
	Sabbath dialog.Word            `yaml:"sabbath"`
	Keep    dialog.Word            `yaml:"keep"`
	LastHot dialog.Word            `yaml:"last-hot"`
	Minutes map[string]dialog.Word `yaml:"minutes"`
}

type doneFile struct {
	Item   dialog.Word `yaml:"item"`
	Step   dialog.Word `yaml:"step"`
	Begins dialog.Word `yaml:"begins"`
	Ends   dialog.Word `yaml:"ends"`
}

// Parse reads a kitchen's file; name is the file's, for mistakes, and zone finds a time zone, as time.LoadLocation does. Every
// mistake is in the error, which is then dialog.Mistakes. Times are in UTC.
func Parse(name string, raw []byte, rows *Rows, zone func(string) (*time.Location, error)) (File, error) {
	var f kitchenFile
	file, ok := dialog.ReadFile(name, raw, guide, &f)
	if !ok {
		return File{}, file.Err()
	}
	r := &reader{add: file.Add}
	var out File
	k := &out.Kitchen
	k.Place = r.place(f.Place, zone)
	if k.Place.Zone == nil { // a mistake already: what else is wrong is said too
		k.Place.Zone = time.UTC
	}
	when := func(w dialog.Word, setting string) time.Time { return r.when(w, setting, k.Place.Zone) }
	out.Now, k.Finish, k.Food, k.LastMeal = when(f.Now, "now"), when(f.Finish, "finish"), when(f.Food, "food"), when(f.LastMeal, "last-meal")
	k.Slack = time.Duration(r.number(f.Slack, "slack-hours", int(DefaultSlack/time.Hour), 0, 30*24)) * time.Hour
	k.Wake, k.Bedtime = r.clock(f.Wake, "wake", 6*60+30), r.clock(f.Bedtime, "bedtime", 23*60)
	if k.Bedtime <= k.Wake {
		r.add(f.Bedtime, "bedtime is not after wake", "write the time of the same day, 24:00 at the latest")
	}
	k.Hands, k.Burners, k.Pots = r.number(f.Hands, "hands", 1, 1, maxResource), r.number(f.Burners, "burners", 4, 0, maxResource), r.number(f.Pots, "pots", 1, 0, maxResource)
	k.Work, k.Opening = r.windows(f.Work), r.windows(f.Opening)
	if len(f.Work) == 0 {
		r.add(dialog.Word{}, "the file does not say when somebody can work", "write work: with days, from and to")
	}
	for _, m := range f.Meals {
		k.Meals = append(k.Meals, when(m, "meal"))
	}
	r.items(f.Items, k, rows)
	for _, d := range f.Done {
		k.Done = append(k.Done, r.done(d, k, rows))
	}
	if err := file.Err(); err != nil {
		return File{}, err
	}
	return out, nil
}

func (r *reader) place(f placeFile, zone func(string) (*time.Location, error)) luach.Place {
	degrees := func(w dialog.Word, setting string, most float64) float64 {
		x, err := strconv.ParseFloat(w.S, 64)
		if err != nil || !(x >= -most && x <= most) {
			r.add(w, fmt.Sprintf("%s is %q", setting, w.S), fmt.Sprintf("write degrees from %v to %v", -most, most))
			return 0
		}
		return x
	}
	p := luach.Place{
		Name: f.Name.S, Latitude: degrees(f.Latitude, "latitude", 90), Longitude: degrees(f.Longitude, "longitude", 180),
		Israel: r.yes(f.Israel, "israel"), CandleMinutes: r.number(f.Candles, "candle-minutes", 0, 0, 120),
		Elevation: float64(r.number(f.Elevation, "elevation", 0, 0, 6000)),
	}
	loc, err := zone(f.Zone.S)
	if err != nil || f.Zone.S == "" || f.Zone.S == "Local" {
		r.add(f.Zone, fmt.Sprintf("there is no time zone %q", f.Zone.S), "write place: zone: with a name such as America/New_York")
		return p
	}
	p.Zone = loc
	if err := p.Valid(); err != nil && p.Zone != nil {
		r.add(f.Name, err.Error(), "correct it")
	}
	return p
}

// when takes a local time that exists, the first where there are two.
func (r *reader) when(w dialog.Word, setting string, zone *time.Location) time.Time {
	if !there(w) {
		return time.Time{}
	}
	if t, err := time.Parse("2006-01-02 15:04", w.S); err == nil {
		if found := luach.Local(zone, t.Year(), t.Month(), t.Day(), t.Hour(), t.Minute()); len(found) > 0 {
			return found[0].UTC()
		}
	}
	r.add(w, fmt.Sprintf("%s is %q", setting, w.S), `write a local time that exists, such as "2027-04-18 12:30"`)
	return time.Time{}
}

// clock takes a time of day, in minutes after midnight.
func (r *reader) clock(w dialog.Word, setting string, otherwise int) int {
	if !there(w) {
		return otherwise
	}
	if w.S == "24:00" {
		return 24 * 60
	}
	t, err := time.Parse("15:04", w.S)
	if err != nil || len(w.S) != 5 {
		r.add(w, fmt.Sprintf("%s is %q", setting, w.S), `write a time of day, from "00:00" to "24:00", in quotes`)
		return otherwise
	}
	return t.Hour()*60 + t.Minute()
}

var dayNames = []string{"sun", "mon", "tue", "wed", "thu", "fri", "sat"}

func (r *reader) windows(list []windowFile) []Window {
	var out []Window
	for _, f := range list {
		w := Window{From: r.clock(f.From, "from", -1), To: r.clock(f.To, "to", -1), Most: r.number(f.Most, "most", 0, 1, 24*60)}
		for _, d := range f.Days {
			if i := slices.Index(dayNames, d.S); i >= 0 {
				w.Days = append(w.Days, time.Weekday(i))
			} else {
				r.add(d, fmt.Sprintf("there is no day %q", d.S), "write "+strings.Join(dayNames, ", "))
			}
		}
		at := f.From
		if there(f.Date) {
			at = f.Date
			t, err := time.Parse(time.DateOnly, f.Date.S)
			if err != nil {
				r.add(f.Date, fmt.Sprintf("date is %q", f.Date.S), "write it as 2027-04-18")
				continue
			}
			w.Year, w.Month, w.Day = t.Date()
		}
		if (len(f.Days) > 0) == there(f.Date) {
			r.add(at, "a window has either days or a date", "write one of them")
		} else if err := w.valid(); err != nil {
			r.add(at, err.Error(), "write from and to, and most within them")
		}
		out = append(out, w)
	}
	return out
}

func (r *reader) items(list []itemFile, k *Kitchen, rows *Rows) {
	seen := map[string]bool{}
	if len(list) == 0 || len(list) > maxItems {
		r.add(dialog.Word{}, fmt.Sprintf("there are %d items", len(list)), fmt.Sprintf("write 1 to %d below items:", maxItems))
	}
	for _, f := range list {
		it := Item{
			ID: f.ID.S, Kind: f.Kind.S, Name: f.Name.S, Count: r.number(f.Count, "count", 1, 1, maxCount), Side: r.choice(f.Side, "side", Dairy, Pareve, Meat),
			Sabbath: r.yes(f.Sabbath, "sabbath"), Keep: r.yes(f.Keep, "keep"), LastHot: r.when(f.LastHot, "last-hot", k.Place.Zone),
		}
		at := f.Kind
		if there(f.ID) {
			at = f.ID
		} else {
			it.ID = it.Kind
		}
		row := rows.kind(it.Kind)
		switch {
		case row == nil:
			r.add(f.Kind, fmt.Sprintf("there is no row %q", it.Kind), "take one of "+strings.Join(rows.Kinds(), ", "))
			continue
		case seen[it.ID]:
			r.add(at, fmt.Sprintf("two items are called %q", it.ID), "give each an id of its own")
		}
		seen[it.ID] = true
		for name, w := range f.Minutes {
			if !row.has(name) {
				r.add(w, fmt.Sprintf("%s has no step %q", it.Kind, name), "take one of "+strings.Join(row.stepNames(), ", "))
				continue
			}
			if it.Minutes == nil {
				it.Minutes = map[string]int{}
			}
			it.Minutes[name] = r.number(w, name, grid, 1, maxStep)
		}
		k.Items = append(k.Items, it)
	}
}

func (k *kind) stepNames() []string {
	var out []string
	for _, s := range k.steps {
		out = append(out, s.name)
	}
	return out
}

func (r *reader) done(f doneFile, k *Kitchen, rows *Rows) Done {
	d := Done{Item: f.Item.S, Step: f.Step.S, Begins: r.when(f.Begins, "begins", k.Place.Zone), Ends: r.when(f.Ends, "ends", k.Place.Zone)}
	i := slices.IndexFunc(k.Items, func(it Item) bool { return it.ID == d.Item })
	switch {
	case i < 0:
		r.add(f.Item, fmt.Sprintf("there is no item %q", d.Item), "write the id of one")
	case !rows.kind(k.Items[i].Kind).has(d.Step):
		r.add(f.Step, fmt.Sprintf("%s has no step %q", k.Items[i].ID, d.Step), "take one of "+strings.Join(rows.kind(k.Items[i].Kind).stepNames(), ", "))
	case !there(f.Begins):
		r.add(f.Item, "what was done has no beginning", `write begins: "2027-04-18 14:00"`)
	case !d.Ends.IsZero() && d.Ends.Before(d.Begins):
		r.add(f.Ends, "it ends before it begins", "correct the times")
	}
	return d
}
