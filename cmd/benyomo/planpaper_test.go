package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/plan"
)

var exampleKitchen = filepath.Join("..", "..", "docs", "examples", "plan.yaml")

func TestPlanWritesAPictureAndACalendar(t *testing.T) {
	for lang, title := range map[string]string{"en": "Plan of the kitchen", "he": "תכנית המטבח"} {
		dir := t.TempDir()
		picture, calendar := filepath.Join(dir, "plan.png"), filepath.Join(dir, "plan.ics")
		require.NoError(t, os.WriteFile(calendar, []byte("an older one"), 0o600))
		got := call(t, "plan", exampleKitchen, "--json", "--lang", lang, "--png", picture, "--ics", calendar)
		require.Equal(t, fine, got.code, got.stderr)
		require.Equal(t, "wrote "+picture+"\nwrote "+calendar+"\n", got.stderr)
		var p plan.Plan
		require.NoError(t, json.Unmarshal([]byte(got.stdout), &p), "nothing else is on the standard output")
		require.True(t, p.Fits)

		raw, err := os.ReadFile(picture)
		require.NoError(t, err)
		size, err := png.DecodeConfig(bytes.NewReader(raw))
		require.NoError(t, err)
		require.Equal(t, 1080, size.Width)
		entries, err := os.ReadFile(calendar)
		require.NoError(t, err)
		require.True(t, bytes.HasPrefix(entries, []byte("BEGIN:VCALENDAR\r\n")))
		require.Contains(t, string(entries), "X-WR-CALNAME:"+title)
		require.Contains(t, string(entries), "Meat pots", "what the household calls it")

		left, err := os.ReadDir(dir)
		require.NoError(t, err)
		require.Len(t, left, 2, "nothing else is left in the folder")

		other := filepath.Join(dir, "dark.png")
		require.Equal(t, fine, call(t, "plan", exampleKitchen, "--lang", lang, "--dark", "--png", other).code)
		dark, err := os.ReadFile(other)
		require.NoError(t, err)
		require.NotEqual(t, raw, dark)
	}
}

// The entries of one kitchen keep their names, whatever its file is called; another kitchen's are others.
func TestPlanNamesTheKitchen(t *testing.T) {
	dir := t.TempDir()
	raw, err := os.ReadFile(exampleKitchen)
	require.NoError(t, err)
	moved := filepath.Join(dir, "moved.yaml")
	require.NoError(t, os.WriteFile(moved, raw, 0o644))
	calendar := func(args ...string) string {
		out := filepath.Join(dir, "plan.ics")
		got := call(t, append(append([]string{"plan"}, args...), "--ics", out)...)
		require.Equal(t, fine, got.code, got.stderr)
		raw, err := os.ReadFile(out)
		require.NoError(t, err)
		return string(raw)
	}
	require.Equal(t, calendar(exampleKitchen), calendar(moved, "--kitchen", "plan"))
	require.NotEqual(t, calendar(exampleKitchen), calendar(moved))
}

func TestPlanOfManySheets(t *testing.T) {
	dir := t.TempDir()
	raw, err := os.ReadFile(exampleKitchen)
	require.NoError(t, err)
	for i := range 14 {
		raw = fmt.Appendf(raw, "\n  - {row: fridge, id: fridge-%d}", i)
	}
	kitchen := filepath.Join(dir, "many.yaml")
	require.NoError(t, os.WriteFile(kitchen, append(raw, '\n'), 0o644))
	got := call(t, "plan", kitchen, "--png", filepath.Join(dir, "p.png"))
	require.Contains(t, got.stderr, "p-1.png\n")
	require.Contains(t, got.stderr, "p-2.png\n")
	require.FileExists(t, filepath.Join(dir, "p-2.png"))
}

// A plan that does not fit is written all the same, and the exit code says it.
func TestPapersOfAPlanThatDoesNotFit(t *testing.T) {
	dir := t.TempDir()
	raw, err := os.ReadFile(exampleKitchen)
	require.NoError(t, err)
	kitchen, out := filepath.Join(dir, "late.yaml"), filepath.Join(dir, "late.png")
	require.NoError(t, os.WriteFile(kitchen, []byte(strings.Replace(string(raw), `now: "2027-04-11`, `now: "2027-04-19`, 1)), 0o644))
	got := call(t, "plan", kitchen, "--png", out)
	require.Equal(t, failed, got.code)
	require.Contains(t, got.stdout, "Not everything fits.")
	require.FileExists(t, out)
}

func TestPlanToAPlaceThatIsNone(t *testing.T) {
	dir := t.TempDir()
	got := call(t, "plan", exampleKitchen, "--png", filepath.Join(dir, "none", "p.png"))
	require.Equal(t, failed, got.code)
	require.Contains(t, got.stderr, "benyomo plan: write "+filepath.Join(dir, "none", "p.png"))

	folder := filepath.Join(dir, "folder.ics")
	require.NoError(t, os.Mkdir(folder, 0o755))
	got = call(t, "plan", exampleKitchen, "--ics", folder)
	require.Equal(t, failed, got.code)
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, left, 1, "the begun file is taken away")
}
