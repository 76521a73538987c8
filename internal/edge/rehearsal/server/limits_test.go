package server

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Source of 4096: Bot API, sendMessage. That the unit is a code point is measured: 4096 emoji (8192 UTF-16 units) go
// through on the public API and 4097 do not.
func TestLimits_Text(t *testing.T) {
	w := started(t, Options{})
	for _, unit := range []string{"a", "א", "😀"} {
		w.send("text", strings.Repeat(unit, 4096))
		w.fails(400, "Bad Request: message is too long", "sendMessage", "chat_id", "501", "text", strings.Repeat(unit, 4097))
	}
	w.send("text", "<b>"+strings.Repeat("a", 4096)+"</b>  ", "parse_mode", "html")
	w.fails(400, "Bad Request: text is too long", "sendMessage", "chat_id", "501", "text", strings.Repeat("<b></b>", 4682))
	id := w.send().ID
	w.fails(400, "Bad Request: message is too long", "editMessageText", "chat_id", "501", "message_id", itoa(id),
		"text", strings.Repeat("a", 4097))
}

func TestLimits_EmptyText(t *testing.T) {
	w := started(t, Options{})
	w.fails(400, "Bad Request: message text is empty", "sendMessage", "chat_id", "501")
	w.fails(400, "Bad Request: text must be non-empty", "sendMessage", "chat_id", "501", "text", " \n ")
	w.fails(400, "Bad Request: text must be non-empty", "sendMessage", "chat_id", "501", "text", "<b> </b>", "parse_mode", "HTML")
	w.fails(400, "Bad Request: unsupported parse_mode", "sendMessage", "chat_id", "501", "text", "a", "parse_mode", "MarkdownV2")
}

// Source of 1024: Bot API, sendDocument.
func TestLimits_Caption(t *testing.T) {
	w := started(t, Options{})
	id := w.document(t, "caption", strings.Repeat("😀", 1024)).Document.ID
	w.fails(400, "Bad Request: message caption is too long", "sendDocument", "chat_id", "501", "document", id,
		"caption", strings.Repeat("a", 1025))
}

// document sends Rivka a small document and returns the message.
func (w *world) document(t *testing.T, parameters ...string) seenMessage {
	t.Helper()
	f := newFile(kindDocument, "a.txt", []byte("text"))
	w.mu.Lock()
	w.keep(f)
	w.mu.Unlock()
	var m seenMessage
	w.ok(&m, "sendDocument", append([]string{"chat_id", "501", "document", f.id}, parameters...)...)
	return m
}

// Source of 64 bytes: Bot API, InlineKeyboardButton.callback_data.
func TestLimits_Buttons(t *testing.T) {
	w := started(t, Options{})
	keyboard := func(button string) string { return `{"inline_keyboard":[[` + button + `]]}` }
	data := func(s string) string {
		return keyboard(string(mustJSON(map[string]string{"text": "x", "callback_data": s})))
	}
	w.send("reply_markup", data(strings.Repeat("a", 64)))
	w.send("reply_markup", data(strings.Repeat("א", 32)))
	for markup, want := range map[string]string{
		data(strings.Repeat("a", 65)):       "BUTTON_DATA_INVALID",
		data(strings.Repeat("א", 32) + "a"): "BUTTON_DATA_INVALID",
		data(""):                            "can't parse inline keyboard button: Text buttons are unallowed in the inline keyboard",
		keyboard(`{"text":"x"}`):            "can't parse inline keyboard button: Text buttons are unallowed in the inline keyboard",
		keyboard(`{"callback_data":"x"}`):   `can't parse inline keyboard button: Can't find field "text"`,
		keyboard(`{"text":"x","url":"http://localhost:80/a"}`): "inline keyboard button URL 'http://localhost:80/a' is invalid: " +
			"Wrong HTTP URL",
		`[1]`:                      "object expected as reply markup",
		`{"inline`:                 "can't parse reply keyboard markup JSON object",
		`{"inline_keyboard":[{}]}`: `field "inline_keyboard" of the InlineKeyboardMarkup must be an Array of Arrays`,
	} {
		w.fails(400, "Bad Request: "+want, "sendMessage", "chat_id", "501", "text", "a", "reply_markup", markup)
	}
}

// That a row is cut at 12 buttons and a keyboard at 300 is observed, not published.
func TestLimits_KeyboardIsCut(t *testing.T) {
	w := started(t, Options{})
	rows := make([][]map[string]string, 30)
	for i := range rows {
		for j := range 13 {
			rows[i] = append(rows[i], map[string]string{"text": "x", "callback_data": fmt.Sprint(i, j)})
		}
	}
	raw, err := json.Marshal(map[string]any{"inline_keyboard": rows})
	require.NoError(t, err)
	m := w.send("reply_markup", string(raw))
	require.Len(t, m.Markup.Rows, 25)
	require.Len(t, m.Markup.Rows[0], 12)
}

// Source of 200: Bot API, answerCallbackQuery. The error is from memory.
func TestLimits_CallbackAnswer(t *testing.T) {
	w := started(t, Options{})
	id := w.Press(rivka, rivka, w.send().ID, "x")
	w.fails(400, "Bad Request: MESSAGE_TOO_LONG", "answerCallbackQuery", "callback_query_id", id, "text", strings.Repeat("א", 201))
	w.ok(nil, "answerCallbackQuery", "callback_query_id", id, "text", strings.Repeat("א", 200), "show_alert", "true")
	entry := w.Log(0)[1]
	require.Equal(t, id, entry.CallbackID)
	require.True(t, entry.Alert)
	require.Equal(t, rivka, entry.Chat)
}

// Sources: Bot API, BotCommand (1-32 of a-z, digits and underscores; 1-256) and setMyCommands (at most 100).
func TestLimits_Commands(t *testing.T) {
	w := start(t, Options{})
	list := func(n int, command, description string) string {
		var all []botCommand
		for range n {
			all = append(all, botCommand{command, description})
		}
		return string(mustJSON(all))
	}
	w.ok(nil, "setMyCommands", "commands", list(100, strings.Repeat("a", 32), strings.Repeat("א", 256)))
	for commands, want := range map[string]string{
		list(101, "a", "b"):                    "BOT_COMMANDS_TOO_MUCH",
		list(1, strings.Repeat("a", 33), "b"):  "BOT_COMMAND_INVALID",
		list(1, "Start", "b"):                  "BOT_COMMAND_INVALID",
		list(1, "", "b"):                       "BOT_COMMAND_INVALID",
		list(1, "a", " "):                      "BOT_COMMAND_DESCRIPTION_INVALID",
		list(1, "a", strings.Repeat("א", 257)): "BOT_COMMAND_DESCRIPTION_INVALID",
		`{"command":"a","description":"b"}`:    "can't parse commands JSON object",
	} {
		w.fails(400, "Bad Request: "+want, "setMyCommands", "commands", commands)
	}
}

// Sources: Bot API, setMyName (64), setMyDescription (512), setMyShortDescription (120).
func TestLimits_Descriptions(t *testing.T) {
	w := start(t, Options{})
	for method, c := range map[string]struct {
		name string
		most int
	}{
		"setMyName":             {"name", 64},
		"setMyDescription":      {"description", 512},
		"setMyShortDescription": {"short_description", 120},
	} {
		w.ok(nil, method, c.name, strings.Repeat("א", c.most))
		require.Equal(t, 400, w.call(method, c.name, strings.Repeat("א", c.most+1)).ErrorCode)
		var got map[string]string
		w.ok(&got, "get"+method[3:], "language_code", "he")
		require.Equal(t, map[string]string{c.name: strings.Repeat("א", c.most)}, got)
	}
}

// Sources: Bot API, deleteMessages (1-100 ids), sendMediaGroup (2-10 items).
func TestLimits_Lists(t *testing.T) {
	w := started(t, Options{})
	ids := string(mustJSON(make([]int, 101)))
	w.fails(400, "Bad Request: too many message identifiers specified", "deleteMessages", "chat_id", "501", "message_ids", ids)
	w.fails(400, "Bad Request: message identifiers are not specified", "deleteMessages", "chat_id", "501", "message_ids", "[]")
	id := w.document(t).Document.ID
	item := func(n int) string {
		return "[" + strings.TrimSuffix(strings.Repeat(`{"type":"document","media":"`+id+`"},`, n), ",") + "]"
	}
	w.ok(nil, "sendMediaGroup", "chat_id", "501", "media", item(10))
	for _, n := range []int{1, 11} {
		w.fails(400, "Bad Request: album must contain from 2 to 10 messages", "sendMediaGroup", "chat_id", "501", "media", item(n))
	}
}

// Sources: Bot API, "Sending files" (50 MB, a photo 10 MB), sendPhoto (sides), getFile (20 MB).
func TestLimits_Files(t *testing.T) {
	for _, c := range []struct {
		kind string
		data []byte
		want string
	}{
		{kindDocument, nil, "Bad Request: file must be non-empty"},
		{kindDocument, make([]byte, maxUpload+1), "Request Entity Too Large"},
		{kindPhoto, []byte("no picture"), "Bad Request: IMAGE_PROCESS_FAILED"},
		{kindPhoto, make([]byte, maxPhoto+1), "Bad Request: file is too big"},
		{kindPhoto, picture(t, 9000, 1001), "Bad Request: PHOTO_INVALID_DIMENSIONS"},
		{kindPhoto, picture(t, 21, 1), "Bad Request: PHOTO_INVALID_DIMENSIONS"},
	} {
		_, refused := checkUpload(c.kind, upload{"x", c.data})
		require.NotNil(t, refused, c.want)
		require.Equal(t, c.want, refused.text)
	}
	f, refused := checkUpload(kindPhoto, upload{"x.png", picture(t, 20, 1)})
	require.Nil(t, refused)
	require.Equal(t, 20, f.width)

	w := started(t, Options{})
	w.Document(rivka, rivka, "big.bin", make([]byte, maxDownload+1), "")
	u := w.updates()
	w.fails(400, "Bad Request: file is too big", "getFile", "file_id", u[0].Message.Document.ID)
}
