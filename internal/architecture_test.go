package internal_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const module = "benyomo/"

// floors are the rooms of the program from the top down, each with the name by which its packages begin. A package imports
// only packages of lower floors; on one floor they do not meet, but for the ideas, which build on each other.
var floors = [][]string{
	{"cmd/"},
	{"internal/stage", "internal/crash", "internal/browser"},
	{"internal/app"},
	{"internal/edge/telegram", "internal/edge/paper", "internal/edge/paper/chart", "internal/edge/rehearsal/page"},
	{"internal/edge/rehearsal/server", "internal/edge/paper/ink"},
	{"internal/bot"},
	{"internal/person/"},
	{"internal/engine/turn"},
	{"internal/engine/store", "internal/engine/courier"},
	{"internal/app/config"}, // what it reads is said in ideas; the command line and the stage read it too
	{"internal/idea/"},
	{"internal/engine/chat", "internal/engine/clock"},
	{"dialogs"},
}

// confined says of a package, or of all below it, what it may import of the program at most, where its floor says too little.
var confined = map[string][]string{
	"internal/idea/":            {"internal/idea/"}, // pure: no store, no messenger, no clock
	"internal/engine/chat":      {},
	"internal/engine/clock":     {},
	"internal/engine/courier":   {"internal/engine/chat", "internal/engine/clock"},
	"internal/edge/telegram":    {"internal/engine/chat", "internal/engine/clock", "internal/engine/courier"},
	"internal/edge/paper":       {"internal/idea/"},
	"internal/edge/paper/chart": {"internal/idea/", "internal/edge/paper/ink"},
	"internal/edge/paper/ink":   {},                           // it draws, and knows nothing of what
	"internal/edge/rehearsal/":  {"internal/edge/rehearsal/"}, // a messenger of its own: it knows nothing of the program
	"internal/person/":          {"internal/engine/turn", "internal/engine/store", "internal/engine/chat", "internal/idea/"},
	"dialogs":                   {},
}

// reserved are packages that few may import, also in tests.
var reserved = map[string]string{
	module + "internal/app/config":       "cmd/ internal/stage internal/crash internal/app internal/app/config",
	"go.etcd.io/bbolt":                   "internal/engine/store",
	"github.com/go-telegram-bot-api/":    "internal/edge/telegram",
	"github.com/goccy/go-yaml":           "internal/idea/dialog internal/app/config internal/edge/paper internal/edge/paper/chart",
	"github.com/go-text/typesetting":     "internal/edge/paper/ink",
	"github.com/go-fonts/dejavu":         "internal/edge/paper/ink",
	"golang.org/x/image":                 "internal/edge/paper/ink",
	"github.com/arran4/golang-ical":      "internal/edge/paper/chart",
	"github.com/emersion/go-ical":        "internal/edge/paper/chart", // only its tests: it reads what the other wrote
	"net/http":                           "cmd/ internal/app internal/edge/telegram internal/edge/rehearsal/ internal/stage internal/crash internal/browser",
	"github.com/chromedp/":               "internal/browser",
	"github.com/go-telegram/bot":         "internal/edge/rehearsal/",
	"github.com/stretchr/testify/assert": "",
	"math/rand":                          "", // the second version is seeded by its user
}

// clockReaders are the packages that may read the machine's clock; those of the rehearsal by one variable each.
const (
	clockReader   = "internal/engine/clock"
	machineReader = "internal/edge/rehearsal/"
)

// maxLines is the greatest length of a file; longer ones with the reason why.
const maxLines = 400

var longFiles = map[string]string{}

// pkg is what `go list` tells.
type pkg struct {
	ImportPath, Dir, Doc                 string
	GoFiles, IgnoredGoFiles, TestGoFiles []string
	XTestGoFiles                         []string
	Imports, TestImports, XTestImports   []string
}

// name is the package's name without the module's.
func (p pkg) name() string { return strings.TrimPrefix(p.ImportPath, module) }

// code are the files that are not tests.
func (p pkg) code() []string {
	var out []string
	for _, f := range append(slices.Clone(p.GoFiles), p.IgnoredGoFiles...) {
		if !strings.HasSuffix(f, "_test.go") {
			out = append(out, filepath.Join(p.Dir, f))
		}
	}
	return out
}

// packages lists the program.
func packages(t *testing.T) []pkg {
	t.Helper()
	cmd := exec.Command("go", "list", "-json=ImportPath,Dir,Doc,GoFiles,IgnoredGoFiles,TestGoFiles,XTestGoFiles,Imports,TestImports,XTestImports", "./...")
	cmd.Dir = ".."
	var complaint bytes.Buffer
	cmd.Stderr = &complaint
	raw, err := cmd.Output()
	require.NoError(t, err, complaint.String())
	var all []pkg
	for dec := json.NewDecoder(bytes.NewReader(raw)); ; {
		var p pkg
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			break
		} else {
			require.NoError(t, err)
		}
		all = append(all, p)
	}
	require.Greater(t, len(all), 20)
	return all
}

// under reports whether a package has the name, or begins with it where that ends in a stroke.
func under(name, pattern string) bool {
	return name == pattern || strings.HasSuffix(pattern, "/") && strings.HasPrefix(name, pattern)
}

// floor is the number of a package's floor from the top, or -1.
func floor(name string) int {
	return slices.IndexFunc(floors, func(rooms []string) bool {
		return slices.ContainsFunc(rooms, func(r string) bool { return under(name, r) })
	})
}

// mistakes judges the imports of one package.
func mistakes(p pkg) []string {
	var out []string
	from := floor(p.name())
	if from < 0 {
		return []string{p.name() + " has no floor: give it one in this test and in docs/architecture.md"}
	}
	for _, path := range p.Imports {
		to, ours := strings.CutPrefix(path, module)
		if !ours {
			continue
		}
		ideas := under(p.name(), "internal/idea/") && under(to, "internal/idea/")
		if !ideas && floor(to) <= from {
			out = append(out, p.name()+" imports "+to+", which is not below it")
		}
		for room, may := range confined {
			if under(p.name(), room) && !slices.ContainsFunc(may, func(m string) bool { return under(to, m) }) {
				out = append(out, p.name()+" imports "+to+", and may import only "+strings.Join(may, ", "))
			}
		}
	}
	for _, path := range slices.Concat(p.Imports, p.TestImports, p.XTestImports) {
		for library, owners := range reserved {
			if !under(path, library) && path != library && !strings.HasPrefix(path, library+"/") {
				continue
			}
			if library == "math/rand" && path != library || library == "net/http" && path != library {
				continue // only itself, not what is below it
			}
			if !slices.ContainsFunc(strings.Fields(owners), func(o string) bool { return under(p.name(), o) }) {
				out = append(out, p.name()+" imports "+path+", which is for "+owners+" alone")
			}
		}
	}
	return out
}

func TestArrowsGoDown(t *testing.T) {
	var all []string
	used := map[string]bool{}
	for _, p := range packages(t) {
		if len(p.code()) == 0 {
			continue // only tests, such as this package
		}
		all = append(all, mistakes(p)...)
		for room := range confined {
			used[room] = used[room] || under(p.name(), room)
		}
	}
	require.Empty(t, all)
	for room := range confined {
		require.True(t, used[room], "%s is confined and does not exist", room)
	}
}

// The judge itself is judged: each rule speaks where it is broken.
func TestTheRulesSpeak(t *testing.T) {
	for _, c := range []struct {
		from string
		to   string
		ok   bool
	}{
		{"cmd/benyomo", "benyomo/internal/app", true},
		{"cmd/benyomo", "benyomo/internal/app/config", true},
		{"internal/stage", "benyomo/internal/app/config", true},
		{"internal/stage", "benyomo/internal/edge/rehearsal/server", true},
		{"internal/app", "benyomo/internal/bot", true},
		{"internal/app", "benyomo/internal/stage", false},
		{"internal/bot", "benyomo/internal/person/rabbi", true},
		{"internal/person/member", "benyomo/internal/person/rabbi", false},
		{"internal/person/member", "benyomo/internal/bot", false},
		{"internal/person/member", "benyomo/internal/engine/clock", false},
		{"internal/person/member", "benyomo/internal/engine/courier", false},
		{"internal/person/member", "benyomo/internal/app/config", false},
		{"internal/engine/turn", "benyomo/internal/engine/store", true},
		{"internal/engine/turn", "benyomo/internal/app/config", false},
		{"internal/engine/store", "benyomo/internal/engine/turn", false},
		{"internal/engine/store", "benyomo/internal/engine/courier", false},
		{"internal/engine/courier", "benyomo/internal/engine/chat", true},
		{"internal/engine/courier", "benyomo/internal/idea/desk", false},
		{"internal/idea/desk", "benyomo/internal/idea/triage", true},
		{"internal/idea/desk", "benyomo/internal/engine/chat", false},
		{"internal/idea/desk", "benyomo/internal/engine/clock", false},
		{"internal/engine/chat", "benyomo/internal/engine/clock", false},
		{"internal/edge/rehearsal/page", "benyomo/internal/edge/rehearsal/server", true},
		{"internal/edge/rehearsal/server", "benyomo/internal/edge/rehearsal/page", false},
		{"internal/edge/rehearsal/server", "benyomo/internal/engine/chat", false},
		{"internal/edge/paper/chart", "benyomo/internal/edge/paper/ink", true},
		{"internal/edge/paper/chart", "benyomo/internal/edge/paper", false},
		{"internal/edge/paper/chart", "benyomo/internal/engine/clock", false},
		{"internal/edge/paper/ink", "benyomo/internal/idea/plan", false},
		{"internal/edge/paper/ink", "github.com/go-text/typesetting/shaping", true},
		{"internal/edge/paper", "github.com/go-text/typesetting/shaping", false},
		{"internal/app", "github.com/arran4/golang-ical", false},
		{"internal/edge/telegram", "benyomo/internal/engine/courier", true},
		{"internal/edge/telegram", "benyomo/internal/idea/dialog", false},
		{"internal/edge/telegram", "github.com/go-telegram-bot-api/telegram-bot-api/v5", true},
		{"internal/bot", "github.com/go-telegram-bot-api/telegram-bot-api/v5", false},
		{"internal/engine/store", "go.etcd.io/bbolt", true},
		{"internal/engine/store", "go.etcd.io/bbolt/errors", true},
		{"internal/app", "go.etcd.io/bbolt", false},
		{"internal/idea/luach", "net/http", false},
		{"internal/idea/luach", "math/rand/v2", true},
		{"internal/idea/luach", "math/rand", false},
		{"internal/elsewhere", "time", false},
	} {
		got := mistakes(pkg{ImportPath: module + c.from, Imports: []string{c.to}})
		require.Equal(t, c.ok, len(got) == 0, "%s → %s: %v", c.from, c.to, got)
	}
	require.NotEmpty(t, mistakes(pkg{ImportPath: module + "internal/bot", XTestImports: []string{"go.etcd.io/bbolt"}}), "tests too")
}

// timeReads finds where a file reads the clock or sleeps, whatever name it gives to the package time.
func timeReads(t *testing.T, path string, src any, what ...string) []string {
	t.Helper()
	set := token.NewFileSet()
	f, err := parser.ParseFile(set, path, src, 0)
	require.NoError(t, err)
	name := ""
	for _, imp := range f.Imports {
		if imp.Path.Value == `"time"` {
			if name = "time"; imp.Name != nil {
				name = imp.Name.Name
			}
		}
	}
	var out []string
	ast.Inspect(f, func(n ast.Node) bool {
		sel, ok := n.(*ast.SelectorExpr)
		if !ok {
			return true
		}
		if x, ok := sel.X.(*ast.Ident); ok && name != "" && x.Name == name && slices.Contains(what, sel.Sel.Name) {
			out = append(out, set.Position(sel.Pos()).String()+": time."+sel.Sel.Name)
		}
		return true
	})
	if name == "." {
		out = append(out, path+": time is imported without its name")
	}
	return out
}

// One package reads the clock; whoever decides is given now. Nobody sleeps: not even a test.
func TestWhoReadsTheClock(t *testing.T) {
	machine := map[string]int{}
	for _, p := range packages(t) {
		for _, path := range p.code() {
			reads := timeReads(t, path, nil, "Now", "Since", "Until")
			switch {
			case under(p.name(), clockReader):
			case under(p.name(), machineReader):
				machine[p.name()] += len(reads)
				if len(reads) > 0 {
					src, err := os.ReadFile(path)
					require.NoError(t, err)
					require.Equal(t, 1, bytes.Count(src, []byte("var machineNow = time.Now\n")), "%s: by a variable, so that tests move it", path)
				}
			default:
				require.Empty(t, reads, "take now, or a clock, as a parameter")
			}
		}
		for _, f := range slices.Concat(p.GoFiles, p.IgnoredGoFiles, p.TestGoFiles, p.XTestGoFiles) {
			require.Empty(t, timeReads(t, filepath.Join(p.Dir, f), nil, "Sleep"), "wait for what is to happen")
		}
	}
	for name, n := range machine {
		require.LessOrEqual(t, n, 1, "%s reads the clock in one place", name)
	}
	require.Equal(t, []string{"x.go:5:15: time.Now"}, timeReads(t, "x.go", "package x\n\nimport \"time\"\n\nvar machine = time.Now\n", "Now"))
	require.Len(t, timeReads(t, "x.go", "package x\n\nimport clock \"time\"\n\nvar age = clock.Since(clock.Time{})\n", "Now", "Since"), 1)
	require.Empty(t, timeReads(t, "x.go", "package x\n\nvar time struct{ Now int }\n\nvar now = time.Now\n", "Now"))
}

// Every package says what lives in it, in a sentence that begins as Go's tools expect.
func TestPackagesAreDescribed(t *testing.T) {
	for _, p := range packages(t) {
		if len(p.code()) == 0 {
			continue
		}
		begin := "Package " + filepath.Base(p.name()) + " "
		if under(p.name(), "cmd/") {
			begin = "Command " + filepath.Base(p.name()) + " "
		}
		require.True(t, strings.HasPrefix(p.Doc, begin), "%s: its comment is %q and begins with %q", p.name(), p.Doc, begin)
	}
}

func TestFilesAreShort(t *testing.T) {
	long := map[string]int{}
	for _, p := range packages(t) {
		for _, path := range p.code() {
			raw, err := os.ReadFile(path)
			require.NoError(t, err)
			if n := bytes.Count(raw, []byte("\n")); n > maxLines {
				long[p.name()+"/"+filepath.Base(path)] = n
			}
		}
	}
	for file, why := range longFiles {
		require.NotEmpty(t, why, file)
		require.Contains(t, long, file, "it is short now: take it from the list")
		delete(long, file)
	}
	require.Empty(t, slices.Sorted(maps.Keys(long)), "over %d lines: divide them by subject", maxLines)
}
