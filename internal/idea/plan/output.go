package plan

import "time"

// Plan is the schedule of a kitchen. All its times are in UTC, so that it is the same when it was stored as JSON and read again.
type Plan struct {
	// Fits reports whether the whole kitchen fits. Where it does not, the rest is what is planned, and Unfit, Changes and
	// Minimal say the rest.
	Fits bool `json:"fits"`
	// Proven reports whether the search has been exhaustive: no plan has a later last hot meal, nor with it later last uses in
	// sum; and where it does not fit, that it cannot. Where it is false, the plan holds all the same, and may not be the best.
	Proven bool `json:"proven"`

	Made   time.Time `json:"made"`
	Finish Moment    `json:"finish"` // the finish line
	Ready  Moment    `json:"ready"`  // the finish line less the slack: everything is over by then

	LastMeal *Moment    `json:"last_meal"` // null where nothing waits for it
	Items    []ItemPlan `json:"items"`

	// Boils is the temperature, in whole degrees Celsius, at which water boils there: an estimate. 0 where the place has no
	// elevation.
	Boils int `json:"boils,omitempty"`

	Unfit   []Unfit  `json:"unfit,omitempty"`
	Changes []Remedy `json:"changes,omitempty"` // each would make everything fit; the smallest first
	Minimal *Plan    `json:"minimal,omitempty"` // the kitchen that is left when time is short, with less slack if it must be
	Notes   []Note   `json:"notes,omitempty"`
}

// Moment is a time that was decided, and why it is not later.
type Moment struct {
	At   time.Time `json:"at"`
	Why  string    `json:"why"`            // one of Whys, or a rule's reason
	Item string    `json:"item,omitempty"` // the item that decides
}

// ItemPlan is what happens with one item, in order.
type ItemPlan struct {
	ID    string `json:"id"`
	Kind  string `json:"kind"`           // its row
	Name  string `json:"name,omitempty"` // what the household calls it
	Side  string `json:"side,omitempty"`
	Count int    `json:"count,omitempty"`
	// LastUse is the last moment at which the item may be used, hot or for chametz; null where that does not matter. Of what
	// shares the last hot meal it is that.
	LastUse *Moment `json:"last_use"`
	Steps   []Step  `json:"steps"`
}

// Step is one step of an item. A step of a round of boiling stands with each item of the round.
type Step struct {
	Name     string         `json:"name"`
	Begins   time.Time      `json:"begins"`
	Ends     time.Time      `json:"ends"`
	Attended bool           `json:"attended"`
	Uses     map[string]int `json:"uses,omitempty"`     // resource → how much of it
	Awake    bool           `json:"awake,omitempty"`    // an adult is awake in the house
	Why      string         `json:"why"`                // id of the sentence that says why it is not later
	Item     string         `json:"why_item,omitempty"` // the item or round that decides
	In       string         `json:"in,omitempty"`       // the round, or the item, in whose step this one is done
	Done     bool           `json:"done,omitempty"`
}

// Unfit is an item that does not fit.
type Unfit struct {
	Item string `json:"item"`
	Kind string `json:"kind"` // its row
	Name string `json:"name,omitempty"`
	Side string `json:"side,omitempty"`
	Why  string `json:"why"`  // id of a sentence
	Away string `json:"away"` // what is done instead, id of a sentence
}

// Remedy is a change of the kitchen that makes everything fit.
type Remedy struct {
	Why          string    `json:"why"`                     // id of the sentence that offers it
	Item         string    `json:"item,omitempty"`          // to put away, or not to use on Sabbath
	Evening      time.Time `json:"evening,omitzero"`        // the beginning of one more evening of work
	Until        time.Time `json:"until,omitzero"`          // its end
	SlackMinutes *int      `json:"slack_minutes,omitempty"` // what is left of the slack
}

// Note is something that the household should know.
type Note struct {
	Why  string `json:"why"` // id of a sentence
	Item string `json:"item,omitempty"`
}
