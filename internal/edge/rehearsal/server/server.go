package server

import (
	"context"
	"errors"
	"strconv"
	"strings"
	"sync"
	"time"
)

// machineNow is the package's only reader of the machine's clock.
var machineNow = time.Now

// ErrClosed is returned by Wait and Until when the server was closed meanwhile.
var ErrClosed = errors.New("rehearsal server is closed")

// Server is the local Bot API server. It is an http.Handler and safe for use by several goroutines; it starts none of
// its own. One mutex guards everything: a call of the bot and an action of a person each happen as a whole.
type Server struct {
	o   Options
	bot int64 // the bot's user id: the number before the colon of its token

	mu     sync.Mutex
	closed chan struct{} // closed by Close
	pulse  chan struct{} // closed and replaced at every change of anything
	seq    int
	log    []Entry

	people     map[int64]*person
	rooms      map[int64]*room
	roomOrder  []int64
	supergroup int64 // how many supergroups were made by migration

	files    map[string]*file
	byPath   map[string]*file
	fileNo   int
	albumNo  int
	presses  map[string]*press
	pressNo  int
	settings map[string]string // names, descriptions, commands, menu buttons; see settings.go
	webhook  string

	queue   queue
	poll    *poll // the getUpdates that waits at present
	rates   rateState
	faults  []Fault
	faultNo int
}

// New returns a Server without people, groups or messages.
func New(o Options) *Server {
	if o.Token == "" {
		o.Token = DefaultToken
	}
	if o.BotName == "" {
		o.BotName = DefaultBotName
	}
	if o.Machine == nil {
		o.Machine = machineNow
	}
	if o.Now == nil {
		o.Now = machineNow
	}
	for _, d := range []struct {
		value    *time.Duration
		standard time.Duration
	}{
		{&o.KeepMessages, 24 * time.Hour},
		{&o.KeepPresses, 150 * time.Second},
		{&o.AnswerWindow, time.Minute},
		{&o.Slow, 15 * time.Second},
	} {
		if *d.value == 0 {
			*d.value = d.standard
		}
	}
	number, _, _ := strings.Cut(o.Token, ":")
	id, err := strconv.ParseInt(number, 10, 64)
	if err != nil || id <= 0 {
		id = 123456
	}
	return &Server{
		o:        o,
		bot:      id,
		closed:   make(chan struct{}),
		pulse:    make(chan struct{}),
		people:   map[int64]*person{},
		rooms:    map[int64]*room{},
		files:    map[string]*file{},
		byPath:   map[string]*file{},
		presses:  map[string]*press{},
		settings: map[string]string{},
		queue:    queue{next: firstUpdateID},
		rates:    rateState{rooms: map[int64]*roomRate{}},
	}
}

// Close ends waiting polls and held-back answers; what they and all later calls get is a 502. Waiting in Wait and Until
// ends with ErrClosed. A second Close does nothing. It always returns nil.
func (s *Server) Close() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if !s.isClosed() {
		close(s.closed)
	}
	return nil
}

// isClosed tells whether Close was called.
func (s *Server) isClosed() bool {
	select {
	case <-s.closed:
		return true
	default:
		return false
	}
}

// BotID is the bot's user id, the number before the colon of its token.
func (s *Server) BotID() int64 { return s.bot }

// Seq is the current sequence number. It grows with every entry of the log and with every action of a person.
func (s *Server) Seq() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.seq
}

// Wait returns nil as soon as the sequence is beyond after. It returns the context's error when that ends first, and
// ErrClosed when the server does.
func (s *Server) Wait(ctx context.Context, after int) error {
	return s.Until(ctx, func() bool { return s.Seq() > after })
}

// Until returns nil as soon as condition holds. It is asked at once and after every change of anything in the server,
// confirmed updates and used up faults included, and may call the server's methods. Until returns the context's error
// when that ends first, and ErrClosed when the server does.
func (s *Server) Until(ctx context.Context, condition func() bool) error {
	for {
		s.mu.Lock()
		pulse := s.pulse
		s.mu.Unlock()
		if condition() {
			return nil
		}
		select {
		case <-pulse:
		case <-ctx.Done():
			return ctx.Err()
		case <-s.closed:
			return ErrClosed
		}
	}
}

// stir wakes everybody who waits for a change. The mutex is held.
func (s *Server) stir() {
	close(s.pulse)
	s.pulse = make(chan struct{})
}

// advance counts an action and wakes everybody who waits. The mutex is held.
func (s *Server) advance() {
	s.seq++
	s.stir()
}
