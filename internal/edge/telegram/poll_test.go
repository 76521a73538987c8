package telegram

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"net/url"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/edge/rehearsal/server"
	"benyomo/internal/engine/chat"
)

func TestPollOverTheWire(t *testing.T) {
	w := connect(t)
	got := make(chan chat.Event, 20)
	stop := w.poll(func(_ context.Context, events []chat.Event, _ int64) error {
		for _, e := range events {
			got <- e
		}
		return nil
	})
	defer stop()
	next := func() chat.Event {
		t.Helper()
		select {
		case e := <-got:
			return e
		case <-w.ctx.Done():
			t.Fatal("no event came")
			return chat.Event{}
		}
	}
	say := w.Say(rivka, rivka, "/start join-7")
	e := next()
	require.Equal(t, chat.Event{Update: e.Update, Kind: chat.Typed, Chat: chat.ID(rivka), User: rivka, Lang: "en",
		Text: "/start join-7", Command: "start", Args: "join-7", Message: say}, e)

	w.Photo(rivka, rivka, "pot.png", picture(t, 400), "my pot")
	e = next()
	require.Equal(t, chat.Photo, e.Kind)
	require.Equal(t, "my pot", e.Text)
	_, data, ok := w.File(e.FileID)
	require.True(t, ok)
	require.Equal(t, picture(t, 400), data, "the largest size is the photo itself")

	w.Voice(rivka, rivka, []byte("sound"), 3)
	require.Equal(t, chat.Voice, next().Kind)
	w.Document(rivka, rivka, "a.txt", []byte("text"), "")
	require.Equal(t, chat.File, next().Kind)
	w.Send(rivka, rivka, json.RawMessage(`{"contact":{"phone_number":"1","first_name":"x"}}`))
	require.Equal(t, chat.Other, next().Kind)

	r := w.bot.Deliver(w.ctx, chat.Post{Chat: chat.ID(rivka), Op: chat.Send, Message: card}, 0)
	press := w.Press(rivka, rivka, r.Message, "y|1")
	e = next()
	require.Equal(t, chat.Event{Update: e.Update, Kind: chat.Pressed, Chat: chat.ID(rivka), User: rivka, Lang: "en",
		Message: r.Message, Press: press, Data: "y|1"}, e)

	w.Block(rivka)
	require.Equal(t, chat.Blocked, next().Kind)
	w.Unblock(rivka)
	require.Equal(t, chat.Unblocked, next().Kind)

	poison := w.Inject(json.RawMessage(`{"message":{"message_id":"x"}}`))
	require.Equal(t, chat.Event{Update: int64(poison), Kind: chat.Other}, next())

	asked := w.bot.Deliver(w.ctx, chat.Post{Chat: chat.ID(inbox), Op: chat.Send, Message: card}, 0)
	w.Reply(dov, inbox, asked.Message, "permitted")
	e = next()
	require.Equal(t, asked.Message, e.ReplyTo)
	require.True(t, e.Group)
	w.Say(dov, inbox, "/start@other_bot")
	w.Say(dov, inbox, "good evening")
	e = next()
	require.Equal(t, "good evening", e.Text, "a command to another bot is passed over")
	require.Equal(t, chat.Typed, e.Kind)
	super := w.Migrate(inbox)
	e = next()
	require.Equal(t, chat.Migrated, e.Kind)
	require.Equal(t, chat.ID(inbox), e.Chat)
	require.Equal(t, chat.ID(super), e.NewChat)

	stop()
	require.Zero(t, w.Unconfirmed(), "the end confirms what was handled")
	require.False(t, w.bot.LastPoll().IsZero())
}

func TestAnUpdateThatComesTwiceKeepsItsNumber(t *testing.T) {
	w := connect(t)
	w.Fail(server.Fault{Kind: server.FaultTwice, Count: 1})
	got := make(chan int64, 5)
	stop := w.poll(func(_ context.Context, events []chat.Event, _ int64) error {
		for _, e := range events {
			got <- e.Update
		}
		return nil
	})
	defer stop()
	w.Say(rivka, rivka, "x")
	var seen []int64
	for len(seen) < 2 {
		select {
		case id := <-got:
			seen = append(seen, id)
		case <-w.ctx.Done():
			t.Fatal("the repeat did not come")
		}
	}
	require.Equal(t, seen[0], seen[1])
}

func TestAPollThatHangsEndsWithTheContext(t *testing.T) {
	w := connect(t)
	w.Fail(server.Fault{Kind: server.FaultHang, Count: 1})
	stop := w.poll(func(context.Context, []chat.Event, int64) error { return nil })
	require.NoError(t, w.Until(w.ctx, func() bool { return len(w.Faults()) == 0 }))
	stop() // or the test's own end comes first
	require.NoError(t, w.ctx.Err())
}

func TestALostTokenEndsThePoll(t *testing.T) {
	w := connect(t)
	w.Fail(server.Fault{Kind: server.FaultUnauthorized, Method: "getUpdates"})
	require.ErrorIs(t, w.bot.Poll(w.ctx, func(context.Context, []chat.Event, int64) error { return nil }), ErrUnauthorized)
}

// script plays polls in a bubble of fake time: each entry is what the messenger says to one getUpdates; after the last the
// poll waits until it is given up.
type script struct {
	canned
	polls []asked
}

func play(t *testing.T, bodies []string, body func(ctx context.Context, s *script, bot *Telegram, end func())) {
	t.Helper()
	synctest.Test(t, func(t *testing.T) {
		s := &script{}
		ctx, end := context.WithCancel(context.Background())
		defer end()
		s.answer = func(r *http.Request, _ int, method string, form url.Values) (int, string, error) {
			if method != "getUpdates" {
				return 200, `{"ok":true,"result":true}`, nil
			}
			s.polls = append(s.polls, asked{method, form, time.Now()})
			if n := len(s.polls); n <= len(bodies) {
				return 200, bodies[n-1], nil
			}
			if form.Get("timeout") == "0" {
				return 200, `{"ok":true,"result":[]}`, nil
			}
			<-r.Context().Done()
			return 0, "", r.Context().Err()
		}
		body(ctx, s, over(t, &s.canned, Options{}), end)
	})
}

func updates(raws ...string) string {
	list := ""
	for i, raw := range raws {
		if i > 0 {
			list += ","
		}
		list += raw
	}
	return `{"ok":true,"result":[` + list + `]}`
}

const (
	first  = `{"update_id":40,"message":{"message_id":1,"chat":{"id":501,"type":"private"},"text":"a"}}`
	second = `{"update_id":41,"message":{"message_id":2,"chat":{"id":501,"type":"private"},"text":"b"}}`
	poison = `{"update_id":42,"message":{"message_id":{},"chat":{"id":501,"type":"private"},"text":"c"}}`
)

func TestTheOffsetFollowsTheHandler(t *testing.T) {
	play(t, []string{updates(first, second), updates(first, second), updates(poison), updates()}, func(ctx context.Context, s *script, bot *Telegram, end func()) {
		var offsets []int64
		calls := 0
		handle := func(_ context.Context, events []chat.Event, offset int64) error {
			offsets = append(offsets, offset)
			if calls++; calls == 1 {
				require.Len(t, events, 2)
				return errors.New("the store is full")
			}
			return nil
		}
		done := make(chan error, 1)
		go func() { done <- bot.Poll(ctx, handle) }()
		synctest.Wait()
		<-time.After(10 * time.Second)
		end()
		require.NoError(t, <-done)
		require.Equal(t, []int64{42, 42, 43}, offsets)
		var asked []string
		for _, p := range s.polls {
			asked = append(asked, p.form.Get("offset"))
		}
		require.Equal(t, []string{"0", "0", "42", "43", "43"}, asked, "what was not handled is asked for again; an empty answer confirms")
		require.GreaterOrEqual(t, s.polls[1].at.Sub(s.polls[0].at), shortest, "a handler that fails is given time")
		require.Equal(t, url.Values{"offset": {"0"}, "limit": {"100"}, "timeout": {"50"},
			"allowed_updates": {`["message","callback_query","my_chat_member"]`}}, s.polls[0].form)
	})
}

func TestTheLastUpdatesAreConfirmedAtTheEnd(t *testing.T) {
	play(t, []string{updates(first)}, func(ctx context.Context, s *script, bot *Telegram, end func()) {
		handle := func(context.Context, []chat.Event, int64) error { end(); return nil }
		require.NoError(t, bot.Poll(ctx, handle))
		require.Len(t, s.polls, 2)
		require.Equal(t, "41", s.polls[1].form.Get("offset"))
		require.Equal(t, "1", s.polls[1].form.Get("limit"))
		require.Equal(t, "0", s.polls[1].form.Get("timeout"))
	})
	t.Run("but not what was not handled", func(t *testing.T) {
		play(t, []string{updates(first)}, func(ctx context.Context, s *script, bot *Telegram, end func()) {
			handle := func(context.Context, []chat.Event, int64) error { end(); return context.Canceled }
			require.NoError(t, bot.Poll(ctx, handle))
			require.Len(t, s.polls, 1)
		})
	})
	t.Run("and not for ever", func(t *testing.T) {
		play(t, nil, func(ctx context.Context, s *script, bot *Telegram, end func()) {
			s.answer = func(r *http.Request, n int, _ string, _ url.Values) (int, string, error) {
				if n == 1 {
					return 200, updates(first), nil
				}
				<-r.Context().Done()
				return 0, "", r.Context().Err()
			}
			start := time.Now()
			require.NoError(t, bot.Poll(ctx, func(context.Context, []chat.Event, int64) error { end(); return nil }))
			require.Equal(t, confirmTimeout, time.Since(start))
		})
	})
}

func TestPollOutlastsFailures(t *testing.T) {
	flood := `{"ok":false,"error_code":429,"description":"Too Many Requests: retry after 90","parameters":{"retry_after":90}}`
	tests := []struct {
		name  string
		body  string
		least []time.Duration // the waits after each, at least
		most  []time.Duration
	}{
		{"gateway", "<html>502</html>", seconds(1, 2, 4, 8, 15, 15, 15), seconds(2, 4, 8, 16, 30, 30, 30)},
		{"server", bad(500, "Internal Server Error"), seconds(1, 2, 4), seconds(2, 4, 8)},
		{"another poller", bad(409, "Conflict: terminated by other getUpdates request; make sure that only one bot instance is running"), seconds(1, 2, 4), seconds(2, 4, 8)},
		{"flood", flood, seconds(90, 90), seconds(90, 90)},
		{"no list", `{"ok":true,"result":{"update_id":1}}`, seconds(1, 2), seconds(2, 4)},
		{"updates without numbers", updates(`7`, `{"message":{}}`), seconds(1, 2), seconds(2, 4)},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var bodies []string
			for range tt.least {
				bodies = append(bodies, tt.body)
			}
			// After a success the waits begin anew.
			bodies = append(bodies, updates(first), tt.body)
			play(t, bodies, func(ctx context.Context, s *script, bot *Telegram, end func()) {
				handled := 0
				done := make(chan error, 1)
				go func() {
					done <- bot.Poll(ctx, func(context.Context, []chat.Event, int64) error { handled++; return nil })
				}()
				<-time.After(time.Hour)
				synctest.Wait()
				require.Equal(t, 1, handled)
				n := len(tt.least)
				for i := range n {
					wait := s.polls[i+1].at.Sub(s.polls[i].at)
					require.GreaterOrEqual(t, wait, tt.least[i], "wait %d", i)
					require.LessOrEqual(t, wait, tt.most[i], "wait %d", i)
				}
				require.Zero(t, s.polls[n+1].at.Sub(s.polls[n].at), "a success is followed at once")
				wait := s.polls[n+2].at.Sub(s.polls[n+1].at)
				require.GreaterOrEqual(t, wait, tt.least[0])
				require.LessOrEqual(t, wait, tt.most[0])
				end()
				require.NoError(t, <-done)
			})
		})
	}
}

func seconds(list ...int) []time.Duration {
	var out []time.Duration
	for _, n := range list {
		out = append(out, time.Duration(n)*time.Second)
	}
	return out
}

func TestAHalfOpenConnectionIsGivenUp(t *testing.T) {
	play(t, nil, func(ctx context.Context, s *script, bot *Telegram, end func()) {
		done := make(chan error, 1)
		go func() { done <- bot.Poll(ctx, nil) }()
		<-time.After(DefaultPollTimeout + pollSlack + 3*time.Second)
		synctest.Wait()
		require.Len(t, s.polls, 2, "a poll without an answer ends by itself")
		require.True(t, bot.LastPoll().IsZero())
		end()
		require.NoError(t, <-done)
	})
}

func TestAWebhookIsTakenAway(t *testing.T) {
	play(t, []string{bad(409, "Conflict: can't use getUpdates method while webhook is active; use deleteWebhook to delete the webhook first"), updates(first)},
		func(ctx context.Context, s *script, bot *Telegram, end func()) {
			require.NoError(t, bot.Poll(ctx, func(context.Context, []chat.Event, int64) error { end(); return nil }))
			require.Equal(t, []string{"getUpdates", "deleteWebhook", "getUpdates", "getUpdates"}, s.calls())
		})
}

func TestAnUpdateWithoutANumberIsPassedOver(t *testing.T) {
	play(t, []string{updates(`7`, first, `[]`)}, func(ctx context.Context, s *script, bot *Telegram, end func()) {
		require.NoError(t, bot.Poll(ctx, func(_ context.Context, events []chat.Event, offset int64) error {
			require.Len(t, events, 1)
			require.Equal(t, int64(41), offset)
			end()
			return nil
		}))
	})
}
