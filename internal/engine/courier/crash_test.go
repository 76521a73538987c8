package courier

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/engine/chat"
)

// TestACrashLosesNothingAndRepeatsLittle plays a program that dies at any moment and starts again from the outbox: every
// row arrives, in order, and a crash repeats at most what was in flight.
func TestACrashLosesNothingAndRepeatsLittle(t *testing.T) {
	for seed := range uint64(8) {
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				random, messenger := rand.New(rand.NewPCG(seed, 2)), rand.New(rand.NewPCG(seed, 3))
				s := newStage(t)
				const rows, inFlight = 300, 5
				crashes := 0
				s.take = func(ctx context.Context, p chat.Post) *Receipt {
					s.mu.Lock()
					d := time.Duration(messenger.Int64N(int64(time.Second)))
					s.mu.Unlock()
					// The messenger has the message, but a crash takes the answer.
					return lasting(d)(ctx, p)
				}
				var left []chat.Post
				for i := range uint64(rows) {
					left = append(left, post(i+1, chat.ID(1+random.IntN(20)), chat.Answer))
				}
				for len(left) > 0 || len(s.owed) > 0 { // nothing runs here
					s.make(Options{Rates: Unlimited(), InFlight: inFlight, Grace: time.Nanosecond})
					s.mu.Lock()
					stored := make([]chat.Post, 0, len(s.owed))
					for _, p := range s.owed {
						stored = append(stored, p)
					}
					s.mu.Unlock()
					s.c.Load(stored)
					stop := s.run()
					n := min(len(left), 20)
					s.add(left[:n]...)
					left = left[n:]
					if len(left) > 0 {
						s.pass(time.Duration(random.Int64N(int64(3 * time.Second))))
						crashes++
					} else {
						s.settle()
					}
					stop()
				}
				tries := map[uint64]int{}
				last := map[chat.ID]uint64{}
				repeats := 0
				for _, e := range s.log {
					if tries[e.seq]++; tries[e.seq] > 1 {
						repeats++
					}
					require.GreaterOrEqual(t, e.seq, last[e.chat], "chat %d went back", e.chat)
					last[e.chat] = e.seq
				}
				require.Len(t, tries, rows)
				require.Positive(t, crashes)
				require.LessOrEqual(t, repeats, crashes*inFlight)
				var done []uint64
				for _, r := range s.results {
					done = append(done, r.Post.Seq)
				}
				slices.Sort(done)
				require.Len(t, slices.Compact(done), rows)
			})
		})
	}
}

// TestARowStaysUntilItIsRecorded: a result that the writer never commits leaves the row owed, and the next courier sends
// it once more.
func TestARowStaysUntilItIsRecorded(t *testing.T) {
	play(t, unlimited, func(s *stage) {
		s.record = func(Result) {} // the program dies before the commit
		stop := s.run()
		s.add(post(1, 1, chat.Answer), post(2, 1, chat.Answer))
		synctest.Wait()
		stop()
		require.Equal(t, []uint64{1}, s.seqs())

		s.record = nil
		s.make(unlimited)
		s.c.Load([]chat.Post{s.owed[2], s.owed[1]})
		stop = s.run()
		s.settle()
		stop()
		require.Equal(t, []uint64{1, 1, 2}, s.seqs())
	})
}
