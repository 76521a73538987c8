package server

import (
	"bytes"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/http/httptrace"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestTransport_Addresses(t *testing.T) {
	w := start(t, Options{})
	for path, want := range map[string]struct {
		code int
		text string
	}{
		"/":                                   {404, "Not Found"},
		"/bot" + DefaultToken:                 {404, "Not Found"},
		"/bot" + DefaultToken + "/sendNoise":  {404, "Not Found: method not found"},
		"/bot" + DefaultToken + "/":           {404, "Not Found: method not found"},
		"/bot123456:other/getMe":              {401, "Unauthorized"},
		"/botnonsense/getMe":                  {401, "Unauthorized: invalid token specified"},
		"/file/bot123456:other/photos/x":      {401, "Unauthorized"},
		"/file/bot" + DefaultToken + "/a/b.c": {404, "Not Found"},
	} {
		r := w.decode(w.http.Client().Get(w.http.URL + path))
		require.False(t, r.OK, path)
		require.Equal(t, want.code, r.ErrorCode, path)
		require.Equal(t, want.text, r.Description, path)
		require.Equal(t, "application/json", r.header.Get("Content-Type"))
	}
}

func TestTransport_MethodNamesIgnoreCase(t *testing.T) {
	w := start(t, Options{})
	for _, name := range []string{"getMe", "getme", "GETME"} {
		require.True(t, w.call(name).OK, name)
	}
}

// Every shape in which the documentation lets parameters come ("Making requests"), and what known clients send.
func TestTransport_ParameterShapes(t *testing.T) {
	w := started(t, Options{})
	const form, js = "application/x-www-form-urlencoded", "application/json"
	for name, c := range map[string]struct{ query, kind, body string }{
		"query":              {"chat_id=501&text=hello", "", ""},
		"form":               {"", form, "chat_id=501&text=hello&entities=null&reply_markup=null"},
		"query and form":     {"chat_id=501", form, "text=hello"},
		"JSON numbers":       {"", js, `{"chat_id":501,"text":"hello","disable_notification":true}`},
		"JSON texts":         {"", js, `{"chat_id":"501","text":"hello"}`},
		"JSON null fields":   {"", js, `{"chat_id":501,"text":"hello","entities":null,"reply_markup":null,"parse_mode":null}`},
		"JSON object markup": {"", js + "; charset=utf-8", `{"chat_id":501,"text":"hello","reply_markup":{"inline_keyboard":null}}`},
		"JSON text markup":   {"", js, `{"chat_id":501,"text":"hello","reply_markup":"{\"inline_keyboard\":[]}"}`},
		"JSON null body":     {"chat_id=501&text=hello", js, "null"},
		"JSON broken body":   {"chat_id=501&text=hello", js, `{"chat_id`},
		"empty multipart":    {"chat_id=501&text=hello", "multipart/form-data; boundary=xyz", ""},
	} {
		r := w.decode(w.http.Client().Post(w.url("sendMessage")+"?"+c.query, c.kind, strings.NewReader(c.body)))
		require.True(t, r.OK, "%s: %s", name, r.Description)
		require.Contains(t, string(r.Result), `"text":"hello"`, name)
		require.NotContains(t, string(r.Result), "reply_markup", name)
	}
}

func TestTransport_KeyboardAsObjectAndAsText(t *testing.T) {
	w := started(t, Options{})
	const keyboard = `{"inline_keyboard":[[{"text":"Yes","callback_data":"y","url":null}]]}`
	for _, body := range []string{
		`{"chat_id":501,"text":"hello","reply_markup":` + keyboard + `}`,
		`{"chat_id":501,"text":"hello","reply_markup":` + string(mustJSON(keyboard)) + `}`,
	} {
		require.True(t, w.decode(w.http.Client().Post(w.url("sendMessage"), "application/json", strings.NewReader(body))).OK)
	}
	messages := w.Chat(rivka)
	for _, m := range messages[1:] {
		require.Equal(t, [][]Button{{{Text: "Yes", Data: "y"}}}, m.Keyboard)
	}
	require.Len(t, messages, 3)
}

// Both shapes of an upload, chunked and with a length: a part of the parameter's name, or attach:// and a part.
func TestTransport_UploadShapes(t *testing.T) {
	w := started(t, Options{})
	for _, chunked := range []bool{false, true} {
		for _, attached := range []bool{false, true} {
			var body bytes.Buffer
			form := multipart.NewWriter(&body)
			require.NoError(t, form.WriteField("chat_id", "501"))
			name := "document"
			if attached {
				name = "part0"
				require.NoError(t, form.WriteField("document", "attach://part0"))
			}
			part, err := form.CreateFormFile(name, "some/folder/sheet.ics")
			require.NoError(t, err)
			_, err = io.WriteString(part, "BEGIN:VCALENDAR")
			require.NoError(t, err)
			require.NoError(t, form.Close())
			var reader io.Reader = &body
			if chunked {
				reader = io.MultiReader(&body) // hides the length from net/http
			}
			r := w.decode(w.http.Client().Post(w.url("sendDocument"), form.FormDataContentType(), reader))
			require.True(t, r.OK, r.Description)
			last := w.Chat(rivka)[len(w.Chat(rivka))-1]
			require.Equal(t, "document", last.FileKind)
			require.Equal(t, "sheet.ics", last.FileName, "only the name, not the client's folders")
			_, data, ok := w.File(last.FileID)
			require.True(t, ok)
			require.Equal(t, "BEGIN:VCALENDAR", string(data))
		}
	}
}

func TestTransport_Booleans(t *testing.T) {
	p := params{values: map[string]string{"a": "true", "b": "YES", "c": "1", "d": "on", "e": "0", "f": ""}}
	for _, name := range []string{"a", "b", "c"} {
		require.True(t, p.flag(name), name)
	}
	for _, name := range []string{"d", "e", "f", "g"} {
		require.False(t, p.flag(name), name)
	}
	require.Zero(t, params{values: map[string]string{"n": "12x"}}.integer("n"))
}

func TestTransport_InvalidUTF8(t *testing.T) {
	w := started(t, Options{})
	w.fails(400, "Bad Request: strings must be encoded in UTF-8", "sendMessage", "chat_id", "501", "text", "\xa9 question")
}

func TestTransport_BodyTooLarge(t *testing.T) {
	w := New(Options{})
	r := httptest.NewRequest("POST", "/bot"+DefaultToken+"/sendMessage", io.LimitReader(zeros{}, maxBody+1))
	recorder := httptest.NewRecorder()
	w.ServeHTTP(recorder, r)
	require.Equal(t, http.StatusRequestEntityTooLarge, recorder.Code)
	require.JSONEq(t, `{"ok":false,"error_code":413,"description":"Request Entity Too Large"}`, recorder.Body.String())
}

type zeros struct{}

func (zeros) Read(p []byte) (int, error) {
	clear(p)
	return len(p), nil
}

// Answers carry their length, so that one connection serves call after call.
func TestTransport_KeepAlive(t *testing.T) {
	w := started(t, Options{})
	for i := range 5 {
		reused := false
		trace := &httptrace.ClientTrace{GotConn: func(info httptrace.GotConnInfo) { reused = info.Reused }}
		r, err := http.NewRequestWithContext(httptrace.WithClientTrace(t.Context(), trace), "POST", w.url("getMe"),
			strings.NewReader(url.Values{}.Encode()))
		require.NoError(t, err)
		require.True(t, w.decode(w.http.Client().Do(r)).OK)
		require.True(t, reused, "call %d", i)
	}
}

func TestClose(t *testing.T) {
	w := start(t, Options{})
	require.NoError(t, w.Close())
	require.NoError(t, w.Close())
	res, err := w.http.Client().Get(w.url("getMe"))
	require.NoError(t, err)
	defer res.Body.Close()
	require.Equal(t, http.StatusBadGateway, res.StatusCode)
	require.ErrorIs(t, w.Wait(t.Context(), w.Seq()), ErrClosed)
}
