package plan

import (
	"io/fs"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/dialogs"
	"benyomo/internal/idea/dialog"
)

// loaded are the built-in dialogs and their rows, read once for all tests.
var loaded = sync.OnceValues(func() (*dialog.Pack, error) { return dialog.Load(dialogs.FS) })

var loadedRows = sync.OnceValues(func() (*Rows, error) {
	p, err := loaded()
	if err != nil {
		return nil, err
	}
	return Read(p)
})

func builtIn(t testing.TB) *Rows {
	t.Helper()
	rows, err := loadedRows()
	require.NoError(t, err)
	return rows
}

// packWith is the built-in pack with another plan.yaml.
func packWith(t testing.TB, text string) *dialog.Pack {
	t.Helper()
	p, err := loaded()
	require.NoError(t, err)
	other := *p
	other.Planning = &dialog.Planning{}
	f, ok := dialog.ReadFile(dialog.FilePlan, []byte(text), "docs/plan.md", other.Planning)
	require.True(t, ok, "%v", f.Err())
	return &other
}

// rowsOf are rows that plan no kind of the dialogs; texts of steps and reasons are made up.
func rowsOf(t testing.TB, text string) *Rows {
	t.Helper()
	rows, err := Read(packWith(t, text+notPlanned(t)))
	require.NoError(t, err)
	return rows
}

func notPlanned(t testing.TB) string {
	t.Helper()
	names, err := fs.Glob(dialogs.FS, "kinds/*.yaml")
	require.NoError(t, err)
	for i, n := range names {
		names[i] = strings.TrimSuffix(strings.TrimPrefix(n, "kinds/"), ".yaml")
	}
	return "\nnot-planned:\n  - {kinds: [" + strings.Join(names, ", ") + "], why: {en: none, he: אין}}\n"
}
