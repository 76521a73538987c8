package proof_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/proof"
)

// The judge of the proof is a walker that knows nothing of graphs: it tries all facts under all positions of small random
// trees, one by one, and says what it saw.

const seed = 20270421 // printed with every failure; change it to look elsewhere

// randomPack writes a pack with one random tree: questions, switches and purposes, leading only forward.
func randomPack(r *rand.Rand) fstest.MapFS {
	steps := 2 + r.IntN(5)
	ends := 2 + r.IntN(3)
	target := func(from int) string {
		if from+1 < steps && r.IntN(3) > 0 {
			return fmt.Sprintf("to: s%d", from+1+r.IntN(steps-from-1))
		}
		return fmt.Sprintf("end: e%d", r.IntN(ends))
	}
	var b strings.Builder
	b.WriteString("kind: thing\nname: {en: Thing}\ngroup: all\nstart: {to: s0}\nsteps:\n")
	for i := range steps {
		switch r.IntN(5) {
		case 0:
			fmt.Fprintf(&b, "  - id: s%d\n    switch: p%d\n    positions: {x: {%s}, y: {%s}}\n", i, r.IntN(2), target(i), target(i))
		case 1:
			fmt.Fprintf(&b, "  - id: s%d\n    purpose: {pesach: {%s}, from-nonkosher: {%s}", i, target(i), target(i))
			if r.IntN(4) > 0 {
				fmt.Fprintf(&b, ", meat-dairy: {%s}", target(i))
			}
			b.WriteString("}\n")
		default:
			fmt.Fprintf(&b, "  - ask: s%d\n    text: {en: T}\n    why: {en: W}\n    answers:\n", i)
			for a := range 2 + r.IntN(2) {
				fmt.Fprintf(&b, "      - {id: a%d, label: {en: A}, %s}\n", a, target(i))
			}
			if r.IntN(4) == 0 {
				fmt.Fprintf(&b, "    unsure: {%s}\n", target(i))
			}
		}
	}
	b.WriteString("outcomes:\n")
	kinds := []string{"whether: wash, method: wash", "whether: kasher, method: hagalah, cautions: [c]", "whether: not-needed, method: cover", "whether: ask, method: rabbi",
		"whether: kasher, method: iruy, cautions: [c]"}
	for i := range ends {
		fmt.Fprintf(&b, "  - {id: e%d, %s, headline: {en: H%d}, sources: [n]}\n", i, kinds[r.IntN(len(kinds))], i)
	}
	file := func(s string) *fstest.MapFile { return &fstest.MapFile{Data: []byte(s)} }
	return fstest.MapFS{
		"languages.yaml": file("languages:\n  - {code: en, name: English, direction: ltr}\n"),
		"groups.yaml":    file("groups:\n  - {id: all, name: {en: All}}\n"),
		"policy.yaml": file("switches:\n  - {id: p0, about: {en: P}, positions: [{id: x, label: {en: X}, sources: [n]}, {id: y, label: {en: Y}, sources: [n]}]}\n" +
			"  - {id: p1, about: {en: P}, positions: [{id: x, label: {en: X}, sources: [n]}, {id: y, label: {en: Y}, sources: [n]}]}\n"),
		"sources.yaml": file("sources:\n  - {id: n, title: {en: N}, checked: none}\n"),
		"methods.yaml": file("methods:\n  - {id: wash, name: {en: W}, gloss: {en: W}}\n  - {id: hagalah, hot: true, name: {en: H}, gloss: {en: H}}\n" +
			"  - {id: iruy, hot: true, name: {en: I}, gloss: {en: I}}\n  - {id: cover, name: {en: C}, gloss: {en: C}}\n  - {id: rabbi, name: {en: R}, gloss: {en: R}}\n"),
		"cautions.yaml":     file("cautions:\n  - {id: c, text: {en: C}}\n"),
		"sentences/en.yaml": file("a: A\n"),
		"kinds/thing.yaml":  file(b.String()),
	}
}

// seen is what the judge saw.
type seen struct {
	steps    map[string]bool // reached
	branches map[string]bool // purposes taken
	gaps     map[string]bool // steps with no way on for a purpose that comes to them
	walks    map[string]int  // purpose → different walks
	longest  int
	asked    map[string]bool
	matters  map[string]bool
	ends     map[string]bool // outcomes reached
	clashes  map[string]bool // questions whose lasting 'not sure' asks for less than an answer would
}

type world struct {
	tree    *dialog.Tree
	purpose string
	facts   map[string]string
	at      map[string]string
}

// walk follows one world from a target. It returns the end, or nil at a gap, and the way.
func (w world) walk(tg dialog.Target, s *seen) (*dialog.Outcome, []string) {
	var way []string
	for tg.End.S == "" {
		st := w.tree.Step(tg.To.S)
		if s != nil {
			s.steps[st.Name()] = true
		}
		switch {
		case st.Purpose != nil:
			next, ok := st.Purpose[w.purpose]
			if !ok {
				if s != nil {
					s.gaps[st.Name()] = true
				}
				return nil, way
			}
			if s != nil {
				s.branches[st.Name()+"|"+w.purpose] = true
			}
			tg = next
		case st.Switch.S != "":
			way = append(way, st.Switch.S+"="+w.at[st.Switch.S])
			tg = st.Positions[w.at[st.Switch.S]]
		default:
			way = append(way, st.Name()+"="+w.facts[st.Name()])
			if w.facts[st.Name()] == dialog.UnsureFact {
				tg = st.Unsure.Target
			} else {
				tg = st.Answer(w.facts[st.Name()]).Target
			}
		}
	}
	if s != nil {
		s.ends[tg.End.S] = true
	}
	return w.tree.Outcome(tg.End.S), way
}

// judge tries everything.
func judge(t *dialog.Tree) seen {
	s := seen{steps: map[string]bool{}, branches: map[string]bool{}, gaps: map[string]bool{}, walks: map[string]int{},
		asked: map[string]bool{}, matters: map[string]bool{}, ends: map[string]bool{}, clashes: map[string]bool{}}
	var questions []*dialog.Step
	for _, st := range t.Steps {
		if st.IsQuestion() {
			questions = append(questions, st)
		}
	}
	for _, purpose := range dialog.Purposes() {
		ways := map[string]bool{}
		w := world{t, purpose, map[string]string{}, map[string]string{}}
		var facts func(i int)
		facts = func(i int) {
			if i < len(questions) {
				for _, a := range questions[i].Answers {
					w.facts[questions[i].Name()] = a.ID.S
					facts(i + 1)
				}
				if u := questions[i].Unsure; u != nil && !u.Zero() {
					w.facts[questions[i].Name()] = dialog.UnsureFact
					facts(i + 1)
				}
				return
			}
			for _, x := range []string{"x", "y"} {
				for _, y := range []string{"x", "y"} {
					w.at["p0"], w.at["p1"] = x, y
					s.world(w, ways)
				}
			}
		}
		facts(0)
		s.walks[purpose] = len(ways)
	}
	return s
}

// world looks at one world: its walk, what another answer would change, and what a 'not sure' would ask.
func (s *seen) world(w world, ways map[string]bool) {
	end, way := w.walk(w.tree.Start, s)
	sure := allSure(way)
	if end != nil && sure { // the counts are of walks by answers
		ways[strings.Join(slices.Compact(way), ",")] = true // a switch met twice stands once
	}
	asked := 0
	for _, step := range way {
		q, _, _ := strings.Cut(step, "=")
		st := w.tree.Step(q)
		if st == nil || !st.IsQuestion() {
			continue
		}
		asked++
		s.asked[q] = true
		if st.Unsure != nil && !st.Unsure.Zero() {
			w.walk(st.Unsure.Target, s)
		}
		was := w.facts[q]
		for _, a := range st.Answers {
			w.facts[q] = a.ID.S
			other, otherWay := w.walk(w.tree.Start, nil)
			if was != dialog.UnsureFact && end != nil && other != nil && other.Content() != end.Content() {
				s.matters[q] = true
			}
			if st.Unsure != nil && !st.Unsure.Zero() && other != nil {
				// Of several unknown facts each is held against its own answers; that they hold together follows.
				told, toldWay := w.walk(st.Unsure.Target, nil)
				if told != nil && allSure(after(otherWay, q)) && allSure(toldWay) && !proof.Satisfies(told, other) {
					s.clashes[q] = true
				}
			}
		}
		w.facts[q] = was
	}
	if sure {
		s.longest = max(s.longest, asked)
	}
}

func TestProofAgreesWithTheJudge(t *testing.T) {
	r := rand.New(rand.NewPCG(seed, 0))
	judged, found := 0, map[string]int{}
	for judged < 1000 {
		fsys := randomPack(r)
		p, err := dialog.Load(fsys)
		if err != nil {
			continue // the loader found it wrong already, such as a step that nothing leads to
		}
		judged++
		tree := p.Trees[0]
		saw := judge(tree)
		got := proof.Tree(tree, p)
		where := fmt.Sprintf("seed %d, tree %d:\n%s", seed, judged, fsys["kinds/thing.yaml"].Data)
		for _, st := range tree.Steps {
			name := st.Name()
			hasGap := len(saw.gaps) > 0
			expect := map[string]bool{
				fmt.Sprintf("no walk reaches step %q", name):                             !saw.steps[name],
				fmt.Sprintf("step %q has no way on", name):                               saw.gaps[name],
				fmt.Sprintf("question %q changes nothing", name):                         st.IsQuestion() && saw.asked[name] && !saw.matters[name] && !hasGap,
				fmt.Sprintf("'not sure' at %q", name):                                    saw.clashes[name] && !hasGap,
				fmt.Sprintf("purpose %q never comes to step %q", dialog.Pesach, name):    saw.steps[name] && has(st, dialog.Pesach) && !saw.branches[name+"|"+dialog.Pesach],
				fmt.Sprintf("purpose %q never comes to step %q", dialog.MeatDairy, name): saw.steps[name] && has(st, dialog.MeatDairy) && !saw.branches[name+"|"+dialog.MeatDairy],
			}
			for what, want := range expect {
				if hasGap && (strings.HasPrefix(what, "question") || strings.HasPrefix(what, "'not sure'")) {
					continue // a tree with a gap is wrong already: its other properties are not proved
				}
				require.Equal(t, want, says(got.Mistakes, what), "%s\n%s\nmistakes: %v", what, where, got.Mistakes)
				if want {
					found[strings.Fields(what)[0]]++
				}
			}
		}
		for _, o := range tree.Outcomes.List {
			what := fmt.Sprintf("no walk ends with outcome %q", o.ID)
			require.Equal(t, !saw.ends[o.ID], says(got.Mistakes, what), "%s\n%s\nmistakes: %v", what, where, got.Mistakes)
			if !saw.ends[o.ID] {
				found["outcome"]++
			}
		}
		if len(saw.gaps) == 0 {
			walks := 0
			for _, n := range saw.walks {
				walks += n
			}
			require.InDelta(t, walks, got.Walks, 0, where)
			require.Equal(t, saw.longest, got.Longest, where)
		}
	}
	for _, what := range []string{"no", "step", "outcome", "question", "'not", "purpose"} {
		require.Positive(t, found[what], "the random trees never broke the rule that speaks of %q", what)
	}
}

func has(st *dialog.Step, purpose string) bool { _, ok := st.Purpose[purpose]; return ok }

func says(ms dialog.Mistakes, what string) bool {
	return slices.ContainsFunc(ms, func(m dialog.Mistake) bool { return strings.HasPrefix(m.What, what) })
}

func allSure(way []string) bool {
	return !slices.ContainsFunc(way, func(step string) bool { return strings.HasSuffix(step, "="+dialog.UnsureFact) })
}

// after is the part of a way that comes after a question.
func after(way []string, q string) []string {
	i := slices.IndexFunc(way, func(step string) bool { return strings.HasPrefix(step, q+"=") })
	return way[i+1:]
}
