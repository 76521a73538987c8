package dialog

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

	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the messages of testdata/broken anew")

// readPack reads the files of a folder.
func readPack(t testing.TB, dir string) fstest.MapFS {
	t.Helper()
	pack := fstest.MapFS{}
	require.NoError(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		raw, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		name, err := filepath.Rel(dir, path)
		pack[filepath.ToSlash(name)] = &fstest.MapFile{Data: raw}
		return err
	}))
	require.NotEmpty(t, pack)
	return pack
}

// readBroken lays the files of a broken case over the good pack. A file REMOVED names files to take away; want.txt is the
// message.
func readBroken(t testing.TB, dir string) (pack fstest.MapFS, want string) {
	t.Helper()
	pack = readPack(t, "testdata/good")
	for name, f := range readPack(t, dir) {
		switch name {
		case "want.txt":
			want = string(f.Data)
		case "REMOVED":
			for _, gone := range strings.Fields(string(f.Data)) {
				require.Contains(t, pack, gone)
				delete(pack, gone)
			}
		default:
			pack[name] = f
		}
	}
	return pack, want
}

func TestGoodPackLoads(t *testing.T) {
	p, err := Load(readPack(t, "testdata/good"))
	require.NoError(t, err)
	require.Len(t, p.Trees, 1)
	require.Equal(t, " ", p.Sentences["en"]["joint"], "a sentence may be a space that joins two others")
}

// Each folder of testdata/broken breaks one rule; want.txt is everything that Load says of it. Together they break every rule:
// each place of this package that reports a mistake must have spoken.
func TestBroken(t *testing.T) {
	rules := findRules(t)
	cases, err := filepath.Glob("testdata/broken/*")
	require.NoError(t, err)
	ran := 0
	for _, dir := range cases {
		t.Run(filepath.Base(dir), func(t *testing.T) {
			ran++
			pack, want := readBroken(t, dir)
			_, err := load(pack, rules.listen(t))
			require.Error(t, err)
			require.IsType(t, Mistakes{}, err)
			got := err.Error() + "\n"
			if *update {
				require.NoError(t, os.WriteFile(filepath.Join(dir, "want.txt"), []byte(got), 0o644))
				return
			}
			require.Equal(t, want, got)
		})
	}
	t.Run("file-large", func(t *testing.T) { // too large to be kept
		ran++
		pack := readPack(t, "testdata/good")
		pack[fileDemo] = &fstest.MapFile{Data: []byte(strings.Repeat("#", maxFile+1))}
		_, err := load(pack, rules.listen(t))
		require.EqualError(t, err, "demo.yaml:1:1: the file has 1048577 bytes: keep it under 1048576")
	})
	if ran <= len(cases) {
		return // only some were asked for
	}
	for place, spoke := range rules {
		require.True(t, spoke, "%s: no case of testdata/broken breaks this rule", place)
	}
}

// A folder that cannot be read is no mistake of the author's.
func TestFolderThatCannotBeRead(t *testing.T) {
	pack := readPack(t, "testdata/good")
	pack[fileSources] = &fstest.MapFile{Mode: fs.ModeDir}
	_, err := Load(pack)
	require.ErrorContains(t, err, "read sources.yaml: ")
	require.NotErrorAs(t, err, new(Mistakes))
}

// rules are the places of the package that report mistakes, as file:line, and whether each has spoken.
type rules map[string]bool

// listen returns a report that marks the rules which speak.
func (rs rules) listen(t *testing.T) *report {
	return &report{heard: func() {
		_, file, line, ok := runtime.Caller(2) // past this function and report.add
		require.True(t, ok)
		place := fmt.Sprintf("%s:%d", filepath.Base(file), line)
		require.Contains(t, rs, place)
		rs[place] = true
	}}
}

// findRules lists, as file:line, every call of report.add in the package outside its tests. Each stands on one line.
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
			add, ok := call.Fun.(*ast.SelectorExpr)
			if !ok || add.Sel.Name != "add" {
				return true
			}
			on, ok := add.X.(*ast.SelectorExpr)
			if !ok || on.Sel.Name != "report" {
				return true
			}
			at := set.Position(call.Pos())
			require.Equal(t, at.Line, set.Position(call.End()).Line, "%s: write the call in one line", at)
			found[fmt.Sprintf("%s:%d", name, at.Line)] = false
			return true
		})
	}
	require.Greater(t, len(found), 50)
	return found
}
