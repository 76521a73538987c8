package triage_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/dialog"
)

// minCaught is how many of a hundred edges, at least, cannot lead astray unnoticed.
const minCaught = 95

// astray is an end to which the edge might lead by mistake: one of another verdict than all those it can lead to now; where the
// tree has none, as in intakes, one of another content than the end to which it leads. Two ends of one verdict that differ in
// words, covers or cautions only are beyond what a row can tell apart, and beyond this guard.
func astray(tree *dialog.Tree, e dialog.Edge) *dialog.Outcome {
	now := tree.Ends(e.Target, nil)
	if e.Target.End.S != "" {
		now = []*dialog.Outcome{tree.Outcome(e.Target.End.S)}
	}
	for _, o := range tree.Outcomes.List {
		if !slices.ContainsFunc(now, func(n *dialog.Outcome) bool { return verdict(n) == verdict(o) }) {
			return o
		}
	}
	for _, o := range tree.Outcomes.List {
		if e.Target.End.S == "" || o.Content() != now[0].Content() {
			return o
		}
	}
	return nil
}

// caught reports whether some row no longer holds in the tree.
func caught(tree *dialog.Tree, rows []claim) bool {
	return slices.ContainsFunc(rows, func(c claim) bool { return c.comes(tree) != c.verdict })
}

// survivors leads each edge of the tree astray in turn, and lists those of which no row tells. It counts all edges.
func survivors(t *testing.T, tree *dialog.Tree, rows []claim) (alive []dialog.Edge, all int) {
	t.Helper()
	edges := tree.Edges()
	for i, e := range edges {
		wrong := astray(tree, e)
		require.NotNil(t, wrong, "%s: %s", tree.Kind.S, e)
		if !caught(tree.WithEdge(i, dialog.Target{End: dialog.Word{S: wrong.ID}}), rows) {
			alive = append(alive, e)
		}
	}
	return alive, len(edges)
}

// An answer, a 'not sure', a position or a purpose that leads to a wrong end is noticed by a case of the published codes.
func TestCodesGuardEveryEdge(t *testing.T) {
	p, rows := builtIn(t), codes(t)
	total, left := 0, 0
	for _, tree := range p.Trees {
		var claims []claim
		for _, c := range rows[tree.Kind.S] {
			claims = append(claims, c.claim(t, p))
		}
		// Where a row is wrong of the tree as it is, every change would seem to be noticed.
		for i, c := range claims {
			require.Equal(t, c.verdict, c.comes(tree), rows[tree.Kind.S][i].at)
		}
		alive, all := survivors(t, tree, claims)
		total, left = total+all, left+len(alive)
		for _, e := range alive {
			t.Logf("%s: %s", tree.Kind.S, e)
		}
	}
	t.Logf("%d of %d edges are guarded", total-left, total)
	require.GreaterOrEqual(t, 100*(total-left), minCaught*total, "%d of %d edges could lead astray unnoticed", left, total)
}

// The guard itself: rows guard the edges they walk and no others.
func TestSurvivors(t *testing.T) {
	tree := grow(t, []string{"q? a:s b:=three unsure:=three", "s! sw x:=one y:=two"},
		[]string{"one kasher One.", "two cannot Two.", "three ask Three."})
	row := func(facts, policy, verdict string) claim {
		return claim{"pesach", pairs(facts), positions(policy), verdict}
	}
	a := row("q=a", "sw=x", "kasher, m, ")
	alive := func(rows ...claim) []string {
		edges, all := survivors(t, tree, rows)
		require.Equal(t, 5, all)
		var out []string
		for _, e := range edges {
			out = append(out, e.String())
		}
		return out
	}
	every := []string{"q answer a to s", "q answer b end three", "q unsure unsure end three", "s position x end one", "s position y end two"}
	require.Equal(t, every, alive())
	require.Equal(t, []string{every[1], every[2], every[4]}, alive(a))
	require.Empty(t, alive(a, row("q=a", "sw=y", "cannot, m, "), row("q=b", "", "ask, m, "), row("q=unsure", "", "ask, m, ")))
}
