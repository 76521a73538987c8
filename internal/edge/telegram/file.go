package telegram

import (
	"bytes"
	"context"
	"image"
	_ "image/png" // pictures of our own are PNG
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/courier"
)

// uploadTimeout bounds the making and sending of a file.
const uploadTimeout = 2 * time.Minute

// captionLimit is how long the words beside a file may be (Bot API, sendDocument.caption: 1024 characters).
const captionLimit = 1000

// Limits of a photo: the file in bytes, width and height together in pixels, and the one by the other (Bot API, sendPhoto.photo).
const (
	photoBytes = 10 << 20
	photoSides = 10000
	photoRatio = 20
)

// asPhoto reports whether data can be shown in the chat as a picture; what cannot is sent as a file to open.
func asPhoto(data []byte) bool {
	c, _, err := image.DecodeConfig(bytes.NewReader(data))
	return err == nil && len(data) <= photoBytes && c.Width+c.Height <= photoSides && max(c.Width, c.Height) <= photoRatio*min(c.Width, c.Height)
}

// file sends a file or picture, made at this moment from what the message refers to, with the message's words and buttons.
func (t *Telegram) file(ctx context.Context, p chat.Post) courier.Receipt {
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
	method, field := "sendDocument", "document"
	if asPhoto(data) {
		method, field = "sendPhoto", "photo"
	}
	raw, err := t.upload(ctx, uploadTimeout, method, params, field, name, data)
	if err != nil {
		return receipt(0, err)
	}
	return receipt(t.number(method, raw))
}
