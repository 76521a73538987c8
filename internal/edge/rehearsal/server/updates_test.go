package server

import (
	"context"
	"encoding/json"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func ids(list []seenUpdate) []int {
	var all []int
	for _, u := range list {
		all = append(all, u.ID)
	}
	return all
}

// Source: Bot API, getUpdates.offset: an update is confirmed by a call with a higher offset, and only then.
func TestGetUpdates_RedeliveryUntilConfirmed(t *testing.T) {
	w := start(t, Options{})
	for _, text := range []string{"one", "two", "three"} {
		w.Say(rivka, rivka, text)
	}
	first := w.updates()
	require.Len(t, first, 3)
	require.Positive(t, first[0].ID)
	require.Equal(t, []int{first[0].ID, first[0].ID + 1, first[0].ID + 2}, ids(first))
	require.Equal(t, "one", first[0].Message.Text)
	require.Equal(t, first, w.updates(), "the same again, since nothing was confirmed")
	require.Equal(t, first, w.updates("offset", itoa(first[0].ID)))
	require.Equal(t, first[:2], w.updates("limit", "2"))
	require.Equal(t, 3, w.Unconfirmed())
	require.Equal(t, first[1:], w.updates("offset", itoa(first[1].ID)))
	require.Equal(t, first[1:], w.updates("offset", "0"), "a confirmed one does not come back")
	require.Equal(t, 2, w.Unconfirmed())
	require.Empty(t, w.updates("offset", itoa(first[2].ID+1)))
	require.Zero(t, w.Unconfirmed())
}

func TestGetUpdates_NegativeOffset(t *testing.T) {
	w := start(t, Options{})
	for range 5 {
		w.Say(rivka, rivka, "x")
	}
	all := w.updates()
	require.Equal(t, all[3:], w.updates("offset", "-2"))
	require.Equal(t, all[3:], w.updates(), "the earlier ones are forgotten")
	require.Equal(t, all[3:], w.updates("offset", "-50"))
}

func TestGetUpdates_Limit(t *testing.T) {
	w := start(t, Options{})
	for range 120 {
		w.Say(rivka, rivka, "x")
	}
	for limit, want := range map[string]int{"": 100, "0": 100, "1": 1, "7": 7, "1000": 100} {
		require.Len(t, w.updates("limit", limit), want, limit)
	}
}

// A bot that kept its offset from an earlier rehearsal must not confirm updates it has never seen.
func TestGetUpdates_OffsetFromEarlierRehearsal(t *testing.T) {
	w := start(t, Options{})
	require.Empty(t, w.updates("offset", "5000"))
	w.Say(rivka, rivka, "x")
	list := w.updates("offset", "5000")
	require.Equal(t, []int{5000}, ids(list))
}

func TestGetUpdates_AnswerIsCut(t *testing.T) {
	w := start(t, Options{})
	big := json.RawMessage(`{"x":"` + strings.Repeat("a", 1<<20) + `"}`)
	for range 6 {
		require.Positive(t, w.Inject(big))
	}
	require.Len(t, w.updates(), 3)
}

// pending starts a long poll and waits until it waits.
func (w *world) pending(ctx context.Context, parameters string) <-chan reply {
	w.t.Helper()
	answers := make(chan reply, 1)
	w.mu.Lock()
	before := w.poll
	w.mu.Unlock()
	go func() {
		defer close(answers)
		r, err := http.NewRequestWithContext(ctx, "GET", w.url("getUpdates")+"?timeout=50&"+parameters, nil)
		if err != nil {
			return
		}
		res, err := w.http.Client().Do(r)
		if err != nil {
			return
		}
		defer res.Body.Close()
		var answer reply
		if json.NewDecoder(res.Body).Decode(&answer) != nil {
			answer.ErrorCode = res.StatusCode
		}
		answers <- answer
	}()
	require.NoError(w.t, w.Until(soon(w.t), func() bool {
		w.mu.Lock()
		defer w.mu.Unlock()
		return w.poll != nil && w.poll != before
	}))
	return answers
}

func TestGetUpdates_LongPollWakes(t *testing.T) {
	w := start(t, Options{})
	answers := w.pending(t.Context(), "")
	w.Say(rivka, rivka, "hello")
	answer := <-answers
	require.True(t, answer.OK)
	require.Contains(t, string(answer.Result), `"text":"hello"`)
}

func TestGetUpdates_TimeoutZeroAnswersAtOnce(t *testing.T) {
	w := start(t, Options{})
	r := w.call("getUpdates", "timeout", "0")
	require.Equal(t, "[]", string(r.Result))
}

// The older of two polls is the one that ends. Source: observed; the text is the public API's.
func TestGetUpdates_Conflict(t *testing.T) {
	w := start(t, Options{})
	older := w.pending(t.Context(), "")
	newer := w.pending(t.Context(), "")
	answer := <-older
	require.Equal(t, 409, answer.ErrorCode)
	require.Equal(t, "Conflict: terminated by other getUpdates request; make sure that only one bot instance is running",
		answer.Description)
	w.Say(rivka, rivka, "x")
	require.True(t, (<-newer).OK)
}

// A client that goes away frees the place, so that its next poll is no conflict.
func TestGetUpdates_ClientGone(t *testing.T) {
	w := start(t, Options{})
	ctx, cancel := context.WithCancel(t.Context())
	answers := w.pending(ctx, "")
	cancel()
	_, answered := <-answers
	require.False(t, answered)
	require.NoError(t, w.Until(soon(t), func() bool { return !w.Polling() }))
	w.Say(rivka, rivka, "x")
	require.Len(t, w.updates(), 1)
}

func TestGetUpdates_CloseEndsIt(t *testing.T) {
	w := start(t, Options{})
	answers := w.pending(t.Context(), "")
	require.NoError(t, w.Close())
	require.Equal(t, 502, (<-answers).ErrorCode)
}

func TestGetUpdates_Webhook(t *testing.T) {
	w := start(t, Options{})
	answers := w.pending(t.Context(), "")
	w.fails(400, "Bad Request: bad webhook: An HTTPS URL must be provided for webhook", "setWebhook", "url", "http://example.org/")
	w.ok(nil, "setWebhook", "url", "https://example.org/hook", "allowed_updates", `["message","callback_query"]`)
	require.Equal(t, "Conflict: terminated by setWebhook request", (<-answers).Description)
	w.fails(409, "Conflict: can't use getUpdates method while webhook is active; use deleteWebhook to delete the webhook first",
		"getUpdates")
	w.Say(rivka, rivka, "x")
	var info struct {
		URL     string   `json:"url"`
		Custom  *bool    `json:"has_custom_certificate"`
		Pending int      `json:"pending_update_count"`
		Allowed []string `json:"allowed_updates"`
	}
	w.ok(&info, "getWebhookInfo")
	require.Equal(t, "https://example.org/hook", info.URL)
	require.NotNil(t, info.Custom)
	require.Equal(t, 1, info.Pending)
	require.Equal(t, []string{"callback_query", "message"}, info.Allowed)
	w.ok(nil, "deleteWebhook", "drop_pending_updates", "true")
	require.Empty(t, w.updates())
	w.ok(nil, "setWebhook", "url", "https://example.org/hook")
	w.ok(nil, "setWebhook", "url", "")
	require.Empty(t, w.updates(), "an empty address takes the webhook away")
}

// Source: Bot API, getUpdates.allowed_updates.
func TestGetUpdates_AllowedUpdates(t *testing.T) {
	w := start(t, Options{})
	id := w.Say(rivka, rivka, "/start")
	w.ok(nil, "getUpdates", "allowed_updates", `["callback_query"]`)
	w.Say(rivka, rivka, "not seen")
	w.Press(rivka, rivka, id, "seen")
	w.ok(nil, "getUpdates", "allowed_updates", "null")
	w.Say(rivka, rivka, "not seen either: null keeps the list")
	w.ok(nil, "getUpdates")
	w.Block(rivka)
	list := w.updates()
	require.Len(t, list, 2, "made before the list was set, and of a kind in it")
	require.Equal(t, "/start", list[0].Message.Text)
	require.Equal(t, "seen", list[1].Callback.Data)
	w.ok(nil, "getUpdates", "allowed_updates", "[]")
	w.Unblock(rivka)
	require.Len(t, w.updates(), 3, "an empty list is the standard set")
	w.fails(400, "Bad Request: can't parse allowed_updates: expected an Array of String", "getUpdates", "allowed_updates", "{}")
}

// Source of 24 hours: Bot API, "Getting updates". That presses are kept 150 seconds is observed, not published.
func TestGetUpdates_RetentionByKind(t *testing.T) {
	w := start(t, Options{})
	id := w.Say(rivka, rivka, "x")
	w.Press(rivka, rivka, id, "y")
	w.machine.add(150*time.Second - 1)
	require.Len(t, w.updates(), 2)
	w.machine.add(1)
	list := w.updates()
	require.Len(t, list, 1)
	require.NotNil(t, list[0].Message)
	w.machine.add(24*time.Hour - 150*time.Second - 1)
	require.Equal(t, 1, w.Unconfirmed())
	w.machine.add(1)
	require.Zero(t, w.Unconfirmed())
	require.Empty(t, w.updates())
}

func TestGetUpdates_RetentionIsMachineTime(t *testing.T) {
	w := start(t, Options{KeepMessages: time.Minute, KeepPresses: time.Second})
	id := w.Say(rivka, rivka, "x")
	w.Press(rivka, rivka, id, "y")
	w.now.add(1000 * time.Hour)
	require.Equal(t, 2, w.Unconfirmed(), "the household's clock has no part in it")
	w.machine.add(time.Second)
	require.Equal(t, 1, w.Unconfirmed())
	w.machine.add(time.Minute)
	require.Zero(t, w.Unconfirmed())
}

func TestInject(t *testing.T) {
	w := start(t, Options{})
	w.ok(nil, "getUpdates", "allowed_updates", `["message"]`)
	require.Zero(t, w.Inject(json.RawMessage(`{"broken`)))
	unknown := w.Inject(json.RawMessage(`{"update_id":7,"comet":{"tail":true}}`))
	poison := w.Inject(json.RawMessage(`{"message":{"message_id":"nine"}}`))
	require.Equal(t, unknown+1, poison)
	require.Equal(t, poison+1, w.Inject(json.RawMessage(`[1]`)))
	r := w.call("getUpdates")
	require.JSONEq(t, `[{"update_id":1001,"comet":{"tail":true}},{"update_id":1002,"message":{"message_id":"nine"}},[1]]`,
		string(r.Result))
}

func TestWaitAndUntil(t *testing.T) {
	w := start(t, Options{})
	before := w.Seq()
	done := make(chan error, 1)
	go func() { done <- w.Wait(soon(t), before) }()
	w.Say(rivka, rivka, "x")
	require.NoError(t, <-done)
	require.Equal(t, before+1, w.Seq())
	go func() { done <- w.Until(soon(t), func() bool { return w.Unconfirmed() == 0 }) }()
	w.confirmAll()
	require.NoError(t, <-done)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	require.ErrorIs(t, w.Wait(ctx, w.Seq()), context.Canceled)
}
