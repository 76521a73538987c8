// Package app puts the program together: it starts the store, the writer, the courier and the poll loop, and stops them in
// the order in which nothing is lost. The command line and the tests start the same App.
//
// No decision is made here; no rehearsal is known here.
package app

import (
	"context"
	"crypto/rand"
	"encoding/base64"
	"errors"
	"fmt"
	"log/slog"
	"time"

	"benyomo/internal/app/config"
	"benyomo/internal/bot"
	"benyomo/internal/edge/telegram"
	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/clock"
	"benyomo/internal/engine/courier"
	"benyomo/internal/engine/store"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/find"
	"benyomo/internal/idea/people"
	"benyomo/internal/idea/plan"
	"benyomo/internal/idea/wording"
)

// grace is how long sends on their way may take when the program stops. With the last poll and the last commit a stop stays
// well under ten seconds.
const grace = 5 * time.Second

// Options are what an App is started with.
type Options struct {
	Config    *config.Config
	Token     telegram.Secret
	Pack      *dialog.Pack
	Finder    *find.Finder   // of the pack; nil means that one is made, which takes a moment
	Household clock.Clock    // nil means the machine's
	Machine   clock.Clock    // nil means the machine's
	Poll      time.Duration  // how long one poll waits for updates; 0 means the default
	Rates     *courier.Rates // nil means those of the configuration
	Log       *slog.Logger
	Version   string
	// Seed, when set, is run once in the store before anything starts: a rehearsal's approvals and positions.
	Seed func(*store.Tx, *dialog.Pack, time.Time)
}

// App is the running program.
type App struct {
	store   *store.Store
	bot     *bot.Bot
	courier *courier.Courier
	tg      *telegram.Telegram
	log     *slog.Logger
	links   []Link

	cancelPoll, cancelSend, cancelWork context.CancelFunc
	quit                               chan struct{}
	polled, sent, worked, written      chan error
	introduced                         chan struct{} // the messenger knows the commands
}

// Link is a one-time link that the program prints at its start, until somebody has used it.
type Link struct {
	For     people.Role
	Address string
	Token   string
}

// Start starts the program, and returns once it runs. The context bounds only the start.
func Start(ctx context.Context, o Options) (*App, error) {
	o = withDefaults(o)
	s, err := store.Open(o.Config.Data)
	if err != nil {
		return nil, err
	}
	a, err := start(ctx, o, s)
	if err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return a, nil
}

func withDefaults(o Options) Options {
	if o.Household == nil {
		o.Household = clock.System{}
	}
	if o.Machine == nil {
		o.Machine = clock.System{}
	}
	if o.Finder == nil {
		o.Finder = find.New(o.Pack)
	}
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	return o
}

func start(ctx context.Context, o Options, s *store.Store) (*App, error) {
	var env *turn.Env // before the first message is sent
	tg, err := telegram.Dial(ctx, telegram.Options{Token: o.Token, Endpoint: o.Config.API, Machine: o.Machine, PollTimeout: o.Poll, Log: o.Log,
		Files: func(ctx context.Context, ref string) ([]telegram.File, error) { return files{o, env, s}.make(ctx, ref) }})
	if err != nil {
		return nil, err
	}
	if err := s.Bind(tg.ID()); err != nil {
		return nil, err
	}
	env = environment(o, tg.Username())
	if env.Rows, err = plan.Read(o.Pack); err != nil {
		return nil, fmt.Errorf("rows of the plan: %w", err)
	}
	a := &App{store: s, tg: tg, log: o.Log, quit: make(chan struct{}), introduced: make(chan struct{}),
		polled: make(chan error, 1), sent: make(chan error, 1), worked: make(chan error, 1), written: make(chan error, 1)}
	if err := a.prepare(o, env); err != nil {
		return nil, err
	}
	rates := courier.Rates{PerSecond: o.Config.Rates.PerSecond, ChatPerSecond: o.Config.Rates.ChatPerSecond, GroupPerMinute: o.Config.Rates.GroupPerMinute}
	if o.Rates != nil {
		rates = *o.Rates
	}
	gate := bot.NewGate(env.Community, s, o.Household, o.Log)
	a.courier = courier.New(courier.Options{
		Sender: tg, Machine: o.Machine, Rates: rates, Grace: grace, Lookup: a.lookup,
		Resting: gate.Resting,
		Results: func(r courier.Result) { a.bot.Delivered(r) },
	})
	a.bot = bot.New(bot.Options{Store: s, Env: env, Gate: gate, Courier: a.courier, Household: o.Household, Machine: o.Machine, Log: o.Log})
	a.run(o.Pack)
	return a, nil
}

// environment is what the rooms see of the configuration.
func environment(o Options, username string) *turn.Env {
	c := o.Config
	return &turn.Env{
		Pack: o.Pack, Finder: o.Finder, Token: newToken, BotName: username, Version: o.Version,
		Community: turn.Community{
			Name: c.Name, Custom: c.Custom, Lang: c.Language, Place: c.Place, Places: c.Places, Phone: c.Phone, Closed: c.Admission == config.ByLink,
			Inbox: chat.ID(c.Inbox), Bedtime: c.Bedtime, Quiet: turn.Hours{From: c.Quiet.From, To: c.Quiet.To},
			Founders: turn.Founders{ApprovingRabbi: c.ApprovingRabbi, Rabbis: c.Rabbis, Office: c.Office},
		},
	}
}

// newToken is 120 random bits.
func newToken() string {
	b := make([]byte, 15)
	_, _ = rand.Read(b) // it never fails: it ends the program instead
	return base64.RawURLEncoding.EncodeToString(b)
}

// prepare seeds the store, and makes the one-time links for whoever is missing.
func (a *App) prepare(o Options, env *turn.Env) error {
	return a.store.Update(func(b *store.Batch) error {
		return b.Try(func(tx *store.Tx) error {
			if o.Seed != nil {
				o.Seed(tx, o.Pack, o.Household.Now())
			}
			t := &turn.Turn{Env: env, Tx: tx, Now: o.Household.Now()}
			if o.Config.ApprovingRabbi == 0 && len(tx.WithRole(people.ApprovingRabbi)) == 0 {
				a.links = append(a.links, founderLink(t, people.ApprovingRabbi))
			}
			if len(o.Config.Office) == 0 && len(tx.WithRole(people.Office)) == 0 {
				a.links = append(a.links, founderLink(t, people.Office))
			}
			return nil
		})
	})
}

// founderLink is the unused link for a role, the same at every start until it is used.
func founderLink(t *turn.Turn, role people.Role) Link {
	for l := range t.Tx.Links() {
		if l.Grants == role && l.Once && !l.Used {
			return Link{For: role, Token: l.Token, Address: t.StartLink(l.Token)}
		}
	}
	token := "f" + t.Token()
	t.Tx.PutLink(people.Link{Token: token, Grants: role, Once: true})
	return Link{For: role, Token: token, Address: t.StartLink(token)}
}

// run starts the loops.
func (a *App) run(p *dialog.Pack) {
	pollCtx, cancelPoll := context.WithCancel(context.Background())
	sendCtx, cancelSend := context.WithCancel(context.Background())
	workCtx, cancelWork := context.WithCancel(context.Background())
	a.cancelPoll, a.cancelSend, a.cancelWork = cancelPoll, cancelSend, cancelWork
	go func() { a.written <- a.bot.Run(context.Background(), a.quit) }()
	go func() { a.sent <- a.courier.Run(sendCtx) }()
	go func() { a.worked <- a.bot.Work(workCtx) }()
	go func() {
		defer close(a.introduced)
		a.setCommands(pollCtx, p)
	}()
	go func() {
		a.polled <- a.tg.Poll(pollCtx, func(ctx context.Context, events []chat.Event, _ int64) error {
			return a.bot.Handle(ctx, events)
		})
	}()
}

// Links are the one-time links that nobody has used yet.
func (a *App) Links() []Link { return a.links }

// Name is the bot's user name.
func (a *App) Name() string { return a.tg.Username() }

// Wait returns when the program can no longer go on by itself, such as with a token that was withdrawn, or when ctx ends.
func (a *App) Wait(ctx context.Context) error {
	select {
	case err := <-a.polled:
		a.polled <- err // for Stop
		return err
	case err := <-a.written:
		a.written <- err
		return err
	case <-ctx.Done():
		return nil
	}
}

// Settled returns when all that the bot knows of is committed, and all that can be delivered now is.
func (a *App) Settled(ctx context.Context) error {
	if err := a.bot.Settled(ctx); err != nil {
		return err
	}
	return a.courier.Settled(ctx)
}

// Stop stops the program: no more updates are asked for, what is on its way arrives and is recorded, and the file is closed. A
// job that is being computed is given up, and done after the next start.
func (a *App) Stop() error {
	a.cancelPoll()
	a.cancelWork()
	<-a.introduced
	err := ended(<-a.polled)
	select {
	case <-a.worked:
	case <-time.After(grace): // what it computes touches nothing, and its result finds nobody
	}
	a.cancelSend()
	err = errors.Join(err, ended(<-a.sent))
	close(a.quit)
	err = errors.Join(err, ended(<-a.written), a.store.Close())
	a.tg.Close()
	if err != nil {
		return fmt.Errorf("stop: %w", err)
	}
	return nil
}

// ended takes the end that was asked for as no error.
func ended(err error) error {
	if errors.Is(err, context.Canceled) {
		return nil
	}
	return err
}

func (a *App) lookup(c chat.ID, h chat.Handle) int {
	n := 0
	if err := a.store.View(func(tx *store.Tx) error { n, _ = tx.Posted(c, h); return nil }); err != nil {
		a.log.Error("look up a message", "error", err)
	}
	return n
}

// setCommands tells the messenger the commands of members, in every language. It is a convenience: a failure is logged.
func (a *App) setCommands(ctx context.Context, p *dialog.Pack) {
	var failed error
	for i, l := range p.Languages {
		w := wording.In(p, l.Code.S, time.UTC)
		var list []telegram.Command
		for _, name := range []string{"menu", "kitchen", "plan", "settings", "language"} {
			list = append(list, telegram.Command{Name: name, About: w.Say("command-" + name)})
		}
		if i == 0 {
			failed = errors.Join(failed, a.tg.SetCommands(ctx, "", list))
		}
		failed = errors.Join(failed, a.tg.SetCommands(ctx, l.Code.S, list))
	}
	if failed != nil {
		a.log.Warn("set commands", "error", failed)
	}
}
