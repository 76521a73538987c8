package plan

import "slices"

// Ids of what the program itself says in a plan: with plan-why- before them they are keys of sentences. The reasons of rules are
// the rows' own.
const (
	// Why something is not later.
	WhyFinish     = "ready"           // everything is over then
	WhyCooking    = "finish-cooking"  // cooking for Pesach begins
	WhyFourthHour = "finish-fourth"   // the end of the fourth hour on the eve
	WhyFestival   = "finish-festival" // the festival, where the sun gives the eve no hours
	WhySlack      = "slack"
	WhyDaysBefore = "days-before-eve"
	WhyFood       = "before-food"
	WhyRest       = "not-in-rest"
	WhySleep      = "not-in-sleep"
	WhyWindow     = "work-window"
	WhyMost       = "work-most" // no more work in one window
	WhyOpening    = "opening-hours"
	WhyBusy       = "busy-" // and a resource
	WhyIdle       = "idle"
	WhyIdleWashed = "idle-washed"
	WhyDrains     = "idle-drains"
	WhyOwnOrder   = "own-order"
	WhyFirstStep  = "use-first-step" // it is worked on from then
	WhyMeal       = "use-meal"       // it is used with the last hot meal
	WhyMeals      = "meal-named"
	WhyAwake      = "use-awake"
	WhyDecided    = "use-decided"
	WhyWhenDone   = "done"

	// Why something does not fit.
	WhyNow       = "no-time-left"
	WhyHotOnRest = "hot-on-rest"
	WhyNeeds     = "needs-" // and a resource
	WhyCrowded   = "crowded"
	WhyNoMeal    = "no-meal"
	WhyNoWindow  = "no-window" // no time of work is long enough
	WhyClosed    = "closed"    // it is not open when somebody can work
)

// Changes that are offered, with plan-offer- before them.
const (
	OfferEvening = "evening"
	OfferAway    = "away"
	OfferHands   = "hands"
	OfferNotHot  = "not-hot"
	OfferSlack   = "slack"
)

// Notes, with plan-note- before them.
const (
	NoteFinishAfter = "finish-after-deadline"
	NoteOrderBroken = "order-broken"
	NoteNotProven   = "not-proven"
	NoteNotMinimal  = "minimal-does-not-fit"
	NoteAnyHour     = "any-hour" // it takes work at all hours in which the household is awake
)

// IdleStep is the name of the 24 hours in an item's steps.
const IdleStep = "idle"

// Whys lists the reasons that the program itself says.
func Whys() []string {
	out := []string{
		WhyFinish, WhyCooking, WhyFourthHour, WhyFestival, WhySlack, WhyDaysBefore, WhyFood, WhyRest, WhySleep, WhyWindow, WhyMost,
		WhyOpening, WhyIdle, WhyIdleWashed, WhyDrains, WhyOwnOrder, WhyFirstStep, WhyMeal, WhyMeals, WhyAwake, WhyDecided, WhyWhenDone,
		WhyNow, WhyHotOnRest, WhyCrowded, WhyNoMeal, WhyNoWindow, WhyClosed,
	}
	for _, name := range resourceNames {
		out = append(out, WhyBusy+name, WhyNeeds+name)
	}
	slices.Sort(out)
	return out
}

// Offers lists the changes that are offered.
func Offers() []string { return []string{OfferEvening, OfferAway, OfferHands, OfferNotHot, OfferSlack} }

// Notes lists what a household can be told beside its plan.
func Notes() []string {
	return []string{NoteFinishAfter, NoteOrderBroken, NoteNotProven, NoteNotMinimal, NoteAnyHour}
}
