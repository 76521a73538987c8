package page

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/edge/rehearsal/server"
)

// handClock is household time that moves only by hand.
type handClock struct {
	mu  sync.Mutex
	now time.Time
}

func (c *handClock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.now
}

func (c *handClock) Advance(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now = c.now.Add(d)
}

func (c *handClock) AdvanceTo(t time.Time) error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if !t.After(c.now) {
		return errors.New("not ahead")
	}
	c.now = t
	return nil
}

const token = "123456:page-test"

// bench is a page with its server, and the bot's side of the server.
type bench struct {
	*testing.T
	page   *Page
	server *server.Server
	clock  *handClock
	settle func(context.Context) error
}

// The rest span of the tests ends on this evening; it is an invented figure and stands for no calendar.
var restEnd = time.Date(2026, 3, 28, 16, 30, 0, 0, time.UTC)

func newBench(t *testing.T) *bench {
	t.Helper()
	zone, err := time.LoadLocation("Asia/Jerusalem")
	require.NoError(t, err)
	b := &bench{T: t, clock: &handClock{now: time.Date(2026, 3, 25, 8, 0, 0, 0, time.UTC)}}
	b.server = server.New(server.Options{Token: token, Now: b.clock.Now})
	t.Cleanup(func() { require.NoError(t, b.server.Close()) })
	b.server.AddPerson(server.Person{ID: 1, FirstName: "Rivka", LanguageCode: "en"})
	b.server.AddPerson(server.Person{ID: 2, FirstName: "Rav", LanguageCode: "he"})
	b.server.AddPerson(server.Person{ID: 3, FirstName: "Office", LanguageCode: "he"})
	b.server.AddGroup(-30, "Office", 3)
	b.page = New(Options{
		Server: b.server, Clock: b.clock, Zone: zone, Place: "Emek Rimon (invented)", Community: "Kehillas Emek Rimon",
		RestEnd: func(now time.Time) (time.Time, bool) { return restEnd, now.Before(restEnd) },
		Settle: func(ctx context.Context) error {
			if b.settle != nil {
				return b.settle(ctx)
			}
			return nil
		},
		Views: []View{
			{Key: "rivka", Label: "Rivka", Person: 1, Chat: 1, Role: RoleMember},
			{Key: "rav", Label: "Rav", Person: 2, Chat: 2, Role: RoleRabbi},
			{Key: "office", Label: "Office", Person: 3, Chat: -30, Role: RoleOffice},
		},
	})
	t.Cleanup(b.page.Close)
	return b
}

// do sends a request as a browser on the page itself would.
func (b *bench) do(method, path, kind string, body []byte) *httptest.ResponseRecorder {
	b.Helper()
	r := httptest.NewRequest(method, "http://localhost:8080"+path, bytes.NewReader(body))
	if kind != "" {
		r.Header.Set("Content-Type", kind)
	}
	r.Header.Set("Origin", "http://localhost:8080")
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	w := httptest.NewRecorder()
	b.page.ServeHTTP(w, r)
	return w
}

// post sends JSON and wants status; it returns the answer.
func (b *bench) post(what string, status int, body string) map[string]any {
	b.Helper()
	w := b.do(http.MethodPost, "/api/"+what, "application/json", []byte(body))
	return b.read(w, status)
}

func (b *bench) read(w *httptest.ResponseRecorder, status int) map[string]any {
	b.Helper()
	require.Equal(b, status, w.Code, w.Body.String())
	var out map[string]any
	require.NoError(b, json.Unmarshal(w.Body.Bytes(), &out))
	return out
}

// upload sends a form with a file; a nil file sends none.
func (b *bench) upload(what string, status int, file []byte, fields ...string) map[string]any {
	b.Helper()
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	for i := 0; i+1 < len(fields); i += 2 {
		require.NoError(b, form.WriteField(fields[i], fields[i+1]))
	}
	if file != nil {
		part, err := form.CreateFormFile("file", "../shelf/pot.bin")
		require.NoError(b, err)
		_, err = part.Write(file)
		require.NoError(b, err)
	}
	require.NoError(b, form.Close())
	return b.read(b.do(http.MethodPost, "/api/"+what, form.FormDataContentType(), body.Bytes()), status)
}

// bot calls a method of the Bot API as the bot would and wants it accepted.
func (b *bench) bot(method string, params map[string]any) json.RawMessage {
	b.Helper()
	body, err := json.Marshal(params)
	require.NoError(b, err)
	r := httptest.NewRequest(http.MethodPost, "/bot"+token+"/"+method, bytes.NewReader(body))
	r.Header.Set("Content-Type", "application/json")
	w := httptest.NewRecorder()
	b.server.ServeHTTP(w, r)
	var out struct {
		OK     bool            `json:"ok"`
		Result json.RawMessage `json:"result"`
	}
	require.NoError(b, json.Unmarshal(w.Body.Bytes(), &out), w.Body.String())
	require.True(b, out.OK, w.Body.String())
	return out.Result
}

func (b *bench) botSays(chat int64, text string, data ...string) int {
	b.Helper()
	params := map[string]any{"chat_id": chat, "text": text}
	if len(data) > 0 {
		row := []map[string]string{}
		for _, d := range data {
			row = append(row, map[string]string{"text": "to " + d, "callback_data": d})
		}
		params["reply_markup"] = map[string]any{"inline_keyboard": []any{row}}
	}
	var m struct {
		ID int `json:"message_id"`
	}
	require.NoError(b, json.Unmarshal(b.bot("sendMessage", params), &m))
	return m.ID
}

// state is what changed after since, at once.
func (b *bench) state(since int) snapshot {
	b.Helper()
	w := b.do(http.MethodGet, fmt.Sprintf("/api/state?wait=0&since=%d", since), "", nil)
	require.Equal(b, http.StatusOK, w.Code, w.Body.String())
	var s snapshot
	require.NoError(b, json.Unmarshal(w.Body.Bytes(), &s))
	return s
}

// png is the smallest picture that is recognised as PNG: the signature (PNG specification, section 5.2) and a header.
func png() []byte {
	return []byte("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x00\x00\x01\x00\x00\x00\x01\x08\x02\x00\x00\x00\x90\x77\x53\xde")
}
