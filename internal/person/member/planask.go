package member

import (
	"slices"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/kitchen"
	"benyomo/internal/idea/plan"
	"benyomo/internal/idea/wording"
)

// A plan is asked for on pages that hurried people go through by 'Next': each shows what most households say.

// planPage draws a page and takes in what is pressed on it.
type planPage struct {
	name string
	// needed reports whether the page is asked at all; nil is always.
	needed func(*turn.Turn, *plan.Order) bool
	draw   func(*turn.Turn, wording.Words, *plan.Order, *chat.Message, func(label string, args ...any) chat.Button)
	press  func(*turn.Turn, *plan.Order, []string) bool // reports whether anything was changed
}

var planPages = []planPage{
	{name: "things", draw: drawThings, press: pressThing},
	{name: "more", needed: moreThings, draw: drawMoreThings, press: pressThing},
	{name: "counts", needed: anyCounted, draw: drawCounts, press: pressCount},
	{name: "sabbath", needed: anySabbath, draw: drawSabbath, press: pressSabbath},
	{name: "finish", draw: drawFinish, press: pressFinish},
	{name: "meals", draw: drawMeals, press: pressMeal},
	{name: "times", draw: drawTimes, press: pressTime},
	{name: "people", draw: drawPeople, press: pressPeople},
}

// planBegin starts the asking: with what the kitchen's list already holds.
func planBegin(t *turn.Turn, _ chat.Screen, _ []string) {
	o, ok := t.Tx.Order(t.Who.Household)
	if !ok || o.Plan != nil {
		o = o.Next(t.Who.Household)
		listed := map[string]int{}
		for it := range t.Tx.Items(t.Who.Household) {
			if row := rowOf(t, it); row != "" {
				listed[row]++
			}
		}
		for _, r := range t.Rows.List() {
			if n := listed[r.ID]; n > 0 && !picked(&o, r) {
				pickRow(&o, r, n)
			}
		}
		t.Tx.PutOrder(o)
	}
	show(t, screenPlanAsk, planPages[0].name)
}

// rowOf is the row that plans an item of the kitchen; "" where none does.
func rowOf(t *turn.Turn, it kitchen.Item) string {
	if it.State == kitchen.Dropped || it.State == kitchen.Away || it.State == kitchen.Done {
		return ""
	}
	return t.Rows.For(it.Kind, methodOf(t, it))
}

// drawPlanAsk draws a page.
func drawPlanAsk(t *turn.Turn, s chat.Screen) chat.Message {
	w := t.Mine()
	o, ok := t.Tx.Order(t.Who.Household)
	i := pageIndex(s.Arg(0))
	if !ok || i < 0 {
		return drawPlanFirst(t, s)
	}
	var m chat.Message
	m.Add(chat.Aside, w.Say("planning-page", "n", pageNumber(t, &o, i), "of", pageNumber(t, &o, len(planPages)-1)))
	m.Add(chat.Heading, w.Say("planning-ask-"+planPages[i].name))
	planPages[i].draw(t, w, &o, &m, func(label string, args ...any) chat.Button {
		return chat.Button{Label: label, Data: chat.Data("m.plan", append([]any{s.Step, "press"}, args...)...)}
	})
	on := button(w, "btn-plan-next", "m.plan", s.Step, "page", i, "next")
	last := nextPage(t, &o, i) < 0
	if last {
		on = button(w, "btn-plan-make", "m.plan", s.Step, "make")
	}
	m.Row(button(w, "btn-back", "m.plan", s.Step, "page", i, "back"), on)
	if o.Plan != nil && !last {
		m.Row(button(w, "btn-plan-make", "m.plan", s.Step, "make"))
	}
	return m
}

func pageIndex(name string) int {
	return slices.IndexFunc(planPages, func(p planPage) bool { return p.name == name })
}

func pageNeeded(t *turn.Turn, o *plan.Order, i int) bool {
	return planPages[i].needed == nil || planPages[i].needed(t, o)
}

// pageNumber counts the pages up to one that are asked.
func pageNumber(t *turn.Turn, o *plan.Order, i int) (n int) {
	for j := range i + 1 {
		if pageNeeded(t, o, j) {
			n++
		}
	}
	return n
}

// nextPage is the page after one, or -1.
func nextPage(t *turn.Turn, o *plan.Order, i int) int {
	for i++; i < len(planPages); i++ {
		if pageNeeded(t, o, i) {
			return i
		}
	}
	return -1
}

func pageBefore(t *turn.Turn, o *plan.Order, i int) int {
	for i--; i >= 0; i-- {
		if pageNeeded(t, o, i) {
			return i
		}
	}
	return -1
}

// planTurn goes a page on or back.
func planTurn(t *turn.Turn, s chat.Screen, args []string) {
	o, ok := t.Tx.Order(t.Who.Household)
	i := pageIndex(s.Arg(0))
	if !ok || i < 0 || len(args) != 2 {
		return
	}
	to := pageBefore(t, &o, i)
	if args[1] == "next" {
		if to = nextPage(t, &o, i); to < 0 {
			makePlan(t, s, nil)
			return
		}
	}
	switch {
	case len(o.Picks) == 0 && args[1] == "next" && i > 0:
		t.Answer(t.Mine().Say("planning-nothing-picked"), true)
	case to < 0:
		openPlan(t)
	default:
		show(t, screenPlanAsk, planPages[to].name)
	}
}

// planPress takes in what was pressed on a page, and draws it again.
func planPress(t *turn.Turn, s chat.Screen, args []string) {
	o, ok := t.Tx.Order(t.Who.Household)
	i := pageIndex(s.Arg(0))
	if !ok || i < 0 || len(args) == 0 {
		return
	}
	if planPages[i].press(t, &o, args) {
		o.Rev++
		t.Tx.PutOrder(o)
	}
	show(t, screenPlanAsk, s.Args...)
}
