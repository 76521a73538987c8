package page

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestBadInputGetsASentence(t *testing.T) {
	b := newBench(t)
	own := b.server.Say(1, 1, "hello")
	shown := b.botSays(1, "Which pot?", "a")
	long := strings.Repeat("א", 4097)
	for _, c := range []struct {
		what, body string
		status     int
		says       string
	}{
		{"say", `{`, 400, "not readable as JSON"},
		{"say", `{"view":"rivka","text":"a"} {}`, 400, "nothing after it"},
		{"say", `{"view":"rivka","txt":"a"}`, 400, `no field "txt"`},
		{"say", `{"view":"rivka","text":7}`, 400, "“text” must not be a number"},
		{"say", `{"text":"a"}`, 400, "which view"},
		{"say", `{"view":"nobody","text":"a"}`, 400, "no view “nobody”"},
		{"say", `{"view":"rivka","text":" \n "}`, 400, "Write something"},
		{"say", `{"view":"rivka","text":"` + long + `"}`, 400, "holds 4096 characters; this one has 4097"},
		{"say", `{"view":"rivka","text":"a","replyTo":9999}`, 400, "not in this conversation"},
		{"say", `{"view":"rivka","start":"a b"}`, 400, "1 to 64 of the letters"},
		{"say", `{"view":"rivka","start":"` + strings.Repeat("a", 65) + `"}`, 400, "1 to 64 of the letters"},
		{"say", `{"view":"rivka","start":"https://example.org/x?y=1"}`, 400, "1 to 64 of the letters"},
		{"say", `{"view":"rivka","start":"a","text":"b"}`, 400, "sent alone"},
		{"say", `"` + strings.Repeat("a", maxBody) + `"`, 413, "too much"},
		{"press", fmt.Sprintf(`{"view":"rivka","message":%d,"data":""}`, shown), 400, "1 to 64 bytes"},
		{"press", fmt.Sprintf(`{"view":"rivka","message":%d,"data":"%s"}`, shown, strings.Repeat("א", 33)), 400, "1 to 64 bytes"},
		{"press", `{"view":"rivka","message":9999,"data":"a"}`, 400, "not in this conversation"},
		{"press", fmt.Sprintf(`{"view":"rav","message":%d,"data":"a"}`, shown), 400, "not in this conversation"},
		{"press", fmt.Sprintf(`{"view":"rivka","message":%d,"data":"a"}`, own), 400, "Only entries of the bot"},
		{"block", `{}`, 400, "which view"},
		{"block", `{"view":"office"}`, 400, "private conversation"},
		{"unblock", `{"view":"rivka"}`, 409, "has not stopped"},
		{"person", `{"name":"","language":"en"}`, 400, "1 to 64 characters"},
		{"person", `{"name":"a\nb","language":"en"}`, 400, "one line"},
		{"person", `{"name":"` + strings.Repeat("א", 65) + `","language":"en"}`, 400, "1 to 64 characters"},
		{"person", `{"name":"Dov","language":"English"}`, 400, "a tag such as"},
		{"clock", `{}`, 400, "Say one of"},
		{"clock", `{"advance":"1h","to":"rest-end"}`, 400, "Say one of"},
		{"clock", `{"advance":"soon"}`, 400, "a length of time"},
		{"clock", `{"advance":"-1h"}`, 400, "only moves forward"},
		{"clock", `{"advance":"10000h"}`, 400, "more than 400 days"},
		{"clock", `{"to":"tomorrow"}`, 400, "only be “rest-end”"},
		{"clock", `{"at":"next week"}`, 400, "a date and a time"},
		{"clock", `{"at":"2026-03-25T09:59"}`, 400, "is not after Wednesday 25 March 2026, 10:00"},
		{"clock", `{"at":"2026-03-27T02:30"}`, 400, "does not exist in Asia/Jerusalem"},
		{"fault", `{"kind":"earthquake","on":true}`, 400, "no fault “earthquake”"},
		{"fault", `{"kind":"twice"}`, 400, "on or off"},
		{"fault", `{"kind":"twice","on":true,"count":-1}`, 400, "1 to 1000 times"},
		{"fault", `{"kind":"twice","on":true,"count":1001}`, 400, "1 to 1000 times"},
	} {
		t.Run(c.what+" "+c.says, func(t *testing.T) {
			w := b.do(http.MethodPost, "/api/"+c.what, "application/json", []byte(c.body))
			require.Equal(t, c.status, w.Code, w.Body.String())
			var out map[string]string
			require.NoError(t, json.Unmarshal(w.Body.Bytes(), &out))
			require.Contains(t, out["error"], c.says)
		})
	}
	require.Len(t, b.server.Chat(1), 2, "nothing was sent")
	require.Equal(t, time.Date(2026, 3, 25, 8, 0, 0, 0, time.UTC), b.clock.Now(), "nothing moved")
	require.Empty(t, b.server.Faults())
}

func TestBadUploadsGetASentence(t *testing.T) {
	b := newBench(t)
	says := func(answer map[string]any, sentence string) {
		t.Helper()
		require.Contains(t, answer["error"], sentence)
	}
	says(b.upload("photo", 400, nil, "view", "rivka"), "Choose a file")
	says(b.upload("photo", 400, []byte{}, "view", "rivka"), "empty")
	says(b.upload("photo", 400, []byte("plain words"), "view", "rivka"), "not a picture")
	says(b.upload("photo", 400, png(), "view", "nobody"), "no view")
	says(b.upload("photo", 400, png(), "view", "rivka", "caption", strings.Repeat("a", 1025)), "1024 characters")
	says(b.upload("photo", 413, append(png(), make([]byte, maxPhoto)...), "view", "rivka"), "10 MB")
	says(b.upload("document", 413, make([]byte, maxFile+1), "view", "rivka"), "20 MB")
	says(b.upload("document", 413, make([]byte, maxFile+maxBody+1), "view", "rivka"), "20 MB")
	says(b.upload("voice", 400, []byte("plain words"), "view", "rivka"), "not a sound")
	says(b.upload("voice", 400, opus(48000), "view", "rivka", "seconds", "0"), "1 to 3600")
	says(b.upload("voice", 400, opus(48000), "view", "rivka", "seconds", "long"), "1 to 3600")
	says(b.upload("voice", 400, opus(48000), "view", "rivka", "caption", "a"), "without a caption")
	says(b.upload("voice", 400, []byte("ID3\x03\x00\x00\x00"), "view", "rivka"), "how many seconds")
	says(b.post("photo", 415, `{"view":"rivka"}`), "multipart/form-data")
	says(b.read(b.do(http.MethodPost, "/api/photo", "multipart/form-data; boundary=x", []byte("torn")), 400), "not readable")
	require.Empty(t, b.server.Chat(1))
}

func TestStateRefusesABadRevision(t *testing.T) {
	b := newBench(t)
	for _, since := range []string{"x", "-1", "1.5"} {
		b.read(b.do(http.MethodGet, "/api/state?since="+since, "", nil), 400)
	}
	require.True(t, b.state(1<<30).Whole, "a revision of the future is another process's")
	w := b.do(http.MethodGet, "/api/state?since=1&run=other", "", nil)
	require.Equal(t, true, b.read(w, 200)["whole"])
}
