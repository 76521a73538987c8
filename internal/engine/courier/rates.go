package courier

import (
	"math"
	"time"

	"golang.org/x/time/rate"

	"benyomo/internal/engine/chat"
)

// Rates are limits on deliveries: how many there may be over all, in one chat, in one group. A field that is 0 takes its
// default. An edit counts like a send, an album as many as it has photos.
type Rates struct {
	PerSecond      float64 // over all chats, on average
	Burst          int     // over all chats, at once after a quiet time
	ChatPerSecond  float64 // in one chat, on average
	ChatBurst      int     // in one chat, at once after a quiet time
	GroupPerMinute float64 // in one group, within any minute
}

// DefaultRates keeps below the figures of the Bot FAQ ("My bot is hitting limits, how do I avoid this?"): about 30
// messages a second over all chats, one a second in one chat with short bursts tolerated, 20 a minute in a group. Rate and
// burst together give at most 30 in any second. How long a burst is tolerated in a chat is not published; 3 is our choice.
func DefaultRates() Rates {
	return Rates{PerSecond: 25, Burst: 5, ChatPerSecond: 1, ChatBurst: 3, GroupPerMinute: 20}
}

// Unlimited is no limit at all, for tests.
func Unlimited() Rates {
	inf := math.Inf(1)
	return Rates{PerSecond: inf, Burst: 1, ChatPerSecond: inf, ChatBurst: 1, GroupPerMinute: inf}
}

// withDefaults fills the fields that are not set.
func (r Rates) withDefaults() Rates {
	d := DefaultRates()
	fill := func(value *float64, standard float64) {
		if *value <= 0 {
			*value = standard
		}
	}
	fill(&r.PerSecond, d.PerSecond)
	fill(&r.ChatPerSecond, d.ChatPerSecond)
	fill(&r.GroupPerMinute, d.GroupPerMinute)
	if r.Burst <= 0 {
		r.Burst = d.Burst
	}
	if r.ChatBurst <= 0 {
		r.ChatBurst = d.ChatBurst
	}
	return r
}

// all makes the bucket that all chats share.
func (r Rates) all() bucket { return newBucket(r.PerSecond, r.Burst) }

// chat makes the buckets of one chat. Groups have negative ids.
func (r Rates) chat(id chat.ID) []bucket {
	buckets := []bucket{newBucket(r.ChatPerSecond, r.ChatBurst)}
	if id < 0 {
		// What is there at once and what flows in during a minute must together not exceed the limit, so that it holds
		// for every minute, however it is laid.
		burst := max(1, math.Floor(r.GroupPerMinute/4))
		flow := r.GroupPerMinute - burst
		if math.IsInf(burst, 1) {
			burst, flow = 1, burst
		}
		if flow <= 0 {
			flow = r.GroupPerMinute
		}
		buckets = append(buckets, newBucket(flow/time.Minute.Seconds(), int(burst)))
	}
	return buckets
}

// bucket is a token bucket that is asked and filled at explicit times.
type bucket struct{ *rate.Limiter }

func newBucket(perSecond float64, burst int) bucket {
	limit := rate.Limit(perSecond)
	if math.IsInf(perSecond, 1) {
		limit = rate.Inf
	}
	return bucket{rate.NewLimiter(limit, burst)}
}

// slack is what a sum of fractions may lack of a whole token.
const slack = 1e-6

// ready is the first moment, from now on, at which the bucket holds enough for cost deliveries. One that costs more than
// the bucket can hold goes when it is full, and leaves a debt.
func (b bucket) ready(now time.Time, cost int) time.Time {
	if b.Limit() == rate.Inf {
		return now
	}
	lack := float64(min(cost, b.Burst())) - b.TokensAt(now)
	if lack <= slack {
		return now
	}
	return now.Add(time.Duration(math.Ceil(lack / float64(b.Limit()) * float64(time.Second))))
}

// take spends tokens, below zero if need be.
func (b bucket) take(now time.Time, cost int) {
	for range cost {
		b.ReserveN(now, 1)
	}
}

// full tells whether forgetting the bucket would change nothing.
func (b bucket) full(now time.Time) bool {
	return b.Limit() == rate.Inf || b.TokensAt(now) >= float64(b.Burst())-slack
}

// cost is how many messages of the messenger's a post is.
func cost(p chat.Post) int {
	if p.Op != chat.Send {
		return 1
	}
	return max(1, len(p.Message.Photos))
}
