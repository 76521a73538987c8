package telegram

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/png"
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/courier"
)

// Files are made when they are sent. A picture that the messenger takes as a photo is shown in the chat; what it would refuse, by
// its sides or ratio (Bot API, sendPhoto.photo), and everything else, is a file to open.
func TestFilesOverTheWire(t *testing.T) {
	sized := func(w, h int) []byte {
		var out bytes.Buffer
		require.NoError(t, png.Encode(&out, image.NewGray(image.Rect(0, 0, w, h))))
		return out.Bytes()
	}
	for _, c := range []struct {
		name, kind string
		data       []byte
	}{
		{"plan.png", "photo", sized(1080, 2000)},
		{"wide.png", "document", sized(2100, 100)},
		{"huge.png", "document", sized(1000, 9100)},
		{"plan.ics", "document", []byte("BEGIN:VCALENDAR\r\n")},
	} {
		w := connect(t)
		w.Say(rivka, rivka, "/start")
		w.bot.o.Files = func(_ context.Context, ref string) ([]File, error) {
			require.Equal(t, "plan|7", ref)
			return []File{{c.name, c.data}}, nil
		}
		m := chat.Message{File: "plan|7"}
		m.Add(chat.Plain, "your plan")
		m.Row(chat.Button{Label: "Menu", Data: "m.go|menu"})
		r := w.bot.Deliver(w.ctx, chat.Post{Seq: 1, Chat: chat.ID(rivka), Op: chat.Send, Message: m}, 0)
		require.Equal(t, courier.Delivered, r.Fate, r.Why)
		list := w.Chat(rivka)
		got := list[len(list)-1]
		require.Equal(t, c.kind, got.FileKind, c.name)
		require.Equal(t, r.Message, got.ID)
		require.Equal(t, "your plan", got.Caption)
		require.Len(t, got.Keyboard, 1)
	}
	w := connect(t)
	w.Say(rivka, rivka, "/start")
	w.bot.o.Files = func(context.Context, string) ([]File, error) { return nil, errors.New("no") }
	require.Equal(t, courier.Refused, w.bot.Deliver(w.ctx, chat.Post{Seq: 1, Chat: chat.ID(rivka), Op: chat.Send, Message: chat.Message{File: "x"}}, 0).Fate)
}

// Several pictures come as one album, with the words beside the first (Bot API, sendMediaGroup).
func TestSeveralPicturesAreAnAlbum(t *testing.T) {
	w := connect(t)
	w.Say(rivka, rivka, "/start")
	n := 3
	w.bot.o.Files = func(context.Context, string) ([]File, error) {
		out := make([]File, n)
		for i := range out {
			out[i] = File{fmt.Sprintf("plan-%d.png", i+1), picture(t, i)}
		}
		return out, nil
	}
	m := chat.Message{File: "plan|7"}
	m.Add(chat.Plain, "your plan")
	post := chat.Post{Seq: 1, Chat: chat.ID(rivka), Op: chat.Send, Message: m}
	before := len(w.Chat(rivka))
	r := w.bot.Deliver(w.ctx, post, 0)
	require.Equal(t, courier.Delivered, r.Fate, r.Why)
	sent := w.Chat(rivka)[before:]
	require.Len(t, sent, 3)
	require.Equal(t, r.Message, sent[0].ID)
	for i, got := range sent {
		require.Equal(t, "photo", got.FileKind)
		require.NotEmpty(t, got.Album)
		require.Equal(t, map[bool]string{true: "your plan"}[i == 0], got.Caption)
	}
	n = albumLimit + 1
	require.Equal(t, courier.Refused, w.bot.Deliver(w.ctx, post, 0).Fate)
	n = 0
	require.Equal(t, courier.Refused, w.bot.Deliver(w.ctx, post, 0).Fate)
}
