package approval_test

import (
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/approval"
	"benyomo/internal/idea/dialog"
)

// files is a made-up pack of two kinds.
func files() map[string]string {
	kind := func(id, en, he string) string {
		return "kind: " + id + "\nname: {en: " + en + ", he: " + he + "}\ngroup: all\naliases: {en: [" + id + "s]}\nstart: {end: hour}\n" +
			"outcomes:\n  - id: hour\n    whether: kasher\n    method: heat\n    headline: {en: Heat it., he: לחמם.}\n" +
			"    cautions: [away]\n    timeline:\n      - {wait: idle, minutes: 1440}\n    sources: [src]\n"
	}
	return map[string]string{
		"languages.yaml":    "languages:\n  - {code: en, name: English, direction: ltr}\n  - {code: he, name: עברית, direction: rtl}\n",
		"groups.yaml":       "groups:\n  - {id: all, name: {en: All, he: הכול}}\n",
		"policy.yaml":       "switches: []\n",
		"sources.yaml":      "sources:\n  - {id: src, title: {en: Source, he: מקור}, checked: none}\n",
		"methods.yaml":      "methods:\n  - {id: heat, hot: true, name: {en: heat, he: חום}, gloss: {en: heating, he: חימום}}\n",
		"cautions.yaml":     "cautions:\n  - {id: away, text: {en: Keep away., he: להתרחק.}}\n",
		"sentences/en.yaml": "one: One\n",
		"sentences/he.yaml": "one: אחד\n",
		"kinds/oven.yaml":   kind("oven", "Oven", "תנור"),
		"kinds/sink.yaml":   kind("sink", "Sink", "כיור"),
	}
}

// load reads the pack with words of one file replaced.
func load(t *testing.T, file string, replace ...string) *dialog.Pack {
	t.Helper()
	fsys := fstest.MapFS{}
	for name, text := range files() {
		if name == file {
			was := text
			text = strings.NewReplacer(replace...).Replace(was)
			require.NotEqual(t, was, text, "nothing was replaced in %s", file)
		}
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	p, err := dialog.Load(fsys)
	require.NoError(t, err)
	return p
}

// What is approved is what the rabbi saw: any change that decides asks him again, a change of words only where they are shown.
func TestJudge(t *testing.T) {
	const kind = "oven"
	p := load(t, "")
	tree := p.Tree(kind)
	at := time.Date(2045, 3, 1, 10, 0, 0, 0, time.UTC)
	a := approval.Of(tree, p, 42, at)
	require.Equal(t, kind, a.Kind)
	require.Equal(t, int64(42), a.By)
	require.Equal(t, at, a.At)
	require.Len(t, a.Words, len(p.Languages))

	require.Equal(t, approval.Never, approval.Judge(tree, "en", approval.Approval{}, false))
	require.Equal(t, approval.Never, approval.Judge(tree, "en", a, false), "whatever else is known")
	require.Equal(t, approval.LogicChanged, approval.Judge(tree, "en", approval.Approval{Kind: kind}, true))
	for _, c := range []struct {
		name    string
		file    string
		replace []string
		en, he  approval.Standing
	}{
		{"as approved", "", nil, approval.Approved, approval.Approved},
		{"an alias", "kinds/oven.yaml", []string{"[ovens]", "[ovens, bread oven]"}, approval.Approved, approval.Approved},
		{"the method's gloss", "methods.yaml", []string{"he: חימום", "he: החימום"}, approval.Approved, approval.WordsChanged},
		{"a source's title", "sources.yaml", []string{"en: Source", "en: The source"}, approval.WordsChanged, approval.Approved},
		{"a sentence of the program", "sentences/en.yaml", []string{"One", "Uno"}, approval.Approved, approval.Approved},
		{"a comment", "kinds/oven.yaml", []string{"start:", "# hello\nstart:"}, approval.Approved, approval.Approved},
		{"English words", "kinds/oven.yaml", []string{"en: Oven,", "en: The oven,"}, approval.WordsChanged, approval.Approved},
		{"Hebrew words", "kinds/oven.yaml", []string{"he: תנור}", "he: התנור}"}, approval.Approved, approval.WordsChanged},
		{"a length", "kinds/oven.yaml", []string{"minutes: 1440", "minutes: 1441"}, approval.LogicChanged, approval.LogicChanged},
		{"a caution that it uses", "cautions.yaml", []string{"Keep away.", "Stay away."},
			approval.WordsChanged, approval.Approved},
		{"another kind", "kinds/sink.yaml", []string{"minutes: 1440", "minutes: 1441"}, approval.Approved, approval.Approved},
	} {
		t.Run(c.name, func(t *testing.T) {
			now := load(t, c.file, c.replace...)
			require.Equal(t, c.en, approval.Judge(now.Tree(kind), "en", a, true))
			require.Equal(t, c.he, approval.Judge(now.Tree(kind), "he", a, true))
		})
	}
	before := approval.Approval{Kind: kind, Logic: a.Logic, Words: map[string]string{"en": a.Words["en"]}}
	require.Equal(t, approval.Approved, approval.Judge(tree, "en", before, true))
	require.Equal(t, approval.WordsChanged, approval.Judge(tree, "he", before, true), "a language that came after his approval")
}

func TestPositions(t *testing.T) {
	p := approval.Positions{
		"glass": {"ashkenazi": "none", "any": "rinse"},
		"racks": {"any": "covered"},
		"sinks": {"sephardi": "pour"},
		"empty": nil,
	}
	for _, c := range []struct{ sw, custom, want string }{
		{"glass", "ashkenazi", "none"},
		{"glass", "sephardi", "rinse"},
		{"glass", "other", "rinse"},
		{"glass", "unsure", "rinse"},
		{"glass", "", "rinse"},
		{"glass", "any", "rinse"},
		{"racks", "ashkenazi", "covered"},
		{"sinks", "sephardi", "pour"},
		{"sinks", "ashkenazi", ""},
		{"sinks", "unsure", ""},
		{"empty", "ashkenazi", ""},
		{"never heard of", "ashkenazi", ""},
	} {
		pos, ok := p.Lookup(c.custom)(c.sw)
		require.Equal(t, c.want, pos, "%s for %q", c.sw, c.custom)
		require.Equal(t, c.want != "", ok, "%s for %q", c.sw, c.custom)
	}
}

func TestSetPosition(t *testing.T) {
	p := approval.Positions{}
	p.Set("glass", "any", "")
	require.Empty(t, p, "nothing to unset")
	p.Set("glass", "any", "rinse")
	p.Set("glass", "ashkenazi", "none")
	require.Equal(t, approval.Positions{"glass": {"any": "rinse", "ashkenazi": "none"}}, p)
	p.Set("glass", "ashkenazi", "soak")
	p.Set("racks", "any", "covered")
	require.Equal(t, approval.Positions{"glass": {"any": "rinse", "ashkenazi": "soak"}, "racks": {"any": "covered"}}, p)
	p.Set("glass", "ashkenazi", "")
	pos, ok := p.Lookup("ashkenazi")("glass")
	require.Equal(t, "rinse", pos, "back to the community's default")
	require.True(t, ok)
}

// A button approves what was shown when it was made, and nothing else.
func TestMark(t *testing.T) {
	p := load(t, "")
	marks := map[string]string{}
	note := func(name, mark string) {
		require.Len(t, mark, 12, "it fits a button")
		for other, m := range marks {
			require.NotEqual(t, m, mark, "%s and %s", name, other)
		}
		marks[name] = mark
	}
	oven, sink := p.Tree("oven"), p.Tree("sink")
	note("both", approval.Mark(p, oven, sink))
	note("the oven", approval.Mark(p, oven))
	note("the sink", approval.Mark(p, sink))
	note("nothing", approval.Mark(p))
	require.Equal(t, marks["both"], approval.Mark(p, oven, sink))
	for name, replace := range map[string][]string{
		"changed logic":         {"minutes: 1440", "minutes: 1441"},
		"changed English words": {"en: Oven,", "en: The oven,"},
		"changed Hebrew words":  {"he: תנור}", "he: התנור}"},
	} {
		now := load(t, "kinds/oven.yaml", replace...)
		note(name, approval.Mark(now, now.Tree("oven"), now.Tree("sink")))
	}
	require.Len(t, marks, 7)
}
