package telegram

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/png"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/internal/edge/rehearsal/server"
	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/courier"
)

var card = chat.Message{
	Blocks:   []chat.Block{{Text: "Pot <3", Style: chat.Heading}, {Text: "Is it & metal?"}, {Text: "my aunt's", Style: chat.Quoted}},
	Keyboard: [][]chat.Button{{{Label: "Yes", Data: "y|1"}, {Label: "No", Data: "n|1"}}},
}

func TestSendEditStripOverTheWire(t *testing.T) {
	w := connect(t)
	w.Say(rivka, rivka, "/start")
	p := chat.Post{Seq: 1, Chat: chat.ID(rivka), Op: chat.Send, Message: card}

	r := w.bot.Deliver(w.ctx, p, 0)
	require.Equal(t, courier.Delivered, r.Fate, r.Why)
	shown := func() server.Message {
		list := w.Chat(rivka)
		return list[len(list)-1]
	}
	require.Equal(t, r.Message, shown().ID)
	require.Equal(t, "Pot <3\n\nIs it & metal?\n\nmy aunt's", shown().Text)
	require.Equal(t, []server.Entity{{Type: "bold", Offset: 0, Length: 6}, {Type: "blockquote", Offset: 24, Length: 9}}, shown().Entities)
	require.Equal(t, [][]server.Button{{{Text: "Yes", Data: "y|1"}, {Text: "No", Data: "n|1"}}}, shown().Keyboard)

	p.Op = chat.Edit
	require.Equal(t, courier.Receipt{Fate: courier.Delivered, Message: r.Message}, w.bot.Deliver(w.ctx, p, r.Message), "an edit that changes nothing")
	require.False(t, shown().Edited)
	p.Message = chat.Say("Done")
	require.Equal(t, courier.Receipt{Fate: courier.Delivered, Message: r.Message}, w.bot.Deliver(w.ctx, p, r.Message))
	require.True(t, shown().Edited)
	require.Equal(t, "Done", shown().Text)
	require.Empty(t, shown().Keyboard)

	p.Message = card
	require.Equal(t, courier.Delivered, w.bot.Deliver(w.ctx, p, r.Message).Fate)
	require.NotEmpty(t, shown().Keyboard)
	p.Op = chat.Strip
	for range 2 { // the second time there is nothing to take away
		require.Equal(t, courier.Receipt{Fate: courier.Delivered, Message: r.Message}, w.bot.Deliver(w.ctx, p, r.Message))
		require.Empty(t, shown().Keyboard)
		require.Equal(t, "Pot <3\n\nIs it & metal?\n\nmy aunt's", shown().Text)
	}

	w.Remove(rivka, r.Message)
	require.Equal(t, courier.Delivered, w.bot.Deliver(w.ctx, p, r.Message).Fate, "nothing to strip any more")
	p.Op = chat.Edit
	again := w.bot.Deliver(w.ctx, p, r.Message)
	require.Equal(t, courier.Delivered, again.Fate)
	require.Greater(t, again.Message, r.Message, "what cannot be edited is sent anew")
	require.Equal(t, again.Message, shown().ID)
}

func TestClosedAndMovedChatsOverTheWire(t *testing.T) {
	w := connect(t)
	p := chat.Post{Seq: 1, Chat: chat.ID(dov), Op: chat.Send, Message: chat.Say("hello")}
	require.Equal(t, courier.Gone, w.bot.Deliver(w.ctx, p, 0).Fate, "he never wrote")
	w.Say(dov, dov, "/start")
	require.Equal(t, courier.Delivered, w.bot.Deliver(w.ctx, p, 0).Fate)
	w.Block(dov)
	require.Equal(t, courier.Gone, w.bot.Deliver(w.ctx, p, 0).Fate)
	w.Unblock(dov)
	require.Equal(t, courier.Delivered, w.bot.Deliver(w.ctx, p, 0).Fate)

	p.Chat = chat.ID(inbox)
	require.Equal(t, courier.Delivered, w.bot.Deliver(w.ctx, p, 0).Fate)
	super := w.Migrate(inbox)
	r := w.bot.Deliver(w.ctx, p, 0)
	require.Equal(t, courier.Moved, r.Fate)
	require.Equal(t, chat.ID(super), r.MovedTo)
	p.Chat = r.MovedTo
	require.Equal(t, courier.Delivered, w.bot.Deliver(w.ctx, p, 0).Fate)
}

func TestFaultsOverTheWire(t *testing.T) {
	for kind, want := range map[string]courier.Fate{
		server.FaultServerError: courier.Again, server.FaultRateLimit: courier.Later, server.FaultAnswerLost: courier.Again,
		server.FaultRefused: courier.Again, server.FaultBlocked: courier.Gone, server.FaultUnauthorized: courier.Again,
	} {
		t.Run(kind, func(t *testing.T) {
			w := connect(t)
			w.Say(rivka, rivka, "/start")
			w.Fail(server.Fault{Kind: kind, Count: 1, RetryAfter: 7})
			r := w.bot.Deliver(w.ctx, words(chat.Send, "marker-text"), 0)
			require.Equal(t, want, r.Fate, r.Why)
			require.NotEmpty(t, r.Why)
			require.NotContains(t, r.Why, "not-a-real-token")
			require.NotContains(t, r.Why, "marker-text")
			if kind == server.FaultRateLimit {
				require.Equal(t, 7.0, r.RetryAfter.Seconds())
			}
			require.Equal(t, courier.Delivered, w.bot.Deliver(w.ctx, words(chat.Send, "after"), 0).Fate)
		})
	}
}

func picture(t *testing.T, n int) []byte {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, png.Encode(&out, image.NewGray(image.Rect(0, 0, 20+n, 20))))
	return out.Bytes()
}

func TestPhotosOverTheWire(t *testing.T) {
	w := connect(t)
	var ids []string
	for i := range 12 {
		w.Photo(rivka, rivka, "pot.png", picture(t, i), "")
		list := w.Chat(rivka)
		ids = append(ids, list[len(list)-1].FileID)
	}
	for _, n := range []int{1, 2, 10, 11, 12} {
		before := len(w.Chat(inbox))
		p := chat.Post{Seq: uint64(n), Chat: chat.ID(inbox), Op: chat.Send, Message: chat.Message{Photos: ids[:n], Quiet: true}}
		r := w.bot.Deliver(w.ctx, p, 0)
		require.Equal(t, courier.Delivered, r.Fate, r.Why)
		sent := w.Chat(inbox)[before:]
		require.Len(t, sent, n)
		require.Equal(t, sent[0].ID, r.Message, "the number of the first")
		for i, m := range sent {
			require.Equal(t, ids[i], m.FileID)
			require.Equal(t, n > 1 && !(n == 11 && i == 10), m.Album != "", "photo %d of %d", i, n)
		}
	}
	require.Equal(t, courier.Refused, w.bot.Deliver(w.ctx, chat.Post{Seq: 99, Chat: chat.ID(inbox), Op: chat.Send,
		Message: chat.Message{Photos: []string{"unknown"}}}, 0).Fate)
}

func TestPhotosThatArrivedAreNotSentAgain(t *testing.T) {
	var ids []string
	for i := range 25 {
		ids = append(ids, fmt.Sprintf("photo-%d", i))
	}
	fail := map[int]bool{2: true, 3: true, 5: true}
	c := &canned{}
	c.answer = func(_ *http.Request, n int, method string, form url.Values) (int, string, error) {
		if fail[n] {
			return 429, `{"ok":false,"error_code":429,"description":"Too Many Requests: retry after 5","parameters":{"retry_after":5}}`, nil
		}
		return 200, fmt.Sprintf(`{"ok":true,"result":[{"message_id":%d}]}`, 100*n), nil
	}
	bot := over(t, c, Options{})
	p := chat.Post{Seq: 3, Chat: 5, Op: chat.Send, Message: chat.Message{Photos: ids}}
	var fates []courier.Fate
	for range 4 {
		r := bot.Deliver(context.Background(), p, 0)
		fates = append(fates, r.Fate)
		if r.Fate == courier.Delivered {
			require.Equal(t, 100, r.Message)
		}
	}
	require.Equal(t, []courier.Fate{courier.Later, courier.Later, courier.Later, courier.Delivered}, fates)
	media := ""
	for n, a := range c.asked {
		if !fail[n+1] {
			media += a.form.Get("media")
		}
	}
	for _, id := range ids {
		require.Equal(t, 1, strings.Count(media, `"`+id+`"`), id)
	}
	require.Empty(t, bot.albums)
}

func TestAnAlbumBeginsAnewInAnotherChatAndIsForgottenWhenRefused(t *testing.T) {
	p := chat.Post{Seq: 3, Chat: -5, Op: chat.Send, Message: chat.Message{Photos: make([]string, 12)}}
	two := `{"ok":true,"result":[{"message_id":8},{"message_id":9}]}`
	bot, c := answers(t, two, bad(500, "Internal Server Error"), two, two)
	require.Equal(t, courier.Again, bot.Deliver(context.Background(), p, 0).Fate)
	p.Chat = -1005
	require.Equal(t, courier.Delivered, bot.Deliver(context.Background(), p, 0).Fate)
	require.Len(t, c.asked, 4, "all twelve go to the group's new id")

	bot, _ = answers(t, two, bad(400, "Bad Request: PHOTO_INVALID_DIMENSIONS"))
	require.Equal(t, courier.Refused, bot.Deliver(context.Background(), p, 0).Fate)
	require.Empty(t, bot.albums)
}

func TestWhatIsSaidOfASend(t *testing.T) {
	bot, c := answers(t, sentOK, sentOK)
	p := words(chat.Send, "x")
	require.Equal(t, courier.Receipt{Fate: courier.Delivered, Message: 77}, bot.Deliver(context.Background(), p, 0))
	require.Equal(t, url.Values{
		"chat_id": {"501"}, "text": {"x"}, "parse_mode": {"HTML"}, "link_preview_options": {`{"is_disabled":true}`},
	}, c.asked[0].form)
	p.Message.Quiet = true
	bot.Deliver(context.Background(), p, 0)
	require.Equal(t, "true", c.asked[1].form.Get("disable_notification"))
}

func TestAnEditOfWhatIsNotThereIsASend(t *testing.T) {
	for _, description := range []string{"Bad Request: message to edit not found", "Bad Request: message can't be edited", "Bad Request: MESSAGE_ID_INVALID"} {
		bot, c := answers(t, bad(400, description), sentOK)
		r := bot.Deliver(context.Background(), words(chat.Edit, "x"), 9)
		require.Equal(t, courier.Receipt{Fate: courier.Delivered, Message: 77}, r)
		require.Equal(t, []string{"editMessageText", "sendMessage"}, c.calls())
		require.Equal(t, "9", c.asked[0].form.Get("message_id"))
	}
	bot, c := answers(t, sentOK)
	require.Equal(t, courier.Receipt{Fate: courier.Delivered, Message: 77}, bot.Deliver(context.Background(), words(chat.Edit, "x"), 0))
	require.Equal(t, []string{"sendMessage"}, c.calls())

	bot, c = answers(t)
	require.Equal(t, courier.Receipt{Fate: courier.Delivered}, bot.Deliver(context.Background(), words(chat.Strip, ""), 0))
	require.Empty(t, c.calls(), "without a message there is nothing to strip")
}

func TestMarkupThatIsNotUnderstoodGoesPlain(t *testing.T) {
	const stumble = `Bad Request: can't parse entities: Unsupported start tag "3" at byte offset 4`
	bot, c := answers(t, bad(400, stumble), sentOK)
	r := bot.Deliver(context.Background(), chat.Post{Chat: 5, Op: chat.Send, Message: card}, 0)
	require.Equal(t, courier.Receipt{Fate: courier.Delivered, Message: 77}, r)
	require.Equal(t, "Pot <3\n\nIs it & metal?\n\nmy aunt's", c.asked[1].form.Get("text"))
	require.False(t, c.asked[1].form.Has("parse_mode"))
	require.Equal(t, c.asked[0].form.Get("reply_markup"), c.asked[1].form.Get("reply_markup"))

	bot, c = answers(t, bad(400, stumble), sentOK)
	require.Equal(t, courier.Delivered, bot.Deliver(context.Background(), words(chat.Edit, "x"), 9).Fate)
	require.Equal(t, []string{"editMessageText", "editMessageText"}, c.calls())

	bot, c = answers(t, bad(400, stumble), bad(400, stumble))
	require.Equal(t, courier.Refused, bot.Deliver(context.Background(), words(chat.Send, "x"), 0).Fate)
	require.Len(t, c.asked, 2, "once more, not for ever")
}

// A call that succeeded is never repeated, even if its answer cannot be read.
func TestAnAnswerWithoutANumberIsDelivered(t *testing.T) {
	for _, body := range []string{`{"ok":true,"result":true}`, `{"ok":true}`, `{"ok":true,"result":[]}`, `{"ok":true,"result":{"message_id":"x"}}`} {
		for _, photos := range [][]string{nil, {"a"}, {"a", "b"}} {
			bot, _ := answers(t, body)
			p := words(chat.Send, "x")
			p.Message.Photos = photos
			require.Equal(t, courier.Receipt{Fate: courier.Delivered}, bot.Deliver(context.Background(), p, 0), body)
		}
	}
}

func TestToastOverTheWire(t *testing.T) {
	w := connect(t)
	w.Say(rivka, rivka, "/start")
	r := w.bot.Deliver(w.ctx, chat.Post{Chat: chat.ID(rivka), Op: chat.Send, Message: card}, 0)
	press := w.Press(rivka, rivka, r.Message, "y|1")
	w.bot.Toast(w.ctx, press, "Saved "+strings.Repeat("x", 300), true)
	log := w.Log(0)
	last := log[len(log)-1]
	require.Equal(t, "answerCallbackQuery", last.Method)
	require.Equal(t, press, last.CallbackID)
	require.True(t, last.Alert)
	require.Equal(t, 200, chat.Units(last.Text))
	w.bot.Toast(w.ctx, "unknown", "", false)
	require.Len(t, w.Log(0), len(log), "a press that is not known is nobody's trouble")
}

func TestCommandsOverTheWire(t *testing.T) {
	w := connect(t)
	require.NoError(t, w.bot.SetCommands(w.ctx, "", []Command{{"start", "Begin"}}))
	require.NoError(t, w.bot.SetCommands(w.ctx, "he", []Command{{"start", "התחלה"}}))
	log := w.Log(0)
	require.Len(t, log, 2)
	require.Equal(t, "setMyCommands", log[1].Method)
	require.Contains(t, log[1].Text, "התחלה")
	require.ErrorContains(t, w.bot.SetCommands(w.ctx, "", []Command{{"Not Good", "x"}}), "400")
	require.ErrorContains(t, w.bot.SetCommands(w.ctx, "hebrew", nil), `list of commands "hebrew"`)
}
