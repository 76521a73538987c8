package bot

import (
	"maps"
	"slices"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/store"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/desk"
	"benyomo/internal/idea/people"
	"benyomo/internal/person/member"
	"benyomo/internal/person/office"
	"benyomo/internal/person/rabbi"
)

// The routing tables: which room hears which button, command and timer. Rights are asked by the rooms, at the action.
var (
	pressTable   = merge(member.Presses(), rabbi.Presses(), office.Presses())
	commandTable = merge(member.Commands(), rabbi.Commands(), office.Commands())
	timerTable   = member.Timers()
	jobTable     = member.Jobs()
)

// merge joins tables and refuses a name that two rooms claim.
func merge[V any](tables ...map[string]V) map[string]V {
	out := map[string]V{}
	for _, t := range tables {
		for _, k := range slices.Sorted(maps.Keys(t)) {
			if _, twice := out[k]; twice {
				panic("two rooms claim " + k)
			}
			out[k] = t[k]
		}
	}
	return out
}

// event handles one thing that somebody did, unless it was handled before.
func (p *pass) event(e chat.Event) {
	p.try(e.Update, string(e.Kind), func(tx *store.Tx) error {
		if tx.Seen(e.Update) {
			return nil
		}
		t := p.newTurn(tx, e)
		if !p.arrive(t) {
			return nil
		}
		if p.chatRests(tx, e.Chat) {
			tx.HoldEvent(e)
			p.answer(t)
			return nil
		}
		p.dispatch(t)
		p.react(t)
		p.answer(t)
		return nil
	})
}

// arrive brings who acts into the turn, and handles what is about the chat itself. It returns false where nothing is left
// to do.
func (p *pass) arrive(t *turn.Turn) bool {
	e := t.Event
	switch e.Kind {
	case chat.Migrated:
		t.Tx.Rekey(e.Chat, e.NewChat)
		p.fx.rekey = append(p.fx.rekey, [2]chat.ID{e.Chat, e.NewChat})
		return false
	case chat.Blocked:
		p.shut(t.Tx, e.Chat, "stopped by the person")
		return false
	}
	if e.User == 0 {
		return false
	}
	t.Who = p.who(t)
	if _, held := t.Tx.Hold(e.Chat); held {
		p.reopen(t)
	}
	return e.Kind != chat.Unblocked
}

// who is the person that acts. The configuration's founders hold their roles from their first word on.
func (p *pass) who(t *turn.Turn) people.Person {
	who, ok := t.Tx.Person(t.Event.User)
	if !ok {
		who = people.Person{ID: t.Event.User}
	}
	f := p.Env.Community.Founders
	if who.ID == f.ApprovingRabbi {
		who.Grant(people.ApprovingRabbi)
	}
	if slices.Contains(f.Rabbis, who.ID) {
		who.Grant(people.Rabbi)
	}
	if slices.Contains(f.Office, who.ID) {
		who.Grant(people.Office)
	}
	if who.Lang == "" && len(who.Roles) > 0 && p.Env.Pack.HasLanguage(t.Event.Lang) {
		who.Lang = t.Event.Lang
	}
	who.LastActive = t.Now
	t.Tx.PutPerson(who)
	return who
}

// dispatch gives an event to the room it is for.
func (p *pass) dispatch(t *turn.Turn) {
	e := t.Event
	if e.Group {
		p.dispatchGroup(t)
		return
	}
	switch {
	case e.Kind == chat.Pressed:
		p.press(t)
	case e.Command == "start":
		start(t)
	case e.Command == "help", e.Command == "cancel": // also of a rabbi who wants to ask nothing
		home(t)
	case e.Command != "":
		if fn := commandTable[e.Command]; fn != nil {
			fn(t)
		} else {
			home(t)
		}
	case t.Who.Is(people.Rabbi) && rabbi.Typed(t):
	case t.Who.Is(people.Office) && office.Typed(t):
	case t.Who.Is(people.Member):
		member.Typed(t)
	default:
		home(t)
	}
}

// dispatchGroup hears the inbox and nothing else in groups.
func (p *pass) dispatchGroup(t *turn.Turn) {
	inbox, ok := t.Inbox()
	if !ok || t.Event.Chat != inbox {
		return
	}
	switch fn := rabbi.Commands()[t.Event.Command]; {
	case t.Event.Kind == chat.Pressed:
		p.press(t)
	case fn != nil:
		fn(t)
	case t.Who.Is(people.Rabbi):
		rabbi.Typed(t)
	}
}

func (p *pass) press(t *turn.Turn) {
	verb, args := chat.ParseData(t.Event.Data)
	if fn := pressTable[verb]; fn != nil {
		fn(t, args)
	} else {
		t.Answer(t.Mine().Say("old-button"), false)
	}
}

// home shows somebody what he can do here.
func home(t *turn.Turn) {
	switch {
	case t.Who.Is(people.Rabbi):
		rabbi.Home(t)
	case t.Who.Is(people.Office):
		office.Home(t)
	default:
		member.Begin(t)
	}
}

// react calls who listens to what a room raised: the rooms never meet.
func (p *pass) react(t *turn.Turn) {
	for len(t.Raised) > 0 {
		news := t.Raised[0]
		t.Raised = t.Raised[1:]
		switch n := news.(type) {
		case desk.Opened:
			rabbi.Opened(t, n.ID)
		case desk.Withdrew:
			rabbi.Withdrawn(t, n.ID)
		case desk.Answered:
			member.Answered(t, n.ID)
		case member.NoRabbi:
			office.Warn(t, "office-no-rabbi")
		case member.Wished:
			office.Wish(t, n.Kind, n.Way, n.Who)
		case member.Settled:
			home(t)
		}
	}
}

// answer lets a press know that it arrived, with or without words.
func (p *pass) answer(t *turn.Turn) {
	if t.Event.Press == "" {
		return
	}
	out := toast{to: t.Event.Chat, press: t.Event.Press}
	if t.Toast != nil {
		out.Toast = *t.Toast
	}
	p.fx.toasts = append(p.fx.toasts, out)
}
