// Package member is the room of those who ask: it greets them, asks about their household and their item, tells them the
// rabbi's approved answer or passes the question on, and goes with them through waits and heatings.
//
// Every handler is a row of the tables in this file. Buttons that belong to a screen carry its step, buttons about an item
// carry the item's revision: an old one is answered kindly and changes nothing. The room never meets the rabbi's: it raises
// desk.Opened, and hears desk.Answered.
package member

import (
	"strconv"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/store"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/kitchen"
	"benyomo/internal/idea/people"
	"benyomo/internal/idea/wording"
)

// Screens of a member.
const (
	screenLanguage = "member/language"
	screenProfile  = "member/profile"
	screenMenu     = "member/menu"
	screenMore     = "member/more"
	screenWhich    = "member/which"
	screenQuestion = "member/question"
	screenLater    = "member/later"
	screenOutcome  = "member/outcome"
	screenHot      = "member/hot"
	screenHotOther = "member/hot-other"
	screenHotCheck = "member/hot-check"
	screenHotWhich = "member/hot-which"
	screenHeat     = "member/heat"
	screenSteps    = "member/steps"
	screenItem     = "member/item"
	screenKitchen  = "member/kitchen"
	screenReferred = "member/referred"
	screenWords    = "member/words"
	screenSettings = "member/settings"
	screenAdd      = "member/add"
	screenTown     = "member/town"
	screenTownRest = "member/town-rest"

	screenPlan       = "member/plan"
	screenPlanFirst  = "member/plan-first"
	screenPlanAsk    = "member/plan-ask"
	screenPlanning   = "member/planning"
	screenPlanFailed = "member/plan-failed"
	screenPlanWhole  = "member/plan-whole"
	screenPlanDone   = "member/plan-done"
	screenPlanHot    = "member/plan-hot"
)

// Render draws a screen.
type render func(*turn.Turn, chat.Screen) chat.Message

// The tables are filled in init because the renderers and handlers mention them.
var renders map[string]render

func init() {
	renders = map[string]render{
		screenLanguage: drawLanguage,
		screenProfile:  drawProfile,
		screenMenu:     drawMenu,
		screenMore:     drawMore,
		screenWhich:    drawWhich,
		screenQuestion: drawQuestion,
		screenLater:    drawLater,
		screenOutcome:  drawOutcome,
		screenHot:      drawHot,
		screenHotOther: drawHotOther,
		screenHotCheck: drawHotCheck,
		screenHotWhich: drawHotWhich,
		screenHeat:     drawHeat,
		screenSteps:    drawSteps,
		screenItem:     drawItem,
		screenKitchen:  drawKitchen,
		screenReferred: drawReferred,
		screenWords:    drawWords,
		screenSettings: drawSettings,
		screenAdd:      drawAdd,
		screenTown:     drawTown,
		screenTownRest: drawTownRest,

		screenPlan:       withPlan(drawPlan),
		screenPlanFirst:  drawPlanFirst,
		screenPlanAsk:    drawPlanAsk,
		screenPlanning:   drawPlanning,
		screenPlanFailed: drawPlanFailed,
		screenPlanWhole:  withPlan(drawPlanWhole),
		screenPlanDone:   withPlan(drawPlanDone),
		screenPlanHot:    withPlan(drawPlanHot),
	}
}

// Presses are the buttons of a member, by verb.
func Presses() map[string]func(*turn.Turn, []string) {
	return map[string]func(*turn.Turn, []string){
		"m.lang":  onScreen(pickLanguage),
		"m.set":   onScreen(setProfile),
		"m.town":  onScreen(pickTown),
		"m.go":    goTo,
		"m.new":   onScreen(newItem),
		"m.ans":   onScreen(answer),
		"m.uns":   onScreen(notSure),
		"m.back":  onScreen(back),
		"m.why":   onScreen(why),
		"m.ask":   onScreen(askRabbi),
		"m.later": onScreen(later),
		"m.words": onScreen(sendWords),
		"m.none":  onScreen(noneOfThese),
		"m.for":   onScreen(choosePurpose),
		"m.add":   onScreen(passAdd),
		"m.hot":   onScreen(pickHot),
		"m.hotok": onScreen(confirmHot),
		"m.hotat": onScreen(pickHotWhich),
		"m.heat!": onScreen(startHeat),
		"m.plan":  onScreen(planAct),
		"m.did":   planAllDid,
		"m.item":  openItem,
		"m.idle":  onItem(askHot),
		"m.used":  onItem(usedHot),
		"m.soak":  onItem(startSoak),
		"m.heat":  onItem(checkHeat),
		"m.cut":   onItem(cutShort),
		"m.done":  onItem(done),
		"m.away":  onItem(putAway),
		"m.way":   onItem(chooseWay),
		"m.rav":   onItem(askAboutItem),
		"m.drop":  onItem(drop),
		"m.more":  onItem(goOn),
		"m.item!": onItem(readAgain),
	}
}

// Commands are what a member may type after a slash.
func Commands() map[string]func(*turn.Turn) {
	return map[string]func(*turn.Turn){
		"menu":     Home,
		"kitchen":  func(t *turn.Turn) { goTo(t, []string{"kitchen"}) },
		"settings": func(t *turn.Turn) { goTo(t, []string{"settings"}) },
		"plan":     func(t *turn.Turn) { goTo(t, []string{"plan"}) },
		"language": func(t *turn.Turn) { show(t, screenLanguage) },
	}
}

// Timers are the reminders of this room, by kind.
func Timers() map[string]func(*turn.Turn, store.Timer) {
	return map[string]func(*turn.Turn, store.Timer){
		timerIdle: idleOver,
		timerHeat: heatOver,
		timerCool: coolOver,
		timerLook: lookAgain,
		timerShow: showAgain,
		timerRest: tellOfRest,
		timerPlan: planDue,
	}
}

// me is the chat of whoever acts.
func me(t *turn.Turn) chat.ID { return chat.ID(t.Who.ID) }

// show makes a screen the member's current one.
func show(t *turn.Turn, name string, args ...string) {
	present(t, chat.Screen{Name: name, Args: args, Keep: name == screenOutcome})
}

func present(t *turn.Turn, s chat.Screen) {
	t.Present(me(t), s, func(step uint64) chat.Message {
		s.Step, s.Chat = step, me(t)
		return renders[s.Name](t, s)
	})
}

// Resume shows the current screen once more, under a line that says why.
func Resume(t *turn.Turn, line string) bool {
	s, ok := t.Tx.Screen(me(t))
	if !ok || renders[s.Name] == nil {
		return false
	}
	if s.Name == screenQuestion { // what is asked may have changed in between
		if it, ok := item(t, s.Arg(0)); ok {
			if _, r := walk(t, &it); r.Question != nil {
				s.Args = []string{s.Arg(0), plainly, r.Question.Ask.S}
			}
		}
	}
	t.Present(me(t), chat.Screen{Name: s.Name, Args: s.Args, Keep: s.Name == screenOutcome}, func(step uint64) chat.Message {
		s.Step = step
		m := renders[s.Name](t, s)
		m.Blocks = append([]chat.Block{{Text: line, Style: chat.Aside}}, m.Blocks...)
		return m
	})
	return true
}

// onScreen guards a button that belongs to the current screen.
func onScreen(fn func(*turn.Turn, chat.Screen, []string)) func(*turn.Turn, []string) {
	return func(t *turn.Turn, args []string) {
		if len(args) == 0 {
			return
		}
		if s, ok := t.Fresh(args[0]); ok {
			fn(t, s, args[1:])
		}
	}
}

// onItem guards a button about an item: it must be of the member's household and unchanged since the button was made.
func onItem(fn func(*turn.Turn, *kitchen.Item, []string)) func(*turn.Turn, []string) {
	return func(t *turn.Turn, args []string) {
		if len(args) < 2 {
			return
		}
		it, ok := item(t, args[0])
		if !ok || args[1] != strconv.FormatUint(it.Rev, 10) {
			t.Answer(t.Mine().Say("old-button"), false)
			return
		}
		fn(t, &it, args[2:])
	}
}

// item finds an item of the member's household.
func item(t *turn.Turn, id string) (kitchen.Item, bool) {
	n, err := strconv.ParseUint(id, 10, 64)
	if err != nil || t.Who.Household == 0 {
		return kitchen.Item{}, false
	}
	it, ok := t.Tx.Item(t.Who.Household, n)
	if !ok || it.State == kitchen.Dropped || t.Pack.Tree(it.Kind) == nil {
		return kitchen.Item{}, false
	}
	return it, true
}

func household(t *turn.Turn) people.Household {
	h, _ := t.Tx.Household(t.Who.Household)
	return h
}

// button is a button whose label is a sentence.
func button(w wording.Words, key, verb string, args ...any) chat.Button {
	return chat.Button{Label: w.Say(key), Data: chat.Data(verb, args...)}
}

// itemButton is a button about an item as it stands.
func itemButton(w wording.Words, key, verb string, it kitchen.Item, args ...any) chat.Button {
	return button(w, key, verb, append([]any{it.ID, it.Rev}, args...)...)
}

// itemName names an item: 'Oven', 'Pot 2'.
func itemName(t *turn.Turn, w wording.Words, it kitchen.Item) string {
	name := t.Pack.Tree(it.Kind).Name.In(w.Lang)
	if it.Number > 1 {
		name += " " + strconv.Itoa(it.Number)
	}
	return name
}
