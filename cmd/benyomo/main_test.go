package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/internal/app/config"
)

func TestUse(t *testing.T) {
	for _, tt := range []struct {
		args           string
		code           int
		stdout, stderr string // parts that must be there; "" is an empty output
	}{
		{"", misuse, "", "Commands:"},
		{"help", fine, "Commands:", ""},
		{"--help", fine, "Commands:", ""},
		{"-h", fine, "Commands:", ""},
		{"help walk", fine, "benyomo walk KIND --purpose PURPOSE [flags]", ""},
		{"help help", fine, "benyomo help [COMMAND]", ""},
		{"walk -h", fine, "-purpose", ""},
		{"check --help", fine, "benyomo check [DIR]", ""},
		{"help nothing", misuse, "", `benyomo help: there is no command "nothing"`},
		{"help a b", misuse, "", `"b" is one argument too many`},
		{"nothing", misuse, "", `benyomo: there is no command "nothing"`},
		{"check a b", misuse, "", `"b" is one argument too many`},
		{"check --strict", misuse, "", "benyomo check: flag provided but not defined: -strict"},
		{"init a b", misuse, "", `"b" is one argument too many`},
		{"walk", misuse, "", "benyomo walk: name the kind of item"},
		{"walk pot oven", misuse, "", `"oven" is one argument too many`},
		{"walk pot --answer x", misuse, "", "write NAME=VALUE"},
		{"walk pot --policy =x", misuse, "", "write NAME=VALUE"},
	} {
		t.Run(tt.args, func(t *testing.T) {
			got := call(t, strings.Fields(tt.args)...)
			require.Equal(t, tt.code, got.code)
			requirePart(t, tt.stdout, got.stdout)
			requirePart(t, tt.stderr, got.stderr)
		})
	}
}

func requirePart(t *testing.T, part, whole string) {
	t.Helper()
	if part == "" {
		require.Empty(t, whole)
	}
	require.Contains(t, whole, part)
}

func TestHelpKnowsEveryCommand(t *testing.T) {
	all := call(t, "help").stdout
	for _, c := range commands() {
		require.Contains(t, all, "  "+c.name+" ")
		got := call(t, "help", c.name)
		require.Equal(t, fine, got.code, c.name)
		require.Contains(t, got.stdout, "benyomo "+c.name+" "+c.usage)
	}
}

func TestCheckBuiltIn(t *testing.T) {
	got := call(t, "check")
	require.Equal(t, fine, got.code, got.stderr)
	require.Empty(t, got.stderr)
	require.Contains(t, got.stdout, "languages: en, he")
}

func TestCheckFolder(t *testing.T) {
	dir := packDir(t)
	thing := filepath.Join(dir, "kinds", "thing.yaml")
	// It is read without a mistake, but nothing was written for the purpose of meat and dairy.
	require.Equal(t, outcomeOf{failed, "", thing + `:14:9: step "by-purpose" has no way on for purpose "meat-dairy", which comes to it: add the branch
      - id: by-purpose

1 mistake
`}, call(t, "check", dir))

	whole := strings.Replace(files["kinds/thing.yaml"], "from-nonkosher: {end: ask}", "from-nonkosher: {end: ask}\n      meat-dairy: {end: ask}", 1)
	require.NoError(t, os.WriteFile(thing, []byte(whole), 0o644))
	// Walks: for Pesach not used; used, lenient; used, strict, small; and large. Two for each of the others. For Pesach a half of
	// the walks end after one question, a quarter too, and a quarter after two; the others after one: (1.25+1+1)/3.
	require.Equal(t, outcomeOf{fine, `  questions  outcomes  walks  longest  mean  kind
          2         3      8        2   1.1  thing

1 kind, 2 questions, 3 outcomes, 1 policy switch; languages: en
`, ""}, call(t, "check", dir))

	require.NoError(t, os.WriteFile(thing, []byte(strings.ReplaceAll(files["kinds/thing.yaml"], "end: heat}", "end: heta}")), 0o644))
	require.Equal(t, outcomeOf{failed, "", thing + `:27:48: there is no outcome "heta": correct the name, or write the outcome
          - {id: small, label: {en: "Small"}, end: heta}
` + thing + `:30:9: no walk reaches outcome "heat": lead an answer to it, or remove it
      - id: heat

2 mistakes
`}, call(t, "check", dir))
}

func TestCheckOfWhatIsNoFolder(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	require.NoError(t, os.WriteFile(file, nil, 0o644))
	for _, path := range []string{filepath.Join(dir, "none"), file} {
		got := call(t, "check", path)
		require.Equal(t, failed, got.code)
		require.Contains(t, got.stderr, "benyomo check: dialogs: ")
		require.Contains(t, got.stderr, path)
	}
}

func TestInit(t *testing.T) {
	path := filepath.Join(t.TempDir(), "community.yaml")
	got := call(t, "init", path)
	require.Equal(t, outcomeOf{fine, "wrote " + path + ": an example of an invented community. Change every line that is yours.\n", ""}, got)
	raw, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, string(config.Example), string(raw))
	_, err = config.Load(path)
	require.NoError(t, err)

	require.NoError(t, os.WriteFile(path, []byte("mine"), 0o644))
	require.Equal(t, outcomeOf{failed, "", "benyomo init: " + path + " exists already and is left as it is\n"}, call(t, "init", path))
	raw, err = os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, "mine", string(raw))

	got = call(t, "init", filepath.Join(path, "below", "a-file"))
	require.Equal(t, failed, got.code)
	require.Contains(t, got.stderr, "benyomo init: ")
}

func TestInitWithoutAName(t *testing.T) {
	t.Chdir(t.TempDir())
	require.Equal(t, fine, call(t, "init").code)
	require.FileExists(t, defaultConfig)
}
