package plan

import (
	"fmt"
	"slices"
	"time"

	"benyomo/internal/idea/luach"
)

// Habits of a household that says nothing else: typical, common practice without a source.
const (
	usualWake    = 6*60 + 30
	usualBedtime = 23 * 60
	usualHands   = 2
	usualBurners = 4
	usualPots    = 1

	eveningFrom   = 19*60 + 30
	eveningTo     = 22*60 + 30
	afternoonFrom = 13 * 60
	afternoonTo   = 18 * 60
	mostOfAWindow = 180 // minutes that a person stands at work in one evening, or one afternoon

	errandFrom = 9 * 60 // of work outside the house
	errandTo   = 21 * 60
)

// Evenings are the days on whose evenings a household usually can work: not on Friday and Saturday night.
func Evenings() []time.Weekday {
	return []time.Weekday{time.Sunday, time.Monday, time.Tuesday, time.Wednesday, time.Thursday}
}

// Asked is what a household is asked for beside its things.
type Asked struct {
	Finish   time.Time      // when cooking for Pesach begins; zero is the deadline of the eve
	Meals    []time.Time    // the ends of the meals of which one can be the last hot one; none is any time
	Evenings []time.Weekday // on which it can work; nil is Evenings, empty is none
}

// Household is the kitchen of a household that says only what it has and what it was asked: who works in the evening, three hours at
// most, and where Sunday is one of the days, and no working day, also in its afternoon. Items without an id get one. Everything
// can be changed before the kitchen is planned. Its times are in UTC.
func Household(place luach.Place, items []Item, a Asked) Kitchen {
	k := Kitchen{
		Place: place, Finish: utc(a.Finish), Slack: DefaultSlack, Wake: usualWake, Bedtime: usualBedtime,
		Hands: usualHands, Burners: usualBurners, Pots: usualPots,
	}
	evenings := a.Evenings
	if evenings == nil {
		evenings = Evenings()
	}
	if len(evenings) > 0 {
		k.Work = append(k.Work, Window{Days: slices.Clone(evenings), From: eveningFrom, To: eveningTo, Most: mostOfAWindow})
	}
	if slices.Contains(evenings, time.Sunday) && !place.Israel {
		k.Work = append(k.Work, Window{Days: []time.Weekday{time.Sunday}, From: afternoonFrom, To: afternoonTo, Most: mostOfAWindow})
	}
	k.Opening = []Window{{Days: Evenings(), From: errandFrom, To: errandTo}}
	for _, m := range a.Meals {
		k.Meals = append(k.Meals, m.UTC())
	}
	taken := map[string]bool{}
	for _, it := range items {
		taken[it.ID] = true
	}
	for _, it := range items {
		it.LastHot = utc(it.LastHot)
		for n := 1; it.ID == ""; n++ {
			id := it.Kind
			if n > 1 {
				id = fmt.Sprintf("%s-%d", it.Kind, n)
			}
			if !taken[id] {
				it.ID, taken[id] = id, true
			}
		}
		k.Items = append(k.Items, it)
	}
	return k
}

// utc is the instant in UTC; one that is not set stays so.
func utc(t time.Time) time.Time {
	if t.IsZero() {
		return time.Time{}
	}
	return t.UTC()
}
