package plan

import (
	"go/ast"
	"go/parser"
	"go/token"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Every id that a plan can hold has its sentence in both languages, and every sentence is used.
func TestWordsAreThere(t *testing.T) {
	used := []string{"hands"}
	f, err := parser.ParseFile(token.NewFileSet(), "reasons.go", nil, 0)
	require.NoError(t, err)
	ast.Inspect(f, func(n ast.Node) bool {
		if s, ok := n.(*ast.BasicLit); ok && s.Kind == token.STRING {
			id, err := strconv.Unquote(s.Value)
			require.NoError(t, err)
			if !strings.HasSuffix(id, "-") {
				used = append(used, id)
				return true
			}
			for _, r := range resourceNames {
				used = append(used, id+r)
			}
		}
		return true
	})
	rows := BuiltIn()
	for _, k := range rows.kinds {
		require.NotEmpty(t, k.name.In("he"), k.id)
		if k.away.how != "" {
			used = append(used, k.away.how)
		}
		for _, s := range k.steps {
			used = append(used, "step-"+s.name)
		}
	}
	for _, r := range rows.rules {
		used = append(used, r.why)
	}
	for _, id := range used {
		for _, lang := range []string{"en", "he"} {
			require.NotEmpty(t, words()[id].In(lang), "%s in %s", id, lang)
		}
	}
	for id, text := range words() {
		page := strings.HasPrefix(id, "title-") || strings.HasPrefix(id, "day-") || slices.Contains([]string{"step-awake", "step-done", "step-idle"}, id)
		require.True(t, page || slices.Contains(used, id), "%s is not used", id)
		require.Equal(t, places(text.In("en")), places(text.In("he")), id)
	}
}

// places are the places for values in a sentence, in alphabetical order.
func places(s string) []string {
	var out []string
	for {
		_, after, ok := strings.Cut(s, "{")
		if !ok {
			slices.Sort(out)
			return out
		}
		name, rest, _ := strings.Cut(after, "}")
		out = append(out, name)
		s = rest
	}
}

// A plan for people says all of it: no id, and no place for a value, is left.
func TestText(t *testing.T) {
	k := household(t, append(whole(), Item{Kind: "pot", Side: Meat}, Item{Kind: "hot-plate", Sabbath: true}, Item{Kind: "cutlery"})...)
	k.Hands = 1
	k.Finish = at(t, k.Place, "2027-04-11 18:00")
	p, err := Make(k, nil, at(t, k.Place, "2027-04-05 20:00"))
	require.NoError(t, err)
	require.False(t, p.Fits)
	for _, lang := range []string{"en", "he"} {
		text := p.Text(lang)
		for id := range words() {
			if strings.Contains(id, "-") && !slices.ContainsFunc(k.Items, func(it Item) bool { return strings.Contains(it.Kind, id) }) && id != "hot-plate" {
				require.NotContains(t, strings.ReplaceAll(text, "self-clean-oven", ""), id+" ", lang)
			}
		}
		require.NotContains(t, text, "{", lang)
		for _, want := range []string{"title-misfit", "title-unfit", "title-minimal", "title-estimates"} {
			require.Contains(t, text, Say(lang, want))
		}
	}
	require.Equal(t, "no-such-id", Say("en", "no-such-id"))
	require.Equal(t, "put away: x", Say("en", OfferAway, "item", "x"))
}
