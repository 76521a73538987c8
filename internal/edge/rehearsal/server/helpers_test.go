package server

import (
	"bytes"
	"context"
	"encoding/json"
	"image"
	"image/png"
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"go.uber.org/goleak"
)

// TestMain fails the run when a test leaves a goroutine behind.
func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// The invented people and the group of these tests.
const (
	rivka = int64(501)
	dov   = int64(502)
	inbox = int64(-7001)
)

// clock is a settable clock.
type clock struct {
	mu sync.Mutex
	t  time.Time
}

func newClock() *clock { return &clock{t: time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)} }

func (c *clock) now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.t
}

func (c *clock) add(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.t = c.t.Add(d)
}

// world is a server behind HTTP with Rivka and Dov in it.
type world struct {
	t *testing.T
	*Server
	http    *httptest.Server
	machine *clock
	now     *clock
}

func start(t *testing.T, o Options) *world {
	t.Helper()
	w := &world{t: t, machine: newClock(), now: newClock()}
	o.Machine, o.Now = w.machine.now, w.now.now
	w.Server = New(o)
	w.AddPerson(Person{ID: rivka, FirstName: "Rivka", LanguageCode: "en"})
	w.AddPerson(Person{ID: dov, FirstName: "Dov"})
	w.AddGroup(inbox, "Emek Rimon inbox", dov, rivka)
	w.http = httptest.NewServer(w.Server)
	t.Cleanup(func() {
		require.NoError(t, w.Close())
		w.http.Client().CloseIdleConnections()
		w.http.Close()
	})
	return w
}

// started is start with a person who has written "/start", and the queue confirmed.
func started(t *testing.T, o Options) *world {
	t.Helper()
	w := start(t, o)
	require.Equal(t, 1, w.Say(rivka, rivka, "/start"))
	w.confirmAll()
	return w
}

func (w *world) url(method string) string { return w.http.URL + "/bot" + DefaultToken + "/" + method }

// reply is an answer of the Bot API.
type reply struct {
	OK          bool            `json:"ok"`
	Result      json.RawMessage `json:"result"`
	ErrorCode   int             `json:"error_code"`
	Description string          `json:"description"`
	Parameters  struct {
		RetryAfter      json.RawMessage `json:"retry_after"`
		MigrateToChatID json.RawMessage `json:"migrate_to_chat_id"`
	} `json:"parameters"`

	header http.Header
}

func (w *world) decode(res *http.Response, err error) reply {
	w.t.Helper()
	require.NoError(w.t, err)
	defer func() { require.NoError(w.t, res.Body.Close()) }()
	body, err := io.ReadAll(res.Body)
	require.NoError(w.t, err)
	var r reply
	require.NoError(w.t, json.Unmarshal(body, &r), "%s", body)
	require.EqualValues(w.t, len(body), res.ContentLength)
	if r.OK {
		require.Equal(w.t, http.StatusOK, res.StatusCode)
	} else {
		require.Equal(w.t, r.ErrorCode, res.StatusCode)
	}
	r.header = res.Header
	return r
}

// call posts a form; the parameters are names and values in turn.
func (w *world) call(method string, parameters ...string) reply {
	w.t.Helper()
	form := url.Values{}
	for i := 0; i < len(parameters); i += 2 {
		form.Set(parameters[i], parameters[i+1])
	}
	return w.decode(w.http.Client().PostForm(w.url(method), form))
}

// ok is call for one that must succeed; the result goes into the value given.
func (w *world) ok(into any, method string, parameters ...string) {
	w.t.Helper()
	r := w.call(method, parameters...)
	require.True(w.t, r.OK, "%s: %s", method, r.Description)
	if into != nil {
		require.NoError(w.t, json.Unmarshal(r.Result, into))
	}
}

// fails is call for one that must be refused with that code and description.
func (w *world) fails(code int, description, method string, parameters ...string) reply {
	w.t.Helper()
	r := w.call(method, parameters...)
	require.False(w.t, r.OK, "%s succeeded", method)
	require.Equal(w.t, description, r.Description)
	require.Equal(w.t, code, r.ErrorCode)
	return r
}

// updates is one getUpdates; only the fields tests look at.
func (w *world) updates(parameters ...string) []seenUpdate {
	w.t.Helper()
	var list []seenUpdate
	w.ok(&list, "getUpdates", parameters...)
	return list
}

func (w *world) confirmAll() {
	w.t.Helper()
	if list := w.updates(); len(list) > 0 {
		require.Empty(w.t, w.updates("offset", itoa(list[len(list)-1].ID+1)))
	}
}

// send sends a text to Rivka and returns its id.
func (w *world) send(parameters ...string) seenMessage {
	w.t.Helper()
	var m seenMessage
	w.ok(&m, "sendMessage", append([]string{"chat_id", itoa(int(rivka)), "text", "hello"}, parameters...)...)
	return m
}

type seenUpdate struct {
	ID       int           `json:"update_id"`
	Message  *seenMessage  `json:"message"`
	Edited   *seenMessage  `json:"edited_message"`
	Callback *seenCallback `json:"callback_query"`
	Standing *struct {
		Chat seenChat `json:"chat"`
		From seenUser `json:"from"`
		Date int64    `json:"date"`
		Old  struct {
			Status string   `json:"status"`
			User   seenUser `json:"user"`
		} `json:"old_chat_member"`
		New struct {
			Status string   `json:"status"`
			User   seenUser `json:"user"`
			Until  *int64   `json:"until_date"`
		} `json:"new_chat_member"`
	} `json:"my_chat_member"`
}

type seenCallback struct {
	ID       string      `json:"id"`
	From     seenUser    `json:"from"`
	Message  seenMessage `json:"message"`
	Instance string      `json:"chat_instance"`
	Data     string      `json:"data"`
}

type seenUser struct {
	ID    int64  `json:"id"`
	IsBot *bool  `json:"is_bot"`
	Name  string `json:"first_name"`
	User  string `json:"username"`
	Code  string `json:"language_code"`
}

type seenChat struct {
	ID    int64  `json:"id"`
	Type  string `json:"type"`
	Title string `json:"title"`
	Name  string `json:"first_name"`
}

type seenMessage struct {
	ID          int          `json:"message_id"`
	From        *seenUser    `json:"from"`
	Chat        seenChat     `json:"chat"`
	Date        int64        `json:"date"`
	EditDate    int64        `json:"edit_date"`
	Text        string       `json:"text"`
	Entities    []Entity     `json:"entities"`
	Caption     string       `json:"caption"`
	CapEntities []Entity     `json:"caption_entities"`
	ReplyTo     *seenMessage `json:"reply_to_message"`
	Album       string       `json:"media_group_id"`
	Photo       []seenFile   `json:"photo"`
	Document    *seenFile    `json:"document"`
	Voice       *seenFile    `json:"voice"`
	Markup      *struct {
		Rows [][]struct {
			Text string `json:"text"`
			Data string `json:"callback_data"`
			URL  string `json:"url"`
		} `json:"inline_keyboard"`
	} `json:"reply_markup"`
	ForwardFrom *seenUser `json:"forward_from"`
	Origin      *struct {
		Type string   `json:"type"`
		User seenUser `json:"sender_user"`
		Date int64    `json:"date"`
	} `json:"forward_origin"`
	MigrateTo   int64      `json:"migrate_to_chat_id"`
	MigrateFrom int64      `json:"migrate_from_chat_id"`
	Joined      []seenUser `json:"new_chat_members"`
	Left        *seenUser  `json:"left_chat_member"`
	Thread      int        `json:"message_thread_id"`
}

type seenFile struct {
	ID       string `json:"file_id"`
	Unique   string `json:"file_unique_id"`
	Size     int    `json:"file_size"`
	Width    int    `json:"width"`
	Height   int    `json:"height"`
	Duration int    `json:"duration"`
	Name     string `json:"file_name"`
	Mime     string `json:"mime_type"`
	Path     string `json:"file_path"`
}

func itoa(n int) string { return string(mustJSON(n)) }

// picture is a PNG of that size.
func picture(t *testing.T, width, height int) []byte {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, png.Encode(&out, image.NewGray(image.Rect(0, 0, width, height))))
	return out.Bytes()
}

// soon is a context for waits that must end by themselves; it only keeps a broken test from hanging.
func soon(t *testing.T) context.Context {
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	t.Cleanup(cancel)
	return ctx
}
