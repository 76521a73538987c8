package plan

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// The judge is a solver of another kind: it tries every time on a grid of half an hour for every step, forwards, with rules of
// its own about what may happen when. It knows neither lists nor parts nor positions. All lengths of its kitchens are half hours,
// as are its windows, so that some best plan lies on its grid: a step that cannot be moved later ends where a window, a wait or
// another step does.
const judgeRows = `
rows:
  - {row: burns, name: {en: burns, he: burns}, last-use: own, away: {order: 1, how: shut}, steps: [{name: scrub, does: work, minutes: 60}, {name: heat, does: heat, minutes: 60, idle: true, marks: [burn]}, {name: cool, does: heat, minutes: 30, joined: true}]}
  - {row: washes, name: {en: washes, he: washes}, last-use: own, away: {order: 1, how: shut}, steps: [{name: scrub, does: work, minutes: 30, hot: true, uses: {sink: 1}}, {name: boil, does: work, minutes: 30, idle: true, uses: {burners: 1}}]}
  - {row: shelf, name: {en: shelf, he: shelf}, last-use: own, away: {order: 1, how: shut}, steps: [{name: clean, does: work, minutes: 90}]}
  - {row: vat, name: {en: vat, he: vat}, last-use: meal, away: {order: 1, how: shut}, steps: [{name: scrub, does: work, minutes: 60, hot: true, uses: {sink: 1}}, {name: heat, does: heat, minutes: 30, idle: true, uses: {burners: 1}}, {name: pour, does: work, minutes: 30, joined: true, uses: {burners: 1}, marks: [pour]}]}
  - {row: top, name: {en: top, he: top}, last-use: meal, away: {order: 1, how: shut}, steps: [{name: scrub, does: work, minutes: 90}, {name: pour, does: work, minutes: 60, hands: 2, idle: true, marks: [pour]}, {name: dry, does: wait, minutes: 30, joined: true}]}
  - {row: drain, name: {en: drain, he: drain}, last-use: meal, drains: true, away: {order: 1, how: shut}, steps: [{name: scrub, does: work, minutes: 30, hot: true, uses: {sink: 1}}, {name: pour, does: work, minutes: 30, idle: true, uses: {sink: 1, burners: 1}, marks: [drain]}]}
  - {row: lids, name: {en: lids, he: lids}, last-use: none, away: {order: 1, how: shut}, steps: [{name: cover, does: work, minutes: 60, marks: [lids]}]}
round: {name: {en: round, he: round}, heat: 30, longest: 90, uses: {burners: 1, pots: 1}}
rules:
  - {first: pour, then: drain, why: order-sink-last}
  - {first: pour, then: lids, cooled: true, why: order-covers-after-counter}
  - {first: burn, then: lids, cooled: true, why: order-oven-before-covers}
steps:
  scrub: {en: scrub, he: scrub}
  heat: {en: heat, he: heat}
  cool: {en: cool, he: cool}
  boil: {en: boil, he: boil}
  clean: {en: clean, he: clean}
  pour: {en: pour, he: pour}
  dry: {en: dry, he: dry}
  cover: {en: cover, he: cover}
reasons:
  order-sink-last: {en: a, he: a}
  order-covers-after-counter: {en: b, he: b}
  order-oven-before-covers: {en: c, he: c}
instead:
  shut: {en: shut, he: shut}
`

// act is a step of the judge, in half hours: what it takes, by half hours.
type act struct {
	item, len  int
	work       []int // people, by half hour; 0 is nobody
	heats      []bool
	burner     []int
	sink       int
	tail       int // half hours that pass after it
	tailHeats  bool
	start      int
	kashers    bool
	hot, pours bool
	kind, name string
}

type judge struct {
	k       Kitchen
	now     time.Time
	n       int // half hours
	acts    []act
	best    struct{ meal, sum int }
	found   bool
	hasMeal bool
	drains  int
	steps   int
	people  []int
	burners []int
	sinks   []int
}

const half = 30 * time.Minute

// judgePatience bounds a case: a judge that takes longer is heard no more, and the test counts how many were.
const judgePatience = 60_000

func acts(i int, kind string) []act {
	a := func(name string, people, n int) act {
		x := act{item: i, kind: kind, name: name, len: n}
		for range n {
			x.work, x.heats, x.burner = append(x.work, people), append(x.heats, false), append(x.burner, 0)
		}
		return x
	}
	switch kind {
	case "burns":
		s, h := a("scrub", 1, 2), a("heat", 0, 2)
		h.heats, h.tail, h.tailHeats, h.kashers = []bool{true, true}, 1, true, true
		return []act{s, h}
	case "washes":
		s, b := a("scrub", 1, 1), a("boil", 1, 1)
		s.hot, s.sink, b.kashers, b.burner = true, 1, true, []int{1}
		return []act{s, b}
	case "shelf":
		return []act{a("clean", 1, 3)}
	case "vat":
		s, p := a("scrub", 1, 2), a("heat", 1, 2)
		s.hot, s.sink = true, 1
		p.work, p.heats, p.burner, p.kashers, p.pours = []int{0, 1}, []bool{true, false}, []int{1, 1}, true, true
		return []act{s, p}
	case "top":
		s, p := a("scrub", 1, 3), a("pour", 2, 2)
		p.tail, p.kashers, p.pours = 1, true, true
		return []act{s, p}
	case "drain":
		s, p := a("scrub", 1, 1), a("pour", 1, 1)
		s.hot, s.sink, p.sink, p.burner, p.kashers = true, 1, 1, []int{1}, true
		return []act{s, p}
	}
	return []act{a("cover", 1, 2)}
}

func own(kind string) bool  { return kind == "burns" || kind == "washes" || kind == "shelf" }
func meal(kind string) bool { return kind == "vat" || kind == "top" || kind == "drain" }

// clock is the minute of the day at a half hour, and the day.
func (j *judge) clock(h int) (minute int, day time.Weekday) {
	t := j.now.Add(time.Duration(h) * half).In(j.k.Place.Zone)
	return t.Hour()*60 + t.Minute(), t.Weekday()
}

func (j *judge) awake(h int) bool {
	m, _ := j.clock(h)
	return m >= j.k.Wake && m < j.k.Bedtime-20 // the last twenty minutes are the margin
}

// window is the window of work at a half hour, or -1; each day has at most one that holds it.
func (j *judge) window(h int) int {
	m, d := j.clock(h)
	return slices.IndexFunc(j.k.Work, func(w Window) bool { return slices.Contains(w.Days, d) && m >= w.From && m < w.To })
}

// may reports whether an act may begin at a half hour, whatever others do.
func (j *judge) may(a *act, h int) bool {
	if h < 0 || h+a.len+a.tail > j.n {
		return false
	}
	win := -1
	for i := range a.len {
		if a.work[i] > 0 {
			w := j.window(h + i)
			if w < 0 || win >= 0 && w != win {
				return false
			}
			win = w
		}
		if a.heats[i] && !j.awake(h+i) {
			return false
		}
	}
	for i := range a.tail {
		if a.tailHeats && !j.awake(h+a.len+i) {
			return false
		}
	}
	return true
}

// agree reports whether two acts may be at their times, by order and waits.
func (j *judge) agree(a, b *act) bool {
	const day = 48
	ends, cold := a.start+a.len, a.start+a.len+a.tail
	switch {
	case a.item == b.item && !a.kashers && b.kashers:
		if a.hot && b.start < ends+day {
			return false
		}
		return b.start >= cold
	case a.hot && a.sink > 0 && b.kind == "drain" && b.kashers:
		return b.start >= ends+day
	case a.pours && b.kind == "drain" && b.kashers:
		return b.start >= ends
	case (a.pours || a.kind == "burns" && a.kashers) && b.kind == "lids":
		return b.start >= cold
	}
	return true
}

// mealOf and sumOf count what the acts placed allow: the half hour of the last meal, and how long before the end the other last
// uses are in sum. A use that would end in the night ends at bedtime.
func (j *judge) mealOf(acts []act) int {
	last, any := j.n, false
	for i := range acts {
		if a := &acts[i]; meal(a.kind) {
			last, any = min(last, a.use()), true
		}
	}
	if !any && len(j.k.Meals) == 0 {
		return 0
	}
	return j.down(last, true)
}

func (a *act) use() int {
	if a.kashers {
		return a.start - 48
	}
	return a.start
}

// down is how long before the end a use is, in minutes, brought to where somebody is awake, or to a meal that was named;
// -1 is none.
func (j *judge) down(h int, isMeal bool) int {
	if isMeal && len(j.k.Meals) > 0 {
		for ; h >= 0; h-- {
			if slices.ContainsFunc(j.k.Meals, j.now.Add(time.Duration(h)*half).Equal) {
				return (j.n - h) * 30
			}
		}
		return -1
	}
	back := (j.n - h) * 30
	m, _ := j.clock(h)
	switch {
	case h == 0:
		return back
	case m > j.k.Bedtime:
		back += m - j.k.Bedtime
	case m <= j.k.Wake:
		back += m + 24*60 - j.k.Bedtime
	}
	return min(back, j.n*30)
}

func (j *judge) sumOf(acts []act) int {
	uses := map[int]int{}
	for i := range acts {
		if a := &acts[i]; own(a.kind) {
			if u, ok := uses[a.item]; !ok || a.use() < u {
				uses[a.item] = a.use()
			}
		}
	}
	sum := 0
	for _, u := range uses {
		sum += j.down(u, false)
	}
	return sum
}

// try places the acts from the i-th on at every time, and keeps the best whole. A part that is no better than the best whole
// is left: acts that are added only take last uses back.
func (j *judge) try(i int) {
	j.steps++
	m, s := j.mealOf(j.acts[:i]), j.sumOf(j.acts[:i])
	if j.hasMeal && m < 0 || j.found && (m > j.best.meal || m == j.best.meal && s >= j.best.sum) || j.steps > judgePatience {
		return
	}
	if i == len(j.acts) {
		j.found, j.best.meal, j.best.sum = true, m, s
		return
	}
	a := &j.acts[i]
	for h := j.n; h >= 0; h-- {
		if a.start = h; a.use() < 0 || !j.may(a, h) {
			continue
		}
		fine := true
		for o := range i {
			fine = fine && j.agree(a, &j.acts[o]) && j.agree(&j.acts[o], a)
		}
		if !fine {
			continue
		}
		for x := range a.len {
			j.people[h+x] += a.work[x]
			j.burners[h+x] += a.burner[x]
			j.sinks[h+x] += a.sink
			fine = fine && j.people[h+x] <= j.k.Hands && j.burners[h+x] <= j.k.Burners && j.sinks[h+x] <= max(j.drains, 1)
		}
		if fine && j.bounded(i) {
			j.try(i + 1)
		}
		for x := range a.len {
			j.people[h+x] -= a.work[x]
			j.burners[h+x] -= a.burner[x]
			j.sinks[h+x] -= a.sink
		}
	}
}

// bounded reports whether no window has more work than it may.
func (j *judge) bounded(i int) bool {
	type window struct{ day, win int }
	sum := map[window]int{}
	for o := range i + 1 {
		a := &j.acts[o]
		for x := range a.len {
			if a.work[x] == 0 {
				continue
			}
			t := j.now.Add(time.Duration(a.start+x) * half).In(j.k.Place.Zone)
			key := window{t.YearDay(), j.window(a.start + x)}
			sum[key] += a.work[x] * 30
			if most := j.k.Work[key.win].Most; most > 0 && sum[key] > most*j.k.Hands {
				return false
			}
		}
	}
	return true
}

// judgeKitchen is a small household whose times are all half hours, between a Saturday night and a Friday.
func judgeKitchen(t testing.TB, r *rand.Rand, kinds []string) (Kitchen, time.Time) {
	p := newYork(t)
	now := at(t, p, "2027-04-11 06:00").Add(time.Duration(r.IntN(8)) * half)
	k := Kitchen{Place: p, Wake: 7 * 60, Bedtime: 22*60 + 50, Hands: 1 + r.IntN(2), Burners: 1, Pots: 1, Slack: 0}
	k.Finish = at(t, p, "2027-04-14 22:00").Add(-time.Duration(r.IntN(40)) * half)
	from := 18*60 + 30*r.IntN(4)
	w := Window{Days: []time.Weekday{0, 1, 2, 3, 4}, From: from, To: from + 120 + 30*r.IntN(3)}
	if r.IntN(2) == 0 {
		w.Most = 60 + 30*r.IntN(3)
	}
	k.Work = []Window{w}
	if r.IntN(2) == 0 {
		k.Work = append(k.Work, Window{Days: []time.Weekday{0, 2, 3}, From: 9 * 60, To: 10*60 + 30*r.IntN(3)})
	}
	if r.IntN(2) == 0 {
		for h := range 200 {
			if r.IntN(9) == 0 {
				k.Meals = append(k.Meals, now.Add(time.Duration(h)*half))
			}
		}
	}
	for i := range 2 + r.IntN(3) {
		kind := kinds[r.IntN(len(kinds))]
		k.Items = append(k.Items, Item{ID: fmt.Sprintf("%s-%d", kind, i), Kind: kind})
	}
	return k, now
}

func (j *judge) run(t testing.TB) {
	j.n = int(j.k.Finish.Sub(j.now) / half)
	j.people, j.burners, j.sinks = make([]int, j.n+1), make([]int, j.n+1), make([]int, j.n+1)
	for i, it := range j.k.Items {
		j.acts = append(j.acts, acts(i, it.Kind)...)
		j.hasMeal = j.hasMeal || meal(it.Kind)
		if it.Kind == "drain" {
			j.drains++
		}
	}
	slices.SortStableFunc(j.acts, func(a, b act) int { // what comes last in life first: the judge is sooner done
		rank := func(x act) int {
			switch {
			case x.kind == "lids":
				return 0
			case x.kind == "drain" && x.kashers:
				return 1
			case x.kashers:
				return 2
			}
			return 3
		}
		return rank(a) - rank(b)
	})
	j.try(0)
}

func TestTheJudgeAgrees(t *testing.T) {
	t.Parallel()
	rows := rowsOf(t, judgeRows)
	fits, meals, sums, judged := 0, 0, 0, 0
	for seed := range uint64(100 / share) {
		r := rand.New(rand.NewPCG(seed, 21))
		k, now := judgeKitchen(t, r, rows.Kinds())
		j := &judge{k: k, now: now}
		j.run(t)
		if j.steps > judgePatience {
			continue
		}
		judged++
		s, err := solve(&k, rows, now, full)
		require.NoError(t, err)
		about := fmt.Sprintf("seed %d: %v, hands %d, now %v, finish %v, work %v, meals %v", seed, k.Items, k.Hands, now, k.Finish, k.Work, k.Meals)
		require.True(t, s.proven, about)
		require.Equal(t, j.found, s.fits(), about)
		if !j.found {
			continue
		}
		fits++
		if j.hasMeal {
			meals++
			require.Equal(t, j.best.meal, int(s.value.meal)*grid, about)
		}
		if s.value.sum > 0 {
			sums++
		}
		require.Equal(t, j.best.sum, int(s.value.sum)*grid, about)
	}
	t.Logf("%d of 100 judged, %d fit, %d with a meal, %d with other uses", judged, fits, meals, sums)
	require.Greater(t, judged, 75/share/2)
	require.Greater(t, fits, 40/share/2)
	require.Less(t, fits, judged-3, "too few kitchens that do not fit")
}
