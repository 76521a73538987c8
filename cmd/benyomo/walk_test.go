package main

import (
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/dialogs"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/triage"
)

func TestWalkText(t *testing.T) {
	dir := packDir(t)
	for _, tt := range []struct{ name, args, stdout string }{
		{"first question", "thing --purpose pesach", `[question used]

Was it used?

Why: What was not used needs nothing.
Not sure? Look for marks.
A photo helps here.

Answers:
  yes     Yes
  no      No
  unsure  not sure

Questions left: at most 2.
`},
		{"flags before the kind", "--purpose pesach --answer used=yes --policy point=strict thing", `used = yes

[question size]

Is it small?

Why: It must fit.

Answers:
  small   Small
  large   Large
  unsure  not sure

Questions left: at most 1.
`},
		{"outcome, by the custom's position of the invented community", "thing --demo --custom ashkenazi --purpose pesach --answer used=yes --answer size=small", `used = yes
size = small

[outcome heat: kasher, heat; ways: home]

Yes. Heat it.

Method: heating (heating through).

First, safety

Keep away.

1. Clean it.

What is timed

24 hours without hot use, counted from the last hot use.
full heat: 1 hour, then 30 minutes until it has cooled.

Based on: Work 1 (from memory); no source.

If anything differs from this, stop and ask.
`},
		{"outcome, by the other custom's position", "thing --demo --custom sephardi --purpose pesach --answer used=yes", `used = yes

[outcome nothing: not-needed, wash; ways: none]

It needs nothing.

Method: washing (with water).

Based on: no source.

If anything differs from this, stop and ask.
`},
		{"a position of the call goes before those of the invented community", "thing --demo --custom sephardi --purpose pesach --answer used=yes --policy point=strict --answer size=large", `used = yes
size = large

[referral: always-asked; question: size; switch: none]

This goes to the rav. The rav is always asked about this: Is it small?

The rav looks at it.

Leave it until then.

Still possible:
  heat  Yes. Heat it.
`},
		{"no position", "thing --demo --custom other --purpose pesach --answer used=yes", `used = yes

[referral: unset; question: none; switch: point]

This goes to the rav. The community has no position on this point: A point.

Still possible:
  heat  Yes. Heat it.
  nothing  It needs nothing.
`},
		{"not sure", "thing --demo --custom sephardi --purpose pesach --answer used=unsure", `used = unsure

[outcome nothing: not-needed, wash; ways: none]

It needs nothing.

Method: washing (with water).

Based on: no source.

If anything differs from this, stop and ask.
`},
		{"a purpose that the tree does not cover", "thing --purpose meat-dairy --answer used=yes", `used = yes

[referral: no-branch; question: none; switch: none]

This goes to the rav. The questions do not cover this purpose.
`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			args := append([]string{"walk", "--dialogs", dir}, strings.Fields(tt.args)...)
			require.Equal(t, outcomeOf{fine, tt.stdout, ""}, call(t, args...))
		})
	}
}

func TestWalkJSON(t *testing.T) {
	dir := packDir(t)
	for _, tt := range []struct{ args, stdout string }{
		{"--purpose pesach", `{"kind": "thing", "purpose": "pesach", "custom": "other", "path": [], "question": {"id": "used", "text": "Was it used?",
			"why": "What was not used needs nothing.", "test": "Look for marks.", "photo": true, "left": 2,
			"answers": [{"id": "yes", "label": "Yes"}, {"id": "no", "label": "No"}, {"id": "unsure", "label": "not sure"}]}}`},
		{"--purpose pesach --custom ashkenazi --demo --answer used=yes --answer size=small", `{"kind": "thing", "purpose": "pesach", "custom": "ashkenazi",
			"path": [{"question": "used", "answer": "yes"}, {"question": "size", "answer": "small"}],
			"outcome": {"id": "heat", "whether": "kasher", "method": "heat",
				"waits": [{"name": "idle", "minutes": 1440, "cool": 0}, {"name": "burn", "minutes": 60, "cool": 30}],
				"cautions": ["Keep away."], "headline": "Yes. Heat it.", "steps": ["Clean it."], "instead": "", "ways": ["home"],
				"sources": [{"id": "work", "citation": "Work 1", "checked": "memory"}, {"id": "none", "citation": "no source", "checked": "none"}],
				"text": "Yes. Heat it.\n\nMethod: heating (heating through).\n\nFirst, safety\n\nKeep away.\n\n1. Clean it.\n\nWhat is timed\n\n24 hours without hot use, counted from the last hot use.\nfull heat: 1 hour, then 30 minutes until it has cooled.\n\nBased on: Work 1 (from memory); no source.\n\nIf anything differs from this, stop and ask."}}`},
		{"--purpose from-nonkosher --answer used=yes", `{"kind": "thing", "purpose": "from-nonkosher", "custom": "other", "path": [{"question": "used", "answer": "yes"}],
			"referral": {"reason": "always-asked", "question": "used", "switch": "", "possible": ["nothing"],
				"text": "This goes to the rav. The rav is always asked about this: Was it used?",
				"asks": {"id": "ask", "headline": "The rav looks at it.", "steps": ["Leave it until then."]}}}`},
		{"--purpose meat-dairy --answer used=yes", `{"kind": "thing", "purpose": "meat-dairy", "custom": "other", "path": [{"question": "used", "answer": "yes"}],
			"referral": {"reason": "no-branch", "question": "", "switch": "", "possible": [], "text": "This goes to the rav. The questions do not cover this purpose."}}`},
	} {
		t.Run(tt.args, func(t *testing.T) {
			got := call(t, append([]string{"walk", "thing", "--json", "--dialogs", dir}, strings.Fields(tt.args)...)...)
			require.Equal(t, fine, got.code)
			require.JSONEq(t, tt.stdout, got.stdout)
			require.Empty(t, got.stderr)
		})
	}
}

func TestWalkMisuse(t *testing.T) {
	dir := packDir(t)
	for args, stderr := range map[string]string{
		"fork --purpose pesach":                                     `there is no kind "fork"; there are thing`,
		"thing":                                                     "name the purpose: pesach, from-nonkosher, meat-dairy",
		"thing --purpose purim":                                     `there is no purpose "purim"; there are pesach, from-nonkosher, meat-dairy`,
		"thing --purpose pesach --custom any":                       `there is no custom "any"; there are ashkenazi, sephardi, other`,
		"thing --purpose pesach --lang he":                          `there is no language "he"; there are en`,
		"thing --purpose pesach --answer new=yes":                   `there is no question "new"; there are used, size`,
		"thing --purpose pesach --answer point=strict":              `there is no question "point"; there are used, size`,
		"thing --purpose pesach --answer used=maybe":                `there is no answer to used "maybe"; there are yes, no, unsure`,
		"thing --purpose pesach --answer used=yes --answer used=no": "used is answered twice, yes and no",
		"thing --purpose pesach --policy dot=strict":                `there is no switch "dot"; there are point`,
		"thing --purpose pesach --policy point=none":                `there is no position of point "none"; there are lenient, strict`,
	} {
		t.Run(args, func(t *testing.T) {
			got := call(t, append([]string{"walk", "--dialogs", dir}, strings.Fields(args)...)...)
			require.Equal(t, outcomeOf{misuse, "", "benyomo walk: " + stderr + "\n"}, got)
		})
	}
}

func TestWalkSaysWhichAnswersItDidNotAsk(t *testing.T) {
	got := call(t, "walk", "thing", "--dialogs", packDir(t), "--purpose", "pesach", "--answer", "used=no", "--answer", "size=small")
	require.Equal(t, fine, got.code)
	require.Equal(t, "benyomo walk: not asked on this way: size\n", got.stderr)
}

func TestWalkThroughBrokenDialogs(t *testing.T) {
	dir := packDir(t)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "methods.yaml"), []byte("methods: 5\n"), 0o644))
	got := call(t, "walk", "thing", "--dialogs", dir, "--purpose", "pesach")
	require.Equal(t, failed, got.code)
	require.Contains(t, got.stderr, filepath.Join(dir, "methods.yaml")+":1:10: ")
	require.Empty(t, got.stdout)
}

// An intake says what to do before its first question, and only there; at its end it says that all of it goes to the rabbi,
// and what to do until he answers.
func TestWalkThroughIntakes(t *testing.T) {
	p, err := dialog.Load(dialogs.FS)
	require.NoError(t, err)
	intakes, firsts := 0, 0
	for _, tree := range p.Trees {
		if !tree.Intake {
			continue
		}
		intakes++
		c := walkCall{kind: tree.Kind.S, purpose: dialog.Pesach, custom: triage.OtherWay, lang: "en"}
		for {
			w, err := newWalk(p, c)
			require.NoError(t, err)
			var text strings.Builder
			require.NoError(t, w.writeText(&text))
			s := w.show()
			if first := tree.First.In("en"); first != "" {
				require.Equal(t, len(c.answers) == 0, strings.HasPrefix(text.String(), first+"\n\n[question "), "%s:\n%s", tree.Kind.S, &text)
				firsts++
			}
			if s.Question != nil {
				c.answers = append(c.answers, assignment{s.Question.ID, s.Question.Answers[0].ID})
				continue
			}
			require.NotNil(t, s.Referral, tree.Kind.S)
			end := tree.Outcome(s.Referral.Asks.ID)
			want := "This goes to the rav.\n\n" + end.Headline.In("en") + "\n"
			for _, step := range end.Steps {
				want += "\n" + step.In("en") + "\n"
			}
			require.True(t, strings.HasSuffix(text.String(), want), "%s:\n%s", tree.Kind.S, &text)
			break
		}
	}
	require.GreaterOrEqual(t, intakes, 4)
	require.Positive(t, firsts)
}

// Every sentence that the command says is in the built-in dialogs, for each reason to which a walk can come.
func TestSentencesOfWalkExist(t *testing.T) {
	p, err := dialog.Load(dialogs.FS)
	require.NoError(t, err)
	for _, key := range []string{"why", "test", "answers", "unsure", "left", "photo", "referred", "possible"} {
		require.Contains(t, p.Sentences["en"], "walk-"+key)
	}
	for _, r := range []triage.Reason{triage.OutcomeAsks, triage.SwitchUnset, triage.NotSure, triage.ThirdNotSure, triage.NoBranch} {
		require.Contains(t, p.Sentences["en"], "walk-reason-"+string(r))
	}
}

// Every kind of the built-in dialogs can be walked to its end under the invented community's positions, by the first answer
// each time, in every language and for every purpose and custom.
func TestWalkBuiltInKindsToTheirEnd(t *testing.T) {
	p, err := dialog.Load(dialogs.FS)
	require.NoError(t, err)
	for _, tree := range p.Trees {
		for _, purpose := range dialog.Purposes() {
			for _, custom := range triage.Customs() {
				call := walkCall{kind: tree.Kind.S, purpose: purpose, custom: custom, lang: "he", demo: true}
				ended := false
				for range tree.Longest(tree.Start) + 1 {
					w, err := newWalk(p, call)
					require.NoError(t, err)
					s := w.show()
					require.NotRegexp(t, unfilled, s.text())
					if ended = s.Question == nil; ended {
						break
					}
					call.answers = append(call.answers, assignment{s.Question.ID, s.Question.Answers[0].ID})
				}
				require.True(t, ended, "the walk of %s did not end", tree.Kind.S)
			}
		}
	}
}

// unfilled finds a place without its value, and a key without its sentence.
var unfilled = regexp.MustCompile(`\{[a-z]+\}|(walk|outcome|length)-`)

// text is what a person reads of the walk.
func (s shown) text() string {
	switch {
	case s.Question != nil:
		return s.Question.Text
	case s.Outcome != nil:
		return s.Outcome.Text
	}
	return s.Referral.Text
}

// full is an output that takes nothing.
type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("disk full") }

func TestWalkThatCannotBeWritten(t *testing.T) {
	dir := packDir(t)
	for _, flag := range []string{"--json=true", "--json=false"} {
		var stderr strings.Builder
		code := run(t.Context(), []string{"walk", "thing", "--dialogs", dir, "--purpose", "pesach", flag}, full{}, &stderr)
		require.Equal(t, failed, code)
		require.Equal(t, "benyomo walk: write the walk: disk full\n", stderr.String())
	}
}
