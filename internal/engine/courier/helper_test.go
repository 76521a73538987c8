package courier

import (
	"context"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"
	"go.uber.org/goleak"

	"benyomo/internal/engine/chat"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// sent is one try that reached the messenger of these tests.
type sent struct {
	at      time.Duration // since the start
	seq     uint64
	chat    chat.ID
	message int
}

// stage is a messenger, an outbox and a writer in memory, inside a bubble of fake time.
type stage struct {
	t     *testing.T
	start time.Time
	c     *Courier

	mu      sync.Mutex
	log     []sent
	toasts  []string
	results []Result
	busy    map[chat.ID]int
	rest    bool             // of every chat
	away    map[chat.ID]bool // chats that rest by themselves
	numbers map[chat.Handle]int
	owed    map[uint64]chat.Post

	answer func(n int, p chat.Post) Receipt                // n counts the tries of all rows from 1; nil: delivered
	take   func(ctx context.Context, p chat.Post) *Receipt // how long a send takes, and what a cancelled one says
	record func(r Result)                                  // nil: recorded at once
	chime  func(ctx context.Context, press string)         // how long a toast takes
}

// play runs a test in a bubble with a stage. The courier is made by prepare's options and not yet running.
func play(t *testing.T, o Options, body func(s *stage)) {
	t.Helper()
	synctest.Test(t, func(t *testing.T) {
		s := newStage(t)
		s.make(o)
		body(s)
	})
}

func newStage(t *testing.T) *stage {
	return &stage{t: t, start: time.Now(), busy: map[chat.ID]int{}, numbers: map[chat.Handle]int{}, away: map[chat.ID]bool{}, owed: map[uint64]chat.Post{}}
}

// make builds the courier, a new one after a crash.
func (s *stage) make(o Options) {
	o.Sender = s
	o.Resting = func(c chat.ID) bool {
		s.mu.Lock()
		defer s.mu.Unlock()
		return s.rest || s.away[c]
	}
	if o.Lookup == nil {
		o.Lookup = func(_ chat.ID, h chat.Handle) int {
			s.mu.Lock()
			defer s.mu.Unlock()
			return s.numbers[h]
		}
	}
	var c *Courier
	o.Results = func(r Result) {
		s.mu.Lock()
		s.results = append(s.results, r)
		record := s.record
		s.mu.Unlock()
		if record != nil {
			record(r)
			return
		}
		s.mu.Lock()
		delete(s.owed, r.Post.Seq)
		s.mu.Unlock()
		c.Recorded(r.Post.Seq)
	}
	c = New(o)
	c.jitter = func() float64 { return 0 }
	s.c = c
}

// run starts the courier; the function it returns ends it and waits.
func (s *stage) run() (stop func()) {
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- s.c.Run(ctx) }()
	return func() {
		s.t.Helper()
		cancel()
		require.NoError(s.t, <-done)
	}
}

// add commits rows and tells the courier.
func (s *stage) add(posts ...chat.Post) {
	s.mu.Lock()
	for _, p := range posts {
		s.owed[p.Seq] = p
	}
	s.mu.Unlock()
	s.c.Add(posts)
}

// settle waits until the courier says it is settled. Fake time passes as needed.
func (s *stage) settle() {
	s.t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 24*time.Hour)
	defer cancel()
	require.NoError(s.t, s.c.Settled(ctx))
}

// pass lets fake time go by.
func (s *stage) pass(d time.Duration) {
	<-time.After(d)
	synctest.Wait()
}

func (s *stage) Deliver(ctx context.Context, p chat.Post, message int) Receipt {
	s.mu.Lock()
	s.busy[p.Chat]++
	require.Equal(s.t, 1, s.busy[p.Chat], "two rows of chat %d at once", p.Chat)
	s.log = append(s.log, sent{time.Since(s.start), p.Seq, p.Chat, message})
	n := len(s.log)
	answer, take := s.answer, s.take
	s.mu.Unlock()
	defer func() {
		s.mu.Lock()
		s.busy[p.Chat]--
		s.mu.Unlock()
	}()
	if take != nil {
		if r := take(ctx, p); r != nil {
			return *r
		}
	}
	if answer != nil {
		return answer(n, p)
	}
	return Receipt{Fate: Delivered, Message: int(p.Seq) + 1000}
}

func (s *stage) Toast(ctx context.Context, press, text string, alert bool) {
	s.mu.Lock()
	entry := press + ":" + text
	if alert {
		entry += "!"
	}
	s.toasts = append(s.toasts, entry)
	chime := s.chime
	s.mu.Unlock()
	if chime != nil {
		chime(ctx, press)
	}
}

// seqs lists the rows that were tried, in order.
func (s *stage) seqs() []uint64 {
	s.mu.Lock()
	defer s.mu.Unlock()
	list := []uint64{}
	for _, e := range s.log {
		list = append(list, e.seq)
	}
	return list
}

// times lists when a row was tried.
func (s *stage) times(seq uint64) []time.Duration {
	s.mu.Lock()
	defer s.mu.Unlock()
	var list []time.Duration
	for _, e := range s.log {
		if e.seq == seq {
			list = append(list, e.at)
		}
	}
	return list
}

func (s *stage) set(f func()) {
	s.mu.Lock()
	defer s.mu.Unlock()
	f()
}

// lasting is a take that lasts so long, or until it is cancelled.
func lasting(d time.Duration) func(context.Context, chat.Post) *Receipt {
	return func(ctx context.Context, _ chat.Post) *Receipt {
		select {
		case <-time.After(d):
			return nil
		case <-ctx.Done():
			return &Receipt{Fate: Again, Why: "cancelled"}
		}
	}
}

// post makes a row that sends.
func post(seq uint64, to chat.ID, class chat.Class) chat.Post {
	return chat.Post{Seq: seq, Chat: to, Op: chat.Send, Class: class, Message: chat.Say("words")}
}

var unlimited = Options{Rates: Unlimited()}
