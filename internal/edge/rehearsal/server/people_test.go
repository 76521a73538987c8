package server

import (
	"encoding/json"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestSay(t *testing.T) {
	w := start(t, Options{})
	require.Equal(t, 1, w.Say(rivka, rivka, " /start s12_ab "))
	m := w.updates()[0].Message
	require.Equal(t, "/start s12_ab", m.Text)
	require.Equal(t, []Entity{{Type: "bot_command", Length: 6}}, m.Entities)
	require.Equal(t, seenChat{ID: rivka, Type: "private", Name: "Rivka"}, m.Chat)
	require.Equal(t, w.now.now().Unix(), m.Date, "seconds, by the household's clock")
	require.Equal(t, "Rivka", m.From.Name)
	require.Equal(t, "en", m.From.Code)
	require.False(t, *m.From.IsBot)
	require.Equal(t, 2, w.Say(rivka, rivka, "next"), "message ids count up in each chat")
	require.Equal(t, 1, w.Say(dov, dov, "x"))
}

func TestSay_NotPossible(t *testing.T) {
	w := start(t, Options{})
	require.Zero(t, w.Say(999, 999, "x"), "unknown person")
	require.Zero(t, w.Say(rivka, dov, "x"), "somebody else's chat")
	require.Zero(t, w.Say(rivka, -1, "x"), "unknown group")
	require.Zero(t, w.Say(rivka, rivka, " \u200f"), "nothing to see")
	w.Block(rivka)
	require.Zero(t, w.Say(rivka, rivka, "x"))
	require.Empty(t, w.Press(rivka, rivka, 1, "x"))
	w.Deactivate(dov)
	require.Zero(t, w.Say(dov, dov, "x"))
	require.Empty(t, w.Chat(rivka))
}

// Clients cut what is too long for one message.
func TestSay_LongText(t *testing.T) {
	w := start(t, Options{})
	require.Equal(t, 2, w.Say(rivka, rivka, strings.Repeat("א", 4096)+"b"))
	list := w.updates()
	require.Len(t, list, 2)
	require.Equal(t, "b", list[1].Message.Text)
}

func TestReply_CarriesTheBotsMessage(t *testing.T) {
	w := started(t, Options{})
	sent := w.send("text", "<b>Shayla 12</b>", "parse_mode", "HTML", "reply_to_message_id", "1")
	require.Equal(t, "/start", sent.ReplyTo.Text)
	id := w.Reply(rivka, rivka, sent.ID, "an answer")
	require.Equal(t, sent.ID, w.Chat(rivka)[id-1].ReplyTo)
	m := w.updates()[0].Message
	require.Equal(t, sent.ID, m.ReplyTo.ID)
	require.Equal(t, "Shayla 12", m.ReplyTo.Text)
	require.True(t, *m.ReplyTo.From.IsBot)
	require.Nil(t, m.ReplyTo.ReplyTo, "only one level")
	w.Reply(rivka, rivka, 999, "to nothing")
	require.Nil(t, w.updates()[1].Message.ReplyTo)
}

func TestEditAndRemove(t *testing.T) {
	w := started(t, Options{})
	id := w.Say(rivka, rivka, "pot")
	w.now.add(time.Minute)
	require.True(t, w.Edit(rivka, rivka, id, "meat pot"))
	require.False(t, w.Edit(dov, rivka, id, "x"))
	require.False(t, w.Edit(rivka, rivka, 99, "x"))
	u := w.updates()[1]
	require.Equal(t, "meat pot", u.Edited.Text)
	require.Equal(t, w.now.now().Unix(), u.Edited.EditDate)
	require.True(t, w.Chat(rivka)[id-1].Edited)

	sent := w.send()
	require.True(t, w.Remove(rivka, sent.ID))
	require.False(t, w.Remove(rivka, sent.ID))
	last := w.Chat(rivka)[sent.ID-1]
	require.True(t, last.Deleted)
	require.Empty(t, last.Text)
	w.fails(400, "Bad Request: message to edit not found", "editMessageText", "chat_id", "501", "message_id", itoa(sent.ID), "text", "x")
}

func TestPress(t *testing.T) {
	w := started(t, Options{})
	sent := w.send("reply_markup", `{"inline_keyboard":[[{"text":"Yes","callback_data":"y"}]]}`)
	id := w.Press(rivka, rivka, sent.ID, "y")
	w.ok(nil, "editMessageReplyMarkup", "chat_id", "501", "message_id", itoa(sent.ID))
	require.NotEqual(t, id, w.Press(rivka, rivka, sent.ID, "y"), "a stale client still shows the button")
	w.ok(nil, "deleteMessage", "chat_id", "501", "message_id", itoa(sent.ID))
	w.Press(rivka, rivka, sent.ID, "y")
	list := w.updates()
	require.Len(t, list, 3)
	first := list[0].Callback
	require.Equal(t, id, first.ID)
	require.Equal(t, "y", first.Data)
	require.NotEmpty(t, first.Instance)
	require.Equal(t, sent, first.Message, "the message as it was sent")
	require.Nil(t, list[1].Callback.Message.Markup)
	gone := list[2].Callback.Message
	require.Equal(t, seenMessage{ID: sent.ID, Chat: sent.Chat}, gone, "an inaccessible message: date 0, nothing else")
}

// The error is the public API's; the window is this server's choice, as none is published.
func TestAnswerCallbackQuery_Window(t *testing.T) {
	w := started(t, Options{AnswerWindow: 10 * time.Second})
	id := w.Press(rivka, rivka, w.send().ID, "y")
	w.machine.add(10*time.Second - 1)
	w.ok(nil, "answerCallbackQuery", "callback_query_id", id)
	w.machine.add(1)
	const old = "Bad Request: query is too old and response timeout expired or query ID is invalid"
	w.fails(400, old, "answerCallbackQuery", "callback_query_id", id)
	w.fails(400, old, "answerCallbackQuery", "callback_query_id", "17")
	w.fails(400, old, "answerCallbackQuery")
}

// Source: Bot API, Update.my_chat_member and ChatMemberBanned.
func TestBlockAndUnblock(t *testing.T) {
	w := started(t, Options{})
	w.Block(rivka)
	w.Block(rivka)
	w.fails(403, "Forbidden: bot was blocked by the user", "sendMessage", "chat_id", "501", "text", "x")
	w.Unblock(rivka)
	w.send()
	list := w.updates()
	require.Len(t, list, 2)
	blocked, back := list[0].Standing, list[1].Standing
	require.Equal(t, rivka, blocked.From.ID)
	require.Equal(t, "private", blocked.Chat.Type)
	require.Equal(t, "member", blocked.Old.Status)
	require.Equal(t, "kicked", blocked.New.Status)
	require.Zero(t, *blocked.New.Until)
	require.Equal(t, w.BotID(), blocked.New.User.ID)
	require.Equal(t, w.now.now().Unix(), blocked.Date)
	require.Equal(t, "kicked", back.Old.Status)
	require.Equal(t, "member", back.New.Status)
	require.Nil(t, back.New.Until)
}

func TestSending_WhoCanBeWrittenTo(t *testing.T) {
	w := start(t, Options{})
	send := func(code int, description, chat string) {
		t.Helper()
		w.fails(code, description, "sendMessage", "chat_id", chat, "text", "x")
	}
	send(403, "Forbidden: bot can't initiate conversation with a user", "501")
	send(400, "Bad Request: chat not found", "999")
	send(400, "Bad Request: chat not found", "@somebody")
	send(400, "Bad Request: chat_id is empty", "")
	w.Say(rivka, rivka, "x")
	w.send()
	w.Deactivate(rivka)
	send(403, "Forbidden: user is deactivated", "501")
	w.ok(nil, "sendMessage", "chat_id", itoa(int(inbox)), "text", "x")
}

func TestPhotoVoiceDocument(t *testing.T) {
	w := started(t, Options{})
	photo := picture(t, 200, 100)
	require.Equal(t, 2, w.Photo(rivka, rivka, "pot.png", photo, "my pot /help"))
	require.Equal(t, 3, w.Voice(rivka, rivka, []byte("ogg"), 4))
	require.Equal(t, 4, w.Document(rivka, rivka, "list.pdf", []byte("pdf"), ""))
	require.Zero(t, w.Document(rivka, rivka, "none", nil, ""))
	list := w.updates()
	p := list[0].Message
	require.Equal(t, "my pot /help", p.Caption)
	require.Equal(t, []Entity{{Type: "bot_command", Offset: 7, Length: 5}}, p.CapEntities)
	require.Len(t, p.Photo, 2, "a small size and the whole")
	require.Equal(t, [4]int{90, 45, 200, 100}, [4]int{p.Photo[0].Width, p.Photo[0].Height, p.Photo[1].Width, p.Photo[1].Height})
	require.NotEqual(t, p.Photo[0].ID, p.Photo[1].ID)
	v := list[1].Message.Voice
	require.Equal(t, 4, v.Duration)
	require.Equal(t, "audio/ogg", v.Mime)
	d := list[2].Message.Document
	require.Equal(t, "list.pdf", d.Name)
	require.Equal(t, "application/pdf", d.Mime)
	require.Equal(t, 3, d.Size)

	m := w.Chat(rivka)[1]
	require.Equal(t, "my pot /help", m.Caption)
	require.Equal(t, "photo", m.FileKind)
	require.Equal(t, p.Photo[1].ID, m.FileID)
	require.Empty(t, m.Text)
	name, data, ok := w.File(m.FileID)
	require.True(t, ok)
	require.Equal(t, "pot.png", name)
	require.Equal(t, photo, data)
}

func TestSend_OtherContent(t *testing.T) {
	w := start(t, Options{})
	require.Zero(t, w.Send(rivka, rivka, json.RawMessage(`[]`)))
	require.Equal(t, 1, w.Send(rivka, rivka, json.RawMessage(`{"contact":{"phone_number":"1","first_name":"D"},"date":"poison"}`)))
	r := w.call("getUpdates")
	require.Contains(t, string(r.Result), `"contact":{"phone_number":"1","first_name":"D"}`)
	require.Contains(t, string(r.Result), `"date":"poison"`)
}

func TestPeopleAndChats(t *testing.T) {
	w := start(t, Options{})
	w.AddPerson(Person{ID: rivka, FirstName: "again"})
	w.AddPerson(Person{ID: -4})
	w.AddPerson(Person{ID: w.BotID()})
	require.Equal(t, []Person{{rivka, "Rivka", "en"}, {dov, "Dov", ""}}, w.People())
	require.Equal(t, []ChatInfo{{rivka, "private", "Rivka"}, {dov, "private", "Dov"}, {inbox, "group", "Emek Rimon inbox"}}, w.Chats())
}

// What Chat returns is a copy.
func TestChat_Copies(t *testing.T) {
	w := started(t, Options{})
	w.send("text", "<b>x</b>", "parse_mode", "HTML", "reply_markup", `{"inline_keyboard":[[{"text":"a","callback_data":"b"}]]}`)
	m := w.Chat(rivka)[1]
	require.Equal(t, "<b>x</b>", m.HTML)
	require.True(t, m.Bot)
	m.Keyboard[0][0].Text, m.Entities[0].Type = "changed", "changed"
	require.Equal(t, "a", w.Chat(rivka)[1].Keyboard[0][0].Text)
	require.Equal(t, "bold", w.Chat(rivka)[1].Entities[0].Type)
}
