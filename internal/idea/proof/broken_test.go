package proof

import (
	"flag"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/dialogs"
	"benyomo/internal/idea/dialog"
)

var update = flag.Bool("update", false, "write the messages of testdata/broken anew")

// lay adds the files of a folder to a pack, over those that are there. want is what the folder's want.txt says.
func lay(t *testing.T, pack fstest.MapFS, dir string) (want string) {
	t.Helper()
	require.NoError(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		raw, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		name, err := filepath.Rel(dir, path)
		if name == "want.txt" {
			want = string(raw)
		} else {
			pack[filepath.ToSlash(name)] = &fstest.MapFile{Data: raw}
		}
		return err
	}))
	return want
}

// In the good pack each of two kinds leaves of the shared part what the other reaches: that is no mistake.
func TestGoodPackIsProved(t *testing.T) {
	pack := fstest.MapFS{}
	lay(t, pack, "testdata/good")
	p, err := dialog.Load(pack)
	require.NoError(t, err)
	got := Pack(p)
	require.Empty(t, got.Mistakes)
	// What only the jar is told of the shared part is no outcome of the cup. Of the cup: for Pesach not hot, clean and dirty; for what was not kosher two; for meat and dairy not hot, and a walk for
	// each of the two positions. It asks 1+2+2, 1+1 and 1+1+1 questions; half of each purpose's walks end at once.
	require.Equal(t, Report{Kind: "cup", Questions: 2, Outcomes: 3, Walks: 8, Longest: 2, Mean: (1.5 + 1 + 1) / 3}, got.Reports[0])
	require.Equal(t, got.Reports[0], Tree(p.Tree("cup"), p))
}

// Each folder of testdata/broken breaks one rule; want.txt is everything that the proof says of it. Together they break every
// rule: each place of this package that reports a mistake must have spoken.
func TestBroken(t *testing.T) {
	rules := findRules(t)
	cases, err := filepath.Glob("testdata/broken/*")
	require.NoError(t, err)
	ran := 0
	for _, dir := range cases {
		t.Run(filepath.Base(dir), func(t *testing.T) {
			ran++
			pack := fstest.MapFS{}
			lay(t, pack, "testdata/good")
			want := lay(t, pack, dir)
			p, err := dialog.Load(pack)
			require.NoError(t, err, "the loader must find nothing wrong: the case is for the proof")
			got := prove(p, rules.mark(t)).Mistakes
			require.NotEmpty(t, got)
			if *update {
				require.NoError(t, os.WriteFile(filepath.Join(dir, "want.txt"), []byte(got.Error()+"\n"), 0o644))
				return
			}
			require.Equal(t, want, got.Error()+"\n")
		})
	}
	if ran < len(cases) {
		return // only some were asked for
	}
	for where, spoke := range rules {
		require.True(t, spoke, "%s: no case of testdata/broken breaks this rule", where)
	}
}

// The pack that the program is built with holds, and is proved within the 5 seconds that an author waits for it.
func TestBuiltInPackIsProved(t *testing.T) {
	p, err := dialog.Load(dialogs.FS)
	require.NoError(t, err)
	began := time.Now()
	got := Pack(p)
	require.Less(t, time.Since(began), 5*time.Second)
	require.Empty(t, got.Mistakes, got.Mistakes.Error())
	require.Len(t, got.Reports, len(p.Trees))
}

// rules are the places of the package that report mistakes, as file:line, and whether each has spoken.
type rules map[string]bool

func (rs rules) mark(t *testing.T) func() {
	return func() {
		_, file, line, ok := runtime.Caller(2) // past this function and say
		require.True(t, ok)
		where := fmt.Sprintf("%s:%d", filepath.Base(file), line)
		require.Contains(t, rs, where)
		rs[where] = true
	}
}

// findRules lists, as file:line, every call of say in the package outside its tests. Each stands on one line.
func findRules(t *testing.T) rules {
	t.Helper()
	files, err := filepath.Glob("*.go")
	require.NoError(t, err)
	found := rules{}
	set := token.NewFileSet()
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(set, name, nil, 0)
		require.NoError(t, err)
		ast.Inspect(f, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok {
				return true
			}
			if say, ok := call.Fun.(*ast.SelectorExpr); ok && say.Sel.Name == "say" {
				at := set.Position(call.Pos())
				require.Equal(t, at.Line, set.Position(call.End()).Line, "%s: write the call in one line", at)
				found[fmt.Sprintf("%s:%d", name, at.Line)] = false
			}
			return true
		})
	}
	require.GreaterOrEqual(t, len(found), 9)
	return found
}
