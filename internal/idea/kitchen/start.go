package kitchen

import "time"

// Barrier says why a heating may not start now.
type Barrier string

const (
	Clear       Barrier = ""
	BeforeRest  Barrier = "before-rest" // it would not be over, cooled and unlocked before candle lighting
	BeforeSleep Barrier = "before-sleep"
)

// Margin is kept free between the moment a heating has cooled and candle lighting or bedtime.
const Margin = 20 * time.Minute

// CanHeat decides whether a heating of the length may start now: it must end, cool and unlock with Margin before candle
// lighting and before bedtime. A zero candles or bedtime does not bind.
func CanHeat(s Stage, now, candles, bedtime time.Time) Barrier {
	over := now.Add(time.Duration(s.Minutes+s.Cool)*time.Minute + Margin)
	switch {
	case !candles.IsZero() && over.After(candles):
		return BeforeRest
	case !bedtime.IsZero() && over.After(bedtime):
		return BeforeSleep
	}
	return Clear
}

// Bedtime is the time of this day at which the household goes to sleep, given in minutes after midnight, 05:00 at the
// earliest; in the evening it may have passed. Between midnight and five in the morning it is night: the answer is now.
func Bedtime(minutes int, now time.Time) time.Time {
	y, m, d := now.Date()
	if now.Hour() < 5 {
		return now
	}
	return time.Date(y, m, d, minutes/60, minutes%60, 0, 0, now.Location())
}
