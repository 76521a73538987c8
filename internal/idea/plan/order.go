package plan

import (
	"slices"
	"strings"
	"time"

	"benyomo/internal/idea/luach"
)

// Order is what a household has said for its plan, and the plan that was last made of it: the record that is kept. It says in
// few words what a [Kitchen] says in many, so that it can be asked for with buttons.
type Order struct {
	Household uint64 `json:"household"`
	Rev       uint64 `json:"rev"` // counts the changes of what was said
	Asker     int64  `json:"asker,omitempty"`

	Picks   []Pick    `json:"picks,omitempty"`
	Finish  time.Time `json:"finish,omitzero"`  // when cooking for Pesach begins; zero where the deadline of the eve is meant
	Meals   []string  `json:"meals,omitempty"`  // of MealTimes: those of which one can be the last hot one; none: any time will do
	Times   []string  `json:"times,omitempty"`  // of WorkTimes, after the number of the weekday: "0-evening" is on Sundays
	Added   []Added   `json:"added,omitempty"`  // evenings that were added one by one
	People  int       `json:"people,omitempty"` // who work at once
	Burners int       `json:"burners,omitempty"`
	Pots    int       `json:"pots,omitempty"`  // in which water is boiled
	Slack   int       `json:"slack,omitempty"` // minutes kept free before the finish line

	LastMeal time.Time `json:"last_meal,omitzero"` // its end, once it is over or decided
	Done     []Done    `json:"done,omitempty"`

	Plan    *Plan  `json:"plan,omitempty"`    // the last one that was made; nil before the first
	Planned uint64 `json:"planned,omitempty"` // the Rev that it was made of
	// Sent is the plan of the calendar's file that was last asked for, SentBefore that of the one before it, and Files how many
	// there were: a file calls off what the one before it had.
	Sent       *Plan `json:"sent,omitempty"`
	SentBefore *Plan `json:"sent_before,omitempty"`
	Files      int   `json:"files,omitempty"`
	// Changes are what it changes of the plan before it.
	Changes []Change `json:"changes,omitempty"`
}

// Pick is one thing that a household wants planned.
type Pick struct {
	Row     string    `json:"row"`            // of the rows
	Side    string    `json:"side,omitempty"` // of what is boiled
	Count   int       `json:"count"`
	Sabbath bool      `json:"sabbath,omitempty"` // in hot use on every Sabbath until it is kashered
	LastHot time.Time `json:"last_hot,omitzero"` // its last hot use, where it is over
}

// ID names the pick in plans.
func (p Pick) ID() string {
	if p.Side == "" {
		return p.Row
	}
	return p.Row + "-" + p.Side
}

// Added is one more time of work.
type Added struct {
	From time.Time `json:"from"`
	To   time.Time `json:"to"`
}

// MealTime is a hot meal of the day.
type MealTime struct {
	Name string
	Ends int // minutes after midnight
}

// WorkTime is a part of the day in which people can work.
type WorkTime struct {
	Name           string
	From, To, Most int // minutes after midnight, and how many of them each works at most
}

// MealTimes are the hot meals of a day, with the minute at which each is over. Common practice, no source.
var MealTimes = []MealTime{{"breakfast", 8*60 + 30}, {"lunch", 13 * 60}, {"supper", 20 * 60}}

// WorkTimes are the parts of a day in which people can work, with the most minutes that each works in them. Common practice, no
// source: about three hours of standing work in an evening.
var WorkTimes = []WorkTime{{"morning", 9 * 60, 12*60 + 30, mostOfAWindow}, {"afternoon", 14 * 60, 18 * 60, mostOfAWindow}, {"evening", eveningFrom, eveningTo, mostOfAWindow}}

// NewOrder is an order with what most households say.
func NewOrder(household uint64) Order {
	o := Order{Household: household, People: usualHands, Burners: usualBurners, Pots: 2, Slack: int(DefaultSlack / time.Minute), Meals: []string{"breakfast", "lunch", "supper"},
		Times: []string{"0-afternoon", "0-evening"}}
	for d := time.Monday; d <= time.Thursday; d++ {
		o.Times = append(o.Times, WorkKey(d, "evening"))
	}
	return o
}

// Next is a new order, for another Pesach, of a household that may have had one: what it has, and when it works, is as it was.
func (o Order) Next(household uint64) Order {
	next := NewOrder(household)
	next.Rev, next.Files = o.Rev+1, o.Files
	if o.Plan == nil {
		return next
	}
	next.Meals, next.Times, next.People, next.Burners, next.Pots = o.Meals, o.Times, o.People, o.Burners, o.Pots
	for _, p := range o.Picks {
		p.LastHot = time.Time{}
		next.Picks = append(next.Picks, p)
	}
	return next
}

// WorkKey names a part of a day of the week: "0-evening".
func WorkKey(d time.Weekday, part string) string { return string(rune('0'+d)) + "-" + part }

// Picked is the pick of a row and side, or nil.
func (o *Order) Picked(row, side string) *Pick {
	i := slices.IndexFunc(o.Picks, func(p Pick) bool { return p.Row == row && p.Side == side })
	if i < 0 {
		return nil
	}
	return &o.Picks[i]
}

// Pick sets how many of a row and side there are; none takes it away, with what was done of it.
func (o *Order) Pick(row, side string, count int) {
	p := o.Picked(row, side)
	switch {
	case count > 0 && p != nil:
		p.Count = count
	case count > 0:
		o.Picks = append(o.Picks, Pick{Row: row, Side: side, Count: count})
	case p != nil:
		id := p.ID()
		o.Picks = slices.DeleteFunc(o.Picks, func(p Pick) bool { return p.ID() == id })
		o.Done = slices.DeleteFunc(o.Done, func(d Done) bool { return d.Item == id })
	}
}

// Toggle puts a word in a list or takes it out, and keeps the list in order.
func Toggle(list []string, word string) []string {
	if i := slices.Index(list, word); i >= 0 {
		return slices.Delete(slices.Clone(list), i, i+1)
	}
	list = append(slices.Clone(list), word)
	slices.Sort(list)
	return list
}

// Did records that a task was over at a time.
func (o *Order) Did(t Task, at time.Time) {
	for _, id := range t.Items {
		o.Done = slices.DeleteFunc(o.Done, func(d Done) bool { return d.Item == id && d.Step == t.Name })
		o.Done = append(o.Done, Done{Item: id, Step: t.Name, Begins: earliest(t.Begins, at).UTC(), Ends: at.UTC()})
	}
}

// Apply makes a change that a plan has offered.
func (o *Order) Apply(r Remedy) {
	switch r.Why {
	case OfferEvening:
		o.Added = append(o.Added, Added{From: r.Evening, To: r.Until})
	case OfferAway:
		for _, p := range slices.Clone(o.Picks) {
			if p.ID() == r.Item {
				o.Pick(p.Row, p.Side, 0)
			}
		}
	case OfferHands:
		o.People++
	case OfferNotHot:
		for i := range o.Picks {
			if o.Picks[i].ID() == r.Item {
				o.Picks[i].Sabbath = false
			}
		}
	case OfferSlack:
		if r.SlackMinutes != nil {
			o.Slack = *r.SlackMinutes
		}
	}
}

// Pass takes what the plan said of last uses that are over as what happened: who did otherwise says so.
func (o *Order) Pass(now time.Time) {
	if o.Plan == nil {
		return
	}
	if m := o.Plan.LastMeal; m != nil && o.LastMeal.IsZero() && !m.At.After(now) {
		o.LastMeal = m.At
	}
	for _, it := range o.Plan.Items {
		for i := range o.Picks {
			if p := &o.Picks[i]; p.ID() == it.ID && p.LastHot.IsZero() && it.LastUse != nil && it.LastUse.Why != WhyMeal && !it.LastUse.At.After(now) {
				p.LastHot = it.LastUse.At
			}
		}
	}
}

// AllThatShare stands for everything that shares the last hot meal.
const AllThatShare = "*"

// HotAgain says that a thing was used hot at a time, or everything that shares the last hot meal: its 24 hours begin anew. What is
// kashered already is not changed and given back: that is a question for the rabbi (see [Kitchen.UsedHot]).
func (o *Order) HotAgain(rows *Rows, id string, at time.Time) (mixed []string) {
	k := Kitchen{Items: o.items(), LastMeal: o.LastMeal, Done: o.Done}
	if id == AllThatShare {
		k, mixed = k.UsedHot(rows, at)
		mixed = slices.DeleteFunc(mixed, func(id string) bool { // the oven was not on the table
			return !slices.ContainsFunc(o.Picks, func(p Pick) bool { return p.ID() == id && rows.kind(p.Row).use == mealUse })
		})
	} else {
		k, mixed = k.UsedHot(rows, at, id)
	}
	o.LastMeal = k.LastMeal
	for i := range o.Picks {
		if id != AllThatShare || rows.kind(o.Picks[i].Row).use == mealUse {
			o.Picks[i].LastHot = k.Items[i].LastHot
		}
	}
	return mixed
}

// items are the picks in full.
func (o *Order) items() []Item {
	out := make([]Item, len(o.Picks))
	for i, p := range o.Picks {
		out[i] = Item{ID: p.ID(), Kind: p.Row, Count: p.Count, Side: p.Side, Sabbath: p.Sabbath, LastHot: p.LastHot}
	}
	return out
}

func latest(a, b time.Time) time.Time {
	if b.After(a) {
		return b
	}
	return a
}

func earliest(a, b time.Time) time.Time {
	if b.Before(a) {
		return b
	}
	return a
}

// Kitchen is the order in full, at a place, planned at now. Bedtime is in minutes after midnight.
func (o *Order) Kitchen(place luach.Place, bedtime int, now time.Time) Kitchen {
	k := Kitchen{
		Place: place, Finish: o.Finish, Slack: time.Duration(o.Slack) * time.Minute, Bedtime: bedtime, Wake: usualWake,
		Hands: o.People, Burners: o.Burners, Pots: o.Pots, LastMeal: o.LastMeal, Done: slices.Clone(o.Done), Items: o.items(),
	}
	for _, t := range o.Times {
		day, part, ok := strings.Cut(t, "-")
		i := slices.IndexFunc(WorkTimes, func(w WorkTime) bool { return w.Name == part })
		if !ok || i < 0 || len(day) != 1 {
			continue
		}
		w := WorkTimes[i]
		k.Work = append(k.Work, Window{Days: []time.Weekday{time.Weekday(day[0] - '0')}, From: w.From, To: w.To, Most: w.Most})
	}
	k.Work = append(k.Work, o.added(k.Work, place)...)
	k.Opening = []Window{{Days: Evenings(), From: errandFrom, To: errandTo}}
	if o.LastMeal.IsZero() {
		k.Meals = o.meals(place, now)
	}
	return k
}

// added are the times of work that were added one by one. A date with a window of its own has only such: the week's hold there too.
func (o *Order) added(weekly []Window, place luach.Place) []Window {
	var out []Window
	var dates []string
	for _, a := range o.Added {
		from, to := a.From.In(place.Zone), a.To.In(place.Zone)
		y, m, d := from.Date()
		on := func(w Window) Window {
			w.Days, w.Year, w.Month, w.Day = nil, y, m, d
			return w
		}
		if date := from.Format(time.DateOnly); !slices.Contains(dates, date) {
			dates = append(dates, date)
			for _, w := range weekly {
				if w.on(y, m, d) {
					out = append(out, on(w))
				}
			}
		}
		out = append(out, on(Window{From: from.Hour()*60 + from.Minute(), To: to.Hour()*60 + to.Minute()}))
	}
	return out
}

// meals are the ends of the meals from now on until the household cooks for Pesach.
func (o *Order) meals(place luach.Place, now time.Time) []time.Time {
	until := o.Finish
	if until.IsZero() {
		until = luach.PesachAfter(place, now).Begins
	}
	var out []time.Time
	y, m, d := now.In(place.Zone).Date()
	for day := 0; day <= maxDays; day++ {
		for _, meal := range MealTimes {
			at := time.Date(y, m, d+day, 0, meal.Ends, 0, 0, place.Zone)
			switch {
			case !slices.Contains(o.Meals, meal.Name) || at.Before(now):
			case at.After(until):
				return out
			default:
				out = append(out, at)
			}
		}
	}
	return out
}
