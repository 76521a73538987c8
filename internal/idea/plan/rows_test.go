package plan

import (
	"io/fs"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"benyomo/dialogs"
	"benyomo/internal/idea/dialog"
)

// loaded are the built-in rows, read once for all tests.
var loaded = sync.OnceValues(func() (*Rows, error) {
	p, err := dialog.Load(dialogs.FS)
	if err != nil {
		return nil, err
	}
	return Read(p)
})

func builtIn(t testing.TB) *Rows {
	t.Helper()
	rows, err := loaded()
	require.NoError(t, err)
	return rows
}

// packWith is the built-in folder with another plan.yaml.
func packWith(t testing.TB, text string) *dialog.Pack {
	t.Helper()
	fsys := fstest.MapFS{}
	require.NoError(t, fs.WalkDir(dialogs.FS, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		raw, err := fs.ReadFile(dialogs.FS, path)
		fsys[path] = &fstest.MapFile{Data: raw}
		return err
	}))
	fsys[dialog.FilePlan] = &fstest.MapFile{Data: []byte(text)}
	p, err := dialog.Load(fsys)
	require.NoError(t, err)
	return p
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
