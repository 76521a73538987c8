package server

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func group(parameters ...string) []string {
	return append([]string{"chat_id", itoa(int(inbox)), "text", "x"}, parameters...)
}

func TestGroup_Messages(t *testing.T) {
	w := start(t, Options{})
	w.AddPerson(Person{ID: 503, FirstName: "Outsider"})
	require.Zero(t, w.Say(503, inbox, "x"), "not a member")
	var sent seenMessage
	w.ok(&sent, "sendMessage", group()...)
	require.Equal(t, seenChat{ID: inbox, Type: "group", Title: "Emek Rimon inbox"}, sent.Chat)
	require.Equal(t, 2, w.Reply(dov, inbox, sent.ID, "permitted"))
	m := w.updates()[0].Message
	require.Equal(t, sent.ID, m.ReplyTo.ID)
	require.Equal(t, dov, m.From.ID)
	require.Equal(t, inbox, m.Chat.ID)
}

// Source: Bot API, "Privacy mode".
func TestGroup_PrivacyMode(t *testing.T) {
	w := start(t, Options{Privacy: true})
	var sent seenMessage
	w.ok(&sent, "sendMessage", group()...)
	w.Say(dov, inbox, "chatter")
	w.Say(dov, inbox, "/open@emek_rimon_bot")
	w.Reply(dov, inbox, sent.ID, "to the bot")
	w.Reply(dov, inbox, 2, "to a person")
	w.Leave(inbox, rivka)
	var texts []string
	list := w.updates()
	for _, u := range list {
		texts = append(texts, u.Message.Text)
	}
	require.Equal(t, []string{"/open@emek_rimon_bot", "to the bot", ""}, texts)
	require.Equal(t, rivka, list[2].Message.Left.ID)
	var me struct {
		Reads bool `json:"can_read_all_group_messages"`
	}
	w.ok(&me, "getMe")
	require.False(t, me.Reads)
}

func TestGroup_JoinAndLeave(t *testing.T) {
	w := start(t, Options{})
	w.AddPerson(Person{ID: 503, FirstName: "Third"})
	w.Join(inbox, 503)
	w.Join(inbox, 503)
	var count int
	w.ok(&count, "getChatMemberCount", "chat_id", itoa(int(inbox)))
	require.Equal(t, 4, count)
	w.Leave(inbox, 503)
	list := w.updates()
	require.Len(t, list, 2)
	require.EqualValues(t, 503, list[0].Message.Joined[0].ID)
	require.EqualValues(t, 503, list[1].Message.Left.ID)
	require.Equal(t, "new_chat_members", w.Chat(inbox)[0].Service)
	require.Zero(t, w.Say(503, inbox, "x"))
}

func TestGroup_BotRemovedAndBack(t *testing.T) {
	w := start(t, Options{})
	w.RemoveBot(inbox)
	w.fails(403, "Forbidden: bot was kicked from the group chat", "sendMessage", group()...)
	require.Equal(t, 1, w.Say(dov, inbox, "unseen by the bot"))
	w.AddBot(inbox)
	w.ok(nil, "sendMessage", group()...)
	list := w.updates()
	require.Len(t, list, 3)
	require.Equal(t, "kicked", list[0].Standing.New.Status)
	require.Equal(t, dov, list[0].Standing.From.ID)
	require.Equal(t, "member", list[1].Standing.New.Status)
	require.Equal(t, w.BotID(), list[2].Message.Joined[0].ID)

	w.ok(nil, "leaveChat", "chat_id", itoa(int(inbox)))
	w.fails(403, "Forbidden: bot is not a member of the group chat", "sendMessage", group()...)
}

// Source: Bot API, ResponseParameters.migrate_to_chat_id and Message.migrate_to_chat_id, migrate_from_chat_id.
func TestGroup_Migration(t *testing.T) {
	w := start(t, Options{})
	super := w.Migrate(inbox)
	require.Less(t, super, int64(-1_000_000_000_000))
	require.Equal(t, super, w.Migrate(inbox), "only once")
	require.Zero(t, w.Migrate(super))
	require.Zero(t, w.Migrate(rivka))
	r := w.fails(400, "Bad Request: group chat was upgraded to a supergroup chat", "sendMessage", group()...)
	require.Equal(t, itoa(int(super)), string(r.Parameters.MigrateToChatID), "a number, not a text")
	list := w.updates()
	require.Len(t, list, 2)
	require.Equal(t, inbox, list[0].Message.Chat.ID)
	require.Equal(t, super, list[0].Message.MigrateTo)
	require.Equal(t, super, list[1].Message.Chat.ID)
	require.Equal(t, "supergroup", list[1].Message.Chat.Type)
	require.Equal(t, inbox, list[1].Message.MigrateFrom)
	require.Zero(t, w.Say(dov, inbox, "x"), "the group is closed")
	require.Equal(t, 2, w.Say(dov, super, "x"))
	w.RemoveBot(super)
	w.fails(403, "Forbidden: bot was kicked from the supergroup chat", "sendMessage", "chat_id", itoa(int(super)), "text", "x")
}

func TestGroup_Info(t *testing.T) {
	w := started(t, Options{})
	id := itoa(int(inbox))
	var chat struct {
		seenChat
		Color *int `json:"accent_color_id"`
	}
	w.ok(&chat, "getChat", "chat_id", id)
	require.Equal(t, "Emek Rimon inbox", chat.Title)
	require.NotNil(t, chat.Color)
	w.ok(nil, "getChat", "chat_id", "501")
	w.fails(400, "Bad Request: chat not found", "getChat", "chat_id", "502")
	w.AddPerson(Person{ID: 503, FirstName: "Outsider"})
	for user, want := range map[int64]string{dov: "creator", rivka: "member", 503: "left", w.BotID(): "member"} {
		var member struct {
			Status string   `json:"status"`
			User   seenUser `json:"user"`
		}
		w.ok(&member, "getChatMember", "chat_id", id, "user_id", itoa(int(user)))
		require.Equal(t, want, member.Status)
		require.Equal(t, user, member.User.ID)
	}
	require.Equal(t, 400, w.call("getChatMember", "chat_id", id, "user_id", "999").ErrorCode)
	var admins []struct {
		User seenUser `json:"user"`
	}
	w.ok(&admins, "getChatAdministrators", "chat_id", id)
	require.Len(t, admins, 1)
	require.Equal(t, dov, admins[0].User.ID)
}

func TestAddGroup_Supergroup(t *testing.T) {
	w := start(t, Options{})
	w.AddGroup(-1000000000777, "Born as one", dov, 999)
	w.AddGroup(5, "not negative")
	w.AddGroup(inbox, "again")
	require.Equal(t, ChatInfo{-1000000000777, "supergroup", "Born as one"}, w.Chats()[3])
	require.Len(t, w.Chats(), 4)
}
