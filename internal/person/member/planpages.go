package member

import (
	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/luach"
	"benyomo/internal/idea/plan"
	"benyomo/internal/idea/wording"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
)

// chosen marks what is chosen.
func chosen(label string, is bool) string {
	if is {
		return "✓ " + label
	}
	return label
}

// inRows lays buttons out, n in a row.
func inRows(m *chat.Message, n int, all []chat.Button) {
	for row := range slices.Chunk(all, n) {
		m.Row(row...)
	}
}

// sides are the sides by which a row is picked: what is boiled has two, for its water is changed between them.
func sides(r plan.Row) []string {
	if r.Boiled {
		return []string{plan.Dairy, plan.Meat}
	}
	return []string{""}
}

func picked(o *plan.Order, r plan.Row) bool {
	return slices.ContainsFunc(sides(r), func(side string) bool { return o.Picked(r.ID, side) != nil })
}

// pickRow picks a row with what most households have of it.
func pickRow(o *plan.Order, r plan.Row, count int) {
	for _, side := range sides(r) {
		o.Pick(r.ID, side, count)
		o.Picked(r.ID, side).Sabbath = r.Sabbath
	}
}

// usual is how many of the rows the first page offers: what most kitchens have stands first. The others are on the next page.
const usual = 20

func drawThings(t *turn.Turn, w wording.Words, o *plan.Order, m *chat.Message, press func(string, ...any) chat.Button) {
	m.Add(chat.Plain, w.Say("planning-ask-things-how"))
	things(w, t.Rows.List()[:min(usual, len(t.Rows.List()))], o, m, press)
}

func drawMoreThings(t *turn.Turn, w wording.Words, o *plan.Order, m *chat.Message, press func(string, ...any) chat.Button) {
	things(w, t.Rows.List()[usual:], o, m, press)
}

func moreThings(t *turn.Turn, _ *plan.Order) bool { return len(t.Rows.List()) > usual }

func things(w wording.Words, rows []plan.Row, o *plan.Order, m *chat.Message, press func(string, ...any) chat.Button) {
	var all []chat.Button
	for _, r := range rows {
		all = append(all, press(chosen(r.Name.In(w.Lang), picked(o, r)), r.ID))
	}
	inRows(m, 2, all)
}

func pressThing(t *turn.Turn, o *plan.Order, args []string) bool {
	list := t.Rows.List()
	i := slices.IndexFunc(list, func(r plan.Row) bool { return r.ID == args[0] })
	if i < 0 {
		return false
	}
	if !picked(o, list[i]) {
		pickRow(o, list[i], 1)
		return true
	}
	for _, side := range sides(list[i]) {
		o.Pick(list[i].ID, side, 0)
	}
	return true
}

// counted lists the picks of which there can be several.
func counted(t *turn.Turn, o *plan.Order) (out []plan.Row) {
	for _, r := range t.Rows.List() {
		if picked(o, r) && (r.Counted || r.Boiled) {
			out = append(out, r)
		}
	}
	return out
}

func anyCounted(t *turn.Turn, o *plan.Order) bool { return len(counted(t, o)) > 0 }

// most is how many of a thing a household can say by buttons.
const most = 40

func drawCounts(t *turn.Turn, w wording.Words, o *plan.Order, m *chat.Message, press func(string, ...any) chat.Button) {
	for _, r := range counted(t, o) {
		for _, side := range sides(r) {
			n := 0
			if p := o.Picked(r.ID, side); p != nil {
				n = p.Count
			}
			label := fmt.Sprintf("%s: %d", pickName(w, r, side), n)
			m.Row(press("−", r.ID, side, "less"), press(label, r.ID, side, "more"), press("+", r.ID, side, "more"))
		}
	}
}

// pickName names a pick: 'Pot', 'Pot, meat'.
func pickName(w wording.Words, r plan.Row, side string) string {
	if side == "" {
		return r.Name.In(w.Lang)
	}
	return w.Say("plan-sided", "name", r.Name.In(w.Lang), "side", w.Say("plan-side-"+side))
}

func pressCount(t *turn.Turn, o *plan.Order, args []string) bool {
	if len(args) != 3 || !slices.ContainsFunc(counted(t, o), func(r plan.Row) bool { return r.ID == args[0] && slices.Contains(sides(r), args[1]) }) {
		return false
	}
	n := 0
	if p := o.Picked(args[0], args[1]); p != nil {
		n = p.Count
	}
	if args[2] == "more" {
		n++
	} else {
		n--
	}
	if n < 0 || n > most {
		return false
	}
	o.Pick(args[0], args[1], n)
	return true
}

// anySabbath reports whether something is picked that may be in hot use on Sabbath, with a rest span before it is to be ready.
func anySabbath(t *turn.Turn, o *plan.Order) bool {
	span := luach.NextRest(place(t), t.Now)
	return len(sabbathPicks(t, o)) > 0 && span.Ends.Before(finishOf(t, o))
}

func sabbathPicks(t *turn.Turn, o *plan.Order) (out []*plan.Pick) {
	for _, r := range t.Rows.List() {
		if p := o.Picked(r.ID, ""); p != nil && r.Sabbath {
			out = append(out, p)
		}
	}
	return out
}

// finishOf is when cooking for Pesach begins, or else the deadline of the eve.
func finishOf(t *turn.Turn, o *plan.Order) time.Time {
	if !o.Finish.IsZero() {
		return o.Finish
	}
	return luach.PesachAfter(place(t), t.Now).Begins
}

func drawSabbath(t *turn.Turn, w wording.Words, o *plan.Order, m *chat.Message, press func(string, ...any) chat.Button) {
	var all []chat.Button
	for _, p := range sabbathPicks(t, o) {
		all = append(all, press(chosen(t.Rows.Name(p.Row).In(w.Lang), p.Sabbath), p.Row))
	}
	inRows(m, 2, all)
}

func pressSabbath(t *turn.Turn, o *plan.Order, args []string) bool {
	for _, p := range sabbathPicks(t, o) {
		if p.Row == args[0] {
			p.Sabbath = !p.Sabbath
			return true
		}
	}
	return false
}

// finishes are the times at which cooking for Pesach may begin, that can be chosen: in the last four days.
func finishes(t *turn.Turn) (out []time.Time) {
	begins := luach.PesachAfter(place(t), t.Now).Begins
	y, mo, d := begins.In(place(t).Zone).Date()
	for back := 4; back >= 0; back-- {
		for _, hour := range []int{8, 18} {
			at := time.Date(y, mo, d-back, hour, 0, 0, 0, place(t).Zone)
			if _, rest := luach.RestAt(place(t), at); !rest && at.Before(begins) && at.After(t.Now) {
				out = append(out, at)
			}
		}
	}
	if n := len(out); n > 0 { // the last one is in the hours of the eve that are already too late
		out = out[:n-1]
	}
	return out
}

func drawFinish(t *turn.Turn, w wording.Words, o *plan.Order, m *chat.Message, press func(string, ...any) chat.Button) {
	m.Add(chat.Plain, w.Say("planning-ask-finish-how"))
	var all []chat.Button
	for _, at := range finishes(t) {
		all = append(all, press(chosen(w.Moment(at), o.Finish.Equal(at)), at.Unix()))
	}
	inRows(m, 2, all)
	m.Row(press(chosen(w.Say("planning-finish-deadline"), o.Finish.IsZero()), 0))
}

func pressFinish(t *turn.Turn, o *plan.Order, args []string) bool {
	unix, err := strconv.ParseInt(args[0], 10, 64)
	if err != nil {
		return false
	}
	if unix == 0 {
		o.Finish = time.Time{}
		return true
	}
	at := time.Unix(unix, 0).UTC()
	if !slices.ContainsFunc(finishes(t), at.Equal) {
		return false
	}
	o.Finish = at
	return true
}

func drawMeals(_ *turn.Turn, w wording.Words, o *plan.Order, m *chat.Message, press func(string, ...any) chat.Button) {
	m.Add(chat.Plain, w.Say("planning-ask-meals-how"))
	var all []chat.Button
	for _, meal := range plan.MealTimes {
		all = append(all, press(chosen(w.Say("planning-eat-"+meal.Name), slices.Contains(o.Meals, meal.Name)), meal.Name))
	}
	m.Row(all...)
}

func pressMeal(_ *turn.Turn, o *plan.Order, args []string) bool {
	if !slices.ContainsFunc(plan.MealTimes, func(m plan.MealTime) bool { return m.Name == args[0] }) {
		return false
	}
	o.Meals = plan.Toggle(o.Meals, args[0])
	return true
}

func drawTimes(_ *turn.Turn, w wording.Words, o *plan.Order, m *chat.Message, press func(string, ...any) chat.Button) {
	m.Add(chat.Plain, w.Say("planning-ask-times-how"))
	for _, part := range plan.WorkTimes {
		m.Row(press(w.Say("planning-part-"+part.Name, "from", clockOf(part.From), "to", clockOf(part.To)), part.Name))
		var row []chat.Button
		for d := time.Sunday; d <= time.Friday; d++ {
			key := plan.WorkKey(d, part.Name)
			row = append(row, press(chosen(w.Say("weekday-"+strconv.Itoa(int(d))), slices.Contains(o.Times, key)), key))
		}
		m.Row(row[:3]...)
		m.Row(row[3:]...)
	}
}

// clockOf writes a minute of the day.
func clockOf(minute int) string { return fmt.Sprintf("%d:%02d", minute/60, minute%60) }

// pressTime toggles one part of one day, or a part on all days.
func pressTime(_ *turn.Turn, o *plan.Order, args []string) bool {
	day, part, one := strings.Cut(args[0], "-")
	if !one {
		part = args[0]
	}
	if !slices.ContainsFunc(plan.WorkTimes, func(x plan.WorkTime) bool { return x.Name == part }) {
		return false
	}
	if one {
		if len(day) != 1 || day < "0" || day > "5" {
			return false
		}
		o.Times = plan.Toggle(o.Times, args[0])
		return true
	}
	all := true
	for d := time.Sunday; d <= time.Friday; d++ {
		all = all && slices.Contains(o.Times, plan.WorkKey(d, part))
	}
	for d := time.Sunday; d <= time.Friday; d++ {
		if key := plan.WorkKey(d, part); slices.Contains(o.Times, key) == all {
			o.Times = plan.Toggle(o.Times, key)
		}
	}
	return true
}

// planNumbers are what is asked for as a number, with the greatest that can be chosen.
var planNumbers = []struct {
	name string
	most int
	of   func(*plan.Order) *int
}{
	{"people", 4, func(o *plan.Order) *int { return &o.People }},
	{"burners", 6, func(o *plan.Order) *int { return &o.Burners }},
	{"pots", 4, func(o *plan.Order) *int { return &o.Pots }},
}

func drawPeople(_ *turn.Turn, w wording.Words, o *plan.Order, m *chat.Message, press func(string, ...any) chat.Button) {
	m.Add(chat.Plain, w.Say("planning-ask-people-how"))
	for _, number := range planNumbers {
		m.Row(press(w.Say("planning-number-"+number.name, "n", *number.of(o)), number.name, *number.of(o)))
		var row []chat.Button
		for n := 1; n <= number.most; n++ {
			row = append(row, press(chosen(strconv.Itoa(n), *number.of(o) == n), number.name, n))
		}
		m.Row(row...)
	}
}

func pressPeople(_ *turn.Turn, o *plan.Order, args []string) bool {
	if len(args) != 2 {
		return false
	}
	n, err := strconv.Atoi(args[1])
	for _, number := range planNumbers {
		if number.name == args[0] && err == nil && n >= 1 && n <= number.most {
			*number.of(o) = n
			return true
		}
	}
	return false
}
