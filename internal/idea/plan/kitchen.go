package plan

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"benyomo/internal/idea/luach"
)

// grid is the grid of a plan, in minutes.
const grid = 5

const slot = grid * time.Minute

// DefaultSlack is kept free before the finish line where a household says nothing: a day on which what broke can be mended.
const DefaultSlack = 24 * time.Hour

// Idle is how long a thing is without hot use before it is kashered.
const Idle = 24 * time.Hour

// Bounds of a kitchen.
const (
	maxItems    = 200
	maxCount    = 200
	maxResource = 60
	maxDays     = 100 // from now to the finish line
)

// Kitchen is what a household says of its kitchen and of its time. Stored as JSON with its times in UTC, it is the same when it is
// read again, but for the place, which is the community's.
type Kitchen struct {
	Place luach.Place `json:"-"`
	Items []Item      `json:"items"`

	// Finish is when cooking for Pesach begins. Where it is zero, the end of the fourth hour on the eve of Pesach stands for
	// it, by the place's reckoning; where the eve is a Sabbath, that of Friday.
	Finish time.Time     `json:"finish,omitzero"`
	Slack  time.Duration `json:"slack_ns"`      // kept free before the finish line; rest spans do not count as slack
	Food   time.Time     `json:"food,omitzero"` // when food for Pesach comes; zero is with the end of the plan

	Work    []Window `json:"work"`              // when people can stand at work
	Opening []Window `json:"opening,omitempty"` // when work outside the house can be done, within Work
	Bedtime int      `json:"bedtime"`           // minutes after midnight
	Wake    int      `json:"wake"`              // minutes after midnight, before Bedtime

	Hands   int `json:"hands"` // people who work at once
	Burners int `json:"burners"`
	Pots    int `json:"pots"` // in which water is boiled

	// Meals are the ends of the meals of which one can be the last hot one. None means that any time will do.
	Meals []time.Time `json:"meals,omitempty"`
	// LastMeal is the end of the last hot meal, where it is over or decided.
	LastMeal time.Time `json:"last_meal,omitzero"`
	Done     []Done    `json:"done,omitempty"`
}

// Item is one thing in the kitchen.
type Item struct {
	ID      string `json:"id"`                // unique in the kitchen
	Kind    string `json:"kind"`              // its row
	Name    string `json:"name,omitempty"`    // what the household calls it; "" is the row's name
	Count   int    `json:"count,omitempty"`   // how many of them, for steps that are done for each; 0 is 1
	Side    string `json:"side,omitempty"`    // of what is boiled: Dairy, Pareve or Meat; "" goes with dairy
	Sabbath bool   `json:"sabbath,omitempty"` // in hot use on every Sabbath and festival until it is kashered
	Keep    bool   `json:"keep,omitempty"`    // never proposed for putting away
	// LastHot is the item's last hot use, where it is over or decided.
	LastHot time.Time `json:"last_hot,omitzero"`
	// Minutes are the household's own estimates by the name of the step, in all and not for each.
	Minutes map[string]int `json:"minutes,omitempty"`
}

// Done is a step that was done, or that runs.
type Done struct {
	Item   string    `json:"item"`
	Step   string    `json:"step"` // what follows at once upon it is taken to follow
	Begins time.Time `json:"begins"`
	Ends   time.Time `json:"ends,omitzero"` // zero while it runs: its estimate holds
}

// Window is a time of work on days of the week, or on one date.
type Window struct {
	Days  []time.Weekday `json:"days,omitempty"`
	Year  int            `json:"year,omitempty"` // of one date, which then has only windows of its own; else 0
	Month time.Month     `json:"month,omitempty"`
	Day   int            `json:"day,omitempty"`
	From  int            `json:"from"` // minutes after midnight
	To    int            `json:"to"`
	Most  int            `json:"most,omitempty"` // minutes that each person stands at work, at most; 0 is all of it
}

// on reports whether the window is on the civil date.
func (w Window) on(y int, m time.Month, d int) bool {
	if w.Year != 0 {
		return w.Year == y && w.Month == m && w.Day == d
	}
	return slices.Contains(w.Days, time.Date(y, m, d, 12, 0, 0, 0, time.UTC).Weekday())
}

func (w Window) valid() error {
	switch {
	case w.Year == 0 && len(w.Days) == 0:
		return errors.New("a window of work has neither days nor a date")
	case w.From < 0 || w.To > 24*60 || w.From >= w.To:
		return fmt.Errorf("a window of work from minute %d to minute %d of the day is none", w.From, w.To)
	case w.Most < 0 || w.Most > w.To-w.From:
		return fmt.Errorf("at most %d minutes of work do not fit in a window of %d", w.Most, w.To-w.From)
	}
	return nil
}

// valid names the first thing that no kitchen has.
func (k *Kitchen) valid(rows *Rows) error {
	if err := k.Place.Valid(); err != nil {
		return err
	}
	switch {
	case len(k.Items) > maxItems:
		return fmt.Errorf("%d items are more than %d", len(k.Items), maxItems)
	case k.Slack < 0 || k.Slack > 30*24*time.Hour:
		return fmt.Errorf("slack of %v is not between none and 30 days", k.Slack)
	case k.Wake < 0 || k.Bedtime <= k.Wake || k.Bedtime > 24*60:
		return fmt.Errorf("the day from minute %d to minute %d is none", k.Wake, k.Bedtime)
	case min(k.Hands, k.Burners, k.Pots) < 0 || max(k.Hands, k.Burners, k.Pots) > maxResource:
		return fmt.Errorf("hands, burners and pots are not between 0 and %d", maxResource)
	}
	for _, w := range slices.Concat(k.Work, k.Opening) {
		if err := w.valid(); err != nil {
			return err
		}
	}
	seen := map[string]bool{}
	for _, it := range k.Items {
		row := rows.kind(it.Kind)
		_, _, round := RoundOf(it.ID)
		switch {
		case round:
			return fmt.Errorf("item %q is called as a round of boiling is", it.ID)
		case it.ID == "" || seen[it.ID]:
			return fmt.Errorf("item %q has no id of its own", it.ID)
		case row == nil:
			return fmt.Errorf("item %q: there is no row %q", it.ID, it.Kind)
		case it.Count < 0 || it.Count > maxCount:
			return fmt.Errorf("item %q: a count of %d is not between 1 and %d", it.ID, it.Count, maxCount)
		case !slices.Contains([]string{"", Dairy, Pareve, Meat}, it.Side):
			return fmt.Errorf("item %q: there is no side %q", it.ID, it.Side)
		}
		for name, n := range it.Minutes {
			if !row.has(name) || n < 1 || n > maxStep {
				return fmt.Errorf("item %q: %d minutes of %q are no estimate", it.ID, n, name)
			}
		}
		seen[it.ID] = true
	}
	for _, d := range k.Done {
		i := slices.IndexFunc(k.Items, func(it Item) bool { return it.ID == d.Item })
		if i < 0 || !rows.kind(k.Items[i].Kind).has(d.Step) || d.Begins.IsZero() || !d.Ends.IsZero() && d.Ends.Before(d.Begins) {
			return fmt.Errorf("what was done of %q, step %q, is no step of the kitchen or has no time", d.Item, d.Step)
		}
	}
	return nil
}

// has reports whether the kind has a step of the name.
func (k *kind) has(step string) bool {
	return slices.ContainsFunc(k.steps, func(s stepRow) bool { return s.name == step })
}

// without is the kitchen without an item.
func (k Kitchen) without(id string) Kitchen {
	k.Items = slices.DeleteFunc(slices.Clone(k.Items), func(it Item) bool { return it.ID == id })
	k.Done = slices.DeleteFunc(slices.Clone(k.Done), func(d Done) bool { return d.Item == id })
	return k
}
