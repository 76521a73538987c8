package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/engine/store"
	"benyomo/internal/idea/approval"
)

func TestDraw(t *testing.T) {
	dir := packDir(t)
	out := filepath.Join(t.TempDir(), "thing.svg")
	got := call(t, "draw", "thing", "-o", out, "--dialogs", dir)
	require.Equal(t, outcomeOf{fine, "wrote " + out + "\n", ""}, got)
	raw, err := os.ReadFile(out)
	require.NoError(t, err)
	require.True(t, strings.HasPrefix(string(raw), "<svg "))
	require.Contains(t, string(raw), "Was it used?")
}

func TestDrawWithoutAName(t *testing.T) {
	dir := packDir(t)
	t.Chdir(t.TempDir())
	require.Equal(t, outcomeOf{fine, "wrote thing.svg\n", ""}, call(t, "draw", "--dialogs", dir, "thing"))
	require.FileExists(t, "thing.svg")
}

// The pot is too large for one sheet: each is a file of its own, and the command says which it wrote.
func TestDrawSeveralSheets(t *testing.T) {
	out := t.TempDir()
	got := call(t, "draw", "pot", "--lang", "he", "-o", filepath.Join(out, "pot.svg"))
	require.Equal(t, fine, got.code, got.stderr)
	wrote := strings.Split(strings.TrimSpace(got.stdout), "\n")
	require.Greater(t, len(wrote), 1)
	files, err := os.ReadDir(out)
	require.NoError(t, err)
	require.Len(t, files, len(wrote))
	require.Equal(t, "wrote "+filepath.Join(out, "pot-1.svg"), wrote[0])
	raw, err := os.ReadFile(filepath.Join(out, "pot-1.svg"))
	require.NoError(t, err)
	require.Contains(t, string(raw), `direction="rtl"`)
}

func TestPaperMisuse(t *testing.T) {
	dir := packDir(t)
	none := filepath.Join(t.TempDir(), "none")
	for _, tt := range []struct {
		args   string
		code   int
		stderr string
	}{
		{"draw", misuse, "benyomo draw: name the kind of item"},
		{"draw thing two", misuse, `"two" is one argument too many`},
		{"draw nothing --dialogs " + dir, misuse, `there is no kind "nothing"; there are thing`},
		{"draw thing --lang fr --dialogs " + dir, misuse, `there is no language "fr"; there are en`},
		{"draw thing --dialogs " + none, failed, "benyomo draw: dialogs: "},
		{"draw thing --dialogs " + dir + " -o " + filepath.Join(none, "x.svg"), failed, "benyomo draw: open "},
		{"handbook thing", misuse, `"thing" is one argument too many`},
		{"handbook --demo --data " + dir, misuse, "take --demo or --data, not both"},
		{"handbook --lang fr --dialogs " + dir, misuse, `there is no language "fr"; there are en, both`},
		{"handbook --dialogs " + none, failed, "benyomo handbook: dialogs: "},
		{"handbook --dialogs " + dir + " -o " + filepath.Join(none, "x.html"), failed, "benyomo handbook: open "},
		{"handbook --dialogs " + dir + " --data " + none, failed, none + " holds no data of benyomo"},
	} {
		t.Run(tt.args, func(t *testing.T) {
			got := call(t, strings.Fields(tt.args)...)
			require.Equal(t, tt.code, got.code)
			require.Empty(t, got.stdout)
			require.Contains(t, got.stderr, tt.stderr)
		})
	}
	require.NoDirExists(t, none, "reading makes nothing")
}

func handbook(t *testing.T, args ...string) string {
	t.Helper()
	out := filepath.Join(t.TempDir(), "book.html")
	got := call(t, append([]string{"handbook", "-o", out}, args...)...)
	require.Equal(t, outcomeOf{fine, "wrote " + out + "\n", ""}, got)
	raw, err := os.ReadFile(out)
	require.NoError(t, err)
	return string(raw)
}

func TestHandbook(t *testing.T) {
	dir := packDir(t)
	page := handbook(t, "--dialogs", dir, "--lang", "en", "--community", "Anywhere")
	require.Contains(t, page, "<h1>Handbook of the kashering dialogs</h1>\n<p class=\"community\">Anywhere</p>")
	require.Contains(t, page, "made without the community's data", "no positions are claimed")
	require.NotContains(t, page, "invented")
}

func TestHandbookOfTheInventedCommunity(t *testing.T) {
	page := handbook(t, "--dialogs", packDir(t), "--demo")
	require.Contains(t, page, "Kehillas Emek Rimon")
	require.Contains(t, page, "are invented, as an example")
	require.Contains(t, page, "<li>Ashkenazi: strict</li>\n<li>Sephardi or Eastern: lenient</li>\n<li>other customs: not set: asked of the rav</li>")
}

func TestHandbookReadsTheData(t *testing.T) {
	dir, data := packDir(t), t.TempDir()
	pack, err := loadDialogs(dir)
	require.NoError(t, err)
	s, err := store.Open(data)
	require.NoError(t, err)
	require.NoError(t, s.Update(func(b *store.Batch) error {
		return b.Try(func(tx *store.Tx) error {
			tx.SetPosition("point", "any", "strict")
			tx.PutApproval(approval.Of(pack.Tree("thing"), pack, 5005005, time.Date(2045, 3, 1, 12, 0, 0, 0, time.UTC)))
			return nil
		})
	}))
	require.NoError(t, s.Close())

	page := handbook(t, "--dialogs", dir, "--data", data)
	require.Contains(t, page, "<li>every custom: strict</li>")
	require.Contains(t, page, "approved 1 March 2045")
	require.Contains(t, page, "1 of 1 dialogs were approved")
	require.NotContains(t, page, "5005005", "who approved is not printed")

	again, err := store.Open(data)
	require.NoError(t, err, "the data are left free")
	require.NoError(t, again.Close())
}

// Before an upgrade it is said what would have to be approved again: here the words of one dialog have changed.
func TestCheckSaysWhatAnUpgradeUnapproves(t *testing.T) {
	dir, data := packDir(t), t.TempDir()
	file := filepath.Join(dir, "kinds", "thing.yaml")
	raw, err := os.ReadFile(file)
	require.NoError(t, err)
	whole := strings.Replace(string(raw), "from-nonkosher: {end: ask}", "from-nonkosher: {end: ask}\n      meat-dairy: {end: ask}", 1)
	require.NoError(t, os.WriteFile(file, []byte(whole), 0o644))
	p, err := loadDialogs(dir)
	require.NoError(t, err)
	s, err := store.Open(data)
	require.NoError(t, err)
	require.NoError(t, s.Update(func(b *store.Batch) error {
		return b.Try(func(tx *store.Tx) error {
			tx.PutApproval(approval.Of(p.Tree("thing"), p, 1, time.Date(2027, 4, 11, 10, 0, 0, 0, time.UTC)))
			return nil
		})
	}))
	require.NoError(t, s.Close())
	got := call(t, "check", dir, "--data", data)
	require.Equal(t, fine, got.code, got.stderr)
	require.Contains(t, got.stdout, "every dialog is approved as it stands")

	require.NoError(t, os.WriteFile(file, []byte(strings.ReplaceAll(whole, "Was it used?", "Has it been used?")), 0o644))
	got = call(t, "check", dir, "--data", data)
	require.Equal(t, fine, got.code, got.stderr)
	require.Contains(t, got.stdout, "not approved: thing (en: words-changed)")

	require.Equal(t, failed, call(t, "check", dir, "--data", t.TempDir()).code, "a folder without data")
}
