package telegram

import (
	"encoding/json"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/internal/engine/chat"
)

// Shapes as documented under Update, Message, CallbackQuery, InaccessibleMessage, ChatMemberUpdated, MessageEntity.
func TestEvents(t *testing.T) {
	const (
		from    = `"from":{"id":501,"is_bot":false,"first_name":"Rivka","language_code":"he"},`
		private = `"chat":{"id":501,"type":"private","first_name":"Rivka"},"date":1`
		group   = `"chat":{"id":-7001,"type":"supergroup","title":"Inbox"},"date":1`
	)
	message := func(where, rest string) string {
		return `{"update_id":9,"message":{"message_id":4,` + from + where + "," + rest + `}}`
	}
	mine := chat.Event{Update: 9, Chat: 501, User: 501, Lang: "he", Message: 4}
	ours := chat.Event{Update: 9, Chat: -7001, Group: true, User: 501, Lang: "he", Message: 4}
	with := func(e chat.Event, f func(e *chat.Event)) chat.Event { f(&e); return e }
	command := func(length int) string {
		return fmt.Sprintf(`"entities":[{"type":"bot_command","offset":0,"length":%d}]`, length)
	}

	tests := []struct {
		name string
		raw  string
		want chat.Event
	}{
		{"words", message(private, `"text":"a pot"`), with(mine, func(e *chat.Event) { e.Kind, e.Text = chat.Typed, "a pot" })},
		{"words in a group", message(group, `"text":"a pot"`), with(ours, func(e *chat.Event) { e.Kind, e.Text = chat.Typed, "a pot" })},
		{"a reply", message(group, `"text":"yes","reply_to_message":{"message_id":2,"chat":{"id":-7001,"type":"supergroup"},"date":1}`),
			with(ours, func(e *chat.Event) { e.Kind, e.Text, e.ReplyTo = chat.Typed, "yes", 2 })},
		{"a message in a topic is no reply", message(group, `"text":"yes","is_topic_message":true,"message_thread_id":2,"reply_to_message":{"message_id":2}`),
			with(ours, func(e *chat.Event) { e.Kind, e.Text = chat.Typed, "yes" })},
		{"a reply in a topic is", message(group, `"text":"yes","is_topic_message":true,"message_thread_id":2,"reply_to_message":{"message_id":3}`),
			with(ours, func(e *chat.Event) { e.Kind, e.Text, e.ReplyTo = chat.Typed, "yes", 3 })},
		{"a command", message(private, `"text":"/start",`+command(6)),
			with(mine, func(e *chat.Event) { e.Kind, e.Text, e.Command = chat.Typed, "/start", "start" })},
		{"a deep link", message(private, `"text":"/start join-7_a",`+command(6)),
			with(mine, func(e *chat.Event) {
				e.Kind, e.Text, e.Command, e.Args = chat.Typed, "/start join-7_a", "start", "join-7_a"
			})},
		{"a command to us by name", message(group, `"text":"/Queue@Emek_Rimon_Bot  two words ",`+command(21)),
			with(ours, func(e *chat.Event) {
				e.Kind, e.Text, e.Command, e.Args = chat.Typed, "/Queue@Emek_Rimon_Bot  two words ", "queue", "two words"
			})},
		{"in private every name is ours", message(private, `"text":"/start@other_bot",`+command(16)),
			with(mine, func(e *chat.Event) { e.Kind, e.Text, e.Command = chat.Typed, "/start@other_bot", "start" })},
		{"hebrew right behind a command", message(private, `"text":"/ask\u05e9\u05dc\u05d5\u05dd \ud83c\udf72",`+command(4)),
			with(mine, func(e *chat.Event) {
				e.Kind, e.Text, e.Command, e.Args = chat.Typed, "/askשלום 🍲", "ask", "שלום 🍲"
			})},
		{"a command later in the text is words", message(private, `"text":"\ud83c\udf72 /start","entities":[{"type":"bot_command","offset":3,"length":6}]`),
			with(mine, func(e *chat.Event) { e.Kind, e.Text = chat.Typed, "🍲 /start" })},
		{"bold at the start is no command", message(private, `"text":"/start","entities":[{"type":"bold","offset":0,"length":6}]`),
			with(mine, func(e *chat.Event) { e.Kind, e.Text = chat.Typed, "/start" })},
		{"an entity beyond the text", message(private, `"text":"/x",`+command(60)),
			with(mine, func(e *chat.Event) { e.Kind, e.Text = chat.Typed, "/x" })},
		{"a photo", message(private, `"caption":"this","photo":[{"file_id":"s","width":90,"height":60},{"file_id":"l","width":900,"height":600},{"file_id":"m","width":320,"height":200}]`),
			with(mine, func(e *chat.Event) { e.Kind, e.Text, e.FileID = chat.Photo, "this", "l" })},
		{"a command in a caption is words", message(private, `"caption":"/start","caption_entities":[{"type":"bot_command","offset":0,"length":6}],"photo":[{"file_id":"s"}]`),
			with(mine, func(e *chat.Event) { e.Kind, e.Text, e.FileID = chat.Photo, "/start", "s" })},
		{"voice", message(private, `"voice":{"file_id":"v","duration":3}`), with(mine, func(e *chat.Event) { e.Kind, e.FileID = chat.Voice, "v" })},
		{"a document", message(private, `"document":{"file_id":"d"},"caption":"c"`), with(mine, func(e *chat.Event) { e.Kind, e.FileID, e.Text = chat.File, "d", "c" })},
		{"a video", message(private, `"video":{"file_id":"d"}`), with(mine, func(e *chat.Event) { e.Kind, e.FileID = chat.File, "d" })},
		{"an animation", message(private, `"animation":{"file_id":"a"},"document":{"file_id":"d"}`), with(mine, func(e *chat.Event) { e.Kind, e.FileID = chat.File, "d" })},
		{"a sticker", message(private, `"sticker":{"file_id":"d"}`), with(mine, func(e *chat.Event) { e.Kind = chat.Other })},
		{"a place", message(private, `"location":{"latitude":1,"longitude":2}`), with(mine, func(e *chat.Event) { e.Kind = chat.Other })},
		{"a move", message(group, `"migrate_to_chat_id":-1007001`), with(ours, func(e *chat.Event) { e.Kind, e.NewChat = chat.Migrated, -1007001 })},
		{"the other side of a move", message(group, `"migrate_from_chat_id":-7`), with(ours, func(e *chat.Event) { e.Kind = chat.Other })},
		{"nobody's message", `{"update_id":9,"message":{"message_id":4,` + group + `,"text":"x"}}`,
			chat.Event{Update: 9, Kind: chat.Typed, Chat: -7001, Group: true, Message: 4, Text: "x"}},

		{"a press", `{"update_id":9,"callback_query":{"id":"4382","` + from[1:] + `"chat_instance":"1","data":"y|1","message":{"message_id":4,` + private + `,"text":"card"}}}`,
			with(mine, func(e *chat.Event) { e.Kind, e.Press, e.Data = chat.Pressed, "4382", "y|1" })},
		{"a press on an old message", `{"update_id":9,"callback_query":{"id":"4382","` + from[1:] + `"data":"y|1","message":{"message_id":4,"chat":{"id":-7001,"type":"supergroup"},"date":0}}}`,
			with(ours, func(e *chat.Event) { e.Kind, e.Press, e.Data = chat.Pressed, "4382", "y|1" })},
		{"a press without a message", `{"update_id":9,"callback_query":{"id":"4382","` + from[1:] + `"inline_message_id":"7","data":"y|1"}}`,
			with(mine, func(e *chat.Event) { e.Kind, e.Press, e.Data, e.Message = chat.Pressed, "4382", "y|1", 0 })},

		{"stopped", `{"update_id":9,"my_chat_member":{` + from + private + `,"old_chat_member":{"status":"member"},"new_chat_member":{"status":"kicked","until_date":0}}}`,
			with(mine, func(e *chat.Event) { e.Kind, e.Message = chat.Blocked, 0 })},
		{"let in again", `{"update_id":9,"my_chat_member":{` + from + private + `,"old_chat_member":{"status":"kicked"},"new_chat_member":{"status":"member"}}}`,
			with(mine, func(e *chat.Event) { e.Kind, e.Message = chat.Unblocked, 0 })},
		{"thrown out of a group", `{"update_id":9,"my_chat_member":{` + from + group + `,"new_chat_member":{"status":"kicked"}}}`,
			with(ours, func(e *chat.Event) { e.Kind, e.Message = chat.Other, 0 })},

		{"a kind nobody knows", `{"update_id":9,"purchased_moon":{"id":1}}`, chat.Event{Update: 9, Kind: chat.Other}},
		{"an edited message", `{"update_id":9,"edited_message":{"message_id":4,` + private + `,"text":"x"}}`, chat.Event{Update: 9, Kind: chat.Other}},
		{"a field of the wrong type", `{"update_id":9,"message":{"message_id":"four","text":"x"}}`, chat.Event{Update: 9, Kind: chat.Other}},
		{"a message that is a list", `{"update_id":9,"message":[1,2]}`, chat.Event{Update: 9, Kind: chat.Other}},
		{"nothing", `{"update_id":9}`, chat.Event{Update: 9, Kind: chat.Other}},
	}
	bot, _ := answers(t)
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			id, err := updateID(json.RawMessage(tt.raw))
			require.NoError(t, err)
			got, ok := bot.event(id, json.RawMessage(tt.raw))
			require.True(t, ok)
			require.Equal(t, tt.want, got)
		})
	}

	_, ok := bot.event(9, json.RawMessage(message(group, `"text":"/start@other_bot",`+command(16))))
	require.False(t, ok, "a group's command to another bot")
	for _, raw := range []string{`7`, `"x"`, `{}`, `[]`, `null`, `{"update_id":"9"}`, `{"update_id":null}`, `{"update_id":1.5}`} {
		_, err := updateID(json.RawMessage(raw))
		require.ErrorIs(t, err, errNoNumber, raw)
	}
}

// FuzzEvent: whatever the messenger sends, an update never stops the program and keeps its number.
func FuzzEvent(f *testing.F) {
	for _, seed := range []string{
		`{"message":{"text":"/a@b c","entities":[{"type":"bot_command","offset":0,"length":4}],"chat":{"id":-1}}}`,
		`{"message":{"text":"\ud83c/","entities":[{"type":"bot_command","offset":0,"length":2}]}}`,
		`{"message":{"photo":[{}],"reply_to_message":{}}}`, `{"callback_query":{"message":null}}`, `{"my_chat_member":{}}`, `[]`,
	} {
		f.Add(seed)
	}
	bot, err := prepare(Options{Token: testToken, HTTP: &canned{}})
	require.NoError(f, err)
	f.Fuzz(func(t *testing.T, raw string) {
		if e, ok := bot.event(9, json.RawMessage(raw)); ok {
			require.Equal(t, int64(9), e.Update)
			require.NotEmpty(t, e.Kind)
		}
	})
}
