package courier

import (
	"context"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/engine/chat"
)

func TestNothingIsSentInATimeOfRest(t *testing.T) {
	play(t, unlimited, func(s *stage) {
		defer s.run()()
		s.set(func() { s.rest = true })
		s.add(post(1, 1, chat.Answer), post(2, 2, chat.HeatingEnd))
		s.c.Toast(1, "p1", "words", false)
		s.c.Toast(1, "p2", "", false)
		s.pass(25 * time.Hour)
		require.Empty(t, s.seqs())
		require.Equal(t, []string{"p2:"}, s.toasts, "only the answer without words is transport")
		s.settle() // owed, but not deliverable now

		s.set(func() { s.rest = false })
		s.c.Wake()
		s.settle()
		require.ElementsMatch(t, []uint64{1, 2}, s.seqs())
	})
}

func TestRestThatBeginsDuringABackOffIsKept(t *testing.T) {
	play(t, unlimited, func(s *stage) {
		s.answer = func(n int, p chat.Post) Receipt {
			if n == 1 {
				return Receipt{Fate: Again}
			}
			return Receipt{Fate: Delivered}
		}
		defer s.run()()
		s.add(post(1, 1, chat.Answer))
		synctest.Wait()
		s.set(func() { s.rest = true })
		s.pass(24 * time.Hour)
		require.Len(t, s.log, 1)
		s.set(func() { s.rest = false })
		s.c.Wake()
		s.settle()
		require.Len(t, s.log, 2)
	})
}

func TestAToastThatWaitedIntoATimeOfRestIsNotSent(t *testing.T) {
	play(t, unlimited, func(s *stage) {
		s.c.Toast(1, "p1", "words", false) // nobody runs yet
		s.c.Toast(1, "p2", "", false)
		s.set(func() { s.rest = true })
		defer s.run()()
		s.settle()
		require.Equal(t, []string{"p2:"}, s.toasts)
	})
}

// Chats live in different places: what one of them rests for does not hold up the others, nor do more than all slots of them.
func TestOneChatRestsAndOthersDoNot(t *testing.T) {
	play(t, unlimited, func(s *stage) {
		defer s.run()()
		s.set(func() {
			for c := chat.ID(1); c <= 2*DefaultInFlight; c++ {
				s.away[c] = true
			}
		})
		for c := chat.ID(1); c <= 2*DefaultInFlight; c++ {
			s.add(post(uint64(c), c, chat.Answer))
		}
		s.add(post(100, 100, chat.Announcement))
		s.c.Toast(1, "p1", "words", false)
		s.c.Toast(100, "p2", "words", false)
		s.settle()
		require.Equal(t, []uint64{100}, s.seqs())
		require.Equal(t, []string{"p2:words"}, s.toasts)

		s.set(func() { delete(s.away, 1) })
		s.c.Wake()
		s.settle()
		require.Equal(t, []uint64{100, 1}, s.seqs())
		s.add(post(101, 1, chat.Answer), post(102, 2, chat.Answer))
		s.settle()
		require.Equal(t, []uint64{100, 1, 101}, s.seqs())
		s.c.Hold(3)
		s.set(func() { clear(s.away) })
		s.c.Wake()
		s.settle()
		require.Len(t, s.seqs(), 2*DefaultInFlight+2, "all but the one of the chat that is held")
	})
}

func TestHeldChatsWaitAndOthersDoNot(t *testing.T) {
	play(t, unlimited, func(s *stage) {
		s.c.Hold(1)
		defer s.run()()
		s.add(post(1, 1, chat.Answer), post(2, 2, chat.Answer), post(3, 1, chat.Answer))
		s.settle()
		require.Equal(t, []uint64{2}, s.seqs())
		s.c.Release(1)
		s.settle()
		require.Equal(t, []uint64{2, 1, 3}, s.seqs())
	})
}

func TestAClosedChatIsHeldBeforeItsNextRow(t *testing.T) {
	play(t, unlimited, func(s *stage) {
		s.answer = func(n int, p chat.Post) Receipt { return Receipt{Fate: Gone, Why: "blocked"} }
		s.record = func(r Result) {
			s.c.Hold(r.Post.Chat)
			s.c.Recorded(r.Post.Seq)
		}
		defer s.run()()
		s.add(post(1, 1, chat.Answer), post(2, 1, chat.Answer))
		s.settle()
		require.Equal(t, []uint64{1}, s.seqs())
		require.Equal(t, Gone, s.results[0].Receipt.Fate)
	})
}

func TestDrop(t *testing.T) {
	play(t, unlimited, func(s *stage) {
		s.take = lasting(time.Second)
		s.answer = func(n int, p chat.Post) Receipt {
			if p.Seq == 4 {
				return Receipt{Fate: Again}
			}
			return Receipt{Fate: Delivered}
		}
		defer s.run()()
		s.add(post(1, 1, chat.Answer), post(2, 1, chat.Answer), post(3, 1, chat.Answer), post(4, 4, chat.Answer), post(5, 4, chat.Answer))
		synctest.Wait()
		s.c.Drop([]uint64{1, 2, 4, 77}) // 1 and 4 are on their way
		s.settle()
		require.ElementsMatch(t, []uint64{1, 3, 4, 5}, s.seqs(), "a dropped row waits no more, and is not tried again")
		var results []uint64
		for _, r := range s.results {
			results = append(results, r.Post.Seq)
		}
		require.ElementsMatch(t, []uint64{1, 3, 5}, results, "what was delivered is told, dropped or not")
	})
}

func TestAGroupThatMoved(t *testing.T) {
	const from, to chat.ID = -5, -1005
	moved := func(n int, p chat.Post) Receipt {
		if p.Chat == from {
			return Receipt{Fate: Moved, MovedTo: to}
		}
		return Receipt{Fate: Delivered}
	}
	t.Run("rows keep their numbers", func(t *testing.T) {
		play(t, unlimited, func(s *stage) {
			s.answer = moved
			s.record = func(r Result) {
				if r.Receipt.Fate == Moved {
					s.c.Rekey(r.Post.Chat, r.Receipt.MovedTo)
				}
				s.c.Recorded(r.Post.Seq)
			}
			s.add(post(1, from, chat.Answer), post(2, from, chat.Announcement), post(3, to, chat.Answer), post(4, from, chat.Answer))
			s.c.Hold(to)
			defer s.run()()
			s.pass(time.Second)
			s.c.Release(to)
			s.settle()
			require.Equal(t, []sent{{0, 1, from, 0}, {time.Second, 1, to, 0}, {time.Second, 3, to, 0}, {time.Second, 4, to, 0}, {time.Second, 2, to, 0}}, s.log)
			require.Equal(t, to, s.results[len(s.results)-1].Post.Chat)
		})
	})
	t.Run("rows get new numbers", func(t *testing.T) {
		play(t, unlimited, func(s *stage) {
			s.answer = moved
			s.record = func(r Result) {
				if r.Receipt.Fate == Moved {
					s.c.Drop([]uint64{1, 2})
					s.c.Add([]chat.Post{post(11, to, chat.Answer), post(12, to, chat.Answer)})
					s.c.Rekey(from, to)
				}
				s.c.Recorded(r.Post.Seq)
			}
			s.add(post(1, from, chat.Answer), post(2, from, chat.Answer))
			defer s.run()()
			s.settle()
			require.Equal(t, []uint64{1, 11, 12}, s.seqs())
		})
	})
	t.Run("the move is known while a row is on its way", func(t *testing.T) {
		play(t, unlimited, func(s *stage) {
			s.answer = moved
			s.take = lasting(time.Second)
			defer s.run()()
			s.add(post(1, from, chat.Answer), post(2, from, chat.Answer))
			synctest.Wait()
			s.c.Rekey(from, to)
			s.settle()
			require.Equal(t, []sent{{0, 1, from, 0}, {time.Second, 1, to, 0}, {2 * time.Second, 2, to, 0}}, s.log)
			require.Len(t, s.results, 2)
		})
	})
	t.Run("a row on its way arrives all the same", func(t *testing.T) {
		play(t, unlimited, func(s *stage) {
			s.take = lasting(time.Second)
			defer s.run()()
			s.add(post(1, from, chat.Answer))
			synctest.Wait()
			s.c.Rekey(from, to)
			s.settle()
			require.Equal(t, to, s.results[0].Post.Chat, "the writer finds the row under the new id")
			require.Len(t, s.c.rooms, 1)
		})
	})
	t.Run("the pace moves along and the hold does not", func(t *testing.T) {
		play(t, Options{}, func(s *stage) {
			defer s.run()()
			s.add(post(1, from, chat.Answer), post(2, from, chat.Answer), post(3, from, chat.Answer))
			synctest.Wait()
			s.c.Hold(from)
			s.c.Rekey(from, to)
			s.add(post(4, to, chat.Answer), post(5, from, chat.Answer))
			s.settle()
			require.Equal(t, []sent{{time.Second, 4, to, 0}}, s.log[3:])
		})
	})
	t.Run("nobody says where to", func(t *testing.T) {
		play(t, unlimited, func(s *stage) {
			s.answer = func(n int, p chat.Post) Receipt { return Receipt{Fate: Moved, MovedTo: to} }
			defer s.run()()
			s.add(post(1, from, chat.Answer))
			s.settle()
			require.Len(t, s.log, 1, "without Rekey a recorded row is done with")
			s.c.Rekey(from, from)
			s.c.Rekey(-77, -78)
		})
	})
}

func TestTheEndOfRun(t *testing.T) {
	t.Run("sends on their way may finish", func(t *testing.T) {
		play(t, Options{Rates: Unlimited(), Grace: 3 * time.Second}, func(s *stage) {
			s.take = lasting(2 * time.Second)
			stop := s.run()
			s.add(post(1, 1, chat.Answer), post(2, 1, chat.Answer))
			s.c.Toast(1, "p", "", false)
			synctest.Wait()
			stop()
			require.Equal(t, 2*time.Second, time.Since(s.start))
			require.Len(t, s.results, 1, "the result of a send that finished is told")
			require.Equal(t, []uint64{1}, s.seqs(), "nothing new is sent after the end")
		})
	})
	t.Run("and are cancelled in the end", func(t *testing.T) {
		play(t, Options{Rates: Unlimited(), Grace: 3 * time.Second}, func(s *stage) {
			s.take = lasting(time.Hour)
			stop := s.run()
			s.add(post(1, 1, chat.Answer))
			synctest.Wait()
			stop()
			require.Equal(t, 3*time.Second, time.Since(s.start))
			require.Empty(t, s.results)
			s.take = nil
			stop = s.run() // and it can run again
			s.settle()
			stop()
			require.Equal(t, []uint64{1, 1}, s.seqs())
		})
	})
	t.Run("one at a time", func(t *testing.T) {
		play(t, unlimited, func(s *stage) {
			defer s.run()()
			synctest.Wait()
			require.ErrorIs(t, s.c.Run(context.Background()), ErrRunning)
		})
	})
}

func TestSettledEndsWithItsContext(t *testing.T) {
	play(t, unlimited, func(s *stage) {
		s.add(post(1, 1, chat.Answer)) // and nobody runs
		ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
		defer cancel()
		require.ErrorIs(t, s.c.Settled(ctx), context.DeadlineExceeded)
	})
}

func TestSettledWaitsForTheRecord(t *testing.T) {
	play(t, unlimited, func(s *stage) {
		s.record = func(r Result) {
			time.AfterFunc(time.Minute, func() { s.c.Recorded(r.Post.Seq) })
		}
		defer s.run()()
		s.add(post(1, 1, chat.Answer))
		s.settle()
		require.Equal(t, time.Minute, time.Since(s.start))
	})
}

func TestNewRefusesOptionsWithoutWhichNothingWorks(t *testing.T) {
	require.Panics(t, func() { New(Options{}) })
	require.Panics(t, func() { New(Options{Sender: &stage{}}) })
}
