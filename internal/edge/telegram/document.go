package telegram

import (
	"context"
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/courier"
)

// uploadTimeout bounds the making and sending of a file.
const uploadTimeout = 2 * time.Minute

// captionLimit is how long the words beside a file may be (Bot API, sendDocument.caption: 1024 characters).
const captionLimit = 1000

// document sends a file, made at this moment from what the message refers to, with the message's words and buttons.
func (t *Telegram) document(ctx context.Context, p chat.Post) courier.Receipt {
	if t.o.Files == nil {
		return courier.Receipt{Fate: courier.Refused, Why: "no files are made here"}
	}
	name, data, err := t.o.Files(ctx, p.Message.File)
	if err != nil {
		if ctx.Err() != nil {
			return courier.Receipt{Fate: courier.Again, Why: "stopped while a file was made"}
		}
		t.o.Log.Error("making a file", "file", p.Message.File, "error", err)
		return courier.Receipt{Fate: courier.Refused, Why: "the file could not be made"}
	}
	params := to(p)
	params.AddBool("disable_notification", p.Message.Quiet)
	params.AddNonEmpty("caption", chat.Clip(p.Message.Plain(), captionLimit))
	params.AddNonEmpty("reply_markup", keyboard(p.Message.Keyboard))
	raw, err := t.upload(ctx, uploadTimeout, "sendDocument", params, "document", name, data)
	if err != nil {
		return receipt(0, err)
	}
	return receipt(t.number("sendDocument", raw))
}
