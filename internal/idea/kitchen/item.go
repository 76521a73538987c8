// Package kitchen is a household's items: what is known of each, what was told about it, and how its waits and heatings go.
//
// Everything is a pure function of an item and `now`. Waits are instants: 24 elapsed hours, not the same hour of the next
// day. Times for the whole kitchen together are the business of package plan, which imports this one.
package kitchen

import (
	"slices"
	"time"

	"benyomo/internal/idea/triage"
)

// State is where an item stands.
type State string

const (
	Asking   State = "asking"   // questions are open
	Told     State = "told"     // the member knows what to do
	Waiting  State = "waiting"  // the 24 hours run
	Ready    State = "ready"    // the wait is over: it may be kashered
	Heating  State = "heating"  // a heating runs
	Cooling  State = "cooling"  // the heating is over; it is still hot or locked
	Done     State = "done"     // kashered
	Referred State = "referred" // the rabbi has the question
	Away     State = "away"     // put away, closed or covered
	Dropped  State = "dropped"  // taken off the list
)

// Item is one thing in a household's kitchen.
type Item struct {
	ID        uint64              `json:"id"`
	Household uint64              `json:"household"`
	Kind      string              `json:"kind"`
	Number    int                 `json:"number,omitempty"` // 2, 3 … of the same kind; 0 and 1 are not shown
	Asker     int64               `json:"asker"`            // who asked first, and hears of it
	Rev       uint64              `json:"rev"`              // grows with every change: buttons carry it
	State     State               `json:"state"`
	Purpose   string              `json:"purpose"`
	Facts     triage.Facts        `json:"facts,omitempty"`
	Photos    map[string][]string `json:"photos,omitempty"` // question → file ids
	Told      uint64              `json:"told,omitempty"`   // the record of what was told
	Shayla    uint64              `json:"shayla,omitempty"`
	Timeline  []Stage             `json:"timeline,omitempty"`
	LastHot   time.Time           `json:"last_hot,omitzero"` // the latest moment at which it may have been hot
	Since     time.Time           `json:"since"`
	Changed   time.Time           `json:"changed"`
}

// Stage is a timed part of what was told, with its course.
type Stage struct {
	Name    string    `json:"name"`
	Heats   bool      `json:"heats,omitempty"`
	Minutes int       `json:"minutes"`
	Cool    int       `json:"cool,omitempty"`
	Started time.Time `json:"started,omitzero"`
	Ended   bool      `json:"ended,omitempty"`
}

// soaking is the name of a stage in cold water.
const soaking = "soak"

// Soaks reports whether the stage is a soaking: nothing heats, and hot use has nothing to do with it.
func (s Stage) Soaks() bool { return !s.Heats && s.Name == soaking }

// Ends is when the stage is over; zero while it has not started.
func (s Stage) Ends() time.Time {
	if s.Started.IsZero() {
		return time.Time{}
	}
	return s.Started.Add(time.Duration(s.Minutes) * time.Minute)
}

// Cooled is when a heating is over, cooled and unlocked.
func (s Stage) Cooled() time.Time {
	if s.Started.IsZero() {
		return time.Time{}
	}
	return s.Ends().Add(time.Duration(s.Cool) * time.Minute)
}

// Current is the index of the first stage that has not ended, or -1.
func (it *Item) Current() int {
	return slices.IndexFunc(it.Timeline, func(s Stage) bool { return !s.Ended })
}

// Live reports whether what was told about the item still matters: it is neither given up nor left aside.
func (it *Item) Live() bool {
	switch it.State {
	case Told, Waiting, Ready, Heating, Cooling, Done:
		return true
	}
	return false
}

// touch marks a change.
func (it *Item) touch(now time.Time) {
	it.Rev++
	it.Changed = now
}

// SetState moves the item where a decision outside its waits put it.
func (it *Item) SetState(s State, now time.Time) {
	it.State = s
	it.touch(now)
}

// Tell records what was told: the waits start anew.
func (it *Item) Tell(told uint64, stages []Stage, now time.Time) {
	it.Told, it.Timeline, it.State, it.LastHot = told, stages, Told, time.Time{}
	it.touch(now)
}

// StartIdle starts the wait without hot use at the last hot use. It is over at once if the time has passed already.
func (it *Item) StartIdle(lastHot, now time.Time) bool {
	i := it.Current()
	if i < 0 || it.HotUse() != Restarts || it.Timeline[i].Heats || it.Timeline[i].Soaks() || lastHot.After(now) {
		return false
	}
	it.Timeline[i].Started, it.LastHot, it.State = lastHot, lastHot, Waiting
	it.touch(now)
	it.settle(now)
	return true
}

// StartSoak starts the soaking that is due.
func (it *Item) StartSoak(now time.Time) bool {
	i := it.Current()
	if i < 0 || !it.Timeline[i].Soaks() || (it.State != Told && it.State != Ready) {
		return false
	}
	it.Timeline[i].Started, it.State = now, Waiting
	it.touch(now)
	return true
}

// SoakLeft is how many soakings have not ended.
func (it *Item) SoakLeft() int {
	n := 0
	for _, s := range it.Timeline {
		if s.Soaks() && !s.Ended {
			n++
		}
	}
	return n
}

// settle ends a wait when its time has come.
func (it *Item) settle(now time.Time) {
	i := it.Current()
	if i < 0 || it.Timeline[i].Heats || it.Timeline[i].Started.IsZero() || it.Timeline[i].Ends().After(now) {
		return
	}
	it.Timeline[i].Ended = true
	it.State = Ready
}

// EndIdle ends the wait if it is over at now, and reports whether it did.
func (it *Item) EndIdle(now time.Time) bool {
	if it.State != Waiting {
		return false
	}
	it.settle(now)
	if it.State != Ready {
		return false
	}
	it.touch(now)
	return true
}

// UsedHot says what hot use does to an item.
type UsedHot string

const (
	Restarts  UsedHot = "restarts" // the wait starts again: it was before the kashering
	MixedUp   UsedHot = "mix-up"   // it was after, or during, the kashering: the rabbi is asked
	NoMeaning UsedHot = "none"     // nothing was running
)

// HotUse decides what hot use at this point means. It changes nothing. Between two heatings the kashering has begun.
func (it *Item) HotUse() UsedHot {
	switch it.State {
	case Told, Waiting, Ready:
		if slices.ContainsFunc(it.Timeline, func(s Stage) bool { return s.Heats && s.Ended }) {
			return MixedUp
		}
		if len(it.Timeline) > 0 && !it.Timeline[0].Heats && !it.Timeline[0].Soaks() {
			return Restarts
		}
		return NoMeaning
	case Heating, Cooling, Done:
		return MixedUp
	}
	return NoMeaning
}

// Restart starts the wait again from a hot use.
func (it *Item) Restart(lastHot, now time.Time) bool {
	if it.HotUse() != Restarts || lastHot.After(now) {
		return false
	}
	it.Timeline[0].Ended, it.Timeline[0].Started = false, time.Time{}
	return it.StartIdle(lastHot, now)
}

// StartHeating starts the heating that is due.
func (it *Item) StartHeating(now time.Time) bool {
	i := it.Current()
	if i < 0 || !it.Timeline[i].Heats || (it.State != Ready && it.State != Told) {
		return false
	}
	it.Timeline[i].Started, it.State = now, Heating
	it.touch(now)
	return true
}

// EndHeating ends the heating if its time is over, and reports whether it did. It then cools, or is ready for the next.
func (it *Item) EndHeating(now time.Time) bool {
	i := it.Current()
	if it.State != Heating || i < 0 || it.Timeline[i].Ends().After(now) {
		return false
	}
	it.Timeline[i].Ended = true
	it.State = Cooling
	if it.Current() >= 0 {
		it.State = Ready // another heating follows
	}
	it.touch(now)
	return true
}

// Interrupt takes back a heating that was cut short: it does not count.
func (it *Item) Interrupt(now time.Time) bool {
	i := it.Current()
	if it.State != Heating || i < 0 {
		return false
	}
	it.Timeline[i].Started = time.Time{}
	it.State = Ready
	it.touch(now)
	return true
}

// CoolAt is when the heating that ended last is cool.
func (it *Item) CoolAt() time.Time {
	for i := len(it.Timeline) - 1; i >= 0; i-- {
		if s := it.Timeline[i]; s.Heats && s.Ended {
			return s.Cooled()
		}
	}
	return time.Time{}
}

// Finish marks the item as kashered by the member's word. A wait that has not ended cannot be skipped.
func (it *Item) Finish(now time.Time) bool {
	switch it.State {
	case Told, Ready, Cooling:
	default:
		return false
	}
	if it.Current() >= 0 {
		return false
	}
	it.SetState(Done, now)
	return true
}
