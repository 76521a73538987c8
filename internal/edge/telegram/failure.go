package telegram

import (
	"context"
	"errors"
	"fmt"
	"net"
	"strings"
	"time"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/courier"
)

// failure is a call that did not succeed. Its text holds no token and no words of people.
type failure struct {
	method      string
	code        int    // the Bot API's error_code; 0 when there was no answer of that form
	description string // as the messenger sent it: for comparing, not for showing
	retryAfter  time.Duration
	migrateTo   int64
	token       Secret
	cause       error // when there was no answer
}

// Error names the method and what is known.
func (f *failure) Error() string { return f.method + ": " + f.why() }

// Unwrap is the cause, so that a cancelled context is known as such.
func (f *failure) Unwrap() error { return f.cause }

// failed makes a failure of the library's error.
func (t *Telegram) failed(method string, err error) *failure {
	f := &failure{method: method, token: t.o.Token}
	if e := (*tgbotapi.Error)(nil); errors.As(err, &e) && (e.Code != 0 || e.Message != "") {
		f.code, f.description, f.migrateTo = e.Code, e.Message, e.MigrateToChatID
		f.retryAfter = time.Duration(e.RetryAfter) * time.Second
		return f
	}
	if e := (*tgbotapi.Error)(nil); errors.As(err, &e) {
		err = errors.New("the answer is not of the Bot API's form")
	}
	f.cause = bare(err)
	return f
}

// scrub takes what is quoted out of a description: so the messenger shows what it stumbles over, which may be somebody's
// words. Everything from the first quotation mark to the last goes, as the words may hold marks of their own. An
// apostrophe within a word is no quotation mark.
func scrub(text string) string {
	for _, opening := range []string{`"`, " '"} {
		from := strings.Index(text, opening)
		if from < 0 {
			continue
		}
		mark := opening[len(opening)-1:]
		from += len(opening) - 1
		rest := ""
		if to := strings.LastIndex(text, mark); to > from {
			rest = text[to+1:]
		}
		text = text[:from] + "…" + rest
	}
	return text
}

// why is a short text for the operator.
func (f *failure) why() string {
	switch {
	case f.code != 0 || f.description != "":
		return fmt.Sprintf("%d %s", f.code, chat.Clip(scrub(f.token.hide(f.description)), 120))
	case errors.Is(f.cause, context.DeadlineExceeded), isTimeout(f.cause):
		return "no answer in time"
	case errors.Is(f.cause, context.Canceled):
		return "cancelled"
	}
	return f.token.hide(f.cause.Error())
}

func isTimeout(err error) bool {
	e := net.Error(nil)
	return errors.As(err, &e) && e.Timeout()
}

// says tells whether the description begins with one of the texts, after the word of its class.
func (f *failure) says(texts ...string) bool {
	_, rest, _ := strings.Cut(f.description, ": ")
	for _, text := range texts {
		if strings.HasPrefix(strings.ToLower(rest), strings.ToLower(text)) {
			return true
		}
	}
	return false
}

// class is the error code, or, where the library forgets it (as it does for uploads), what the description begins with.
func (f *failure) class() int {
	if f.code != 0 {
		return f.code
	}
	for prefix, code := range map[string]int{
		"Bad Request": 400, "Unauthorized": 401, "Forbidden": 403, "Not Found": 404, "Conflict": 409,
		"Request Entity Too Large": 413, "Too Many Requests": 429, "Internal Server Error": 500, "Bad Gateway": 502,
	} {
		if strings.HasPrefix(f.description, prefix) {
			return code
		}
	}
	return 0
}

// closed are refusals with code 400 that speak of the chat, not of the message: what is owed to it can wait for better
// times. Source: descriptions observed of the Bot API; it publishes no list.
var closed = []string{
	"chat not found", "user not found", "PEER_ID_INVALID", "group chat was upgraded", "group chat was deactivated",
	"have no rights to send", "not enough rights to send", "need administrator rights", "CHAT_WRITE_FORBIDDEN",
	"CHAT_RESTRICTED", "CHAT_SEND_PLAIN_FORBIDDEN", "CHAT_SEND_PHOTOS_FORBIDDEN", "TOPIC_CLOSED",
}

// receipt says what a failure means for the row that was sent.
func (f *failure) receipt() courier.Receipt {
	r := courier.Receipt{Why: f.why()}
	class := f.class()
	switch {
	case f.retryAfter > 0:
		r.Fate, r.RetryAfter = courier.Later, f.retryAfter
	case f.migrateTo != 0:
		r.Fate, r.MovedTo = courier.Moved, chat.ID(f.migrateTo)
	case class == 429 || class == 420:
		r.Fate = courier.Later
	case class == 403, class == 400 && f.says(closed...):
		r.Fate = courier.Gone
	case class == 401, class == 404, class == 408, class == 409:
		r.Fate = courier.Again // of the token or the connection, not of this message
	case class >= 400 && class < 500:
		r.Fate = courier.Refused
	default:
		r.Fate = courier.Again
	}
	return r
}

// retryAfter is how long the messenger asks to wait, 0 when it does not.
func retryAfter(err error) time.Duration {
	if f := (*failure)(nil); errors.As(err, &f) {
		return f.retryAfter
	}
	return 0
}
