package server

import (
	"math"
	"time"
)

// rateState is what the rate rules remember, measured by machine time.
type rateState struct {
	all   []time.Time // messages of the last second
	rooms map[int64]*roomRate
}

type roomRate struct {
	tokens float64
	at     time.Time   // when tokens was counted
	minute []time.Time // messages of the last minute, in a group
}

// take counts n messages sent to a room, or refuses with 429 and counts none. Only sending counts, as the FAQ that
// publishes the figures speaks of sending; whether edits count is not published. The mutex is held.
func (s *Server) take(r *room, n int) *apiError {
	rules, now := s.o.Rates, s.o.Machine()
	if rules == (Rates{}) {
		return nil
	}
	state := s.rates.rooms[r.id]
	if state == nil {
		state = &roomRate{tokens: math.Inf(1), at: now}
		s.rates.rooms[r.id] = state
	}
	wait := time.Duration(0)
	s.rates.all = since(s.rates.all, now.Add(-time.Second))
	if rules.PerSecond > 0 && len(s.rates.all)+n > rules.PerSecond {
		wait = time.Second
	}
	if rules.ChatPerSecond > 0 {
		rate, burst := float64(rules.ChatPerSecond), float64(max(rules.ChatBurst, rules.ChatPerSecond))
		state.tokens = math.Min(burst, state.tokens+rate*now.Sub(state.at).Seconds())
		if lack := math.Min(float64(n), burst) - state.tokens; lack > 0 {
			wait = max(wait, time.Duration(lack/rate*float64(time.Second)))
		}
	}
	state.at = now
	state.minute = since(state.minute, now.Add(-time.Minute))
	if k := rules.GroupPerMinute; k > 0 && r.kind != kindPrivate && len(state.minute)+n > k {
		if over := len(state.minute) + n - k; over <= len(state.minute) {
			wait = max(wait, state.minute[over-1].Add(time.Minute).Sub(now))
		} else {
			wait = time.Minute // more at once than a minute allows
		}
	}
	if wait > 0 {
		return tooManyRequests(int(math.Ceil(wait.Seconds())))
	}
	state.tokens -= float64(n)
	for range n {
		s.rates.all = append(s.rates.all, now)
		state.minute = append(state.minute, now)
	}
	return nil
}

// since drops the times up to and including limit from a list in order.
func since(times []time.Time, limit time.Time) []time.Time {
	for len(times) > 0 && !times[0].After(limit) {
		times = times[1:]
	}
	return times
}
