package triage_test

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/triage"
)

// wood is a random small tree, kept as lines for grow and as the oracle's own picture of it.
type wood struct {
	steps, ends []string
	next        map[string]map[string]string // step → answer, position or purpose → step or =outcome; "unsure" where it leads somewhere
	mark        map[string]byte              // step → ?, ! or #
	of          map[string]string            // switch step → switch
	content     map[string]string            // outcome → its verdict and text
}

// plant makes a tree of up to 8 steps, in which every step and outcome is reached and every walk runs forward.
func plant(r *rand.Rand) wood {
	w := wood{next: map[string]map[string]string{}, mark: map[string]byte{}, of: map[string]string{}, content: map[string]string{}}
	n, outs := 2+r.IntN(7), 2+r.IntN(3)
	for i := range outs {
		verdict := "kasher"
		if r.IntN(5) == 0 {
			verdict = "ask"
		}
		w.content[fmt.Sprintf("=o%d", i)] = fmt.Sprintf("%s T%d", verdict, r.IntN(2)) // two texts: some outcomes are the same answer
	}
	somewhere := func(from int) string {
		if from+1 < n && r.IntN(10) < 7 {
			return fmt.Sprintf("s%d", from+1+r.IntN(min(3, n-from-1)))
		}
		return fmt.Sprintf("=o%d", r.IntN(outs))
	}
	for i := range n {
		id, next := fmt.Sprintf("s%d", i), map[string]string{}
		switch kind := r.IntN(10); {
		case kind < 7:
			w.mark[id] = '?'
			for a := range 2 + r.IntN(2) {
				next[fmt.Sprintf("a%d", a)] = somewhere(i)
			}
			if r.IntN(4) == 0 {
				next["unsure"] = somewhere(i)
			}
		case kind < 9:
			w.mark[id], w.of[id] = '!', fmt.Sprintf("sw%d", r.IntN(2))
			next["p0"], next["p1"] = somewhere(i), somewhere(i)
		default:
			w.mark[id] = '#'
			next["pesach"] = somewhere(i)
			if r.IntN(3) > 0 {
				next["meat-dairy"] = somewhere(i)
			}
		}
		w.next[id] = next
	}
	reached := map[string]bool{}
	var visit func(string)
	visit = func(id string) {
		if !reached[id] {
			reached[id] = true
			for _, to := range w.next[id] {
				visit(to)
			}
		}
	}
	visit("s0")
	for i := range n {
		id := fmt.Sprintf("s%d", i)
		if !reached[id] {
			delete(w.next, id)
			continue
		}
		line := id + string(w.mark[id])
		if w.of[id] != "" {
			line += " " + w.of[id]
		}
		for _, k := range slices.Sorted(maps.Keys(w.next[id])) {
			line += " " + k + ":" + w.next[id][k]
		}
		w.steps = append(w.steps, line)
	}
	for i := range outs {
		if id := fmt.Sprintf("=o%d", i); reached[id] {
			w.ends = append(w.ends, id[1:]+" "+w.content[id])
		}
	}
	return w
}

// What the oracle says of one completion beside the content of an end.
const (
	isOpen  = "open"
	isUnset = "unset"
	isGap   = "gap"
)

// straight follows one completion, in which every 'not sure' that has no target of its own has been replaced by an answer.
func (w wood) straight(purpose string, facts, policy map[string]string) string {
	at := "s0"
	for w.next[at] != nil {
		var key, miss string
		switch w.mark[at] {
		case '?':
			key, miss = facts[at], isOpen
		case '!':
			key, miss = policy[w.of[at]], isUnset
		default:
			key, miss = purpose, isGap
		}
		to, ok := w.next[at][key]
		if !ok {
			return miss
		}
		at = to
	}
	return w.content[at]
}

// over calls each way to fill the questions from the choices.
func over(questions []string, choices func(string) []string, facts map[string]string, each func(map[string]string)) {
	if len(questions) == 0 {
		each(facts)
		return
	}
	for _, c := range choices(questions[0]) {
		one := maps.Clone(facts)
		one[questions[0]] = c
		over(questions[1:], choices, one, each)
	}
}

func (w wood) answers(q string) []string {
	return slices.DeleteFunc(slices.Sorted(maps.Keys(w.next[q])), func(a string) bool { return a == "unsure" })
}

// completions is what every completion of the facts comes to.
func (w wood) completions(purpose string, facts, policy map[string]string) map[string]bool {
	var guess []string
	for q, f := range facts {
		if f == dialog.UnsureFact && w.next[q] != nil && w.next[q]["unsure"] == "" {
			guess = append(guess, q)
		}
	}
	all := map[string]bool{}
	over(guess, w.answers, facts, func(one map[string]string) { all[w.straight(purpose, one, policy)] = true })
	return all
}

func only(m map[string]bool) string {
	if len(m) == 1 {
		for k := range m {
			return k
		}
	}
	return ""
}

// A brute-force enumerator judges the walk on random small trees: an outcome is told exactly when every completion of the
// unknown facts comes to its content, and the rabbi is asked exactly when the enumerator sees why.
func TestWalkAgainstEveryCompletion(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	met := map[string]int{}
	for range 250 {
		w := plant(r)
		tree := grow(t, w.steps, w.ends)
		for range 25 {
			purpose, facts, policy := randomCase(r, w)
			got := triage.Walk(tree, purpose, facts, func(id string) (string, bool) { p, ok := policy[id]; return p, ok })
			story := fmt.Sprintf("%s\n%s\npurpose %s facts %v policy %v\n%s", strings.Join(w.steps, "\n"), strings.Join(w.ends, "\n"),
				purpose, facts, policy, shown(got))
			met[judge(t, w, purpose, facts, policy, got, story)]++
		}
	}
	for _, want := range []string{"question", "outcome", "always-asked", "unset", "unsure", "third-unsure", "no-branch", "outcome after not sure",
		"settled by another than the first"} {
		require.Positive(t, met[want], "the random trees never came to %q: %v", want, met)
	}
}

func randomCase(r *rand.Rand, w wood) (purpose string, facts, policy map[string]string) {
	purpose = []string{"pesach", "meat-dairy"}[r.IntN(2)]
	facts, policy = map[string]string{}, map[string]string{}
	for _, q := range slices.Sorted(maps.Keys(w.next)) { // in order, so that a seed means one case
		if w.mark[q] != '?' {
			continue
		}
		switch r.IntN(8) {
		case 0:
		case 1, 2, 3:
			facts[q] = dialog.UnsureFact
		case 4:
			facts[q] = "stale"
		default:
			a := w.answers(q)
			facts[q] = a[r.IntN(len(a))]
		}
	}
	for _, sw := range []string{"sw0", "sw1"} {
		if r.IntN(6) > 0 {
			policy[sw] = fmt.Sprintf("p%d", r.IntN(2))
		}
	}
	return purpose, facts, policy
}

func judge(t *testing.T, w wood, purpose string, facts, policy map[string]string, got triage.Result, story string) string {
	t.Helper()
	all := w.completions(purpose, facts, policy)
	unsure := 0
	for _, s := range got.Path {
		require.Equal(t, facts[s.Question], s.Answer, story)
		if s.Answer == dialog.UnsureFact {
			unsure++
		}
	}
	contentOf := func(o *dialog.Outcome) string { return w.content["="+o.ID] }
	switch {
	case got.Outcome != nil:
		require.Equal(t, contentOf(got.Outcome), only(all), story)
		require.NotEqual(t, "ask", got.Outcome.Whether.S, story)
		for i, s := range got.Path {
			require.NotContains(t, got.Path[:i], s, "no fact is used twice: %s", story)
		}
		if unsure > 0 {
			return "outcome after not sure"
		}
		return "outcome"
	case got.Question != nil:
		require.True(t, all[isOpen], story)
		require.False(t, all[isGap] || all[isUnset], story)
		require.Less(t, unsure, 3, story)
		require.GreaterOrEqual(t, got.Left, 1, story)
		return "question"
	}
	switch got.Refer.Reason {
	case triage.NoBranch:
		require.True(t, all[isGap], story)
	case triage.SwitchUnset:
		require.True(t, all[isUnset] && !all[isGap], story)
		require.NotContains(t, policy, got.Refer.Switch, story)
	case triage.OutcomeAsks:
		require.Equal(t, contentOf(got.Refer.Asks), only(all), story)
		require.Equal(t, "ask", got.Refer.Asks.Whether.S, story)
	case triage.ThirdNotSure:
		require.GreaterOrEqual(t, unsure, 3, story)
		require.True(t, len(all) > 1 || all[isOpen], story)
		return settled(t, w, purpose, facts, policy, got, story)
	case triage.NotSure:
		require.Positive(t, unsure, story)
		require.False(t, all[isGap] || all[isUnset], story)
		// No answers to what is open would bring the positions together.
		var open []string
		for q := range w.next {
			if w.mark[q] == '?' && w.next[q][facts[q]] == "" && facts[q] != dialog.UnsureFact {
				open = append(open, q)
			}
		}
		over(open, w.answers, facts, func(one map[string]string) {
			end := only(w.completions(purpose, one, policy))
			require.Contains(t, []string{"", isGap, isUnset}, end, story)
		})
		return settled(t, w, purpose, facts, policy, got, story)
	default:
		t.Fatalf("reason %q is no walk's: %s", got.Refer.Reason, story)
	}
	return string(got.Refer.Reason)
}

// settled checks the fact in doubt: the first unknown one that settles the matter whatever it is, else the first unknown one.
func settled(t *testing.T, w wood, purpose string, facts, policy map[string]string, got triage.Result, story string) string {
	t.Helper()
	want, first, label := "", "", string(got.Refer.Reason)
	for _, s := range got.Path {
		if s.Answer != dialog.UnsureFact {
			continue
		}
		if first == "" {
			first = s.Question
		}
		settles := true
		for _, a := range w.answers(s.Question) {
			trial := maps.Clone(facts)
			trial[s.Question] = a
			if end := only(w.completions(purpose, trial, policy)); end == "" || end == isOpen || end == isUnset || end == isGap {
				settles = false
			}
		}
		if settles && want == "" {
			want = s.Question
		}
	}
	if want == "" {
		want = first
	} else if want != first {
		label = "settled by another than the first"
	}
	require.Equal(t, want, got.Refer.Question, story)
	return label
}

// The number of questions left is a bound that every answer brings nearer, and facts beside the way change nothing.
func TestQuestionsLeft(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	var w wood
	var tree *dialog.Tree
	several := 0
	for n := range 1200 {
		if n%8 == 0 {
			w = plant(r)
			tree = grow(t, w.steps, w.ends)
		}
		purpose, facts, policy := randomCase(r, w)
		lookup := func(id string) (string, bool) { p, ok := policy[id]; return p, ok }
		got := triage.Walk(tree, purpose, facts, lookup)
		for got.Question != nil {
			used := triage.Facts{}
			for _, s := range got.Path {
				used[s.Question] = s.Answer
			}
			require.Equal(t, shown(got), shown(triage.Walk(tree, purpose, used, lookup)))

			answers := got.Question.Answers
			facts[got.Question.Ask.S] = answers[r.IntN(len(answers))].ID.S
			next := triage.Walk(tree, purpose, facts, lookup)
			if next.Question != nil {
				require.Less(t, next.Left, got.Left, "%s\n%v", strings.Join(w.steps, "\n"), facts)
				several++
			}
			got = next
		}
	}
	require.Greater(t, several, 50)
}
