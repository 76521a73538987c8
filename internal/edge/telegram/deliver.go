package telegram

import (
	"context"
	"encoding/json"
	"errors"
	"slices"
	"strconv"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/courier"
)

// albumLimit is how many photos one album takes (Bot API, sendMediaGroup: 2–10).
const albumLimit = 10

// album is how far a message of many photos has come: what arrived is not sent again when a later part fails.
type album struct {
	chat  chat.ID
	sent  int // photos
	first int // the messenger's number of the first
}

// Deliver tries once to bring a post to its chat. An edit of a message that is not there, or cannot be edited any more,
// becomes a new message, whose number the receipt holds.
func (t *Telegram) Deliver(ctx context.Context, p chat.Post, message int) courier.Receipt {
	switch {
	case p.Op == chat.Strip:
		return t.strip(ctx, p, message)
	case len(p.Message.Photos) > 0:
		return t.photos(ctx, p)
	case p.Message.File != "":
		return t.file(ctx, p)
	case p.Op == chat.Edit && message != 0:
		return t.edit(ctx, p, message)
	}
	return t.say(ctx, p)
}

// say sends a message of words.
func (t *Telegram) say(ctx context.Context, p chat.Post) courier.Receipt {
	params := to(p)
	params.AddBool("disable_notification", p.Message.Quiet)
	return receipt(t.write(ctx, "sendMessage", params, p.Message))
}

// edit changes a message of words.
func (t *Telegram) edit(ctx context.Context, p chat.Post, message int) courier.Receipt {
	params := to(p)
	params["message_id"] = strconv.Itoa(message)
	_, err := t.write(ctx, "editMessageText", params, p.Message)
	switch f := (*failure)(nil); {
	case err == nil, errors.As(err, &f) && f.says("message is not modified"):
		return courier.Receipt{Fate: courier.Delivered, Message: message}
	case lost(err):
		return t.say(ctx, p)
	}
	return receipt(0, err)
}

// strip takes a message's buttons away. Without the message there are none.
func (t *Telegram) strip(ctx context.Context, p chat.Post, message int) courier.Receipt {
	if message == 0 {
		return courier.Receipt{Fate: courier.Delivered}
	}
	params := to(p)
	params["message_id"] = strconv.Itoa(message)
	_, err := t.call(ctx, sendTimeout, "editMessageReplyMarkup", params)
	if f := (*failure)(nil); err == nil || lost(err) || errors.As(err, &f) && f.says("message is not modified") {
		return courier.Receipt{Fate: courier.Delivered, Message: message}
	}
	return receipt(0, err)
}

// lost tells whether there is nothing to edit. Source: descriptions observed of the Bot API; it publishes no list.
func lost(err error) bool {
	f := (*failure)(nil)
	return errors.As(err, &f) &&
		f.says("message to edit not found", "message can't be edited", "MESSAGE_ID_INVALID", "message identifier is not specified")
}

// write makes a call that carries a message's words and buttons, and returns the message's number. Should the messenger
// stumble over the markup, the words go once more without.
func (t *Telegram) write(ctx context.Context, method string, params tgbotapi.Params, m chat.Message) (int, error) {
	params["text"] = render(m)
	params["parse_mode"] = "HTML"
	params["link_preview_options"] = `{"is_disabled":true}`
	params.AddNonEmpty("reply_markup", keyboard(m.Keyboard))
	raw, err := t.call(ctx, sendTimeout, method, params)
	if f := (*failure)(nil); errors.As(err, &f) && f.says("can't parse entities", "can't parse message text") {
		t.o.Log.Error("the messenger does not understand the markup; sending it plain", "error", err)
		params["text"] = plain(m)
		delete(params, "parse_mode")
		raw, err = t.call(ctx, sendTimeout, method, params)
	}
	if err != nil {
		return 0, err
	}
	return t.number(method, raw)
}

// photos sends photos: one by itself, several as albums.
func (t *Telegram) photos(ctx context.Context, p chat.Post) courier.Receipt {
	t.mu.Lock()
	a := t.albums[p.Seq]
	delete(t.albums, p.Seq)
	t.mu.Unlock()
	if a.chat != p.Chat || a.sent > len(p.Message.Photos) {
		a = album{chat: p.Chat} // the group has a new id
	}
	for part := range slices.Chunk(p.Message.Photos[a.sent:], albumLimit) {
		number, err := t.sendPhotos(ctx, p, part)
		if err != nil {
			r := receipt(0, err)
			if !r.Fate.Final() && a.sent > 0 {
				t.mu.Lock()
				t.albums[p.Seq] = a
				t.mu.Unlock()
			}
			return r
		}
		a.sent += len(part)
		if a.first == 0 {
			a.first = number
		}
	}
	return courier.Receipt{Fate: courier.Delivered, Message: a.first}
}

// sendPhotos sends as many photos as fit in an album.
func (t *Telegram) sendPhotos(ctx context.Context, p chat.Post, ids []string) (int, error) {
	params := to(p)
	params.AddBool("disable_notification", p.Message.Quiet)
	if len(ids) == 1 {
		params["photo"] = ids[0]
		raw, err := t.call(ctx, sendTimeout, "sendPhoto", params)
		if err != nil {
			return 0, err
		}
		return t.number("sendPhoto", raw)
	}
	type media struct {
		Type  string `json:"type"`
		Media string `json:"media"`
	}
	list := make([]media, len(ids))
	for i, id := range ids {
		list[i] = media{"photo", id}
	}
	if err := params.AddInterface("media", list); err != nil {
		return 0, &failure{method: "sendMediaGroup", cause: err}
	}
	raw, err := t.call(ctx, sendTimeout, "sendMediaGroup", params)
	if err != nil {
		return 0, err
	}
	return t.firstOf(raw)
}

// number reads a message's number from an answer that says the call succeeded. The message is there even when the number
// cannot be read: then it is 0, since sending it again would be worse than not being able to edit it.
func (t *Telegram) number(method string, raw json.RawMessage) (int, error) {
	var m struct {
		ID int `json:"message_id"`
	}
	if json.Unmarshal(raw, &m) != nil || m.ID == 0 {
		t.o.Log.Error("an answer without the message's number", "method", method)
		return 0, nil
	}
	return m.ID, nil
}

// to begins a call's parameters.
func to(p chat.Post) tgbotapi.Params {
	return tgbotapi.Params{"chat_id": strconv.FormatInt(int64(p.Chat), 10)}
}

// receipt is what a call's outcome means for the row.
func receipt(number int, err error) courier.Receipt {
	if f := (*failure)(nil); errors.As(err, &f) {
		return f.receipt()
	}
	return courier.Receipt{Fate: courier.Delivered, Message: number}
}
