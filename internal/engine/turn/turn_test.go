package turn_test

import (
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/dialogs"
	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/store"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/luach"
	"benyomo/internal/idea/people"
)

const (
	me    chat.ID = 7
	inbox chat.ID = -100
)

// load reads the built-in dialogs once: nothing changes them.
var load = sync.OnceValues(func() (*dialog.Pack, error) { return dialog.Load(dialogs.FS) })

// desk is a store with an environment.
type desk struct {
	t   *testing.T
	st  *store.Store
	env *turn.Env
}

func open(t *testing.T) *desk {
	t.Helper()
	p, err := load()
	require.NoError(t, err)
	st, err := store.Open(t.TempDir())
	require.NoError(t, err)
	t.Cleanup(func() {
		require.NoError(t, st.Check())
		require.NoError(t, st.Close())
	})
	return &desk{t, st, &turn.Env{Pack: p, BotName: "emekbot", Community: turn.Community{
		Name: "Kehillas Emek Rimon", Lang: "he", Place: luach.Place{Zone: time.UTC},
	}}}
}

// take runs one turn and gives what it owes.
func (d *desk) take(e chat.Event, fn func(*turn.Turn)) []chat.Post {
	d.t.Helper()
	var posts []chat.Post
	require.NoError(d.t, d.st.Update(func(b *store.Batch) error {
		err := b.Try(func(tx *store.Tx) error {
			fn(&turn.Turn{Env: d.env, Tx: tx, Now: time.Date(2045, 3, 20, 9, 0, 0, 0, time.UTC), Event: e, Who: people.Person{ID: int64(me), Lang: "en"}})
			return nil
		})
		posts = b.Posts
		return err
	}))
	return posts
}

// arrive plays the messenger: everything owed has been delivered, from the number on.
func (d *desk) arrive(posts []chat.Post, number int) {
	d.t.Helper()
	d.take(chat.Event{}, func(t *turn.Turn) {
		for _, p := range posts {
			t.Tx.Settle(p.Chat, p.Seq)
			if p.Op == chat.Send && p.Handle != "" {
				t.Tx.SetPosted(p.Chat, p.Handle, number)
				number++
			}
		}
	})
}

func (d *desk) screen(c chat.ID) chat.Screen {
	d.t.Helper()
	var s chat.Screen
	d.take(chat.Event{}, func(t *turn.Turn) { s, _ = t.Tx.Screen(c) })
	return s
}

func shown(posts []chat.Post) string {
	lines := make([]string, len(posts))
	for i, p := range posts {
		lines[i] = fmt.Sprintf("%d %s %q class %d: %s", p.Chat, p.Op, p.Handle, p.Class, p.Message.Plain())
	}
	return strings.Join(lines, "\n")
}

// saying builds a message that tells its step.
func saying(text string) func(uint64) chat.Message {
	return func(step uint64) chat.Message { return chat.Say(fmt.Sprintf("%s, step %d", text, step)) }
}

func pressed(message int) chat.Event {
	return chat.Event{Kind: chat.Pressed, Chat: me, User: int64(me), Message: message}
}

func typed() chat.Event {
	return chat.Event{Kind: chat.Typed, Chat: me, User: int64(me), Text: "hello"}
}

// first shows the first screen, which arrives as message 40.
func (d *desk) first(s chat.Screen) {
	d.t.Helper()
	posts := d.take(typed(), func(t *turn.Turn) { t.Present(me, s, saying("one")) })
	require.Equal(d.t, `7 send "screen-1" class 0: one, step 1`, shown(posts))
	d.arrive(posts, 40)
}

func TestPresent(t *testing.T) {
	long := func(uint64) chat.Message { return chat.Say(strings.Repeat("x", chat.TextLimit+1)) }
	for _, c := range []struct {
		name   string
		event  chat.Event
		keep   bool // of the first screen
		build  func(uint64) chat.Message
		want   string
		handle chat.Handle
	}{
		{"a press on the screen changes it", pressed(40), false, saying("two"), `7 edit "screen-1" class 0: two, step 2`, "screen-1"},
		{"words bring a new message and take the old buttons away", typed(), false, saying("two"),
			"7 strip \"screen-1\" class 0: \n7 send \"screen-2\" class 0: two, step 2", "screen-2"},
		{"and so does a press on another message", pressed(39), false, saying("two"),
			"7 strip \"screen-1\" class 0: \n7 send \"screen-2\" class 0: two, step 2", "screen-2"},
		{"and a press in another chat", chat.Event{Kind: chat.Pressed, Chat: inbox, Message: 40}, false, saying("two"),
			"7 strip \"screen-1\" class 0: \n7 send \"screen-2\" class 0: two, step 2", "screen-2"},
		{"and a timer", chat.Event{}, false, saying("two"), "7 strip \"screen-1\" class 0: \n7 send \"screen-2\" class 0: two, step 2", "screen-2"},
		{"a screen that is kept stays as it is", pressed(40), true, saying("two"), `7 send "screen-2" class 0: two, step 2`, "screen-2"},
		{"also when words come", typed(), true, saying("two"), `7 send "screen-2" class 0: two, step 2`, "screen-2"},
		{"what is too long for one message is sent anew", pressed(40), false, long,
			"7 strip \"screen-1\" class 0: \n7 send \"\" class 0: " + strings.Repeat("x", chat.TextLimit) + "\n7 send \"screen-2\" class 0: x", "screen-2"},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := open(t)
			d.first(chat.Screen{Name: "one", Keep: c.keep})
			posts := d.take(c.event, func(tn *turn.Turn) { tn.Present(me, chat.Screen{Name: "two", Args: []string{"a"}}, c.build) })
			require.Equal(t, c.want, shown(posts))
			require.Equal(t, chat.Screen{Chat: me, Step: 2, Name: "two", Args: []string{"a"}, Handle: c.handle}, d.screen(me))
			if c.keep {
				d.take(typed(), func(tn *turn.Turn) {
					_, ok := tn.Tx.Posted(me, "screen-1")
					require.False(t, ok, "what is kept is never changed again")
				})
			}
		})
	}
}

// A screen that has not arrived yet cannot have been pressed: nothing is edited by guess.
func TestPresentBeforeArrival(t *testing.T) {
	d := open(t)
	d.take(typed(), func(tn *turn.Turn) { tn.Present(me, chat.Screen{Name: "one"}, saying("one")) })
	posts := d.take(pressed(0), func(tn *turn.Turn) { tn.Present(me, chat.Screen{Name: "two"}, saying("two")) })
	require.Equal(t, "7 strip \"screen-1\" class 0: \n7 send \"screen-2\" class 0: two, step 2", shown(posts))
}

// Each chat has its own screen and steps.
func TestPresentInSeveralChats(t *testing.T) {
	d := open(t)
	d.first(chat.Screen{Name: "one"})
	posts := d.take(pressed(40), func(tn *turn.Turn) { tn.Present(inbox, chat.Screen{Name: "card"}, saying("card")) })
	require.Equal(t, `-100 send "screen-1" class 0: card, step 1`, shown(posts))
	require.Equal(t, "one", d.screen(me).Name)
	require.Equal(t, "card", d.screen(inbox).Name)
}

// A press and its screen in one turn twice: the message is changed once, to the last.
func TestPresentTwiceInATurn(t *testing.T) {
	d := open(t)
	d.first(chat.Screen{Name: "one"})
	posts := d.take(pressed(40), func(tn *turn.Turn) {
		tn.Present(me, chat.Screen{Name: "two"}, saying("two"))
		tn.Present(me, chat.Screen{Name: "three"}, saying("three"))
	})
	require.Equal(t, `7 edit "screen-1" class 0: three, step 3`, shown(posts))
	require.Equal(t, uint64(3), d.screen(me).Step)
}

// After a rest span what was sent in it is handled in silence: the chat's screens move on, one message follows at the end.
// News for others, and reminders, are not held back.
func TestReplay(t *testing.T) {
	d := open(t)
	d.first(chat.Screen{Name: "one"})
	built := 0
	posts := d.take(pressed(40), func(tn *turn.Turn) {
		tn.Replay = true
		tn.Present(me, chat.Screen{Name: "two"}, func(uint64) chat.Message { built++; return chat.Say("two") })
		tn.Say(me, chat.Answer, "h", chat.Say("an answer"))
		tn.Say(me, chat.Reminder, "", chat.Say("a reminder"))
		tn.Say(inbox, chat.Answer, "card", chat.Say("a card"))
		tn.Change(me, "older", chat.Say("an older message, changed"))
		tn.Present(inbox, chat.Screen{Name: "card"}, saying("card"))
	})
	require.Equal(t, strings.Join([]string{
		`7 send "" class 2: a reminder`,
		`-100 send "card" class 0: a card`,
		`7 edit "older" class 0: an older message, changed`,
		`-100 send "screen-1" class 0: card, step 1`,
	}, "\n"), shown(posts))
	require.Zero(t, built, "what is not shown is not made")
	require.Equal(t, chat.Screen{Chat: me, Step: 2, Name: "two", Handle: "screen-1"}, d.screen(me), "the phone still shows the old message")

	// The message at the end stands in the place of the old one.
	posts = d.take(chat.Event{}, func(tn *turn.Turn) { tn.Present(me, chat.Screen{Name: "three"}, saying("three")) })
	require.Equal(t, "7 strip \"screen-1\" class 0: \n7 send \"screen-3\" class 0: three, step 3", shown(posts))
}

// A screen that is kept stays kept through a replay.
func TestReplayKeeps(t *testing.T) {
	d := open(t)
	d.first(chat.Screen{Name: "one", Keep: true})
	d.take(typed(), func(tn *turn.Turn) {
		tn.Replay = true
		tn.Present(me, chat.Screen{Name: "two"}, saying("two"))
	})
	posts := d.take(chat.Event{}, func(tn *turn.Turn) { tn.Present(me, chat.Screen{Name: "three"}, saying("three")) })
	require.Equal(t, `7 send "screen-3" class 0: three, step 3`, shown(posts))
}

// A button of an older screen is answered kindly, and tells its handler to do nothing.
func TestFresh(t *testing.T) {
	d := open(t)
	d.take(pressed(40), func(tn *turn.Turn) {
		_, ok := tn.Fresh("0")
		require.False(t, ok, "there is no screen yet")
	})
	d.first(chat.Screen{Name: "one"})
	for step, want := range map[string]bool{"1": true, "0": false, "2": false, "": false, "01": false, "x": false, " 1": false} {
		d.take(pressed(40), func(tn *turn.Turn) {
			s, ok := tn.Fresh(step)
			require.Equal(t, want, ok, "step %q", step)
			if ok {
				require.Equal(t, "one", s.Name)
				require.Nil(t, tn.Toast)
				return
			}
			require.Equal(t, &turn.Toast{Text: "This button is from an earlier step. Nothing was changed."}, tn.Toast)
		})
	}
	d.take(chat.Event{Kind: chat.Pressed, Chat: inbox}, func(tn *turn.Turn) {
		_, ok := tn.Fresh("1")
		require.False(t, ok, "the step of another chat")
	})
}

func TestSay(t *testing.T) {
	d := open(t)
	posts := d.take(typed(), func(tn *turn.Turn) {
		m := chat.Say(strings.Repeat("word ", 1000))
		m.Row(chat.Button{Label: "a", Data: "a"})
		tn.Say(me, chat.Announcement, "h", m)
	})
	require.Len(t, posts, 2, "too long for one")
	require.Empty(t, posts[0].Handle)
	require.Empty(t, posts[0].Message.Keyboard)
	require.Equal(t, chat.Handle("h"), posts[1].Handle, "the last one is changed later: it has the buttons")
	require.NotEmpty(t, posts[1].Message.Keyboard)
	require.Equal(t, chat.Announcement, posts[1].Class)
}

func TestChange(t *testing.T) {
	d := open(t)
	keys := [][]chat.Button{{{Label: "a", Data: "a"}}}
	posts := d.take(typed(), func(tn *turn.Turn) {
		m := chat.Say(strings.Repeat("word ", 1000))
		m.Keyboard = keys
		tn.Change(me, "h", m)
	})
	require.Len(t, posts, 1, "one message cannot become two")
	require.LessOrEqual(t, chat.Units(posts[0].Message.Plain()), chat.TextLimit)
	require.Equal(t, keys, posts[0].Message.Keyboard)
	require.Equal(t, chat.Edit, posts[0].Op)
}

func TestAnswerAndRaise(t *testing.T) {
	d := open(t)
	d.take(pressed(40), func(tn *turn.Turn) {
		tn.Answer(strings.Repeat("ש", 300), true)
		require.True(t, tn.Toast.Alert)
		require.LessOrEqual(t, chat.Units(tn.Toast.Text), 200, "Bot API, answerCallbackQuery")
		tn.Answer("short", false)
		require.Equal(t, &turn.Toast{Text: "short"}, tn.Toast, "the last one counts")
		tn.Raise("a")
		tn.Raise(2)
		require.Equal(t, []any{"a", 2}, tn.Raised)
	})
}

func TestWords(t *testing.T) {
	d := open(t)
	d.take(typed(), func(tn *turn.Turn) {
		require.Equal(t, "en", tn.Mine().Lang)
		for lang, want := range map[string]string{"en": "en", "he": "he", "": "he", "yi": "he"} {
			require.Equal(t, want, tn.Words(lang).Lang, "%q", lang)
		}
		require.Equal(t, "https://t.me/emekbot?start=abc_-9", tn.StartLink("abc_-9"))
	})
}

// Questions go to the configured chat, wherever it has moved; else to the approving rabbi himself; else nowhere.
func TestInbox(t *testing.T) {
	d := open(t)
	find := func() (id chat.ID, ok bool) {
		d.take(typed(), func(tn *turn.Turn) { id, ok = tn.Inbox() })
		return id, ok
	}
	_, ok := find()
	require.False(t, ok)

	d.take(typed(), func(tn *turn.Turn) {
		tn.Tx.PutPerson(people.Person{ID: 30, Roles: []people.Role{people.Rabbi}})
	})
	_, ok = find()
	require.False(t, ok, "one who only answers has no inbox of his own")

	d.take(typed(), func(tn *turn.Turn) {
		tn.Tx.PutPerson(people.Person{ID: 31, Roles: []people.Role{people.ApprovingRabbi}})
	})
	id, ok := find()
	require.True(t, ok)
	require.Equal(t, chat.ID(31), id)

	d.env.Community.Inbox = inbox
	id, ok = find()
	require.True(t, ok)
	require.Equal(t, inbox, id)
	d.take(typed(), func(tn *turn.Turn) { tn.Tx.Rekey(inbox, -200) })
	id, ok = find()
	require.True(t, ok)
	require.Equal(t, chat.ID(-200), id)
}

// A household that is not sure of its custom follows the community's; a position is looked up by custom, else the default's.
func TestLookup(t *testing.T) {
	d := open(t)
	d.take(typed(), func(tn *turn.Turn) {
		tn.Tx.SetPosition("glass-hot", "ashkenazi", "none-on-pesach")
		tn.Tx.SetPosition("glass-hot", "sephardi", "rinse")
		tn.Tx.SetPosition("oven-racks", "any", "covered")
	})
	for _, c := range []struct{ community, custom, sw, want string }{
		{"", "ashkenazi", "glass-hot", "none-on-pesach"},
		{"sephardi", "ashkenazi", "glass-hot", "none-on-pesach"},
		{"sephardi", "unsure", "glass-hot", "rinse"},
		{"", "unsure", "glass-hot", ""},
		{"ashkenazi", "other", "glass-hot", ""},
		{"ashkenazi", "other", "oven-racks", "covered"},
		{"", "unsure", "oven-racks", "covered"},
	} {
		d.env.Community.Custom = c.community
		d.take(typed(), func(tn *turn.Turn) {
			pos, ok := tn.Lookup(c.custom)(c.sw)
			require.Equal(t, c.want, pos, "%+v", c)
			require.Equal(t, c.want != "", ok, "%+v", c)
		})
	}
}
