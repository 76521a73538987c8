package triage_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/triage"
)

// oven is a made-up tree with every sort of step.
var (
	ovenSteps = []string{
		"u# pesach:self meat-dairy:change",
		"change! md allowed:self not-done:=side",
		"self? yes:counts no:scrub",
		"counts! cycle full:=cycle none:scrub",
		"scrub? clean:heat crust:=ask-crust",
		"heat? high:=hour low:=ask-low unsure:=ask-low",
	}
	ovenEnds = []string{"side cannot Side.", "cycle kasher Cycle.", "hour kasher Hour.", "ask-crust ask Crust.", "ask-low ask Low."}

	// fork is a tree whose first question splits it.
	forkSteps = []string{
		"q? a:r b:s c:=one",
		"r? x:=one y:=two",
		"s? x:=same y:=three",
	}
	forkEnds = []string{"one kasher One.", "two kasher Two.", "same kasher One.", "three cannot Three."}

	// chain is a tree that can be unsure three times and more.
	chainSteps = []string{"a? x:b y:b", "b? x:c y:c", "c? x:d y:d", "d? x:=one y:=two"}
	chainEnds  = []string{"one kasher One.", "two kasher Two."}
)

func TestWalk(t *testing.T) {
	for _, c := range []struct {
		name            string
		steps, ends     []string
		purpose         string
		facts, policies string
		want            string
	}{
		{"the first question", ovenSteps, ovenEnds, "pesach", "", "", "ask self, left 3"},
		{"a switch on the way is met", ovenSteps, ovenEnds, "meat-dairy", "", "md=allowed", "ask self, left 3; met md=allowed"},
		{"a switch decides", ovenSteps, ovenEnds, "meat-dairy", "", "md=not-done", "end side; met md=not-done"},
		{"answers lead to an end", ovenSteps, ovenEnds, "pesach", "self=no scrub=clean heat=high", "",
			"end hour; path self=no scrub=clean heat=high"},
		{"an end behind a switch", ovenSteps, ovenEnds, "pesach", "self=yes", "cycle=full", "end cycle; path self=yes; met cycle=full"},
		{"only what was met is told", ovenSteps, ovenEnds, "pesach", "self=no", "cycle=full md=allowed", "ask scrub, left 2; path self=no"},
		{"facts beside the way are left out", ovenSteps, ovenEnds, "pesach", "self=yes scrub=clean heat=high", "cycle=full",
			"end cycle; path self=yes; met cycle=full"},
		{"facts are asked in the order of the tree, whatever came first", ovenSteps, ovenEnds, "pesach", "heat=high", "", "ask self, left 3"},
		{"a stale answer is asked again", ovenSteps, ovenEnds, "pesach", "self=perhaps scrub=clean", "", "ask self, left 3"},
		{"an empty answer too", ovenSteps, ovenEnds, "pesach", "self=", "", "ask self, left 3"},
		{"a stale answer beside the way does no harm", ovenSteps, ovenEnds, "pesach", "self=yes scrub=gone", "cycle=full",
			"end cycle; path self=yes; met cycle=full"},

		{"the community has no position", ovenSteps, ovenEnds, "pesach", "self=yes", "",
			"refer unset, switch cycle, possible cycle hour; path self=yes"},
		{"or one that the content no longer knows", ovenSteps, ovenEnds, "pesach", "self=yes", "cycle=old",
			"refer unset, switch cycle, possible cycle hour; path self=yes"},
		{"the purpose is not covered", ovenSteps, ovenEnds, "from-nonkosher", "", "", "refer no-branch"},
		{"a purpose that does not exist", ovenSteps, ovenEnds, "", "self=yes", "cycle=full", "refer no-branch"},

		{"the tree ends with the rabbi", ovenSteps, ovenEnds, "pesach", "self=no scrub=crust", "",
			"refer always-asked, question scrub, asks ask-crust, possible hour; path self=no scrub=crust"},
		{"not sure has an end of its own", ovenSteps, ovenEnds, "pesach", "self=no scrub=clean heat=unsure", "",
			"refer always-asked, question heat, asks ask-low, possible hour; path self=no scrub=clean heat=unsure"},
		{"a switch alone ends with the rabbi", []string{"s! sw a:=rav b:=yes"}, []string{"rav ask Rav.", "yes kasher Yes."}, "pesach", "", "sw=a",
			"refer always-asked, asks rav; met sw=a"},

		{"not sure keeps every position open", forkSteps, forkEnds, "pesach", "q=unsure", "", "ask r, left 2; path q=unsure"},
		{"and goes on with the others", forkSteps, forkEnds, "pesach", "q=unsure r=x", "", "ask s, left 1; path q=unsure r=x"},
		{"it is firm when the ends are equal in content", forkSteps, forkEnds, "pesach", "q=unsure r=x s=x", "",
			"end one; path q=unsure r=x s=x"},
		{"it is referred as soon as they cannot meet", forkSteps, forkEnds, "pesach", "q=unsure r=y", "",
			"refer unsure, question q, possible one two three; path q=unsure r=y"},
		{"with the ends still possible in the order of the tree", forkSteps, forkEnds, "pesach", "q=unsure r=x s=y", "",
			"refer unsure, question q, possible one three; path q=unsure r=x s=y"},
		{"positions that wait at questions without a common end are not asked in vain",
			[]string{"q? a:r b:s", "r? x:=one y:=two", "s? x:=three y:=four"},
			[]string{"one kasher One.", "two kasher Two.", "three kasher Three.", "four kasher Four."}, "pesach", "q=unsure", "",
			"refer unsure, question q, possible one two three four; path q=unsure"},
		{"a question common to all comes first", []string{"q? a:r b:s c:s", "r? x:=one y:=two", "s? x:=one y:=two"},
			[]string{"one kasher One.", "two kasher Two."}, "pesach", "q=unsure", "", "ask s, left 2; path q=unsure"},
		{"all positions at one question are one", []string{"q? a:r b:r", "r? x:=one y:=two"}, []string{"one kasher One.", "two kasher Two."},
			"pesach", "q=unsure", "", "ask r, left 1; path q=unsure"},
		{"two unknown facts can be firm", chainSteps, chainEnds, "pesach", "a=unsure b=unsure c=x d=x", "",
			"end one; path a=unsure b=unsure c=x d=x"},
		{"the third unknown fact refers though a question is open", chainSteps, chainEnds, "pesach", "a=unsure b=unsure c=unsure", "",
			"refer third-unsure, question a, possible one two; path a=unsure b=unsure c=unsure"},
		{"unless the end is firm all the same", chainSteps, chainEnds, "pesach", "a=unsure b=unsure c=unsure d=y", "",
			"end two; path a=unsure b=unsure c=unsure d=y"},
		{"not sure with a target of its own counts among the three",
			[]string{"a? x:b y:b unsure:b", "b? x:c y:c unsure:c", "c? x:d y:d unsure:d", "d? x:=one y:=two"}, chainEnds,
			"pesach", "a=unsure b=unsure c=unsure", "", "refer third-unsure, question a, possible one two; path a=unsure b=unsure c=unsure"},
		{"the fact in doubt is the one that would settle it", []string{"a? x:b y:b", "b? x:=one y:=two"}, chainEnds,
			"pesach", "a=unsure b=unsure", "", "refer unsure, question b, possible one two; path a=unsure b=unsure"},
		{"or the first unknown one where none would", []string{"a? x:b y:c", "b? x:=one y:=two", "c? x:=one y:=three"},
			[]string{"one kasher One.", "two kasher Two.", "three kasher Three."}, "pesach", "a=unsure b=unsure c=unsure", "",
			"refer third-unsure, question a, possible one two three; path a=unsure b=unsure c=unsure"},
		{"an unset switch on one of the ways refers", []string{"q? a:s b:=one", "s! sw x:=one y:=two"}, chainEnds, "pesach", "q=unsure", "",
			"refer unset, switch sw, possible one two; path q=unsure"},
		{"with the ends of the other ways", []string{"q? a:s b:=three c:r", "s! sw x:=one y:=two", "r? x:=four y:=one"},
			[]string{"one kasher One.", "two kasher Two.", "three kasher Three.", "four kasher Four."}, "pesach", "q=unsure", "",
			"refer unset, switch sw, possible one two three four; path q=unsure"},
		{"a gap on one of the ways refers", []string{"q? a:u b:s", "u# pesach:=one", "s! sw x:=one y:=two"}, chainEnds, "meat-dairy", "q=unsure", "",
			"refer no-branch; path q=unsure"},
		{"a way to the rabbi and a way to an end differ", []string{"q? a:=one b:=rav"}, []string{"one kasher One.", "rav ask Rav."}, "pesach",
			"q=unsure", "", "refer unsure, question q, possible one; path q=unsure"},
		{"switches that all lead to the same content", []string{"q? a:s b:=one", "s! sw x:=same y:=two"}, forkEnds[:3], "pesach", "q=unsure", "sw=x",
			"end same; path q=unsure; met sw=x"},
	} {
		t.Run(c.name, func(t *testing.T) {
			tree := grow(t, c.steps, c.ends)
			got := triage.Walk(tree, c.purpose, pairs(c.facts), positions(c.policies))
			require.Equal(t, c.want, shown(got))
		})
	}
}

func TestWalkWithoutFacts(t *testing.T) {
	require.Equal(t, "ask q, left 2", shown(triage.Walk(grow(t, forkSteps, forkEnds), "pesach", nil, positions(""))))
}

// A member may want the rabbi at any point.
func TestAsk(t *testing.T) {
	for _, c := range []struct {
		name            string
		steps, ends     []string
		facts, policies string
		want            string
	}{
		{"at a question: what may follow", ovenSteps, ovenEnds, "self=no", "", "refer asked, question scrub, possible hour"},
		{"under the positions that are set", ovenSteps, ovenEnds, "", "cycle=full", "refer asked, question self, possible cycle hour"},
		{"where none is set: whatever it may be", ovenSteps, ovenEnds, "", "", "refer asked, question self, possible cycle hour"},
		{"after 'not sure': with the ends of the other positions", forkSteps, forkEnds, "q=unsure", "",
			"refer asked, question r, possible one two three"},
		{"at an outcome: that one", ovenSteps, ovenEnds, "self=no scrub=clean heat=high", "", "refer asked, possible hour"},
		{"where he is asked anyhow: for that reason", ovenSteps, ovenEnds, "self=no scrub=crust", "",
			"refer always-asked, question scrub, asks ask-crust, possible hour"},
	} {
		t.Run(c.name, func(t *testing.T) {
			tree, lookup := grow(t, c.steps, c.ends), positions(c.policies)
			r := triage.Walk(tree, "pesach", pairs(c.facts), lookup)
			require.Equal(t, c.want, referral(triage.Ask(tree, "pesach", lookup, r)))
		})
	}
	t.Run("without a walk: all ends", func(t *testing.T) {
		require.Equal(t, "refer asked, possible cycle hour",
			referral(triage.Ask(grow(t, ovenSteps, ovenEnds), "pesach", positions(""), triage.Result{})))
	})
}

// Reasons lists every constant of the type: each has its sentences, and a forgotten one would have none.
func TestReasonsAreComplete(t *testing.T) {
	f, err := parser.ParseFile(token.NewFileSet(), "triage.go", nil, 0)
	require.NoError(t, err)
	var declared []triage.Reason
	ast.Inspect(f, func(n ast.Node) bool {
		v, ok := n.(*ast.ValueSpec)
		if !ok {
			return true
		}
		if typ, ok := v.Type.(*ast.Ident); ok && typ.Name == "Reason" {
			word, err := strconv.Unquote(v.Values[0].(*ast.BasicLit).Value)
			require.NoError(t, err)
			declared = append(declared, triage.Reason(word))
		}
		return true
	})
	require.NotEmpty(t, declared)
	require.ElementsMatch(t, declared, triage.Reasons())
}

func TestCustomsAreOfferedOnce(t *testing.T) {
	require.Equal(t, []string{"ashkenazi", "sephardi", "other"}, triage.Customs())
	require.NotContains(t, triage.Customs(), triage.AnyCustom, "the community's default is no household's custom")
}
