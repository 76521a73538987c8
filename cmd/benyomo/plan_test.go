package main

import (
	"encoding/json"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/dialogs"
	"benyomo/internal/idea/plan"
)

const examplePlan = "../../docs/examples/plan.yaml"

func TestPlan(t *testing.T) {
	got := call(t, "plan", examplePlan)
	require.Equal(t, fine, got.code, got.stderr)
	require.Empty(t, got.stderr)
	require.Contains(t, got.stdout, "Everything fits.\nFinish line: Wed 21 Apr at 10:15")
	require.Contains(t, got.stdout, "\nSun 18 Apr\n")

	got = call(t, "plan", "--lang", "he", examplePlan)
	require.Equal(t, fine, got.code, got.stderr)
	require.Contains(t, got.stdout, "יש זמן להכול.")

	got = call(t, "plan", "--json", examplePlan)
	require.Equal(t, fine, got.code, got.stderr)
	var p plan.Plan
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &p))
	require.True(t, p.Fits && p.Proven)
	require.Contains(t, got.stdout, `"finish": {
    "at": "2027-04-21T14:15:`, "in UTC")
}

func TestPlanThatDoesNotFit(t *testing.T) {
	raw, err := os.ReadFile(examplePlan)
	require.NoError(t, err)
	late := filepath.Join(t.TempDir(), "late.yaml")
	require.NoError(t, os.WriteFile(late, []byte(strings.Replace(string(raw), `now: "2027-04-11 20:00"`, `now: "2027-04-19 20:00"`, 1)), 0o600))
	got := call(t, "plan", late)
	require.Equal(t, failed, got.code)
	require.Contains(t, got.stdout, "Not everything fits.")
	require.Empty(t, got.stderr)
}

func TestPlanRefuses(t *testing.T) {
	broken := filepath.Join(t.TempDir(), "broken.yaml")
	require.NoError(t, os.WriteFile(broken, []byte("items: []\n"), 0o600))
	for args, want := range map[string]string{
		"plan":                            "name the file of the kitchen",
		"plan --lang xx " + examplePlan:   `there is no language "xx"; there are en, he`,
		"plan " + broken:                  broken + ":1:1: ",
		"plan " + broken + ".not":         "no such file",
		"plan --dialogs . " + examplePlan: "is missing",
	} {
		got := call(t, strings.Fields(args)...)
		require.NotEqual(t, fine, got.code, args)
		require.Contains(t, got.stderr, want, args)
		require.Empty(t, got.stdout, args)
	}
}

// An author's folder replaces the rows, and what is wrong in them is listed whole, by every command that reads the folder.
func TestRowsOfAnAuthor(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(dir, dialogs.FS))
	file := filepath.Join(dir, "plan.yaml")
	raw, err := fs.ReadFile(dialogs.FS, "plan.yaml")
	require.NoError(t, err)
	rewrite := func(pairs ...string) {
		require.NoError(t, os.WriteFile(file, []byte(strings.NewReplacer(pairs...).Replace(string(raw))), 0o600))
	}

	rewrite("Oven at its highest heat", "The big oven")
	require.Equal(t, fine, call(t, "check", dir).code)
	got := call(t, "plan", "--dialogs", dir, examplePlan)
	require.Equal(t, fine, got.code, got.stderr)
	require.Contains(t, got.stdout, "The big oven: scrub")

	rewrite("minutes: 240", "minutes: four hours", "kinds: [hall]", "kinds: [hal]", "days-before-eve: 7", "days-before-eve: 70")
	for _, args := range [][]string{{"check", dir}, {"plan", "--dialogs", dir, examplePlan}} {
		got := call(t, args...)
		require.Equal(t, failed, got.code)
		require.Contains(t, got.stderr, "4 mistakes")
		for _, want := range []string{
			`minutes is "four hours": write a whole number`, `there is no kind "hal": take the kind of a file in kinds`,
			`nothing is said of the kind "hall": let a row plan it`, "days-before-eve is 70: write a number from 0 to 60",
		} {
			require.Contains(t, got.stderr, want)
		}
		require.Regexp(t, `(?m)^`+file+`:\d+:\d+: `, got.stderr)
	}
}
