package plan

// Ids of the sentences that say why something is as it is. Those of rules and of what is put away stand in the rows; the
// sentences of all of them are in words.yaml.
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

	// Changes that are offered.
	OfferEvening = "offer-evening"
	OfferAway    = "offer-away"
	OfferHands   = "offer-hands"
	OfferNotHot  = "offer-not-hot"
	OfferSlack   = "offer-slack"

	// Notes.
	WhyFinishAfter = "finish-after-deadline"
	WhyOrderBroken = "order-broken"
	WhyNotProven   = "not-proven"
	WhyNotMinimal  = "minimal-does-not-fit"
)
