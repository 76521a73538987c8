package page

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"net/http/httptest"
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/internal/edge/rehearsal/server"
)

func TestATalkIsShownInBothLedgersAndOnlyChangesAreSentAgain(t *testing.T) {
	b := newBench(t)
	first := b.state(0)
	require.True(t, first.Whole)
	require.Equal(t, "Wednesday 25 March 2026, 10:00", first.Clock.Shown)
	require.Equal(t, "Asia/Jerusalem, UTC+02:00", first.Clock.Zone)
	require.Equal(t, "Sat 28 March, 19:30", first.Clock.Rest)

	b.post("say", 200, `{"view":"rivka","text":"  May I use the pot?  "}`)
	id := b.botSays(1, "איזה סיר?", "red", "blue")
	talk := b.state(first.Rev)
	require.False(t, talk.Whole)
	mine, bots := talk.Views[0].Entries[0], talk.Views[0].Entries[1]
	require.Equal(t, []any{1, "own", "Rivka", "10:00", "ltr"}, []any{mine.No, mine.Who, mine.Name, mine.Time, mine.Dir})
	require.Equal(t, "May I use the pot?", mine.Blocks[0].Runs[0].Text)
	require.Equal(t, []any{2, "bot", "rtl", "he"}, []any{bots.No, bots.Who, bots.Dir, bots.Lang})
	require.Equal(t, []key{{Text: "to red", Dir: "ltr", Lang: "en", Data: "red"}, {Text: "to blue", Dir: "ltr", Lang: "en", Data: "blue"}}, bots.Rows[0])
	require.Empty(t, talk.Views[1].Entries)

	b.bot("editMessageText", map[string]any{"chat_id": 1, "message_id": id, "text": "נרשם"})
	edited := b.state(talk.Rev)
	require.Len(t, edited.Views[0].Entries, 1)
	require.True(t, edited.Views[0].Entries[0].Edited)
	require.Empty(t, edited.Views[0].Entries[0].Rows)

	b.post("say", 200, fmt.Sprintf(`{"view":"rivka","text":"the red one","replyTo":%d}`, id))
	reply := b.state(edited.Rev).Views[0].Entries[0]
	require.Equal(t, []int{3, 2, id}, []int{reply.No, reply.AnswerNo, reply.AnswerTo})

	b.post("say", 200, `{"view":"rav","start":"https://t.me/emek_rimon_bot?start=rav_7"}`)
	chat := b.server.Chat(2)
	require.Equal(t, "/start rav_7", chat[len(chat)-1].Text)
}

func TestTheAnswerToAPressIsShownUnderItsLedger(t *testing.T) {
	b := newBench(t)
	b.server.Say(1, 1, "hello")
	id := b.botSays(1, "Which pot?", "red")
	got := b.post("press", 200, fmt.Sprintf(`{"view":"rivka","message":%d,"data":"red"}`, id))
	waiting := b.state(0).Views[0].Note
	require.Equal(t, note{Text: "Pressed “\u2068to red\u2069”; no answer from the bot yet.", Waiting: true, N: 1}, waiting)

	b.bot("answerCallbackQuery", map[string]any{"callback_query_id": got["callback"], "text": "נרשם", "show_alert": true})
	s := b.state(0)
	require.Equal(t, note{Text: "נרשם", Alert: true, N: 2}, s.Views[0].Note)
	require.Zero(t, s.Views[1].Note.N, "nobody else is told")

	// A button that the bot has taken away can still be pressed, as on a phone that has not heard of it.
	got = b.post("press", 200, fmt.Sprintf(`{"view":"rivka","message":%d,"data":"gone","label":"Old button"}`, id))
	require.Contains(t, b.state(0).Views[0].Note.Text, "“\u2068Old button\u2069”")
	b.bot("answerCallbackQuery", map[string]any{"callback_query_id": got["callback"]})
	require.Equal(t, "Pressed “\u2068Old button\u2069”.", b.state(0).Views[0].Note.Text)
}

func TestFilesAreSentShownAndServedSafely(t *testing.T) {
	b := newBench(t)
	b.upload("photo", 200, png(), "view", "rivka", "caption", "הסיר שלי\nמבפנים")
	b.upload("voice", 200, opus(7*48000), "view", "rivka")
	b.upload("document", 200, []byte("<script>alert(1)</script>"), "view", "rivka")
	b.upload("photo", 200, png(), "view", "rivka")
	entries := b.state(0).Views[0].Entries
	require.Len(t, entries, 4)
	require.Equal(t, []string{"photo", "voice", "document"},
		[]string{entries[0].File.Kind, entries[1].File.Kind, entries[2].File.Kind})
	require.Equal(t, "Photo: הסיר שלי", entries[0].File.Alt)
	require.Equal(t, "Photo without a caption, from Rivka", entries[3].File.Alt)
	require.Equal(t, "rtl", entries[0].Dir)

	fetch := func(e entry) *httptest.ResponseRecorder {
		w := b.do(http.MethodGet, "/"+e.File.URL, "", nil)
		require.Equal(t, 200, w.Code)
		require.Contains(t, w.Header().Get("Content-Security-Policy"), "sandbox")
		return w
	}
	w := fetch(entries[0])
	require.Equal(t, "image/png", w.Header().Get("Content-Type"))
	require.Equal(t, png(), w.Body.Bytes())
	require.Equal(t, "audio/ogg", fetch(entries[1]).Header().Get("Content-Type"))
	w = fetch(entries[2])
	require.Equal(t, "application/octet-stream", w.Header().Get("Content-Type"), "nothing in a document may run here")
	require.Equal(t, "attachment; filename=pot.bin", w.Header().Get("Content-Disposition"), "without the sender's folders")
	b.read(b.do(http.MethodGet, "/api/file/none", "", nil), 404)
}

func TestWhoStoppedTheBotSendsNothingUntilItIsAllowedAgain(t *testing.T) {
	b := newBench(t)
	b.server.Say(1, 1, "hello")
	id := b.botSays(1, "Which pot?", "red")
	b.post("block", 200, `{"view":"rivka"}`)
	require.True(t, b.state(0).Views[0].Stopped)
	require.Contains(t, b.post("say", 409, `{"view":"rivka","text":"a"}`)["error"], "Rivka has stopped the bot")
	b.post("press", 409, fmt.Sprintf(`{"view":"rivka","message":%d,"data":"red"}`, id))
	b.upload("photo", 409, png(), "view", "rivka")
	require.Contains(t, b.post("block", 409, `{"view":"rivka"}`)["error"], "already")
	b.post("unblock", 200, `{"view":"rivka"}`)
	b.post("say", 200, `{"view":"rivka","text":"a"}`)
}

func TestAddedMembersCanWrite(t *testing.T) {
	b := newBench(t)
	key := b.post("person", 200, `{"name":"דב","language":"he"}`)["view"]
	views := b.state(0).Views
	added := views[len(views)-1]
	require.Equal(t, []any{key, "דב", RoleMember, "he"}, []any{added.Key, added.Label, added.Role, added.Lang})
	b.post("say", 200, fmt.Sprintf(`{"view":%q,"start":"slot-3"}`, key))
	require.Equal(t, "דב", b.state(0).Views[3].Entries[0].Name)
	for i := len(views); i < maxViews; i++ {
		b.post("person", 200, `{"name":"Dov","language":"en"}`)
	}
	require.Contains(t, b.post("person", 400, `{"name":"Dov","language":"en"}`)["error"], "holds 40 views")
}

func TestTheClockMovesForwardAndTheBotCatchesUp(t *testing.T) {
	b := newBench(t)
	settled := 0
	b.settle = func(ctx context.Context) error {
		_, bounded := ctx.Deadline()
		require.True(t, bounded)
		settled++
		return nil
	}
	require.Equal(t, "Wednesday 25 March 2026, 11:00", b.post("clock", 200, `{"advance":"1h"}`)["shown"])
	require.Equal(t, "Thursday 26 March 2026, 11:00", b.post("clock", 200, `{"advance":"24h"}`)["shown"])
	require.Equal(t, "Thursday 26 March 2026, 22:15", b.post("clock", 200, `{"at":"2026-03-26T22:15"}`)["shown"])
	require.Equal(t, "Saturday 28 March 2026, 19:30", b.post("clock", 200, `{"to":"rest-end"}`)["shown"])
	require.Equal(t, restEnd, b.clock.Now().UTC())
	require.Equal(t, 4, settled)
	require.Contains(t, b.post("clock", 400, `{"to":"rest-end"}`)["error"], "No rest span")
	require.Empty(t, b.state(0).Clock.Rest)

	b.settle = func(context.Context) error { return errors.New("still working") }
	got := b.post("clock", 200, `{"advance":"1h"}`)
	require.Contains(t, got["remark"], "has moved, but the bot has not caught up yet: still working")
}

func TestTheClockRefusesASecondMoveMeanwhile(t *testing.T) {
	b := newBench(t)
	inside, release := make(chan struct{}), make(chan struct{})
	b.settle = func(context.Context) error { close(inside); <-release; return nil }
	done := make(chan int)
	go func() {
		w := b.do(http.MethodPost, "/api/clock", "application/json", []byte(`{"advance":"1h"}`))
		done <- w.Code
	}()
	<-inside
	require.Contains(t, b.post("clock", 409, `{"advance":"1h"}`)["error"], "moving already")
	close(release)
	require.Equal(t, 200, <-done)
}

func TestFaultsAreSwitchedOneByOne(t *testing.T) {
	b := newBench(t)
	b.server.Fail(server.Fault{Kind: server.FaultSlow, Method: "sendPhoto"}) // somebody else's
	for _, kind := range switches {
		b.post("fault", 200, fmt.Sprintf(`{"kind":%q,"on":true,"count":2}`, kind))
	}
	b.post("fault", 200, `{"kind":"rate-limit","on":true}`)
	b.post("fault", 200, `{"kind":"twice","on":false}`)
	require.Equal(t, []faultState{
		{Kind: "server-error", On: true, Left: 2}, {Kind: "rate-limit", On: true}, {Kind: "answer-lost", On: true, Left: 2},
		{Kind: "twice"},
	}, b.state(0).Faults)
	kinds := map[string]int{}
	for _, f := range b.server.Faults() {
		kinds[f.Kind]++
		if f.Kind == server.FaultRateLimit {
			require.Equal(t, pause, f.RetryAfter)
		}
	}
	require.Equal(t, map[string]int{"server-error": 1, "rate-limit": 1, "answer-lost": 1, "slow": 1}, kinds)
}

func TestAWaitingBrowserHearsOfNews(t *testing.T) {
	for name, happen := range map[string]func(*bench){
		"the bot wrote":       func(b *bench) { b.botSays(1, "news") },
		"a person wrote":      func(b *bench) { b.server.Say(2, 2, "news") },
		"a member was added":  func(b *bench) { b.post("person", 200, `{"name":"Dov","language":"en"}`) },
		"the clock moved":     func(b *bench) { b.post("clock", 200, `{"advance":"1h"}`) },
		"a fault switched on": func(b *bench) { b.post("fault", 200, `{"kind":"twice","on":true}`) },
	} {
		t.Run(name, func(t *testing.T) {
			b := newBench(t)
			b.server.Say(1, 1, "hello")
			before := b.state(0)
			answer := make(chan *httptest.ResponseRecorder)
			go func() { answer <- b.do(http.MethodGet, fmt.Sprintf("/api/state?since=%d", before.Rev), "", nil) }()
			happen(b)
			var after snapshot
			require.NoError(t, json.Unmarshal((<-answer).Body.Bytes(), &after))
			require.Greater(t, after.Rev, before.Rev)
			require.False(t, after.Whole)
		})
	}
}

func TestCloseEndsTheWait(t *testing.T) {
	b := newBench(t)
	before := b.state(0)
	answer := make(chan *httptest.ResponseRecorder)
	go func() { answer <- b.do(http.MethodGet, fmt.Sprintf("/api/state?since=%d", before.Rev), "", nil) }()
	b.page.Close()
	require.Equal(t, 200, (<-answer).Code)
}
