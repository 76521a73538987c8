package member

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/store"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/plan"
)

// planActs are the buttons of the plan's screens, by what they do.
var planActs map[string]func(*turn.Turn, chat.Screen, []string)

func init() {
	planActs = map[string]func(*turn.Turn, chat.Screen, []string){
		"open":     func(t *turn.Turn, _ chat.Screen, _ []string) { openPlan(t) },
		"begin":    planBegin,
		"page":     planTurn,
		"press":    planPress,
		"make":     makePlan,
		"again":    makePlan,
		"change":   func(t *turn.Turn, _ chat.Screen, _ []string) { show(t, screenPlanAsk, planPages[0].name) },
		"whole":    func(t *turn.Turn, _ chat.Screen, _ []string) { show(t, screenPlanWhole) },
		"done":     func(t *turn.Turn, _ chat.Screen, _ []string) { show(t, screenPlanDone) },
		"tick":     planTick,
		"did":      planDid,
		"hot":      func(t *turn.Turn, _ chat.Screen, _ []string) { show(t, screenPlanHot) },
		"was-hot":  planWasHot,
		"fix":      planFix,
		"picture":  sendPlan(PlanPicture),
		"calendar": sendPlan(PlanCalendar),
	}
}

// planAct is a button of the plan's screens.
func planAct(t *turn.Turn, s chat.Screen, args []string) {
	if len(args) == 0 || planActs[args[0]] == nil || t.Who.Household == 0 {
		return
	}
	planActs[args[0]](t, s, args[min(len(args), 1):])
}

// jobPlan is the making of a plan.
const jobPlan = "member/plan"

// makePlan asks for a plan of what the household has said.
func makePlan(t *turn.Turn, _ chat.Screen, _ []string) {
	o, ok := t.Tx.Order(t.Who.Household)
	if !ok || len(o.Picks) == 0 {
		t.Answer(t.Mine().Say("planning-nothing-picked"), true)
		return
	}
	order(t, o)
	show(t, screenPlanning)
}

// order keeps an order and asks for its plan.
func order(t *turn.Turn, o plan.Order) {
	o.Rev++
	o.Pass(t.Now)
	t.Tx.PutOrder(o)
	t.Tx.AskFor(store.Job{Key: "plan-" + strconv.FormatUint(o.Household, 10), Kind: jobPlan, Household: o.Household, Rev: o.Rev, Person: t.Who.ID})
}

func drawPlanning(t *turn.Turn, _ chat.Screen) chat.Message {
	return chat.Say(t.Mine().Say("planning-being-made"))
}

// doneLater is from when on it is asked whether something was over at its time or only now: 24 hours are counted from it.
const doneLater = 20 * time.Minute

// openTasks are the tasks that can be said to be done: what is overdue or under way, and the next sitting.
func openTasks(t *turn.Turn, o *plan.Order) []plan.Task {
	v := viewPlan(t, o)
	out := append(o.Plan.Overdue(t.Now), v.running()...)
	for _, a := range o.Plan.Alerts(t.Now) {
		if a.What == plan.AlertCheck {
			for _, task := range a.Tasks {
				if task.Begins.After(t.Now) {
					out = append(out, task)
				}
			}
			break
		}
	}
	return out
}

// ticked are the tasks that a screen has ticked, of those that can be.
func ticked(s chat.Screen, open []plan.Task) (out []plan.Task) {
	for i, task := range open {
		if slices.Contains(s.Args, strconv.Itoa(i)) {
			out = append(out, task)
		}
	}
	return out
}

// askWhen stands before the ticks when it is asked when they were over.
const askWhen = "when"

// drawPlanDone asks what is done, and where it is long over by the plan, when.
func drawPlanDone(v planView, s chat.Screen, m *chat.Message) {
	t, w, o := v.t, v.w, v.order
	open := openTasks(t, o)
	if s.Arg(0) == askWhen {
		m.Add(chat.Heading, w.Say("planning-done-when"))
		v.overdue(m, "", ticked(s, open))
		m.Row(button(w, "btn-plan-then", "m.plan", s.Step, "did", o.Planned, "then"), button(w, "btn-plan-just-now", "m.plan", s.Step, "did", o.Planned, "now"))
		m.Row(button(w, "btn-back", "m.plan", s.Step, "done"))
		return
	}
	m.Add(chat.Heading, w.Say("planning-done-what"))
	for i, task := range open[:min(len(open), listed)] {
		m.Row(chat.Button{Label: chosen(v.lines.Task(task), slices.Contains(s.Args, strconv.Itoa(i))), Data: chat.Data("m.plan", s.Step, "tick", i, o.Planned)})
	}
	last := []chat.Button{button(w, "btn-back", "m.plan", s.Step, "open")}
	if len(ticked(s, open)) > 0 {
		last = append(last, button(w, "btn-plan-these", "m.plan", s.Step, "did", o.Planned))
	}
	m.Row(last...)
}

// planTick ticks a task, or takes the tick away.
func planTick(t *turn.Turn, s chat.Screen, args []string) {
	o, ok := planned(t)
	if !ok || len(args) != 2 || args[1] != strconv.FormatUint(o.Planned, 10) {
		t.Answer(t.Mine().Say("old-button"), false)
		return
	}
	show(t, screenPlanDone, plan.Toggle(s.Args, args[0])...)
}

// planDid records that the ticked tasks are done, and plans again.
func planDid(t *turn.Turn, s chat.Screen, args []string) {
	o, ok := planned(t)
	if !ok || len(args) == 0 || args[0] != strconv.FormatUint(o.Planned, 10) {
		t.Answer(t.Mine().Say("old-button"), false)
		return
	}
	done := ticked(s, openTasks(t, &o))
	if len(args) == 1 && slices.ContainsFunc(done, func(task plan.Task) bool { return t.Now.Sub(task.Ends) >= doneLater }) {
		show(t, screenPlanDone, append([]string{askWhen}, s.Args...)...)
		return
	}
	for _, task := range done {
		at := t.Now
		if len(args) > 1 && args[1] == "then" && task.Ends.Before(at) {
			at = task.Ends
		}
		o.Did(task, at)
	}
	order(t, o)
	show(t, screenPlanning)
}

// planAllDid is the button of a reminder: all that was over by then was done in its time.
func planAllDid(t *turn.Turn, args []string) {
	o, ok := planned(t)
	if len(args) != 2 || !ok || args[0] != strconv.FormatUint(o.Planned, 10) {
		t.Answer(t.Mine().Say("old-button"), false)
		return
	}
	unix, err := strconv.ParseInt(args[1], 10, 64)
	if err != nil {
		return
	}
	for _, task := range o.Plan.Overdue(time.Unix(unix, 0)) {
		o.Did(task, task.Ends)
	}
	order(t, o)
	show(t, screenPlanning)
}

// drawPlanHot asks what was used hot.
func drawPlanHot(v planView, s chat.Screen, m *chat.Message) {
	t, w, o := v.t, v.w, v.order
	m.Add(chat.Heading, w.Say("planning-hot-what"))
	m.Add(chat.Plain, w.Say("planning-hot-how"))
	var all []chat.Button
	for _, p := range o.Picks {
		if waits(t, p.Row) {
			all = append(all, chat.Button{Label: v.lines.Name(p.ID()), Data: chat.Data("m.plan", s.Step, "was-hot", p.ID())})
		}
	}
	m.Row(button(w, "btn-plan-hot-all", "m.plan", s.Step, "was-hot", plan.AllThatShare))
	inRows(m, 2, all)
	m.Row(button(w, "btn-back", "m.plan", s.Step, "open"))
}

// planWasHot begins the 24 hours anew, of one thing or of all that shares the last hot meal, and plans again.
func planWasHot(t *turn.Turn, _ chat.Screen, args []string) {
	o, ok := planned(t)
	if !ok || len(args) != 1 {
		return
	}
	mixed := o.HotAgain(t.Rows, args[0], t.Now.UTC())
	if len(mixed) > 0 {
		w := t.Mine()
		var m chat.Message
		m.Add(chat.Heading, w.Say("planning-mixed", "items", viewPlan(t, &o).lines.Names(mixed)))
		m.Add(chat.Plain, w.Say("planning-mixed-how"))
		m.Row(button(w, "btn-else", "m.go", "words"))
		t.Say(me(t), chat.Answer, "", m)
	}
	if len(mixed) == 1 && mixed[0] == args[0] { // nothing waits anew
		show(t, screenPlan)
		return
	}
	order(t, o)
	show(t, screenPlanning)
}

// planFix makes an offered change.
func planFix(t *turn.Turn, _ chat.Screen, args []string) {
	o, ok := planned(t)
	if !ok || len(args) != 2 || args[1] != strconv.FormatUint(o.Rev, 10) {
		t.Answer(t.Mine().Say("old-button"), false)
		return
	}
	if i, err := strconv.Atoi(args[0]); err == nil && i >= 0 && i < len(o.Plan.Changes) {
		o.Apply(o.Plan.Changes[i])
		order(t, o)
		show(t, screenPlanning)
	}
}

// drawPlanWhole shows every step.
func drawPlanWhole(v planView, s chat.Screen, m *chat.Message) {
	w, o := v.w, v.order
	v.standing(m)
	v.cautions(m, o.Plan.Tasks())
	var day []plan.Task
	flush := func() {
		if len(day) > 0 {
			v.part(m, v.w.Day(day[0].Begins.In(v.zone())), day)
		}
		day = nil
	}
	for _, task := range o.Plan.Tasks() {
		if !task.Attended && !task.Awake {
			continue
		}
		if len(day) > 0 && !sameDay(day[0].Begins.In(v.zone()), task.Begins) {
			flush()
		}
		day = append(day, task)
	}
	flush()
	m.Row(button(w, "btn-back", "m.plan", s.Step, "open"))
}

// sendPlan sends the plan as a picture or as a calendar's file. It is made when it is sent, of the plan as it then is.
func sendPlan(what string) func(*turn.Turn, chat.Screen, []string) {
	return func(t *turn.Turn, _ chat.Screen, _ []string) {
		o, ok := planned(t)
		if !ok {
			t.Answer(t.Mine().Say("old-button"), false)
			return
		}
		if what == PlanCalendar {
			o.SentBefore, o.Sent, o.Files = o.Sent, o.Plan, o.Files+1
			t.Tx.PutOrder(o)
		}
		w := t.Mine()
		m := chat.Say(w.Say("planning-file-" + what))
		m.File = PlanFile(what, t.Who.Household, w.Lang)
		t.Say(me(t), chat.Answer, "", m)
	}
}

// The files of a plan.
const (
	PlanPicture  = "picture"
	PlanCalendar = "calendar"
)

// PlanFile refers to a file of a household's plan: "plan|picture|7|en".
func PlanFile(what string, household uint64, lang string) string {
	return strings.Join([]string{"plan", what, strconv.FormatUint(household, 10), lang}, "|")
}

// waits reports whether hot use begins the wait of a row anew.
func waits(t *turn.Turn, row string) bool {
	return slices.ContainsFunc(t.Rows.List(), func(r plan.Row) bool { return r.ID == row && r.Waits })
}
