package telegram

import (
	"encoding/json"
	"errors"
	"strings"
	"unicode/utf16"

	"benyomo/internal/engine/chat"
)

// The parts of an update that are read, named as in the Bot API. Everything else is left alone, so that a change in it
// breaks nothing.
type (
	update struct {
		Message  *message  `json:"message"`
		Callback *callback `json:"callback_query"`
		MyMember *member   `json:"my_chat_member"`
	}
	user struct {
		ID       int64  `json:"id"`
		Username string `json:"username"`
		Language string `json:"language_code"`
	}
	room struct {
		ID   int64  `json:"id"`
		Type string `json:"type"`
	}
	file struct {
		ID     string `json:"file_id"`
		Width  int    `json:"width"`
		Height int    `json:"height"`
	}
	entity struct {
		Type   string `json:"type"`
		Offset int    `json:"offset"` // in UTF-16 units
		Length int    `json:"length"` // in UTF-16 units
	}
	message struct {
		ID        int      `json:"message_id"`
		Thread    int      `json:"message_thread_id"`
		InTopic   bool     `json:"is_topic_message"`
		From      *user    `json:"from"`
		Chat      room     `json:"chat"`
		Text      string   `json:"text"`
		Entities  []entity `json:"entities"`
		Caption   string   `json:"caption"`
		Photo     []file   `json:"photo"`
		Voice     *file    `json:"voice"`
		Document  *file    `json:"document"`
		Video     *file    `json:"video"`
		Audio     *file    `json:"audio"`
		VideoNote *file    `json:"video_note"`
		Animation *file    `json:"animation"`
		MigrateTo int64    `json:"migrate_to_chat_id"`
		ReplyTo   *struct {
			ID int `json:"message_id"`
		} `json:"reply_to_message"`
	}
	callback struct {
		ID      string   `json:"id"`
		From    user     `json:"from"`
		Message *message `json:"message"` // may be inaccessible: then it has a chat and a number only
		Data    string   `json:"data"`
	}
	member struct {
		Chat room `json:"chat"`
		From user `json:"from"`
		New  struct {
			Status string `json:"status"`
		} `json:"new_chat_member"`
	}
)

var errNoNumber = errors.New("an update without a number")

// updateID reads an update's number alone, so that one which cannot be read otherwise can still be passed.
func updateID(raw json.RawMessage) (int64, error) {
	var u struct {
		ID *int64 `json:"update_id"`
	}
	if err := json.Unmarshal(raw, &u); err != nil || u.ID == nil {
		return 0, errNoNumber
	}
	return *u.ID, nil
}

// event makes an event of an update. It is false when the update is none of our concern: a command that a group gives to
// another bot. An update that cannot be read, or is of a kind we do not know, is an event of kind Other without a chat.
func (t *Telegram) event(id int64, raw json.RawMessage) (e chat.Event, ours bool) {
	var u update
	if err := json.Unmarshal(raw, &u); err != nil {
		t.o.Log.Error("an update cannot be read", "update", id)
		return chat.Event{Update: id, Kind: chat.Other}, true
	}
	ours = true
	switch {
	case u.Message != nil:
		e, ours = t.said(u.Message)
	case u.Callback != nil:
		e = pressed(u.Callback)
	case u.MyMember != nil:
		e = membership(u.MyMember)
	default:
		e.Kind = chat.Other
	}
	e.Update = id
	return e, ours
}

// said is the event of a message.
func (t *Telegram) said(m *message) (e chat.Event, ours bool) {
	e = chat.Event{Chat: chat.ID(m.Chat.ID), Group: m.Chat.Type != "private", Message: m.ID, Text: m.Caption}
	if m.From != nil {
		e.User, e.Lang = m.From.ID, m.From.Language
	}
	// In a topic of a group every message counts as a reply to the topic's first.
	if m.ReplyTo != nil && !(m.InTopic && m.ReplyTo.ID == m.Thread) {
		e.ReplyTo = m.ReplyTo.ID
	}
	switch {
	case m.MigrateTo != 0:
		e.Kind, e.NewChat = chat.Migrated, chat.ID(m.MigrateTo)
	case m.Text != "":
		e.Kind, e.Text = chat.Typed, m.Text
		return e, t.command(&e, m.Entities)
	case len(m.Photo) > 0:
		e.Kind, e.FileID = chat.Photo, largest(m.Photo)
	case m.Voice != nil:
		e.Kind, e.FileID = chat.Voice, m.Voice.ID
	default:
		e.Kind = chat.Other
		for _, f := range []*file{m.Document, m.Video, m.Audio, m.VideoNote, m.Animation} {
			if f != nil {
				e.Kind, e.FileID = chat.File, f.ID
				break
			}
		}
	}
	return e, true
}

// largest is the size of a photo with the most pixels.
func largest(sizes []file) string {
	best := sizes[0]
	for _, f := range sizes[1:] {
		if f.Width*f.Height >= best.Width*best.Height {
			best = f
		}
	}
	return best.ID
}

// command fills in the command with which a text begins, if it does. It is false for one that a group gives to another
// bot. What is a command the messenger marks; its offsets are in UTF-16 units.
func (t *Telegram) command(e *chat.Event, entities []entity) (ours bool) {
	units := utf16.Encode([]rune(e.Text))
	for _, n := range entities {
		if n.Type != "bot_command" || n.Offset != 0 || n.Length < 2 || n.Length > len(units) {
			continue
		}
		word := string(utf16.Decode(units[1:n.Length]))
		name, bot, named := strings.Cut(word, "@")
		if named && e.Group && !strings.EqualFold(bot, t.me.Username) {
			return false
		}
		e.Command = strings.ToLower(name)
		e.Args = strings.TrimSpace(string(utf16.Decode(units[n.Length:])))
		return true
	}
	return true
}

// pressed is the event of a button press.
func pressed(c *callback) chat.Event {
	e := chat.Event{Kind: chat.Pressed, User: c.From.ID, Lang: c.From.Language, Press: c.ID, Data: c.Data}
	if c.Message == nil {
		e.Chat = chat.ID(c.From.ID) // no chat is told; the person's own is where an answer can go
		return e
	}
	e.Chat, e.Message, e.Group = chat.ID(c.Message.Chat.ID), c.Message.ID, c.Message.Chat.Type != "private"
	return e
}

// membership is the event of a change in the bot's own standing in a chat. In a private chat "kicked" is what a person
// does who stops the bot, and "member" is the way back.
func membership(m *member) chat.Event {
	e := chat.Event{Kind: chat.Other, Chat: chat.ID(m.Chat.ID), Group: m.Chat.Type != "private", User: m.From.ID, Lang: m.From.Language}
	switch {
	case e.Group:
	case m.New.Status == "kicked":
		e.Kind = chat.Blocked
	case m.New.Status == "member":
		e.Kind = chat.Unblocked
	}
	return e
}
