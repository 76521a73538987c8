// Package stage puts the program and a local Bot API server together on loopback, with an invented community: for the
// rehearsal, and for the tests that play whole conversations. The program is the real one: it reaches the server over HTTP,
// as it would reach the public one.
//
// Nothing of the program is replaced or known here but its start and its clocks.
package stage

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"time"

	"benyomo/internal/app"
	"benyomo/internal/app/config"
	"benyomo/internal/edge/rehearsal/server"
	"benyomo/internal/edge/telegram"
	"benyomo/internal/engine/clock"
	"benyomo/internal/engine/courier"
	"benyomo/internal/engine/store"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/find"
	"benyomo/internal/idea/luach"
	"benyomo/internal/person/rabbi"
)

// The people of the invented community Kehillas Emek Rimon.
const (
	Member  = 200000001
	Visitor = 200000002 // of a household in another place, in a rehearsal
	Rabbi   = 100000001
	Office  = 100000002
)

// Place is where the invented community is.
func Place() luach.Place {
	c, err := config.Parse("the invented community", config.Example)
	if err != nil {
		panic(err) // the example is checked by a test
	}
	return c.Place
}

// Options say how the stage is set.
type Options struct {
	Data       string // folder of the program's data
	Listen     string // loopback address; "" means any free port
	Pack       *dialog.Pack
	Finder     *find.Finder // of the pack; nil means that the program makes one
	Household  clock.Clock
	Machine    clock.Clock
	Poll       time.Duration // of one poll; 0 means the program's default
	Rates      *courier.Rates
	Log        *slog.Logger
	Version    string
	Unapproved bool // the rabbi has approved nothing yet, and no positions are set
	// Change alters the community's configuration before the start.
	Change func(*config.Config)
	// Front serves what is not the Bot API.
	Front http.Handler
}

// Stage is a running local server, and the program on it when it is started.
type Stage struct {
	Server *server.Server
	App    *app.App
	Config *config.Config

	o    Options
	http *http.Server
	base string
	over chan error

	closeFront func() // ends its requests that wait; nil where there is nothing to end

	also func(*store.Tx, time.Time) // what is in the data at the start besides, or nil
}

// Set starts the local server. The program is started by Begin.
func Set(o Options) (*Stage, error) {
	cfg, err := config.Parse("the invented community", config.Example)
	if err != nil {
		return nil, fmt.Errorf("example configuration: %w", err)
	}
	if o.Machine == nil {
		o.Machine = clock.System{}
	}
	if o.Household == nil {
		o.Household = o.Machine
	}
	s := &Stage{o: o, Config: cfg, over: make(chan error, 1)}
	s.Server = server.New(server.Options{Now: o.Household.Now, Machine: o.Machine.Now})
	l, err := listen(o.Listen)
	if err != nil {
		return nil, err
	}
	s.base = "http://" + l.Addr().String()
	cfg.API, cfg.Data, cfg.Admission = s.base, o.Data, config.Anybody
	cfg.ApprovingRabbi, cfg.Rabbis, cfg.Office, cfg.Inbox = Rabbi, nil, []int64{Office}, 0
	if o.Change != nil {
		o.Change(cfg)
	}
	s.http = &http.Server{Handler: s, ReadHeaderTimeout: 10 * time.Second}
	go func() { s.over <- s.http.Serve(l) }()
	return s, nil
}

// listen opens a loopback port and refuses any other: the server answers without a password.
func listen(address string) (net.Listener, error) {
	if address == "" {
		address = "127.0.0.1:0"
	}
	host, _, err := net.SplitHostPort(address)
	if ip := net.ParseIP(host); err != nil || ip == nil || !ip.IsLoopback() {
		return nil, fmt.Errorf("address %q: give a loopback one, such as 127.0.0.1:8080", address)
	}
	l, err := net.Listen("tcp", address)
	if err != nil {
		return nil, fmt.Errorf("listen: %w", err)
	}
	return l, nil
}

// ServeHTTP gives the Bot API its paths, and the front the others.
func (s *Stage) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	switch {
	case strings.HasPrefix(r.URL.Path, "/bot"), strings.HasPrefix(r.URL.Path, "/file/"):
		s.Server.ServeHTTP(w, r)
	case s.o.Front != nil:
		s.o.Front.ServeHTTP(w, r)
	default:
		http.NotFound(w, r)
	}
}

// URL is the address of the front.
func (s *Stage) URL() string { return s.base + "/" }

// Begin starts the program.
func (s *Stage) Begin(ctx context.Context) error {
	o := app.Options{
		Config: s.Config, Token: telegram.Secret(server.DefaultToken), Pack: s.o.Pack, Finder: s.o.Finder, Household: s.o.Household, Machine: s.o.Machine,
		Poll: s.o.Poll, Rates: s.o.Rates, Log: s.o.Log, Version: s.o.Version,
	}
	o.Seed = func(tx *store.Tx, p *dialog.Pack, now time.Time) {
		if !s.o.Unapproved {
			Seed(tx, p, now)
		}
		if s.also != nil {
			s.also(tx, now)
		}
	}
	a, err := app.Start(ctx, o)
	if err != nil {
		return err
	}
	s.App = a
	return nil
}

// Seed lets the invented community's rabbi approve everything and set its positions, where he has not yet.
func Seed(tx *store.Tx, p *dialog.Pack, now time.Time) {
	for id, by := range p.Demo() {
		for custom, position := range by {
			if _, set := tx.Positions()[id][custom]; !set {
				tx.SetPosition(id, custom, position)
			}
		}
	}
	for _, t := range p.Trees {
		if _, ok := tx.Approval(t.Kind.S); !ok {
			rabbi.Approve(tx, p, t, Rabbi, now)
		}
	}
}

// Upgrade gives other dialogs to the program that is begun next.
func (s *Stage) Upgrade(p *dialog.Pack) { s.o.Pack, s.o.Finder = p, nil }

// End stops the program; the local server goes on, as the public one would.
func (s *Stage) End() error {
	if s.App == nil {
		return nil
	}
	a := s.App
	s.App = nil
	return a.Stop()
}

// Close stops everything.
func (s *Stage) Close(ctx context.Context) error {
	if s.closeFront != nil {
		s.closeFront()
	}
	err := errors.Join(s.End(), s.Server.Close(), s.http.Close())
	if served := <-s.over; !errors.Is(served, http.ErrServerClosed) {
		err = errors.Join(err, served)
	}
	return err
}

// Settled returns when the program has taken in everything that people did, and has said all that it can say now.
func (s *Stage) Settled(ctx context.Context) error {
	for {
		if err := s.Server.Until(ctx, func() bool { return s.Server.Unconfirmed() == 0 }); err != nil {
			return fmt.Errorf("updates are not taken in: %w", err)
		}
		seq := s.Server.Seq()
		if err := s.App.Settled(ctx); err != nil {
			return fmt.Errorf("deliveries are not over: %w", err)
		}
		if s.Server.Unconfirmed() == 0 && s.Server.Seq() == seq {
			return nil
		}
	}
}
