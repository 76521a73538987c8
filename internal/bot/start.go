package bot

import (
	"context"
	"fmt"
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/store"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/people"
	"benyomo/internal/person/member"
	"benyomo/internal/person/office"
	"benyomo/internal/person/rabbi"
)

const (
	stampAlive          = "alive"
	stampAliveHousehold = "alive-household"

	// pressLife is how long the messenger keeps a press for us: after a longer stop some may be lost.
	pressLife = 150 * time.Second
	// recently active members are shown their question once more after such a stop.
	recently = 30 * time.Minute
)

// begin takes up where the last run stopped: what is owed is loaded, and after a long stop the members who were in the
// middle of a question see it once more.
func (b *Bot) begin(ctx context.Context) error {
	var posts []chat.Post
	var held []chat.ID
	err := b.Store.View(func(tx *store.Tx) error {
		for p := range tx.AllPosts() {
			posts = append(posts, p)
		}
		for h := range tx.Holds() {
			held = append(held, h.Chat)
		}
		return nil
	})
	if err != nil {
		return fmt.Errorf("load what is owed: %w", err)
	}
	now := b.Household.Now()
	b.rested = b.Gate.at(now).which
	for _, c := range held {
		b.Courier.Hold(c)
	}
	b.Courier.Load(posts)
	if err := b.afterStop(now); err != nil {
		return err
	}
	if err := ctx.Err(); err != nil {
		return nil // stopped while starting
	}
	return b.commit(nil)
}

// afterStop warns the office where no rabbi is connected, and shows recent members their question again after a long stop.
func (b *Bot) afterStop(now time.Time) error {
	return b.Store.Update(func(w *store.Batch) error {
		err := w.Try(func(tx *store.Tx) error {
			t := &turn.Turn{Env: b.Env, Tx: tx, Now: now.In(b.Env.Community.Place.Zone)}
			if _, ok := t.Inbox(); !ok {
				office.Warn(t, "office-no-rabbi")
			}
			member.SetRestTimers(t)
			last := tx.Stamp(stampAlive)
			if last.IsZero() || b.Machine.Now().Sub(last) <= pressLife {
				return nil
			}
			since := tx.Stamp(stampAliveHousehold).Add(-recently)
			for p := range tx.ActiveSince(since) {
				if !p.Is(people.Member) || p.Away {
					continue
				}
				if s, ok := tx.Screen(chat.ID(p.ID)); ok && member.AwaitsAnswer(s) {
					tx.SetTimer(member.ShowAgain(p.ID, now))
				}
			}
			return nil
		})
		b.Courier.Add(w.Posts)
		return err
	})
}

// start is '/start', with or without the token of a link.
func start(t *turn.Turn) {
	if t.Event.Args == "" {
		home(t)
		return
	}
	l, ok := t.Tx.Link(t.Event.Args)
	if !ok {
		t.Say(t.Event.Chat, chat.Answer, "", chat.Say(t.Mine().Say("link-broken")))
		home(t)
		return
	}
	if why := l.Open(t.Now); why != people.Works {
		t.Say(t.Event.Chat, chat.Answer, "", chat.Say(t.Mine().Say("link-"+string(why))))
		home(t)
		return
	}
	if l.Once {
		l.Used = true
		t.Tx.PutLink(l)
	}
	if l.Grants == people.Member {
		if l.Household != 0 {
			member.JoinHousehold(t, l.Household)
			return
		}
		member.Admit(t)
		member.Home(t)
		return
	}
	t.Who.Grant(l.Grants)
	if t.Who.Lang == "" && t.Pack.HasLanguage(t.Event.Lang) {
		t.Who.Lang = t.Event.Lang
	}
	t.Tx.PutPerson(t.Who)
	t.Tx.Audit(t.Now, t.Who.ID, "became "+string(l.Grants)+" by a link")
	if t.Who.Is(people.Rabbi) {
		rabbi.Home(t)
	} else {
		office.Home(t)
	}
}
