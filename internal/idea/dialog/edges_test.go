package dialog_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/dialogs"
	"benyomo/internal/idea/dialog"
)

// Each edge of the built-in trees can be led elsewhere, alone, and the tree it was taken from does not change.
func TestWithEdge(t *testing.T) {
	p, err := dialog.Load(dialogs.FS)
	require.NoError(t, err)
	sorts := map[string]int{}
	for _, tree := range p.Trees {
		edges, logic, targets := tree.Edges(), tree.Logic(), 0
		for _, s := range tree.Steps {
			targets += len(s.Targets())
		}
		require.Len(t, edges, targets, tree.Kind.S)
		elsewhere := dialog.Target{End: dialog.Word{S: "elsewhere"}}
		for i, e := range edges {
			sorts[e.Sort]++
			changed := tree.WithEdge(i, elsewhere)
			want := tree.Edges()
			require.Equal(t, edges, want, "%s: the tree itself changed", e)
			want[i].Target = elsewhere
			require.Equal(t, want, changed.Edges(), e)
			require.Contains(t, changed.Step(e.Step).Targets(), elsewhere, "a walk meets the changed step")
			require.NotEqual(t, logic, changed.Logic(), e)
			require.Equal(t, logic, changed.WithEdge(i, e.Target).Logic(), e)
		}
		require.Equal(t, logic, tree.Logic())
		require.Panics(t, func() { tree.WithEdge(len(edges), elsewhere) })
	}
	for _, sort := range []string{dialog.AnswerEdge, dialog.UnsureEdge, dialog.PositionEdge, dialog.PurposeEdge} {
		require.Positive(t, sorts[sort], sort)
	}
}
