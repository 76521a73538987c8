package turn

import (
	"benyomo/internal/engine/chat"
	"benyomo/internal/idea/people"
)

// Only lets a command be given by those who hold the role; others are told that it is not theirs, and nothing happens.
func Only(role people.Role, fn func(*Turn)) func(*Turn) {
	return func(t *Turn) {
		if !t.Who.Is(role) {
			t.Say(t.Event.Chat, chat.Answer, "", chat.Say(t.Mine().Say("not-yours")))
			return
		}
		fn(t)
	}
}

// OnlyPress does the same for a button, which anybody in a group can press.
func OnlyPress(role people.Role, fn func(*Turn, []string)) func(*Turn, []string) {
	return func(t *Turn, args []string) {
		if !t.Who.Is(role) {
			t.Answer(t.Mine().Say("not-yours"), true)
			return
		}
		fn(t, args)
	}
}
