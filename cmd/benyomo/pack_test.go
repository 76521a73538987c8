package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/dialogs"
)

// files is a made-up pack of one kind: small enough to see every end.
var files = map[string]string{
	"languages.yaml": "languages:\n  - {code: en, name: English, direction: ltr}\n",
	"groups.yaml":    "groups:\n  - {id: all, name: {en: All}}\n",
	"policy.yaml": `switches:
  - id: point
    about: {en: A point}
    positions:
      - {id: lenient, label: {en: lenient}, sources: [none]}
      - {id: strict, label: {en: strict}, sources: [none]}
`,
	"demo.yaml":     "positions:\n  point: {ashkenazi: strict, sephardi: lenient}\n",
	"sources.yaml":  "sources:\n  - {id: none, title: {en: no source}, checked: none}\n  - {id: work, title: {en: Work}, section: {en: \"1\"}, checked: memory}\n",
	"methods.yaml":  "methods:\n  - {id: heat, hot: true, name: {en: heating}, gloss: {en: heating through}}\n  - {id: wash, name: {en: washing}, gloss: {en: with water}}\n",
	"cautions.yaml": "cautions:\n  - {id: away, text: {en: Keep away.}}\n",
	"kinds/thing.yaml": `kind: thing
name: {en: Thing}
group: all
start: {to: used}
steps:
  - ask: used
    text: {en: "Was it used?"}
    why: {en: "What was not used needs nothing."}
    photo: true
    unsure: {test: {en: "Look for marks."}}
    answers:
      - {id: "yes", label: {en: "Yes"}, to: by-purpose}
      - {id: "no", label: {en: "No"}, end: nothing}
  - id: by-purpose
    purpose:
      pesach: {to: point}
      from-nonkosher: {end: ask}
  - id: point
    switch: point
    positions:
      lenient: {end: nothing}
      strict: {to: size}
  - ask: size
    text: {en: "Is it small?"}
    why: {en: "It must fit."}
    answers:
      - {id: small, label: {en: "Small"}, end: heat}
      - {id: large, label: {en: "Large"}, end: ask}
outcomes:
  - id: heat
    whether: kasher
    method: heat
    headline: {en: "Yes. Heat it."}
    cautions: [away]
    steps:
      - {en: "Clean it."}
    timeline:
      - {wait: idle, minutes: 1440}
      - {heating: burn, minutes: 60, cool: 30, label: {en: "full heat"}}
    ways: [home]
    sources: [work, none]
  - id: nothing
    whether: not-needed
    method: wash
    headline: {en: "It needs nothing."}
    sources: [none]
  - id: ask
    whether: ask
    method: wash
    headline: {en: "The rav looks at it."}
    steps:
      - {en: "Leave it until then."}
    sources: [none]
`,
}

// packDir writes the pack, with the program's own sentences, into a folder.
func packDir(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	write := func(name string, text []byte) {
		path := filepath.Join(dir, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, text, 0o644))
	}
	for name, text := range files {
		write(name, []byte(text))
	}
	en, err := dialogs.FS.ReadFile("sentences/en.yaml")
	require.NoError(t, err)
	write("sentences/en.yaml", en)
	return dir
}

// outcomeOf is what a run of the command line came to.
type outcomeOf struct {
	code           int
	stdout, stderr string
}

func call(t *testing.T, args ...string) outcomeOf {
	t.Helper()
	var stdout, stderr bytes.Buffer
	code := run(t.Context(), args, &stdout, &stderr)
	return outcomeOf{code, stdout.String(), stderr.String()}
}
