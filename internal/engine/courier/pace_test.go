package courier

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/engine/chat"
)

// within counts, for the busiest window of that length that begins with a delivery, the deliveries in it. The window is
// open at its end.
func within(times []time.Duration, window time.Duration) int {
	most, first := 0, 0
	for i, at := range times {
		for times[first] <= at-window {
			first++
		}
		most = max(most, i-first+1)
	}
	return most
}

// The figures are those of the Bot FAQ, "My bot is hitting limits, how do I avoid this?": 30 a second over all, 20 a
// minute in a group, one a second in a chat with short bursts tolerated (how short: common practice, no source).
func TestRatesAreKeptAndEverybodyIsServed(t *testing.T) {
	for seed := range uint64(6) {
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			random := rand.New(rand.NewPCG(seed, 1))
			play(t, Options{}, func(s *stage) {
				defer s.run()()
				const rows = 1500
				due := map[uint64]time.Duration{}
				chats := 1 + random.IntN(200)
				for seq := uint64(1); seq <= rows; {
					for range min(1+random.IntN(80), int(rows-seq)+1) {
						id := chat.ID(1 + random.IntN(chats))
						if random.IntN(5) == 0 {
							id = -chat.ID(1 + random.IntN(3))
						}
						due[seq] = time.Since(s.start)
						s.add(post(seq, id, chat.Class(random.IntN(4))))
						seq++
					}
					s.pass(time.Duration(random.Int64N(int64(2 * time.Second))))
				}
				s.settle()

				var all []time.Duration
				each := map[chat.ID][]time.Duration{}
				for _, e := range s.log {
					all = append(all, e.at)
					each[e.chat] = append(each[e.chat], e.at)
					require.GreaterOrEqual(t, e.at, due[e.seq])
				}
				require.Len(t, all, rows, "a row starved or was sent twice")
				require.LessOrEqual(t, within(all, time.Second), 30)
				require.LessOrEqual(t, within(all, 10*time.Second), 5+250)
				for id, times := range each {
					require.LessOrEqual(t, within(times, time.Second), 3+1)
					require.LessOrEqual(t, within(times, 10*time.Second), 3+10)
					if id < 0 {
						require.LessOrEqual(t, within(times, time.Minute), 20)
					}
				}
			})
		})
	}
}

func TestTheAllowanceIsUsed(t *testing.T) {
	play(t, Options{}, func(s *stage) {
		for i := range uint64(255) {
			s.add(post(i+1, chat.ID(i+1), chat.Announcement))
		}
		defer s.run()()
		s.settle()
		require.InDelta(t, 10, time.Since(s.start).Seconds(), 0.001, "5 at once and 25 a second")
	})
	play(t, Options{}, func(s *stage) {
		for i := range uint64(65) {
			s.add(post(i+1, -9, chat.Answer))
		}
		defer s.run()()
		s.settle()
		require.InDelta(t, 4*60, time.Since(s.start).Seconds(), 0.001, "5 soon and 15 a minute")
	})
	play(t, Options{}, func(s *stage) {
		for i := range uint64(13) {
			s.add(post(i+1, 9, chat.Answer))
		}
		defer s.run()()
		s.settle()
		require.InDelta(t, 10, time.Since(s.start).Seconds(), 0.001, "3 at once and one a second")
	})
}

func TestAnAlbumCountsAsItsPhotos(t *testing.T) {
	play(t, Options{}, func(s *stage) {
		album := post(1, 9, chat.Answer)
		album.Message = chat.Message{Photos: []string{"a", "b", "c", "d", "e", "f"}}
		s.add(album, post(2, 9, chat.Answer))
		defer s.run()()
		s.settle()
		require.Equal(t, []time.Duration{0}, s.times(1), "more than a bucket holds goes from a full one")
		require.InDelta(t, 4, s.times(2)[0].Seconds(), 0.001, "and is paid for afterwards")
	})
}

func TestAnAnswerOvertakesAnAnnouncementUnderTheRates(t *testing.T) {
	play(t, Options{}, func(s *stage) {
		for i := range uint64(500) {
			s.add(post(i+1, chat.ID(i+1), chat.Announcement))
		}
		defer s.run()()
		s.pass(5010 * time.Millisecond)
		s.add(post(1000, 1000, chat.Answer))
		s.settle()
		require.Less(t, s.times(1000)[0]-5010*time.Millisecond, 40*time.Millisecond+time.Millisecond, "one place in the rate, no more")
		require.Len(t, s.log, 501)
	})
}

func TestTooManyRequests(t *testing.T) {
	type refusal struct {
		chat  chat.ID
		at    time.Duration
		after time.Duration
	}
	tests := []struct {
		name     string
		refusals []refusal
		want     map[uint64]time.Duration // when rows 1, 2 and 9 get through; 9 is of a chat that was never refused
	}{
		{"one chat waits alone", []refusal{{1, 0, 30 * time.Second}},
			map[uint64]time.Duration{1: 30 * time.Second, 2: 0, 9: 10 * time.Second}},
		{"no figure means a second", []refusal{{1, 0, 0}},
			map[uint64]time.Duration{1: time.Second, 2: 0, 9: 10 * time.Second}},
		{"two chats within a second stop all", []refusal{{1, 0, 30 * time.Second}, {2, time.Second, 30 * time.Second}},
			map[uint64]time.Duration{1: 30 * time.Second, 2: 31 * time.Second, 9: 30 * time.Second}},
		{"two chats further apart do not", []refusal{{1, 0, 30 * time.Second}, {2, 1001 * time.Millisecond, 30 * time.Second}},
			map[uint64]time.Duration{1: 30 * time.Second, 2: 31001 * time.Millisecond, 9: 10 * time.Second}},
		{"the shorter wait is everybody's", []refusal{{1, 0, 10072 * time.Second}, {2, 0, 20 * time.Second}},
			map[uint64]time.Duration{1: 10072 * time.Second, 2: 20 * time.Second, 9: 20 * time.Second}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			play(t, unlimited, func(s *stage) {
				refused := map[chat.ID]bool{}
				s.answer = func(_ int, p chat.Post) Receipt {
					for _, r := range tt.refusals {
						if r.chat == p.Chat && !refused[r.chat] {
							refused[r.chat] = true
							return Receipt{Fate: Later, RetryAfter: r.after}
						}
					}
					return Receipt{Fate: Delivered}
				}
				defer s.run()()
				s.add(post(1, 1, chat.Answer))
				at := time.Duration(0)
				if len(tt.refusals) > 1 {
					at = tt.refusals[1].at
				}
				if at > 0 {
					s.pass(at)
				}
				s.add(post(2, 2, chat.Answer))
				s.pass(10*time.Second - at)
				s.add(post(9, 9, chat.Answer))
				s.settle()
				for seq, want := range tt.want {
					times := s.times(seq)
					require.Equal(t, want, times[len(times)-1], "row %d", seq)
				}
			})
		})
	}
}

func TestOneChatRefusedTwiceIsStillOneChat(t *testing.T) {
	play(t, unlimited, func(s *stage) {
		s.answer = func(n int, p chat.Post) Receipt {
			switch n {
			case 1:
				return Receipt{Fate: Later, RetryAfter: time.Second}
			case 2:
				return Receipt{Fate: Later, RetryAfter: time.Hour}
			}
			return Receipt{Fate: Delivered}
		}
		defer s.run()()
		s.add(post(1, 1, chat.Answer))
		s.pass(2 * time.Second)
		s.add(post(2, 2, chat.Answer))
		s.settle()
		require.Equal(t, []time.Duration{2 * time.Second}, s.times(2))
		require.Equal(t, []time.Duration{0, time.Second, time.Hour + time.Second}, s.times(1))
	})
}

func TestBackOff(t *testing.T) {
	tests := []struct {
		name   string
		jitter float64
		want   []float64 // the waits between tries in seconds, in order
	}{
		{"least", 0, []float64{1, 2, 4, 8, 16, 30, 30, 30}},
		{"middle", 0.5, []float64{1.5, 3, 6, 12, 24, 45, 45}},
		{"most", 1, []float64{2, 4, 8, 16, 32, 60, 60, 60}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			play(t, unlimited, func(s *stage) {
				s.c.jitter = func() float64 { return tt.jitter }
				s.answer = func(_ int, p chat.Post) Receipt {
					if p.Seq == 1 && len(s.times(1)) <= len(tt.want) || p.Seq == 3 && len(s.times(3)) == 1 {
						return Receipt{Fate: Again}
					}
					return Receipt{Fate: Delivered}
				}
				defer s.run()()
				s.add(post(1, 1, chat.Answer), post(2, 1, chat.Answer), post(3, 1, chat.Answer), post(4, 4, chat.Answer))
				s.settle()
				times := s.times(1)
				require.Len(t, times, len(tt.want)+1, "never dropped")
				for i, want := range tt.want {
					require.InDelta(t, want, (times[i+1] - times[i]).Seconds(), 1e-9, "wait %d", i+1)
				}
				require.Equal(t, []time.Duration{times[len(times)-1]}, s.times(2), "order is kept through failures")
				third := s.times(3)
				require.Equal(t, times[1]-times[0], third[1]-third[0], "a success ends the doubling")
				require.Equal(t, []time.Duration{0}, s.times(4), "other chats do not wait")
			})
		})
	}
}

func TestAnUnknownFateIsTriedAgain(t *testing.T) {
	play(t, unlimited, func(s *stage) {
		s.answer = func(n int, p chat.Post) Receipt {
			if n == 1 {
				return Receipt{}
			}
			return Receipt{Fate: Refused}
		}
		defer s.run()()
		s.add(post(1, 1, chat.Answer))
		s.settle()
		require.Equal(t, []time.Duration{0, time.Second}, s.times(1))
		require.Len(t, s.results, 1)
	})
}

func TestRatesDefaults(t *testing.T) {
	require.Equal(t, DefaultRates(), Rates{}.withDefaults())
	require.Equal(t, 7.0, Rates{PerSecond: 7}.withDefaults().PerSecond)
	require.Equal(t, DefaultRates().GroupPerMinute, Rates{PerSecond: 7}.withDefaults().GroupPerMinute)
	require.Equal(t, Unlimited(), Unlimited().withDefaults())
	for _, perMinute := range []float64{0.5, 1, 2, 3, 20, 60} {
		b := Rates{GroupPerMinute: perMinute}.withDefaults().chat(-1)[1]
		require.Positive(t, b.Limit())
		require.GreaterOrEqual(t, b.Burst(), 1)
		if perMinute >= 2 {
			require.InDelta(t, perMinute, float64(b.Burst())+60*float64(b.Limit()), 1e-9)
		}
	}
}

func TestIdleChatsAreForgotten(t *testing.T) {
	play(t, Options{Rates: Rates{PerSecond: 1e6, Burst: 1e6}}, func(s *stage) {
		s.c.sweepAt = 50
		s.c.Hold(9999)
		defer s.run()()
		for i := range uint64(200) {
			s.add(post(i+1, chat.ID(i+1), chat.Answer))
			s.pass(2 * time.Second)
		}
		s.c.sweepAt = 0
		s.add(post(1000, 1000, chat.Answer))
		s.settle()
		require.Len(t, s.c.rooms, 2, "the held one and the one just served stay")
	})
}
