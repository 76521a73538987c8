package proof_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/dialogs"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/proof"
)

// BenchmarkPack proves every built-in tree, as `benyomo check` does.
func BenchmarkPack(b *testing.B) {
	p, err := dialog.Load(dialogs.FS)
	require.NoError(b, err)
	for b.Loop() {
		for _, t := range p.Trees {
			proof.Tree(t, p)
		}
	}
}

// BenchmarkLoad reads and checks every file of the built-in dialogs.
func BenchmarkLoad(b *testing.B) {
	for b.Loop() {
		_, err := dialog.Load(dialogs.FS)
		require.NoError(b, err)
	}
}
