package wording_test

import (
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"
	"time"
	"unicode/utf16"

	"github.com/stretchr/testify/require"

	"benyomo/dialogs"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/wording"
)

// pack is a made-up pack of one kind, with the program's own sentences.
func pack(t *testing.T) *dialog.Pack {
	t.Helper()
	fsys := fstest.MapFS{}
	for name, text := range map[string]string{
		"languages.yaml": "languages:\n  - {code: en, name: English, direction: ltr}\n",
		"groups.yaml":    "groups:\n  - {id: all, name: {en: All}}\n",
		"policy.yaml":    "switches: []\n",
		"sources.yaml": `sources:
  - {id: common-practice, title: {en: "common practice, no source"}, checked: none}
  - {id: a-1, title: {en: Work A}, section: {en: "1:1"}, checked: read}
  - {id: a-2, title: {en: Work A}, section: {en: "1:2"}, checked: memory}
  - {id: b-1, title: {en: Work B}, section: {en: "7"}, checked: read}
  - {id: c, title: {en: Work C}, checked: memory}
`,
		"methods.yaml":  "methods:\n  - {id: hot, hot: true, name: {en: heating}, gloss: {en: heating through}}\n  - {id: rabbi, name: {en: question}, gloss: {en: passed on}}\n",
		"cautions.yaml": "cautions:\n  - {id: c1, text: {en: Keep away.}}\n  - {id: c2, text: {en: Open a window.}}\n",
		"kinds/thing.yaml": `kind: thing
name: {en: Thing}
group: all
start: {to: q}
steps:
  - ask: q
    text: {en: Which?}
    why: {en: Because.}
    answers:
      - {id: a, label: {en: A}, end: full}
      - {id: b, label: {en: B}, end: no}
      - {id: c, label: {en: C}, end: rav}
outcomes:
  - id: full
    whether: kasher
    method: hot
    headline: {en: "Yes. Heat it."}
    cautions: [c2, c1]
    steps:
      - {en: Clean it.}
      - {en: Heat it.}
    timeline:
      - {wait: idle, minutes: 1440}
      - {heating: one, minutes: 61, cool: 1, label: {en: at full heat}}
      - {heating: two, minutes: 45, label: {en: at half heat}}
    sources: [a-1, b-1, c, a-2, common-practice]
  - id: no
    whether: cannot
    method: rabbi
    headline: {en: "No."}
    instead: {en: "Put it away."}
    sources: [common-practice]
  - id: rav
    whether: ask
    method: rabbi
    headline: {en: "The rav answers this."}
    sources: [common-practice]
`,
	} {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	en, err := dialogs.FS.ReadFile("sentences/en.yaml")
	require.NoError(t, err)
	fsys["sentences/en.yaml"] = &fstest.MapFile{Data: en}
	p, err := dialog.Load(fsys)
	require.NoError(t, err)
	return p
}

func TestOutcomeHasAllItsPartsInOrder(t *testing.T) {
	p := pack(t)
	w := wording.In(p, "en", time.UTC)
	require.Equal(t, []wording.Part{
		{Style: "heading", Text: "Yes. Heat it."},
		{Style: "plain", Text: "Method: heating (heating through)."},
		{Style: "heading", Text: "First, safety"},
		{Style: "plain", Text: "Open a window.\nKeep away."},
		{Style: "plain", Text: "1. Clean it.\n2. Heat it."},
		{Style: "heading", Text: "What is timed"},
		{Style: "plain", Text: "24 hours without hot use, counted from the last hot use.\n" +
			"at full heat: 1 hour 1 minute, then 1 minute until it has cooled.\nat half heat: 45 minutes."},
		{Style: "aside", Text: "Based on: Work A 1:1; 1:2 (from memory); Work B 7; Work C (from memory); common practice, no source."},
		{Style: "plain", Text: "If anything differs from this, stop and ask."},
	}, w.Outcome(p.Tree("thing").Outcome("full")))
}

func TestOutcomeLeavesOutWhatItHasNot(t *testing.T) {
	p := pack(t)
	w := wording.In(p, "en", time.UTC)
	require.Equal(t, []wording.Part{
		{Style: "heading", Text: "No."},
		{Style: "plain", Text: "Method: question (passed on)."},
		{Style: "plain", Text: "Instead: Put it away."},
		{Style: "aside", Text: "Based on: common practice, no source."},
		{Style: "plain", Text: "If anything differs from this, stop and ask."},
	}, w.Outcome(p.Tree("thing").Outcome("no")))
	require.Equal(t, []wording.Part{
		{Style: "heading", Text: "The rav answers this."},
		{Style: "aside", Text: "Based on: common practice, no source."},
		{Style: "plain", Text: "If anything differs from this, stop and ask."},
	}, w.Outcome(p.Tree("thing").Outcome("rav")))
}

// Every outcome of the built-in dialogs is complete in every language, leaves no place unfilled, and fits one message: the
// messenger takes 4096 UTF-16 units (Bot API, sendMessage), and the room around an outcome adds a line or two.
func TestBuiltInOutcomes(t *testing.T) {
	p, err := dialog.Load(dialogs.FS)
	require.NoError(t, err)
	unfilled := regexp.MustCompile(`\{[a-z]+\}|outcome-|length-`)
	seen := 0
	for _, l := range p.Languages {
		w := wording.In(p, l.Code.S, time.UTC)
		for _, tree := range p.Trees {
			for _, o := range tree.Outcomes.List {
				var all []string
				for _, part := range w.Outcome(o) {
					require.NotEmpty(t, part.Text)
					all = append(all, part.Text)
				}
				text := strings.Join(all, "\n\n")
				where := l.Code.S + " " + tree.Kind.S + " " + o.ID
				require.NotRegexp(t, unfilled, text, where)
				require.LessOrEqual(t, len(utf16.Encode([]rune(text))), 4000, where)
				seen++
			}
		}
	}
	require.Positive(t, seen)
}

var keyShape = regexp.MustCompile(`\b(?:Say|Has|Count)\("([a-z0-9-]+)"[,)]`)

// Every sentence that this package says is in the pack.
func TestSentencesOfThisPackageExist(t *testing.T) {
	p, err := dialog.Load(dialogs.FS)
	require.NoError(t, err)
	files, err := filepath.Glob("*.go")
	require.NoError(t, err)
	found := 0
	for _, f := range files {
		if strings.HasSuffix(f, "_test.go") {
			continue
		}
		raw, err := os.ReadFile(f)
		require.NoError(t, err)
		for _, m := range keyShape.FindAllStringSubmatch(string(raw), -1) {
			require.Contains(t, p.Sentences["en"], m[1])
			found++
		}
	}
	require.Greater(t, found, 10)
	for i := range 7 {
		require.Contains(t, p.Sentences["en"], "weekday-"+strconv.Itoa(i))
	}
	for i := range 12 {
		require.Contains(t, p.Sentences["en"], "month-"+strconv.Itoa(i+1))
	}
}

func TestTimesAndLengths(t *testing.T) {
	p, err := dialog.Load(dialogs.FS)
	require.NoError(t, err)
	zone := time.FixedZone("east", 2*60*60)
	now := time.Date(2045, 3, 29, 21, 30, 0, 0, time.UTC) // Wednesday; 23:30 in the zone
	en, he := wording.In(p, "en", zone), wording.In(p, "he", zone)
	require.Equal(t, "Wed 29 Mar at 23:30", en.Moment(now))
	require.Equal(t, "יום ד׳, 29 במרץ, ב־23:30", he.Moment(now))
	require.Equal(t, "today at 23:30", en.Near(now, now))
	require.Equal(t, "tomorrow at 00:30", en.Near(now.Add(time.Hour), now))
	require.Equal(t, "yesterday at 23:30", en.Near(now.AddDate(0, 0, -1), now))
	require.Equal(t, "Fri 31 Mar at 23:30", en.Near(now.AddDate(0, 0, 2), now))
	for minutes, want := range map[int][2]string{
		0: {"0 minutes", "0 דקות"}, 1: {"1 minute", "דקה אחת"}, 59: {"59 minutes", "59 דקות"}, 60: {"1 hour", "שעה אחת"},
		61: {"1 hour 1 minute", "שעה אחת ו־דקה אחת"}, 90: {"1 hour 30 minutes", "שעה אחת ו־30 דקות"}, 1440: {"24 hours", "24 שעות"},
	} {
		require.Equal(t, want[0], en.Length(minutes))
		require.Equal(t, want[1], he.Length(minutes))
	}
}
