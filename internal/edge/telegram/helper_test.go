package telegram

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"path"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"go.uber.org/goleak"

	"benyomo/internal/edge/rehearsal/server"
	"benyomo/internal/engine/chat"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// The invented people and the group of these tests.
const (
	rivka = int64(501)
	dov   = int64(502)
	inbox = int64(-7001)
)

const testToken Secret = "123456:not-a-real-token_0"

const getMe = `{"ok":true,"result":{"id":123456,"is_bot":true,"first_name":"b","username":"emek_rimon_bot"}}`

// world is a local server with a Telegram that speaks to it over HTTP.
type world struct {
	*server.Server
	t   *testing.T
	bot *Telegram
	ctx context.Context
}

func connect(t *testing.T) *world {
	t.Helper()
	w := &world{Server: server.New(server.Options{Token: string(testToken)}), t: t}
	w.AddPerson(server.Person{ID: rivka, FirstName: "Rivka", LanguageCode: "en"})
	w.AddPerson(server.Person{ID: dov, FirstName: "Dov"})
	w.AddGroup(inbox, "Emek Rimon inbox", dov, rivka)
	h := httptest.NewServer(w.Server)
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	w.ctx = ctx
	var err error
	w.bot, err = Dial(ctx, Options{Token: testToken, Endpoint: h.URL + "/"})
	require.NoError(t, err)
	t.Cleanup(func() {
		cancel()
		require.NoError(t, w.Close())
		w.bot.Close()
		h.Close()
	})
	return w
}

// poll runs Poll in the background and gives what comes to the handler; the function it returns ends it and waits.
func (w *world) poll(handle func(context.Context, []chat.Event, int64) error) (stop func()) {
	ctx, cancel := context.WithCancel(w.ctx)
	done := make(chan error, 1)
	go func() { done <- w.bot.Poll(ctx, handle) }()
	return sync.OnceFunc(func() {
		w.t.Helper()
		cancel()
		require.NoError(w.t, <-done)
	})
}

// asked is one request that the canned messenger got.
type asked struct {
	method string
	form   url.Values
	at     time.Time
}

// canned is an HTTP client in memory that answers with what it is told to.
type canned struct {
	mu     sync.Mutex
	asked  []asked
	answer func(r *http.Request, n int, method string, form url.Values) (status int, body string, err error) // n counts from 1
}

func (c *canned) Do(r *http.Request) (*http.Response, error) {
	raw, err := io.ReadAll(r.Body)
	if err != nil {
		return nil, err
	}
	form, err := url.ParseQuery(string(raw))
	if err != nil {
		return nil, err
	}
	method := path.Base(r.URL.Path)
	c.mu.Lock()
	c.asked = append(c.asked, asked{method, form, time.Now()})
	n := len(c.asked)
	c.mu.Unlock()
	if err := r.Context().Err(); err != nil {
		return nil, &url.Error{Op: "Post", URL: r.URL.String(), Err: err}
	}
	status, body, err := c.answer(r, n, method, form)
	if err != nil {
		return nil, &url.Error{Op: "Post", URL: r.URL.String(), Err: err} // as http.Client does, with the token in it
	}
	return &http.Response{StatusCode: status, Body: io.NopCloser(strings.NewReader(body)), Request: r}, nil
}

// calls lists the methods that were asked for.
func (c *canned) calls() []string {
	c.mu.Lock()
	defer c.mu.Unlock()
	var list []string
	for _, a := range c.asked {
		list = append(list, a.method)
	}
	return list
}

// answers makes a canned messenger that gives these bodies one after the other, and a Telegram that speaks to it.
func answers(t *testing.T, bodies ...string) (*Telegram, *canned) {
	t.Helper()
	c := &canned{answer: func(_ *http.Request, n int, _ string, _ url.Values) (int, string, error) {
		if n > len(bodies) {
			return 0, "", errors.New("asked once too often")
		}
		return 200, bodies[n-1], nil
	}}
	return over(t, c, Options{}), c
}

// over makes a Telegram that speaks to the canned messenger, without having dialled.
func over(t *testing.T, c *canned, o Options) *Telegram {
	t.Helper()
	o.Token, o.HTTP = testToken, c
	bot, err := prepare(o)
	require.NoError(t, err)
	bot.me = user{ID: 123456, Username: "emek_rimon_bot"}
	return bot
}

func bad(code int, description string) string {
	return fmt.Sprintf(`{"ok":false,"error_code":%d,"description":%q}`, code, description)
}

const sentOK = `{"ok":true,"result":{"message_id":77}}`

// words is a post of one paragraph.
func words(op chat.Op, text string) chat.Post {
	return chat.Post{Seq: 1, Chat: chat.ID(rivka), Op: op, Message: chat.Say(text)}
}
