package telegram

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"time"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"

	"benyomo/internal/engine/chat"
)

// allowed are the kinds of update that are asked for. The list is always sent: without it the messenger keeps to whatever
// was asked for last.
const allowed = `["message","callback_query","my_chat_member"]`

// batch is the most updates of one poll (Bot API, getUpdates: 1–100).
const batch = 100

// Poll fetches what happens and hands it over, in order, until the context ends; then it returns nil.
//
// The handler is given the events of one poll and the offset that will confirm them. Only when it has returned nil does
// the next poll ask with that offset, which makes the messenger forget them; on an error the same events come again after
// a wait. So an event comes at least once, sometimes more often, and is known by its Update. The handler is not called
// for a poll without events.
//
// Poll returns ErrUnauthorized when the token is not accepted any more. All other failures it logs and outlasts. When the
// context ends, the poll that waits is given up at once, and one last short call confirms what was handled.
func (t *Telegram) Poll(ctx context.Context, handle func(ctx context.Context, events []chat.Event, offset int64) error) error {
	var offset, confirmed int64
	for tries := 0; ctx.Err() == nil; {
		raws, err := t.fetch(ctx, offset, batch, t.o.PollTimeout)
		if err == nil {
			confirmed = offset
			offset, err = t.hand(ctx, raws, offset, handle)
		}
		if err == nil {
			tries = 0
			continue
		}
		if f := (*failure)(nil); errors.As(err, &f) && f.code == 401 {
			return fmt.Errorf("getUpdates: %w", ErrUnauthorized)
		}
		if ctx.Err() != nil {
			break
		}
		tries++
		if !t.outlast(ctx, err, tries) {
			break
		}
	}
	if offset != confirmed {
		ctx, cancel := context.WithTimeout(context.WithoutCancel(ctx), confirmTimeout)
		defer cancel()
		if _, err := t.fetch(ctx, offset, 1, 0); err != nil {
			t.o.Log.Warn("the last updates were not confirmed and will come again", "error", err)
		}
	}
	return nil
}

// outlast waits after a failure, and tells whether to go on.
func (t *Telegram) outlast(ctx context.Context, err error, tries int) bool {
	wait := max(backOff(tries), retryAfter(err))
	f := (*failure)(nil)
	switch conflict := errors.As(err, &f) && f.class() == 409; {
	case conflict && f.says("can't use getUpdates method while webhook is active"):
		t.o.Log.Warn("a webhook is set; taking it away", "error", err)
		if _, err := t.call(ctx, sendTimeout, "deleteWebhook", nil); err != nil {
			t.o.Log.Warn("the webhook stays", "error", err)
		}
	case conflict:
		t.o.Log.Error("another program polls with this token", "error", err, "wait", wait)
	case f != nil:
		t.o.Log.Warn("polling failed", "error", err, "wait", wait)
	default:
		t.o.Log.Error("events were not handled and will come again", "error", err, "wait", wait)
	}
	return sleep(ctx, wait)
}

// fetch asks for updates once.
func (t *Telegram) fetch(ctx context.Context, offset int64, limit int, wait time.Duration) ([]json.RawMessage, error) {
	seconds := int(wait.Seconds())
	raw, err := t.call(ctx, wait+pollSlack, "getUpdates", tgbotapi.Params{
		"offset":          strconv.FormatInt(offset, 10),
		"limit":           strconv.Itoa(limit),
		"timeout":         strconv.Itoa(seconds),
		"allowed_updates": allowed,
	})
	if err != nil {
		return nil, err
	}
	var raws []json.RawMessage
	if json.Unmarshal(raw, &raws) != nil {
		return nil, &failure{method: "getUpdates", cause: errors.New("the result is not a list")}
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	t.lastPoll = t.o.Machine.Now()
	return raws, nil
}

// hand gives one poll's events to the handler and returns the offset that confirms them, or the old one with an error.
func (t *Telegram) hand(ctx context.Context, raws []json.RawMessage, offset int64,
	handle func(ctx context.Context, events []chat.Event, offset int64) error) (int64, error) {
	var events []chat.Event
	next, numbered := offset, len(raws) == 0
	for _, raw := range raws {
		id, err := updateID(raw)
		if err != nil {
			t.o.Log.Error("an update without a number is passed over")
			continue
		}
		next, numbered = id+1, true
		if e, ours := t.event(id, raw); ours {
			events = append(events, e)
		}
	}
	if !numbered {
		return offset, &failure{method: "getUpdates", cause: errNoNumber} // they would come again at once
	}
	if len(events) > 0 {
		if err := handle(ctx, events, next); err != nil {
			return offset, err
		}
	}
	return next, nil
}
