package telegram

import (
	"bytes"
	"context"
	"errors"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"
	"github.com/stretchr/testify/require"

	"benyomo/internal/edge/rehearsal/server"
	"benyomo/internal/engine/chat"
)

func TestDialOverTheWire(t *testing.T) {
	w := connect(t)
	require.Equal(t, int64(123456), w.bot.ID())
	require.Equal(t, server.DefaultBotName, w.bot.Username())
	require.True(t, w.bot.LastPoll().IsZero())

	h := httptest.NewServer(w.Server)
	defer h.Close()
	bot, err := Dial(w.ctx, Options{Token: "123456:another", Endpoint: h.URL})
	require.ErrorIs(t, err, ErrUnauthorized)
	require.Nil(t, bot)
	h.CloseClientConnections()
}

func TestDialWaitsForTheMessenger(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		start := time.Now()
		c := &canned{answer: func(_ *http.Request, n int, _ string, _ url.Values) (int, string, error) {
			switch n {
			case 1:
				return 0, "", errors.New("connection refused")
			case 2:
				return 502, "<html>", nil
			case 3:
				return 429, `{"ok":false,"error_code":429,"description":"Too Many Requests","parameters":{"retry_after":120}}`, nil
			case 4:
				return 200, `{"ok":true,"result":{}}`, nil
			}
			return 200, getMe, nil
		}}
		bot, err := Dial(context.Background(), Options{Token: testToken, HTTP: c})
		require.NoError(t, err)
		require.Equal(t, "emek_rimon_bot", bot.Username())
		require.Len(t, c.asked, 5)
		require.InDelta(t, 120+1.5+3+12, time.Since(start).Seconds(), 6)
	})
}

func TestDialEnds(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		refused := errors.New("connection refused")
		c := &canned{answer: func(*http.Request, int, string, url.Values) (int, string, error) { return 0, "", refused }}
		ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
		defer cancel()
		_, err := Dial(ctx, Options{Token: testToken, HTTP: c})
		require.ErrorIs(t, err, context.DeadlineExceeded)
		require.ErrorIs(t, err, refused, "the reason is told too")
		require.Greater(t, len(c.asked), 2)
	})
	for _, body := range []string{bad(401, "Unauthorized"), bad(404, "Not Found")} {
		c := &canned{answer: func(*http.Request, int, string, url.Values) (int, string, error) { return 401, body, nil }}
		_, err := Dial(context.Background(), Options{Token: testToken, HTTP: c})
		require.ErrorIs(t, err, ErrUnauthorized)
		require.Len(t, c.asked, 1)
	}
}

func TestARedirectIsNotFollowed(t *testing.T) {
	asked := 0
	h := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		asked++
		http.Redirect(w, r, "/elsewhere"+r.URL.Path, http.StatusTemporaryRedirect)
	}))
	defer h.Close()
	bot, err := prepare(Options{Token: testToken, Endpoint: h.URL})
	require.NoError(t, err)
	defer bot.Close()
	_, err = bot.call(context.Background(), time.Minute, "getMe", nil)
	require.ErrorContains(t, err, "HTTP status 307")
	require.Equal(t, 1, asked)
}

// TestNothingLeaks drives every failure there is and looks for the token and for people's words in all that is said of it:
// errors, receipts and the log.
func TestNothingLeaks(t *testing.T) {
	const marker = "marker-of-a-person"
	var out bytes.Buffer
	note := func(s string) { out.WriteString(s + "\n") }

	bodies := map[string]struct {
		status int
		body   string
		err    error
	}{
		"transport":    {0, "", errors.New("Post \"https://host/bot" + string(testToken) + "/x\": refused")},
		"html":         {502, "<html>" + marker + string(testToken), nil},
		"truncated":    {200, `{"ok":true,"result":"` + marker, nil},
		"wrong type":   {200, `{"ok":"` + marker + `"}`, nil},
		"wrong result": {200, `{"ok":true,"result":"` + marker + `"}`, nil},
		"quoted":       {400, bad(400, `Bad Request: can't parse entities: "`+marker+`" is not it's "`+marker+`"`), nil},
		"single":       {400, bad(400, `Bad Request: button URL '`+marker+`' is invalid`), nil},
		"token":        {400, bad(400, "Bad Request: bot"+string(testToken)), nil},
		"unauthorized": {401, bad(401, "Unauthorized"), nil},
		"conflict":     {409, bad(409, "Conflict: can't use getUpdates method while webhook is active"), nil},
		"flood":        {429, bad(429, "Too Many Requests"), nil},
		"other JSON":   {500, `{"message":"` + marker + `"}`, nil},
		"poison":       {200, `{"ok":true,"result":[{"update_id":1,"message":{"text":{"` + marker + `":1}}},"` + marker + `"]}`, nil},
		"no numbers":   {200, `{"ok":true,"result":["` + marker + `"]}`, nil},
	}
	synctest.Test(t, func(t *testing.T) {
		for name, b := range bodies {
			c := &canned{answer: func(*http.Request, int, string, url.Values) (int, string, error) { return b.status, b.body, b.err }}
			o := Options{Token: testToken, HTTP: c, Log: slog.New(slog.NewTextHandler(&out, &slog.HandlerOptions{Level: slog.LevelDebug}))}
			ctx, cancel := context.WithTimeout(context.Background(), 3*time.Second)
			_, err := Dial(ctx, o)
			require.Error(t, err, name)
			note(err.Error())
			bot := over(t, c, o)
			for _, p := range []chat.Post{
				words(chat.Send, marker), words(chat.Edit, marker), words(chat.Strip, ""),
				{Op: chat.Send, Message: chat.Message{Photos: []string{marker}}},
				{Op: chat.Send, Message: chat.Message{Photos: []string{marker, marker}}},
			} {
				note(bot.Deliver(context.Background(), p, 5).Why)
			}
			bot.Toast(context.Background(), "press", marker, false)
			if err := bot.SetCommands(context.Background(), "en", []Command{{Name: "start", About: marker}}); err != nil {
				note(err.Error())
			}
			ctx, cancelPoll := context.WithTimeout(context.Background(), 5*time.Second)
			err = bot.Poll(ctx, func(ctx context.Context, events []chat.Event, _ int64) error {
				<-time.After(time.Second)
				return ctx.Err()
			})
			if err != nil {
				note(err.Error())
			}
			cancelPoll()
			cancel()
		}
	})
	said := out.String()
	require.Greater(t, strings.Count(said, "\n"), 50, "something must have been said")
	require.NotContains(t, said, string(testToken))
	require.NotContains(t, said, "not-a-real-token")
	require.NotContains(t, said, marker)
}

func TestTheLibrarySaysNothing(t *testing.T) {
	_, c := answers(t, sentOK, sentOK)
	loud := &tgbotapi.BotAPI{Token: string(testToken), Client: c, Debug: true}
	loud.SetAPIEndpoint("http://host/bot%s/%s")
	var said strings.Builder
	require.NoError(t, tgbotapi.SetLogger(slog.NewLogLogger(slog.NewTextHandler(&said, nil), slog.LevelInfo)))
	defer hush()
	_, err := loud.MakeRequest("sendMessage", tgbotapi.Params{"text": "words"})
	require.NoError(t, err)
	require.Contains(t, said.String(), "words", "the library prints what it sends")
	said.Reset()
	hush()
	_, err = loud.MakeRequest("sendMessage", tgbotapi.Params{"text": "words"})
	require.NoError(t, err)
	require.Empty(t, said.String())
}
