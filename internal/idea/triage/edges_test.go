package triage_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/triage"
)

// minCaught is how many of a hundred edges, at least, cannot lead astray unnoticed.
const minCaught = 95

// edgeID names an edge in its tree, without where it leads.
type edgeID struct{ step, sort, name string }

func idOf(e dialog.Edge) edgeID { return edgeID{e.Step, e.Sort, e.Name} }

// comers lists, for each edge of the tree, the purposes with which a walk can come to it; an edge that no walk takes is missing.
// There are such edges: a step writes every position of its switch, also those by which the walk has ended at an earlier step
// of the same switch.
func comers(tree *dialog.Tree) map[edgeID][]string {
	leaving := map[string][]dialog.Edge{}
	for _, e := range tree.Edges() {
		leaving[e.Step] = append(leaving[e.Step], e)
	}
	out := map[edgeID][]string{}
	for _, p := range dialog.Purposes() {
		met, seen := map[string]string{}, map[string]bool{}
		var visit func(step string)
		visit = func(step string) {
			place := fmt.Sprint(step, met) // the same step under the same positions: fmt writes maps in order
			if step == "" || seen[place] {
				return
			}
			seen[place] = true
			sw := tree.Step(step).Switch.S
			decided, before := met[sw]
			for _, e := range leaving[step] {
				switch {
				case e.Sort == dialog.PurposeEdge && e.Name != p, e.Sort == dialog.PositionEdge && before && e.Name != decided:
					continue
				case e.Sort == dialog.PositionEdge && !before:
					met[sw] = e.Name
				}
				if !slices.Contains(out[idOf(e)], p) {
					out[idOf(e)] = append(out[idOf(e)], p)
				}
				visit(e.Target.To.S)
			}
			if sw != "" && !before {
				delete(met, sw)
			}
		}
		visit(tree.Start.To.S)
	}
	return out
}

// settles follows branches on the purpose, which ask nothing, to the question, switch or end behind them.
func settles(tree *dialog.Tree, tg dialog.Target, purpose string) dialog.Target {
	for tg.To.S != "" && tree.Step(tg.To.S).Purpose != nil {
		tg = tree.Step(tg.To.S).Purpose[purpose]
	}
	return tg
}

// alike reports whether two targets are the same for each of the purposes: an author who wrote one for the other made no mistake.
func alike(tree *dialog.Tree, a, b dialog.Target, purposes []string) bool {
	return !slices.ContainsFunc(purposes, func(p string) bool {
		x, y := settles(tree, a, p), settles(tree, b, p)
		if x.End.S != "" && y.End.S != "" {
			return tree.Outcome(x.End.S).Content() != tree.Outcome(y.End.S).Content()
		}
		return x.End.S != y.End.S || x.To.S != y.To.S
	})
}

// astray lists where the edge might lead by mistake: to every end of the tree, of another verdict or of the same verdict in
// other words, and to where each other edge of its step leads; but not to where it leads already.
func astray(tree *dialog.Tree, e dialog.Edge, purposes []string) []dialog.Target {
	var out []dialog.Target
	for _, o := range tree.Outcomes.List {
		out = append(out, dialog.Target{End: dialog.Word{S: o.ID}})
	}
	for _, other := range tree.Edges() {
		if other.Step == e.Step && other.Target.To.S != "" && !slices.ContainsFunc(out, func(t dialog.Target) bool { return t.To.S == other.Target.To.S }) {
			out = append(out, other.Target)
		}
	}
	return slices.DeleteFunc(out, func(t dialog.Target) bool { return alike(tree, t, e.Target, purposes) })
}

// near reports whether the claim's walk may take the edge; it does not where its facts, its purpose or the positions it met say
// otherwise. met are the switches that decided on its walk through the tree as it is.
func near(c claim, met map[string]string, tree *dialog.Tree, e dialog.Edge) bool {
	switch e.Sort {
	case dialog.AnswerEdge:
		return c.facts[e.Step] == e.Name || c.facts[e.Step] == dialog.UnsureFact
	case dialog.UnsureEdge:
		return c.facts[e.Step] == dialog.UnsureFact
	case dialog.PositionEdge:
		return met[tree.Step(e.Step).Switch.S] == e.Name
	}
	return c.purpose == e.Name
}

// caught reports whether some row no longer holds in the tree.
func caught(tree *dialog.Tree, rows []claim) bool {
	return slices.ContainsFunc(rows, func(c claim) bool { return c.comes(tree) != c.want })
}

// escape is an edge with the first target to which it could be led without any row telling.
type escape struct {
	edge dialog.Edge
	to   dialog.Target
}

// survivors leads each edge of the tree that a walk can take astray, to each target in turn, and lists those of which no row
// tells. It counts those edges and flips.
func survivors(t *testing.T, tree *dialog.Tree, rows []claim) (alive []escape, all, flips int) {
	t.Helper()
	purposes := comers(tree)
	met := make([]map[string]string, len(rows))
	for i, c := range rows {
		met[i] = triage.Walk(tree, c.purpose, c.facts, c.lookup).Met
	}
	for i, e := range tree.Edges() {
		if purposes[idOf(e)] == nil {
			continue
		}
		all++
		wrong := astray(tree, e, purposes[idOf(e)])
		require.NotEmpty(t, wrong, "%s: %s", tree.Kind.S, e)
		var beside []claim
		for j, c := range rows {
			if near(c, met[j], tree, e) {
				beside = append(beside, c)
			}
		}
		for _, tg := range wrong {
			flips++
			if len(beside) == 0 || !caught(tree.WithEdge(i, tg), beside) {
				alive = append(alive, escape{e, tg})
				break
			}
		}
	}
	return alive, all, flips
}

// An answer, a 'not sure', a position or a purpose that leads anywhere but to its place is noticed by a case of the published
// codes. An edge counts as guarded only where each wrong target of it is noticed.
func TestCodesGuardEveryEdge(t *testing.T) {
	p, rows := builtIn(t), codes(t)
	total, left, tried, dead := 0, 0, 0, 0
	for _, tree := range p.Trees {
		var claims []claim
		for _, c := range rows[tree.Kind.S] {
			claims = append(claims, c.claim(t, p))
		}
		// Where a row is wrong of the tree as it is, every change would seem to be noticed.
		for i, c := range claims {
			require.Equal(t, c.want, c.comes(tree), rows[tree.Kind.S][i].at)
		}
		alive, all, flips := survivors(t, tree, claims)
		total, left, tried = total+all, left+len(alive), tried+flips
		dead += len(tree.Edges()) - all
		for _, a := range alive {
			t.Logf("%s: %s, led to %s", tree.Kind.S, a.edge, a.to)
		}
	}
	t.Logf("%d of %d edges are guarded against %d mistakes; no walk takes %d more", total-left, total, tried, dead)
	require.GreaterOrEqual(t, 100*(total-left), minCaught*total, "%d of %d edges could lead astray unnoticed", left, total)
}

// alive writes the edges of a made-up tree that the rows do not guard, each with where it could lead unnoticed.
func alive(t *testing.T, tree *dialog.Tree, rows ...claim) []string {
	t.Helper()
	left, all, _ := survivors(t, tree, rows)
	require.Len(t, tree.Edges(), all)
	var out []string
	for _, a := range left {
		out = append(out, a.edge.String()+", led to "+a.to.String())
	}
	return out
}

func claimed(facts, policy, want string) claim {
	return claim{dialog.Pesach, pairs(facts), positions(policy), want}
}

// The guard itself: rows guard the edges they walk and no others.
func TestSurvivors(t *testing.T) {
	tree := grow(t, []string{"q? a:s b:=three unsure:=three", "s! sw x:=one y:=two z:=four"},
		[]string{"one kasher One.", "two cannot Two.", "three ask Three.", "four kasher Four."})
	every := []string{"q answer a to s, led to end one", "q answer b end three, led to end one", "q unsure unsure end three, led to end one",
		"s position x end one, led to end two", "s position y end two, led to end one", "s position z end four, led to end one"}
	require.Equal(t, every, alive(t, tree))
	x, y, z := claimed("q=a", "sw=x", "kasher, m, : one"), claimed("q=a", "sw=y", "cannot, m, : two"), claimed("q=a", "sw=z", "kasher, m, : four")
	// A row by which the first question leads to one end does not tell whether it always does.
	require.Equal(t, append([]string{every[0]}, every[1], every[2], every[4], every[5]), alive(t, tree, x))
	require.Equal(t, []string{every[1], every[2], every[5]}, alive(t, tree, x, y))
	b, unsure := claimed("q=b", "", "ask, m, : three"), claimed("q=unsure", "", "ask, m, : three")
	require.Equal(t, []string{every[2]}, alive(t, tree, x, y, z, b))
	require.Empty(t, alive(t, tree, x, y, z, b, unsure))
}

// Where two edges of a step lead is told apart only by a row under which it makes a difference.
func TestSurvivorsOfSiblings(t *testing.T) {
	tree := grow(t, []string{"s! sw x:w y:=one", "w! other p:=one q:=two"}, []string{"one kasher One.", "two cannot Two."})
	xp, xq := claimed("", "sw=x other=p", "kasher, m, : one"), claimed("", "sw=x other=q", "cannot, m, : two")
	require.Equal(t, []string{"s position y end one, led to to w"}, alive(t, tree, xp, xq, claimed("", "sw=y other=p", "kasher, m, : one")))
	require.Empty(t, alive(t, tree, xp, xq, claimed("", "sw=y other=q", "kasher, m, : one")))
}

// A branch on the purpose is seen through: what comes to the same end for every purpose that comes there is no mistake.
func TestAlike(t *testing.T) {
	tree := grow(t, []string{"u# pesach:q meat-dairy:=three", "q? a:v b:=one unsure:=one", "v# pesach:=one meat-dairy:=two"},
		[]string{"one kasher One.", "two cannot Two.", "three ask Three."})
	require.Equal(t, []string{dialog.Pesach}, comers(tree)[edgeID{"q", dialog.AnswerEdge, "a"}])
	require.Equal(t, []string{dialog.MeatDairy}, comers(tree)[edgeID{"u", dialog.PurposeEdge, dialog.MeatDairy}])
	branch, end := dialog.Target{To: dialog.Word{S: "v"}}, dialog.Target{End: dialog.Word{S: "one"}}
	require.True(t, alike(tree, branch, end, []string{dialog.Pesach}))
	require.False(t, alike(tree, branch, end, []string{dialog.Pesach, dialog.MeatDairy}))
}
