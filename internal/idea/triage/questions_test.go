package triage_test

import (
	"math/big"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/triage"
)

// maxQuestions is how many questions a person may have to answer for one item before Pesach, as a rule.
const maxQuestions = 5

// asked is one way through a tree: how many questions it takes and how likely it is.
type asked struct {
	questions int
	share     *big.Rat
}

// ways walks every path of answers to its end, each answer of a question being as likely as the others. Where the end waits
// for 24 hours without hot use, when the item was last hot is one question more.
func ways(tree *dialog.Tree, purpose string, lookup triage.Lookup, facts triage.Facts, share *big.Rat) []asked {
	r := triage.Walk(tree, purpose, facts, lookup)
	if r.Question == nil {
		n := len(r.Path)
		if r.Outcome != nil && len(r.Outcome.Timeline) > 0 && r.Outcome.Timeline[0].Wait.S == dialog.Idle {
			n++
		}
		return []asked{{n, share}}
	}
	var all []asked
	each := new(big.Rat).Mul(share, big.NewRat(1, int64(len(r.Question.Answers))))
	for _, a := range r.Question.Answers {
		facts[r.Question.Ask.S] = a.ID.S
		all = append(all, ways(tree, purpose, lookup, facts, each)...)
		delete(facts, r.Question.Ask.S)
	}
	return all
}

// median is the least number of questions with which at least half of the shares come out.
func median(all []asked) int {
	slices.SortFunc(all, func(a, b asked) int { return a.questions - b.questions })
	sum, half := new(big.Rat), big.NewRat(1, 2)
	for _, w := range all {
		if sum.Add(sum, w.share); sum.Cmp(half) >= 0 {
			return w.questions
		}
	}
	return -1
}

func TestMedian(t *testing.T) {
	third := big.NewRat(1, 3)
	require.Equal(t, 2, median([]asked{{9, third}, {1, third}, {2, third}}))
	require.Equal(t, 1, median([]asked{{7, big.NewRat(1, 4)}, {1, big.NewRat(1, 2)}, {8, big.NewRat(1, 4)}}))
	require.Equal(t, -1, median(nil))
	tree := grow(t, []string{"q? a:=one b:r", "r? a:=one b:=two"}, chainEnds)
	require.Equal(t, []asked{{1, big.NewRat(1, 2)}, {2, big.NewRat(1, 4)}, {2, big.NewRat(1, 4)}},
		ways(tree, "pesach", positions(""), triage.Facts{}, big.NewRat(1, 1)))
}

// Few questions are asked, under the positions of the invented community, for each custom: of all paths with every answer as
// likely as the others, and also of all paths with each path as likely as the others, where long ones weigh more. Intakes are
// no part of it: they never rule, and ask all that the rabbi needs to hear.
func TestQuestionsBeforePesach(t *testing.T) {
	p := builtIn(t)
	ruling := slices.DeleteFunc(slices.Clone(p.Trees), func(tree *dialog.Tree) bool { return tree.Intake })
	require.NotEmpty(t, ruling)
	for _, tree := range ruling {
		for _, custom := range []string{triage.Ashkenazi, triage.Sephardi} {
			all := ways(tree, dialog.Pesach, demo(p, custom, nil), triage.Facts{}, big.NewRat(1, 1))
			sum := new(big.Rat)
			for _, w := range all {
				sum.Add(sum, w.share)
			}
			require.Equal(t, "1", sum.RatString())
			likely := median(all)
			for i := range all {
				all[i].share = big.NewRat(1, int64(len(all)))
			}
			path := median(all)
			t.Logf("%s, %s: %d paths; median %d questions by likelihood, %d by path", tree.Kind.S, custom, len(all), likely, path)
			require.Positive(t, likely, "%s, %s", tree.Kind.S, custom)
			require.LessOrEqual(t, max(likely, path), maxQuestions, "%s, %s", tree.Kind.S, custom)
		}
	}
}
