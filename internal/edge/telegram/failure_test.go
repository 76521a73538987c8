package telegram

import (
	"context"
	"errors"
	"net/http"
	"net/url"
	"testing"
	"testing/synctest"
	"time"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"
	"github.com/stretchr/testify/require"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/courier"
)

// Bodies as the Bot API sends them; the shape is documented under "Making requests" and ResponseParameters, the
// descriptions are observed: no list of them is published.
func TestWhatAFailureMeans(t *testing.T) {
	tests := []struct {
		name   string
		status int
		body   string
		want   courier.Receipt
	}{
		{"flood", 429, `{"ok":false,"error_code":429,"description":"Too Many Requests: retry after 35","parameters":{"retry_after":35}}`,
			courier.Receipt{Fate: courier.Later, RetryAfter: 35 * time.Second, Why: "429 Too Many Requests: retry after 35"}},
		{"flood for hours", 429, `{"ok":false,"error_code":429,"description":"Too Many Requests: retry after 10072","parameters":{"retry_after":10072}}`,
			courier.Receipt{Fate: courier.Later, RetryAfter: 10072 * time.Second, Why: "429 Too Many Requests: retry after 10072"}},
		{"flood without a figure", 429, bad(429, "Too Many Requests"), courier.Receipt{Fate: courier.Later, Why: "429 Too Many Requests"}},
		{"a wait counts before the code", 400, `{"ok":false,"error_code":400,"description":"Bad Request: FLOOD","parameters":{"retry_after":3}}`,
			courier.Receipt{Fate: courier.Later, RetryAfter: 3 * time.Second, Why: "400 Bad Request: FLOOD"}},
		{"moved", 400, `{"ok":false,"error_code":400,"description":"Bad Request: group chat was upgraded to a supergroup chat","parameters":{"migrate_to_chat_id":-1001234567890}}`,
			courier.Receipt{Fate: courier.Moved, MovedTo: -1001234567890, Why: "400 Bad Request: group chat was upgraded to a supergroup chat"}},
		{"moved, nobody knows where", 400, bad(400, "Bad Request: group chat was upgraded to a supergroup chat"),
			courier.Receipt{Fate: courier.Gone, Why: "400 Bad Request: group chat was upgraded to a supergroup chat"}},
		{"blocked", 403, bad(403, "Forbidden: bot was blocked by the user"), courier.Receipt{Fate: courier.Gone, Why: "403 Forbidden: bot was blocked by the user"}},
		{"deactivated", 403, bad(403, "Forbidden: user is deactivated"), courier.Receipt{Fate: courier.Gone, Why: "403 Forbidden: user is deactivated"}},
		{"never met", 403, bad(403, "Forbidden: bot can't initiate conversation with a user"), courier.Receipt{Fate: courier.Gone, Why: "403 Forbidden: bot can't initiate conversation with a user"}},
		{"kicked", 403, bad(403, "Forbidden: bot was kicked from the supergroup chat"), courier.Receipt{Fate: courier.Gone, Why: "403 Forbidden: bot was kicked from the supergroup chat"}},
		{"no such chat", 400, bad(400, "Bad Request: chat not found"), courier.Receipt{Fate: courier.Gone, Why: "400 Bad Request: chat not found"}},
		{"may not write", 400, bad(400, "Bad Request: not enough rights to send text messages to the chat"),
			courier.Receipt{Fate: courier.Gone, Why: "400 Bad Request: not enough rights to send text messages to the chat"}},
		{"too long", 400, bad(400, "Bad Request: message is too long"), courier.Receipt{Fate: courier.Refused, Why: "400 Bad Request: message is too long"}},
		{"empty", 400, bad(400, "Bad Request: message text is empty"), courier.Receipt{Fate: courier.Refused, Why: "400 Bad Request: message text is empty"}},
		{"button", 400, bad(400, "Bad Request: BUTTON_DATA_INVALID"), courier.Receipt{Fate: courier.Refused, Why: "400 Bad Request: BUTTON_DATA_INVALID"}},
		{"too large", 413, bad(413, "Request Entity Too Large"), courier.Receipt{Fate: courier.Refused, Why: "413 Request Entity Too Large"}},
		{"quoted words are not told", 400, bad(400, `Bad Request: inline keyboard button URL 'https://x.example/it's' is invalid: Wrong HTTP URL`),
			courier.Receipt{Fate: courier.Refused, Why: "400 Bad Request: inline keyboard button URL … is invalid: Wrong HTTP URL"}},
		{"token", 401, bad(401, "Unauthorized"), courier.Receipt{Fate: courier.Again, Why: "401 Unauthorized"}},
		{"address", 404, bad(404, "Not Found"), courier.Receipt{Fate: courier.Again, Why: "404 Not Found"}},
		{"server", 500, bad(500, "Internal Server Error"), courier.Receipt{Fate: courier.Again, Why: "500 Internal Server Error"}},
		{"gateway in JSON", 502, bad(502, "Bad Gateway"), courier.Receipt{Fate: courier.Again, Why: "502 Bad Gateway"}},
		{"gateway in HTML", 502, "<html>\r\n<head><title>502 Bad Gateway</title></head></html>",
			courier.Receipt{Fate: courier.Again, Why: "the answer with HTTP status 502 is not JSON"}},
		{"cut off", 200, `{"ok":true,"result":{"mess`, courier.Receipt{Fate: courier.Again, Why: "the answer with HTTP status 200 is not JSON"}},
		{"nothing", 200, ``, courier.Receipt{Fate: courier.Again, Why: "the answer with HTTP status 200 is not JSON"}},
		{"somebody else's JSON", 503, `{"message":"no healthy upstream"}`, courier.Receipt{Fate: courier.Again, Why: "the answer is not of the Bot API's form"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			for _, p := range []chat.Post{
				words(chat.Send, "x"),
				words(chat.Edit, "x"),
				{Seq: 1, Chat: 5, Op: chat.Send, Message: chat.Message{Photos: []string{"a"}}},
				{Seq: 1, Chat: 5, Op: chat.Send, Message: chat.Message{Photos: []string{"a", "b"}}},
				{Seq: 1, Chat: 5, Op: chat.Strip},
			} {
				c := &canned{answer: func(*http.Request, int, string, url.Values) (int, string, error) { return tt.status, tt.body, nil }}
				require.Equal(t, tt.want, over(t, c, Options{}).Deliver(context.Background(), p, 9))
				require.Len(t, c.asked, 1)
			}
		})
	}
}

// The library gives the failures of uploads without their code (seen in its source, bot.go, UploadFiles).
func TestAFailureWithoutACodeIsReadByItsWords(t *testing.T) {
	bot, _ := answers(t)
	for text, want := range map[string]courier.Fate{
		"Forbidden: bot was blocked by the user":       courier.Gone,
		"Bad Request: chat not found":                  courier.Gone,
		"Bad Request: PHOTO_INVALID_DIMENSIONS":        courier.Refused,
		"Request Entity Too Large":                     courier.Refused,
		"Too Many Requests: retry after 5":             courier.Later,
		"Internal Server Error: sent request is wrong": courier.Again,
		"Unauthorized":   courier.Again,
		"something else": courier.Again,
	} {
		require.Equal(t, want, bot.failed("sendPhoto", &tgbotapi.Error{Message: text}).receipt().Fate, text)
	}
	f := bot.failed("sendPhoto", &tgbotapi.Error{Message: "Too Many Requests: retry after 5", ResponseParameters: tgbotapi.ResponseParameters{RetryAfter: 5}})
	require.Equal(t, 5*time.Second, f.receipt().RetryAfter)
}

func TestFailuresOfTheNetwork(t *testing.T) {
	t.Run("refused", func(t *testing.T) {
		c := &canned{answer: func(*http.Request, int, string, url.Values) (int, string, error) {
			return 0, "", errors.New("dial tcp 127.0.0.1:1: connect: connection refused")
		}}
		r := over(t, c, Options{}).Deliver(context.Background(), words(chat.Send, "x"), 0)
		require.Equal(t, courier.Receipt{Fate: courier.Again, Why: "dial tcp 127.0.0.1:1: connect: connection refused"}, r)
	})
	hang := func(r *http.Request, _ int, _ string, _ url.Values) (int, string, error) {
		<-r.Context().Done()
		return 0, "", r.Context().Err()
	}
	t.Run("no answer", func(t *testing.T) {
		synctest.Test(t, func(t *testing.T) {
			start := time.Now()
			r := over(t, &canned{answer: hang}, Options{}).Deliver(context.Background(), words(chat.Send, "x"), 0)
			require.Equal(t, courier.Receipt{Fate: courier.Again, Why: "no answer in time"}, r)
			require.Equal(t, sendTimeout, time.Since(start))
		})
	})
	t.Run("cancelled", func(t *testing.T) {
		ctx, cancel := context.WithCancel(context.Background())
		c := &canned{answer: func(r *http.Request, n int, m string, f url.Values) (int, string, error) {
			cancel()
			return hang(r, n, m, f)
		}}
		r := over(t, c, Options{}).Deliver(ctx, words(chat.Send, "x"), 0)
		require.Equal(t, courier.Receipt{Fate: courier.Again, Why: "cancelled"}, r)
	})
}

func TestScrub(t *testing.T) {
	for text, want := range map[string]string{
		`message can't be edited`:                          `message can't be edited`,
		`can't parse entities: tag "secret" at byte 3`:     `can't parse entities: tag … at byte 3`,
		`expected "</b>", found "</secret>"`:               `expected …`,
		`URL 'it's secret' is invalid`:                     `URL … is invalid`,
		`unclosed "secret`:                                 `unclosed …`,
		`unclosed 'secret`:                                 `unclosed …`,
		`can't find "secret" and can't find 'secret' here`: `can't find … and can't find … here`,
	} {
		require.Equal(t, want, scrub(text))
	}
}
