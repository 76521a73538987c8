package server

import (
	"context"
	"io"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// post sends a text to Rivka and returns the raw answer, or the error of the transport.
func (w *world) post(ctx context.Context, text string) (code int, body string, err error) {
	form := url.Values{"chat_id": {"501"}, "text": {text}}
	r, err := http.NewRequestWithContext(ctx, "POST", w.url("sendMessage"), strings.NewReader(form.Encode()))
	if err != nil {
		return 0, "", err
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	res, err := w.http.Client().Do(r)
	if err != nil {
		return 0, "", err
	}
	defer res.Body.Close()
	data, err := io.ReadAll(res.Body)
	return res.StatusCode, string(data), err
}

func TestFault_AnswersInPlaceOfTheCall(t *testing.T) {
	for kind, want := range map[string]struct {
		code int
		body string
	}{
		FaultServerError:  {502, "<h1>502 Bad Gateway</h1>"},
		FaultRateLimit:    {429, `"parameters":{"retry_after":7}`},
		FaultBlocked:      {403, `"description":"Forbidden: bot was blocked by the user"`},
		FaultUnauthorized: {401, `"description":"Unauthorized"`},
	} {
		w := started(t, Options{})
		id := w.Fail(Fault{Kind: kind, Method: "sendMessage", Chat: rivka, Count: 1, RetryAfter: 7})
		require.Equal(t, []Fault{{ID: id, Kind: kind, Method: "sendMessage", Chat: rivka, Count: 1, RetryAfter: 7}}, w.Faults())
		code, body, err := w.post(t.Context(), "hello")
		require.NoError(t, err)
		require.Equal(t, want.code, code, kind)
		require.Contains(t, body, want.body, kind)
		require.Empty(t, w.Log(0), "nothing was done")
		require.Empty(t, w.Faults(), "used up")
		code, _, err = w.post(t.Context(), "hello")
		require.NoError(t, err)
		require.Equal(t, 200, code)
	}
}

func TestFault_RetryAfterIsAlsoAHeader(t *testing.T) {
	w := started(t, Options{})
	w.Fail(Fault{Kind: FaultRateLimit})
	r := w.fails(429, "Too Many Requests: retry after 1", "sendMessage", "chat_id", "501", "text", "x")
	require.Equal(t, "1", r.header.Get("Retry-After"))
	require.Equal(t, "1", string(r.Parameters.RetryAfter), "a number, not a text")
}

func TestFault_Selection(t *testing.T) {
	w := started(t, Options{})
	w.Say(dov, dov, "/start")
	w.Fail(Fault{Kind: FaultRateLimit, Method: "sendmessage", Chat: dov, Count: 2})
	w.send()
	w.ok(nil, "sendChatAction", "chat_id", "502", "action", "typing")
	for range 2 {
		w.fails(429, "Too Many Requests: retry after 1", "sendMessage", "chat_id", "502", "text", "x")
	}
	w.ok(nil, "sendMessage", "chat_id", "502", "text", "x")

	w.Fail(Fault{Kind: FaultUnauthorized})
	for range 3 {
		w.fails(401, "Unauthorized", "getMe")
	}
	w.ClearFaults()
	require.Empty(t, w.Faults())
	w.ok(nil, "getMe")
}

// A press names no chat, but it happened in one.
func TestFault_CallbackAnswerIsOfItsChat(t *testing.T) {
	w := started(t, Options{})
	press := w.Press(rivka, rivka, w.send().ID, "x")
	w.Fail(Fault{Kind: FaultServerError, Chat: rivka, Count: 1})
	res, err := w.http.Client().PostForm(w.url("answerCallbackQuery"), url.Values{"callback_query_id": {press}})
	require.NoError(t, err)
	defer res.Body.Close()
	require.Equal(t, 502, res.StatusCode)
}

func TestFault_BlockedAndConflictBefallOnlyTheirCalls(t *testing.T) {
	w := started(t, Options{})
	w.Fail(Fault{Kind: FaultBlocked})
	w.Fail(Fault{Kind: FaultConflict})
	w.ok(nil, "getMe")
	w.ok(nil, "getChat", "chat_id", "501")
	w.fails(403, "Forbidden: bot was blocked by the user", "sendChatAction", "chat_id", "501", "action", "typing")
	w.fails(409, errOtherPoll.text, "getUpdates")
}

func TestFault_Refused(t *testing.T) {
	w := started(t, Options{})
	w.Fail(Fault{Kind: FaultRefused, Count: 1})
	_, _, err := w.post(t.Context(), "hello")
	require.ErrorIs(t, err, io.EOF)
	require.Len(t, w.Chat(rivka), 1, "nothing was done")
}

func TestFault_AnswerLost(t *testing.T) {
	w := started(t, Options{})
	w.Fail(Fault{Kind: FaultAnswerLost, Count: 1})
	_, _, err := w.post(t.Context(), "hello")
	require.ErrorIs(t, err, io.EOF)
	require.Equal(t, "hello", w.Chat(rivka)[1].Text, "it was sent all the same")
	require.Len(t, w.Log(0), 1)
}

func TestFault_Slow(t *testing.T) {
	w := started(t, Options{Slow: time.Millisecond})
	w.Fail(Fault{Kind: FaultSlow, Count: 1})
	code, _, err := w.post(t.Context(), "hello")
	require.NoError(t, err)
	require.Equal(t, 200, code)
}

func TestFault_SlowEndsWithTheClient(t *testing.T) {
	w := started(t, Options{Slow: time.Hour})
	w.Fail(Fault{Kind: FaultSlow, Count: 1})
	ctx, cancel := context.WithCancel(t.Context())
	before := w.Seq()
	done := make(chan error, 1)
	go func() {
		_, _, err := w.post(ctx, "hello")
		done <- err
	}()
	require.NoError(t, w.Wait(soon(t), before), "the message is sent before the answer")
	cancel()
	require.ErrorIs(t, <-done, context.Canceled)
}

func TestFault_SlowEndsWithTheServer(t *testing.T) {
	w := started(t, Options{Slow: time.Hour})
	w.Fail(Fault{Kind: FaultSlow, Count: 1})
	before := w.Seq()
	codes := make(chan int, 1)
	go func() {
		code, _, _ := w.post(t.Context(), "hello")
		codes <- code
	}()
	require.NoError(t, w.Wait(soon(t), before))
	require.NoError(t, w.Close())
	require.Equal(t, 502, <-codes)
}

func TestFault_Hang(t *testing.T) {
	w := started(t, Options{})
	w.Fail(Fault{Kind: FaultHang, Count: 1})
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() {
		r, err := http.NewRequestWithContext(ctx, "GET", w.url("getUpdates"), nil)
		if err == nil {
			_, err = w.http.Client().Do(r) //nolint:bodyclose // it fails
		}
		done <- err
	}()
	require.NoError(t, w.Until(soon(t), func() bool { return len(w.Faults()) == 0 }))
	w.Say(rivka, rivka, "no update ends it")
	cancel()
	require.ErrorIs(t, <-done, context.Canceled)
	require.Len(t, w.updates(), 1)
}

// A fault set while a poll waits ends that poll.
func TestFault_WakesThePoll(t *testing.T) {
	w := start(t, Options{})
	answers := w.pending(t.Context(), "")
	w.Fail(Fault{Kind: FaultSlow, Method: "getUpdates", Count: 1})
	w.Fail(Fault{Kind: FaultConflict, Count: 1})
	require.Equal(t, 409, (<-answers).ErrorCode)
	require.Len(t, w.Faults(), 1, "a slow answer waits for the next poll")
}

func TestFault_Twice(t *testing.T) {
	w := start(t, Options{})
	w.Fail(Fault{Kind: FaultTwice, Chat: rivka, Count: 1})
	w.Say(dov, dov, "not his")
	w.Say(rivka, rivka, "twice")
	w.Say(rivka, rivka, "once")
	require.Empty(t, w.Faults())
	first := w.updates()
	require.Len(t, first, 3)
	after := itoa(first[2].ID + 1)
	again := w.updates("offset", after)
	require.Equal(t, first[1:2], again, "the same update_id, after it was confirmed")
	require.Equal(t, 1, w.Unconfirmed())
	require.Empty(t, w.updates("offset", after))
	require.Zero(t, w.Unconfirmed())
}

func TestFault_FileDownload(t *testing.T) {
	w := started(t, Options{})
	path := w.filePath(w.document(t).Document.ID)
	w.Fail(Fault{Kind: FaultServerError, Method: "file", Count: 1})
	for _, want := range []int{502, 200} {
		res, err := w.http.Client().Get(path)
		require.NoError(t, err)
		require.NoError(t, res.Body.Close())
		require.Equal(t, want, res.StatusCode)
	}
}

// filePath is the address under which a file can be fetched.
func (w *world) filePath(id string) string {
	w.t.Helper()
	var f seenFile
	w.ok(&f, "getFile", "file_id", id)
	return w.http.URL + "/file/bot" + DefaultToken + "/" + f.Path
}
