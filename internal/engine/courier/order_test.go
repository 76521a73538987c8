package courier

import (
	"context"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/engine/chat"
)

func TestRowsOfOneChatGoInOrderAndOnlyAfterTheRecord(t *testing.T) {
	play(t, unlimited, func(s *stage) {
		s.record = func(Result) {} // the writer is slow
		defer s.run()()
		s.add(post(3, 7, chat.Answer), post(1, 7, chat.Answer), post(2, 7, chat.Reminder), post(2, 7, chat.Answer))
		synctest.Wait()
		require.Equal(t, []uint64{1}, s.seqs())
		s.pass(time.Hour)
		require.Equal(t, []uint64{1}, s.seqs(), "the next row went before the first was recorded")

		s.c.Recorded(1)
		synctest.Wait()
		require.Equal(t, []uint64{1, 2}, s.seqs())
		s.c.Recorded(1) // a second record of the same row changes nothing
		s.c.Recorded(99)
		synctest.Wait()
		require.Equal(t, []uint64{1, 2}, s.seqs())
		s.c.Recorded(2)
		synctest.Wait()
		s.c.Recorded(3)
		s.settle()
		require.Equal(t, []uint64{1, 2, 3}, s.seqs())
		require.Equal(t, chat.Reminder, s.results[1].Post.Class, "a row that is known already was replaced")
	})
}

func TestUrgentClassesGoFirstAmongChats(t *testing.T) {
	play(t, Options{Rates: Unlimited(), InFlight: 1}, func(s *stage) {
		s.add(
			post(1, 1, chat.Announcement), post(2, 2, chat.Reminder), post(3, 3, chat.HeatingEnd),
			post(4, 4, chat.Answer), post(5, 5, chat.Answer), post(6, 6, chat.Announcement),
			// An answer behind a reminder lifts the reminder, which is in its way.
			post(7, 7, chat.Reminder), post(8, 7, chat.Answer),
		)
		defer s.run()()
		s.settle()
		require.Equal(t, []uint64{4, 5, 7, 8, 3, 2, 1, 6}, s.seqs())
	})
}

func TestAnnouncementsYieldToPeopleWithinAChat(t *testing.T) {
	play(t, unlimited, func(s *stage) {
		s.take = lasting(time.Second)
		defer s.run()()
		s.add(post(1, 7, chat.Announcement), post(2, 7, chat.Announcement), post(3, 7, chat.Announcement))
		synctest.Wait()
		s.add(post(4, 7, chat.Answer), post(5, 7, chat.Reminder))
		s.settle()
		require.Equal(t, []uint64{1, 4, 5, 2, 3}, s.seqs(), "only the row in flight may delay an answer")
	})
}

func TestAnEditDoesNotOvertakeTheAnnouncementItEdits(t *testing.T) {
	play(t, Options{Rates: Unlimited(), InFlight: 1}, func(s *stage) {
		named := post(2, 7, chat.Announcement)
		named.Handle = "notice-1"
		edit := chat.Post{Seq: 4, Chat: 7, Op: chat.Edit, Handle: "notice-1", Class: chat.Answer}
		s.add(post(1, 7, chat.Announcement), named, post(3, 7, chat.Announcement), edit, post(5, 7, chat.Answer))
		// The announcement fails at first: it must keep its place before its edit.
		s.answer = func(n int, p chat.Post) Receipt {
			if n == 1 {
				return Receipt{Fate: Again}
			}
			return Receipt{Fate: Delivered}
		}
		defer s.run()()
		s.settle()
		require.Equal(t, []uint64{2, 2, 4, 5, 1, 3}, s.seqs())
	})
}

func TestAnAnnouncementDoesNotOvertakeAnEarlierRowOfItsMessage(t *testing.T) {
	play(t, unlimited, func(s *stage) {
		later := post(2, 7, chat.Announcement)
		later.Handle = "card"
		s.add(chat.Post{Seq: 1, Chat: 7, Op: chat.Edit, Handle: "card"}, later)
		defer s.run()()
		s.settle()
		require.Equal(t, []uint64{1, 2}, s.seqs())
	})
}

func TestTheNumberOfAHandleIsLookedUpWhenItsRowGoes(t *testing.T) {
	play(t, unlimited, func(s *stage) {
		s.numbers["card"] = 41
		s.record = func(r Result) {
			s.set(func() { s.numbers[r.Post.Handle] = r.Receipt.Message })
			s.c.Recorded(r.Post.Seq)
		}
		defer s.run()()
		s.add(
			chat.Post{Seq: 1, Chat: 7, Op: chat.Send, Handle: "card"},
			chat.Post{Seq: 2, Chat: 7, Op: chat.Edit, Handle: "card"},
			chat.Post{Seq: 3, Chat: 7, Op: chat.Strip, Handle: "other"},
		)
		s.settle()
		require.Equal(t, []sent{{0, 1, 7, 0}, {0, 2, 7, 1001}, {0, 3, 7, 0}}, s.log)
	})
}

func TestNoMoreAreInFlightThanMayBeRepeated(t *testing.T) {
	play(t, unlimited, func(s *stage) {
		s.record = func(Result) {}
		defer s.run()()
		for i := range uint64(100) {
			s.add(post(i+1, chat.ID(i+1), chat.Answer))
		}
		s.pass(time.Hour)
		require.Len(t, s.log, DefaultInFlight)
		for i := range uint64(10) {
			s.c.Recorded(i + 1)
		}
		s.pass(time.Hour)
		require.Len(t, s.log, DefaultInFlight+10, "a record gives back one slot")
		for i := uint64(11); i <= 100; i++ {
			s.c.Recorded(i)
			synctest.Wait()
		}
		s.settle()
		require.Len(t, s.log, 100)
	})
}

func TestAFailedTryGivesItsSlotBackAtOnce(t *testing.T) {
	play(t, Options{Rates: Unlimited(), InFlight: 1}, func(s *stage) {
		s.answer = func(n int, p chat.Post) Receipt {
			if p.Chat == 1 && n == 1 {
				return Receipt{Fate: Later, RetryAfter: time.Hour}
			}
			return Receipt{Fate: Delivered}
		}
		defer s.run()()
		s.add(post(1, 1, chat.Answer), post(2, 2, chat.Answer))
		synctest.Wait()
		require.Equal(t, []uint64{1, 2}, s.seqs())
		s.settle()
		require.Equal(t, []time.Duration{0, time.Hour}, s.times(1))
	})
}

func TestHangingAnnouncementsLeaveSlotsForPeople(t *testing.T) {
	play(t, Options{Rates: Unlimited(), InFlight: 8}, func(s *stage) {
		s.take = lasting(time.Minute)
		defer s.run()()
		for i := range uint64(20) {
			s.add(post(i+1, chat.ID(i+1), chat.Announcement))
		}
		s.pass(time.Second)
		require.Len(t, s.log, 6, "announcements take three quarters of the slots")
		s.add(post(50, 50, chat.Answer))
		synctest.Wait()
		require.Equal(t, []time.Duration{time.Second}, s.times(50))
		s.settle()
		require.Len(t, s.log, 21)
	})
}

func TestToasts(t *testing.T) {
	play(t, unlimited, func(s *stage) {
		block := make(chan struct{})
		s.chime = func(ctx context.Context, press string) { <-block }
		defer s.run()()
		for i := range 300 {
			s.c.Toast(1, string(rune('a'+i%26)), "", i == 0)
		}
		synctest.Wait()
		require.LessOrEqual(t, len(s.toasts), toastsAtOnce, "answers to presses are not bounded")
		require.NotEmpty(t, s.toasts)
		close(block)
		s.settle()
		require.GreaterOrEqual(t, len(s.toasts), toastsKept)
		require.LessOrEqual(t, len(s.toasts), toastsKept+toastsAtOnce)
	})
}

func TestAToastDoesNotWaitForRates(t *testing.T) {
	play(t, Options{Rates: Rates{PerSecond: 0.001, Burst: 1}}, func(s *stage) {
		defer s.run()()
		s.add(post(1, 1, chat.Answer), post(2, 2, chat.Answer))
		synctest.Wait()
		s.c.Toast(1, "p", "saved", true)
		synctest.Wait()
		require.Equal(t, []string{"p:saved!"}, s.toasts)
		require.Equal(t, []uint64{1}, s.seqs())
	})
}
