package server

import (
	"encoding/json"
	"io"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

const yesKeyboard = `{"inline_keyboard":[[{"text":"Yes","callback_data":"y"},{"text":"More","url":"https://example.org/"}]]}`

func TestSendMessage_Result(t *testing.T) {
	w := started(t, Options{})
	m := w.send("text", " <b>Boil</b> 😀 <i>it</i>. /help ", "parse_mode", "HTML", "reply_markup", yesKeyboard)
	require.Equal(t, "Boil 😀 it. /help", m.Text, "parsed and trimmed")
	require.Equal(t, []Entity{{Type: "bold", Length: 4}, {Type: "italic", Offset: 8, Length: 2},
		{Type: "bot_command", Offset: 12, Length: 5}}, m.Entities)
	require.True(t, *m.From.IsBot)
	require.Equal(t, DefaultBotName, m.From.User)
	require.Equal(t, w.BotID(), m.From.ID)
	require.Equal(t, w.now.now().Unix(), m.Date)
	require.Equal(t, "Yes", m.Markup.Rows[0][0].Text)
	require.Equal(t, "https://example.org/", m.Markup.Rows[0][1].URL)
	require.Equal(t, []Entry{{N: 1, Method: "sendMessage", Chat: rivka, MessageID: 2, Text: m.Text,
		Keyboard: [][]Button{{{Text: "Yes", Data: "y"}, {Text: "More", URL: "https://example.org/"}}}, Time: w.now.now()}}, w.Log(0))
	require.Empty(t, w.Log(1))
}

func TestSendMessage_ExplicitEntities(t *testing.T) {
	w := started(t, Options{})
	m := w.send("text", "abc", "entities", `[{"type":"text_mention","offset":1,"length":1,"user":{"id":502}},{"type":"bold","offset":0,"length":3}]`)
	require.Equal(t, []Entity{{Type: "bold", Length: 3}, {Type: "text_mention", Offset: 1, Length: 1}}, m.Entities)
	require.EqualValues(t, 502, w.Chat(rivka)[1].Entities[1].UserID)
	require.Equal(t, 400, w.call("sendMessage", "chat_id", "501", "text", "a", "entities", "{}").ErrorCode)
}

// The order of the checks: text, markup, chat, reply target (observed).
func TestSendMessage_OrderOfChecks(t *testing.T) {
	w := started(t, Options{})
	bad := []string{"chat_id", "999", "text", "<x>", "parse_mode", "HTML", "reply_markup", `[]`, "reply_to_message_id", "99"}
	w.fails(400, `Bad Request: can't parse entities: Unsupported start tag "x" at byte offset 0`, "sendMessage", bad...)
	bad[3] = "x"
	w.fails(400, "Bad Request: object expected as reply markup", "sendMessage", bad...)
	bad[7] = "null"
	w.fails(400, "Bad Request: chat not found", "sendMessage", bad...)
	bad[1] = "501"
	w.fails(400, "Bad Request: message to be replied not found", "sendMessage", bad...)
	w.ok(nil, "sendMessage", append(bad, "allow_sending_without_reply", "True")...)
	w.ok(nil, "sendMessage", "chat_id", "501", "text", "x", "reply_parameters", `{"message_id":1}`)
	require.Equal(t, 1, w.Chat(rivka)[2].ReplyTo)
	w.ok(nil, "sendMessage", "chat_id", "501", "text", "x", "reply_parameters", `{"message_id":77,"allow_sending_without_reply":true}`)
	w.fails(400, "Bad Request: message to be replied not found", "sendMessage", "chat_id", "501", "text", "x",
		"reply_parameters", `{"message_id":77}`)
}

const notModified = "Bad Request: message is not modified: specified new message content and reply markup are exactly the " +
	"same as a current content and reply markup of the message"

func TestEditMessageText(t *testing.T) {
	w := started(t, Options{})
	id := itoa(w.send("text", "<b>a</b> b", "parse_mode", "HTML", "reply_markup", yesKeyboard).ID)
	edit := func(parameters ...string) []string {
		return append([]string{"chat_id", "501", "message_id", id}, parameters...)
	}
	w.fails(400, notModified, "editMessageText", edit("text", " <b>a</b> b\n", "parse_mode", "HTML", "reply_markup", yesKeyboard)...)
	w.now.add(100 * 24 * time.Hour) // its own messages a bot can edit for ever
	var m seenMessage
	w.ok(&m, "editMessageText", edit("text", "a b", "reply_markup", yesKeyboard)...)
	require.Equal(t, w.now.now().Unix(), m.EditDate)
	require.NotNil(t, m.Markup)
	w.ok(&m, "editMessageText", edit("text", "a b")...)
	require.Empty(t, w.Chat(rivka)[1].Keyboard, "without reply_markup the keyboard goes")
	w.fails(400, notModified, "editMessageText", edit("text", "a b")...)
	require.Equal(t, "editMessageText", w.Log(1)[0].Method)
	require.Len(t, w.Log(0), 3, "what was refused is not logged")
}

func TestEdit_NotPossible(t *testing.T) {
	w := started(t, Options{})
	doc := itoa(w.document(t).ID)
	text := itoa(w.send().ID)
	keyboard := itoa(w.send("reply_markup", `{"keyboard":[[{"text":"a"}]]}`).ID)
	for _, c := range []struct{ want, method, id, name, value string }{
		{"message to edit not found", "editMessageText", "99", "text", "x"},
		{"message identifier is not specified", "editMessageText", "", "text", "x"},
		{"message can't be edited", "editMessageText", "1", "text", "x"},
		{"message can't be edited", "editMessageText", keyboard, "text", "x"},
		{"there is no text in the message to edit", "editMessageText", doc, "text", "x"},
		{"there is no caption in the message to edit", "editMessageCaption", text, "caption", "x"},
		{"message text is empty", "editMessageText", text, "text", ""},
		{"inline keyboard expected", "editMessageText", text, "reply_markup", `{"force_reply":true}`},
	} {
		parameters := []string{"chat_id", "501", "message_id", c.id, c.name, c.value}
		if c.name == "reply_markup" {
			parameters = append(parameters, "text", "y")
		}
		w.fails(400, "Bad Request: "+c.want, c.method, parameters...)
	}
	w.fails(400, "Bad Request: chat_id is empty", "editMessageText", "text", "x")
	w.fails(400, "Bad Request: MESSAGE_ID_INVALID", "editMessageText", "inline_message_id", "a", "text", "x")
}

func TestEditMessageReplyMarkup(t *testing.T) {
	w := started(t, Options{})
	id := itoa(w.send("reply_markup", yesKeyboard).ID)
	w.fails(400, notModified, "editMessageReplyMarkup", "chat_id", "501", "message_id", id, "reply_markup", yesKeyboard)
	w.ok(nil, "editMessageReplyMarkup", "chat_id", "501", "message_id", id)
	w.fails(400, notModified, "editMessageReplyMarkup", "chat_id", "501", "message_id", id, "reply_markup", `{"inline_keyboard":[]}`)
	require.Empty(t, w.Chat(rivka)[1].Keyboard)
	require.Equal(t, "hello", w.Chat(rivka)[1].Text)
}

func TestEditCaptionAndMedia(t *testing.T) {
	w := started(t, Options{})
	first := w.document(t, "caption", "<i>one</i>", "parse_mode", "HTML")
	id := itoa(first.ID)
	w.fails(400, notModified, "editMessageCaption", "chat_id", "501", "message_id", id, "caption", "<i>one</i>", "parse_mode", "HTML")
	var m seenMessage
	w.ok(&m, "editMessageCaption", "chat_id", "501", "message_id", id, "caption", "two")
	require.Equal(t, "two", m.Caption)
	same := `{"type":"document","media":"` + first.Document.ID + `","caption":"two"}`
	w.fails(400, notModified, "editMessageMedia", "chat_id", "501", "message_id", id, "media", same)
	second := w.document(t)
	w.ok(&m, "editMessageMedia", "chat_id", "501", "message_id", id,
		"media", `{"type":"document","media":"`+second.Document.ID+`","caption":"<b>3</b>","parse_mode":"HTML"}`)
	require.Equal(t, second.Document.ID, m.Document.ID)
	require.Equal(t, []Entity{{Type: "bold", Length: 1}}, m.CapEntities)
	text := itoa(w.send().ID)
	w.ok(&m, "editMessageMedia", "chat_id", "501", "message_id", text, "media", same)
	require.Equal(t, "two", m.Caption)
	require.Empty(t, m.Text)
	w.fails(400, `Bad Request: can't parse InputMedia: type "song" can't be used`, "editMessageMedia",
		"chat_id", "501", "message_id", id, "media", `{"type":"song","media":"x"}`)
}

// Source of 48 hours and of whose messages: Bot API, deleteMessage.
func TestDelete(t *testing.T) {
	w := started(t, Options{})
	a, b := itoa(w.send().ID), itoa(w.send().ID)
	w.fails(400, "Bad Request: message to delete not found", "deleteMessage", "chat_id", "501", "message_id", "99")
	w.ok(nil, "deleteMessage", "chat_id", "501", "message_id", a)
	w.fails(400, "Bad Request: message to delete not found", "deleteMessage", "chat_id", "501", "message_id", a)
	w.ok(nil, "deleteMessage", "chat_id", "501", "message_id", "1") // a person's, in a private chat
	w.ok(nil, "deleteMessages", "chat_id", "501", "message_ids", "[77,"+b+"]")
	require.True(t, w.Chat(rivka)[2].Deleted)
	c := itoa(w.send().ID)
	w.now.add(48 * time.Hour)
	w.fails(400, "Bad Request: message can't be deleted", "deleteMessage", "chat_id", "501", "message_id", c)
	w.fails(400, "Bad Request: message can't be deleted", "deleteMessages", "chat_id", "501", "message_ids", "["+c+"]")
	w.Say(dov, inbox, "x")
	w.fails(400, "Bad Request: message can't be deleted", "deleteMessage", "chat_id", itoa(int(inbox)), "message_id", "1")
	w.Block(rivka)
	d := w.Log(0)[len(w.Log(0))-1].MessageID
	w.fails(400, "Bad Request: message can't be deleted", "deleteMessage", "chat_id", "501", "message_id", itoa(d))
}

func TestCopyAndForward(t *testing.T) {
	w := started(t, Options{})
	question := w.Photo(rivka, rivka, "pot.png", picture(t, 8, 8), "is this /kosher")
	to := []string{"chat_id", itoa(int(inbox)), "from_chat_id", "501", "message_id", itoa(question)}
	var copied struct {
		ID int `json:"message_id"`
	}
	w.ok(&copied, "copyMessage", append(to, "reply_markup", yesKeyboard)...)
	m := w.Chat(inbox)[copied.ID-1]
	require.Equal(t, "is this /kosher", m.Caption)
	require.Equal(t, w.Chat(rivka)[question-1].FileID, m.FileID)
	require.True(t, m.Bot)
	require.NotEmpty(t, m.Keyboard)
	w.ok(&copied, "copyMessage", append(to, "caption", "other")...)
	require.Equal(t, "other", w.Chat(inbox)[copied.ID-1].Caption)

	contact := w.Send(rivka, rivka, json.RawMessage(`{"contact":{"phone_number":"1","first_name":"D"}}`))
	var c struct {
		Contact struct {
			Phone string `json:"phone_number"`
		}
		Thread int `json:"message_thread_id"`
	}
	to[5] = itoa(contact)
	w.ok(&copied, "copyMessage", append(to, "message_thread_id", "3")...)
	w.ok(&c, "forwardMessage", "chat_id", "501", "from_chat_id", itoa(int(inbox)), "message_id", itoa(copied.ID))
	require.Equal(t, "1", c.Contact.Phone)
	to[5] = itoa(question)

	asked := w.now.now()
	w.now.add(time.Hour)
	var f seenMessage
	w.ok(&f, "forwardMessage", to...)
	require.Equal(t, rivka, f.ForwardFrom.ID)
	require.Equal(t, "user", f.Origin.Type)
	require.Equal(t, rivka, f.Origin.User.ID)
	require.Equal(t, asked.Unix(), f.Origin.Date)
	require.Equal(t, w.BotID(), f.From.ID)
	w.fails(400, "Bad Request: message can't be edited", "editMessageCaption", "chat_id", itoa(int(inbox)),
		"message_id", itoa(f.ID), "caption", "x")

	to[5] = "99"
	w.fails(400, "Bad Request: message to copy not found", "copyMessage", to...)
	w.fails(400, "Bad Request: message to forward not found", "forwardMessage", to...)
	guarded := w.send("protect_content", "true")
	to[5] = itoa(guarded.ID)
	w.fails(400, "Bad Request: message can't be forwarded", "forwardMessage", to...)
	w.Leave(inbox, rivka)
	w.fails(400, "Bad Request: message can't be copied", "copyMessage", "chat_id", "501", "from_chat_id", itoa(int(inbox)),
		"message_id", itoa(len(w.Chat(inbox))))
}

func TestSendChatAction(t *testing.T) {
	w := started(t, Options{})
	w.ok(nil, "sendChatAction", "chat_id", "501", "action", "upload_document")
	w.fails(400, "Bad Request: wrong parameter action in request", "sendChatAction", "chat_id", "501", "action", "whistling")
}

// Source of the list: Bot API, ReactionTypeEmoji.
func TestSetMessageReaction(t *testing.T) {
	w := started(t, Options{})
	require.Len(t, reactions, 73)
	react := func(list string) reply {
		return w.call("setMessageReaction", "chat_id", "501", "message_id", "1", "reaction", list)
	}
	require.True(t, react(`[{"type":"emoji","emoji":"👀"}]`).OK)
	require.Equal(t, "👀", w.Chat(rivka)[0].Reaction)
	require.Equal(t, "Bad Request: REACTION_INVALID", react(`[{"type":"emoji","emoji":"🫖"}]`).Description)
	require.Equal(t, 400, react(`[{"type":"emoji","emoji":"👀"},{"type":"emoji","emoji":"👍"}]`).ErrorCode)
	require.True(t, react("[]").OK)
	require.Empty(t, w.Chat(rivka)[0].Reaction)
	w.fails(400, "Bad Request: message to react not found", "setMessageReaction", "chat_id", "501", "message_id", "9")
}

func TestFiles(t *testing.T) {
	w := started(t, Options{})
	doc := w.document(t)
	again := w.document(t)
	require.NotEqual(t, doc.Document.ID, again.Document.ID)
	require.Equal(t, doc.Document.Unique, again.Document.Unique, "the same content")
	res, err := w.http.Client().Get(w.filePath(doc.Document.ID))
	require.NoError(t, err)
	defer res.Body.Close()
	data, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	require.Equal(t, "text", string(data))
	require.EqualValues(t, 4, res.ContentLength)

	w.fails(400, "Bad Request: can't use file of type Document as Photo", "sendPhoto", "chat_id", "501", "photo", doc.Document.ID)
	w.fails(400, "Bad Request: wrong file identifier/HTTP URL specified", "sendPhoto", "chat_id", "501", "photo", "nothing")
	w.fails(400, "Bad Request: wrong file identifier/HTTP URL specified", "sendPhoto", "chat_id", "501", "photo", "attach://none")
	w.fails(400, "Bad Request: failed to get HTTP URL content", "sendPhoto", "chat_id", "501", "photo", "https://example.org/a.jpg")
	w.fails(400, "Bad Request: there is no photo in the request", "sendPhoto", "chat_id", "501")
	w.fails(400, "Bad Request: invalid file_id", "getFile", "file_id", "nothing")
	w.fails(400, "Bad Request: file_id not specified", "getFile")
	_, _, ok := w.File("nothing")
	require.False(t, ok)

	w.Voice(rivka, rivka, []byte("ogg"), 3)
	voice := w.updates()[0].Message.Voice.ID
	var m seenMessage
	w.ok(&m, "sendVoice", "chat_id", "501", "voice", voice, "caption", "heard")
	require.Equal(t, 3, m.Voice.Duration)
	require.Equal(t, "heard", m.Caption)
}

func TestSendMediaGroup(t *testing.T) {
	w := started(t, Options{})
	w.Photo(rivka, rivka, "a.png", picture(t, 8, 8), "")
	photo := w.updates()[0].Message.Photo[0].ID
	doc := w.document(t).Document.ID
	item := func(kind, id string) string {
		return `{"type":"` + kind + `","media":"` + id + `","caption":"<b>c</b>","parse_mode":"HTML"}`
	}
	var album []seenMessage
	w.ok(&album, "sendMediaGroup", "chat_id", "501", "reply_to_message_id", "1",
		"media", "["+item("photo", photo)+","+item("photo", photo)+"]")
	require.Len(t, album, 2)
	require.NotEmpty(t, album[0].Album)
	require.Equal(t, album[0].Album, album[1].Album)
	require.Equal(t, "c", album[1].Caption)
	require.Equal(t, album[0].Album, w.Chat(rivka)[album[0].ID-1].Album)
	w.fails(400, "Bad Request: can't use the media of the specified type in the album", "sendMediaGroup", "chat_id", "501",
		"media", "["+item("photo", photo)+","+item("document", doc)+"]")
	w.fails(400, "Bad Request: can't parse media JSON object", "sendMediaGroup", "chat_id", "501")
}

// Commands are kept by scope and language: Bot API, setMyCommands.
func TestSettings_Commands(t *testing.T) {
	w := start(t, Options{})
	get := func(parameters ...string) []botCommand {
		var list []botCommand
		w.ok(&list, "getMyCommands", parameters...)
		return list
	}
	group := `{"type":"chat","chat_id":` + itoa(int(inbox)) + `}`
	w.ok(nil, "setMyCommands", "commands", `[{"command":"start","description":" begin "}]`)
	w.ok(nil, "setMyCommands", "commands", `[{"command":"start","description":"התחל"}]`, "language_code", "he")
	w.ok(nil, "setMyCommands", "commands", `[{"command":"open","description":"open ones"}]`, "scope", group)
	require.Equal(t, []botCommand{{"start", "begin"}}, get())
	require.Equal(t, []botCommand{{"start", "התחל"}}, get("language_code", "he"))
	require.Equal(t, []botCommand{{"open", "open ones"}}, get("scope", `{"type":"chat","chat_id":"`+itoa(int(inbox))+`"}`))
	require.Empty(t, get("language_code", "fr"))
	w.ok(nil, "deleteMyCommands")
	require.Empty(t, get())
	require.Len(t, get("language_code", "he"), 1)
	w.fails(400, "Bad Request: invalid language code specified", "setMyCommands", "commands", "[]", "language_code", "eng")
	w.fails(400, "Bad Request: chat not found", "setMyCommands", "commands", "[]", "scope", `{"type":"chat","chat_id":-1}`)
	w.fails(400, "Bad Request: can't parse BotCommandScope: Unsupported type specified", "setMyCommands", "commands", "[]",
		"scope", `{"type":"moon"}`)
}

func TestSettings_NameAndMenu(t *testing.T) {
	w := start(t, Options{BotName: "other_bot"})
	var me seenUser
	w.ok(&me, "getMe")
	require.Equal(t, "other_bot", me.User)
	require.Equal(t, w.BotID(), me.ID)
	w.ok(nil, "setMyName", "name", "Emek Rimon kashering")
	w.ok(&me, "getMe")
	require.Equal(t, "Emek Rimon kashering", me.Name)
	var button struct{ Type string }
	w.ok(&button, "getChatMenuButton")
	require.Equal(t, "default", button.Type)
	w.ok(nil, "setChatMenuButton", "menu_button", `{"type":"commands"}`)
	w.ok(&button, "getChatMenuButton", "chat_id", "501")
	require.Equal(t, "commands", button.Type)
	w.fails(400, "Bad Request: can't parse menu button: Unsupported type specified", "setChatMenuButton", "menu_button", `{"type":"x"}`)
	w.ok(nil, "logOut")
	w.ok(nil, "close")
}

// The objects' required fields are there and no value is null: Bot API, User, Message, Chat, PhotoSize, Document, Voice,
// File, CallbackQuery, ChatMemberUpdated.
func TestShapes_RequiredFields(t *testing.T) {
	w := started(t, Options{})
	w.Photo(rivka, rivka, "p.png", picture(t, 100, 100), "c")
	w.Voice(rivka, rivka, []byte("ogg"), 1)
	w.Document(rivka, rivka, "d.txt", []byte("d"), "")
	w.Press(rivka, rivka, 1, "x")
	w.Press(rivka, rivka, 99, "x")
	w.Say(dov, inbox, "x")
	w.Migrate(inbox)
	w.Block(rivka)
	var list []map[string]json.RawMessage
	w.ok(&list, "getUpdates")
	kinds := map[string]int{}
	for _, u := range list {
		require.Contains(t, u, "update_id")
		require.Len(t, u, 2)
		for kind, raw := range u {
			kinds[kind]++
			switch kind {
			case "message":
				checkMessage(t, raw)
			case "callback_query":
				c := fields(t, raw, "id", "from", "chat_instance", "message", "data")
				require.Equal(t, byte('"'), c["id"][0], "a text")
				require.Equal(t, byte('"'), c["chat_instance"][0], "a text")
				fields(t, c["from"], "id", "is_bot", "first_name")
				fields(t, c["message"], "chat", "message_id", "date")
			case "my_chat_member":
				c := fields(t, raw, "chat", "from", "date", "old_chat_member", "new_chat_member")
				fields(t, c["new_chat_member"], "status", "user", "until_date")
				fields(t, c["old_chat_member"], "status", "user")
			}
		}
	}
	require.Equal(t, map[string]int{"update_id": 9, "message": 6, "callback_query": 2, "my_chat_member": 1}, kinds)
	r := w.call("getMe")
	fields(t, r.Result, "id", "is_bot", "first_name", "username", "can_join_groups", "can_read_all_group_messages",
		"supports_inline_queries")
}

// fields decodes an object that must have those fields, and no null among all it has.
func fields(t *testing.T, raw json.RawMessage, names ...string) map[string]json.RawMessage {
	t.Helper()
	var m map[string]json.RawMessage
	require.NoError(t, json.Unmarshal(raw, &m))
	for _, name := range names {
		require.Contains(t, m, name)
	}
	for name, v := range m {
		require.NotEqual(t, "null", string(v), name)
	}
	return m
}

func checkMessage(t *testing.T, raw json.RawMessage) {
	t.Helper()
	m := fields(t, raw, "message_id", "date", "chat", "from")
	fields(t, m["chat"], "id", "type")
	fields(t, m["from"], "id", "is_bot", "first_name")
	if sizes, ok := m["photo"]; ok {
		var list []json.RawMessage
		require.NoError(t, json.Unmarshal(sizes, &list))
		for _, size := range list {
			fields(t, size, "file_id", "file_unique_id", "width", "height", "file_size")
		}
	}
	if doc, ok := m["document"]; ok {
		fields(t, doc, "file_id", "file_unique_id", "file_name", "mime_type")
	}
	if voice, ok := m["voice"]; ok {
		fields(t, voice, "file_id", "file_unique_id", "duration")
	}
}
