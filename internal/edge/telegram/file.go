package telegram

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"image"
	_ "image/png" // pictures of our own are PNG
	"slices"
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/courier"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"
)

// File is a file with its name.
type File struct {
	Name string
	Data []byte
}

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

// file sends a file or pictures, made at this moment from what the message refers to, with the message's words, and its buttons
// where it is one.
func (t *Telegram) file(ctx context.Context, p chat.Post) courier.Receipt {
	if t.o.Files == nil {
		return courier.Receipt{Fate: courier.Refused, Why: "no files are made here"}
	}
	files, err := t.o.Files(ctx, p.Message.File)
	if err == nil && (len(files) == 0 || len(files) > albumLimit) {
		err = fmt.Errorf("%d files", len(files))
	}
	if err != nil {
		if ctx.Err() != nil {
			return courier.Receipt{Fate: courier.Again, Why: "stopped while a file was made"}
		}
		t.o.Log.Error("making a file", "file", p.Message.File, "error", err)
		return courier.Receipt{Fate: courier.Refused, Why: "the file could not be made"}
	}
	params := to(p)
	params.AddBool("disable_notification", p.Message.Quiet)
	caption := chat.Clip(p.Message.Plain(), captionLimit)
	if len(files) > 1 {
		return receipt(t.album(ctx, params, caption, files))
	}
	params.AddNonEmpty("caption", caption)
	params.AddNonEmpty("reply_markup", keyboard(p.Message.Keyboard))
	method, field := "sendDocument", "document"
	if asPhoto(files[0].Data) {
		method, field = "sendPhoto", "photo"
	}
	raw, err := t.upload(ctx, uploadTimeout, method, params, []string{field}, files)
	if err != nil {
		return receipt(0, err)
	}
	return receipt(t.number(method, raw))
}

// album sends several files as one album, with the words beside the first: as photos where all can be shown, else as files.
func (t *Telegram) album(ctx context.Context, params tgbotapi.Params, caption string, files []File) (int, error) {
	type media struct {
		Type    string `json:"type"`
		Media   string `json:"media"`
		Caption string `json:"caption,omitempty"`
	}
	kind := "photo"
	if slices.ContainsFunc(files, func(f File) bool { return !asPhoto(f.Data) }) {
		kind = "document"
	}
	list, fields := make([]media, len(files)), make([]string, len(files))
	for i := range files {
		fields[i] = fmt.Sprint("file-", i+1)
		list[i] = media{Type: kind, Media: "attach://" + fields[i]}
	}
	list[0].Caption = caption
	if err := params.AddInterface("media", list); err != nil {
		return 0, &failure{method: "sendMediaGroup", cause: err}
	}
	raw, err := t.upload(ctx, uploadTimeout, "sendMediaGroup", params, fields, files)
	if err != nil {
		return 0, err
	}
	return t.firstOf(raw)
}

// firstOf is the number of the first message of an album.
func (t *Telegram) firstOf(raw json.RawMessage) (int, error) {
	var sent []json.RawMessage
	if err := json.Unmarshal(raw, &sent); err != nil || len(sent) == 0 {
		return t.number("sendMediaGroup", nil)
	}
	return t.number("sendMediaGroup", sent[0])
}
