package paper

import (
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/approval"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/triage"
)

func linear(c float64) float64 {
	if c <= 0.04045 {
		return c / 12.92
	}
	return math.Pow((c+0.055)/1.055, 2.4)
}

var places = regexp.MustCompile(`\{[a-z]+\}`)

// Every language has the same sentences with the same places.
func TestLanguagesAgree(t *testing.T) {
	own, err := ownWords()
	require.NoError(t, err)
	require.Contains(t, own, spare)
	for lang, sentences := range own {
		require.Len(t, sentences, len(own[spare]), lang)
		for key, s := range own[spare] {
			other, ok := sentences[key]
			require.True(t, ok, "%s: %s", lang, key)
			require.NotEmpty(t, other, "%s: %s", lang, key)
			require.ElementsMatch(t, places.FindAllString(s, -1), places.FindAllString(other, -1), "%s: %s", lang, key)
		}
	}
}

// Every sentence that the code says is there, and none is there in vain.
func TestSentences(t *testing.T) {
	composed := map[string][]string{
		"purpose-": dialog.Purposes(),
		"custom-":  triage.Customs(),
		"verdict-": {dialog.Kasher, dialog.Cannot, dialog.WashOnly, dialog.NotNeeded, dialog.AskRabbi},
		"way-":     {dialog.AtHome, dialog.KasherDay, dialog.ByVisit, dialog.PutAway},
		"checked-": {"read", "memory", "none"},
		"month-":   {"1", "2", "3", "4", "5", "6", "7", "8", "9", "10", "11", "12"},
		"":         {string(approval.Approved), string(approval.Never), string(approval.LogicChanged), string(approval.WordsChanged)},
	}
	files, err := filepath.Glob("*.go")
	require.NoError(t, err)
	var code strings.Builder
	for _, f := range files {
		if !strings.HasSuffix(f, "_test.go") {
			raw, err := os.ReadFile(f)
			require.NoError(t, err)
			code.Write(raw)
		}
	}
	needed := map[string]bool{}
	for _, m := range regexp.MustCompile(`\.say\("([a-z0-9-]+)"([^a-z]?)`).FindAllStringSubmatch(code.String(), -1) {
		if strings.HasSuffix(m[1], "-") {
			require.Contains(t, composed, m[1], "a composed key that this test does not know")
			continue
		}
		needed[m[1]] = true
	}
	for _, m := range regexp.MustCompile(`\.count\("([a-z0-9-]+)"`).FindAllStringSubmatch(code.String(), -1) {
		needed[m[1]], needed[m[1]+"-one"] = true, true
	}
	for begin, ends := range composed {
		for _, end := range ends {
			if begin == "" {
				require.Contains(t, code.String(), ".say(string(approval.Judge(")
			} else {
				require.True(t, strings.Contains(code.String(), `.say("`+begin+`"`), "no code composes %q any more", begin)
			}
			needed[begin+end] = true
		}
	}
	own, err := ownWords()
	require.NoError(t, err)
	var unused []string
	for key := range own[spare] {
		name := strings.TrimPrefix(key, "paper-")
		if !needed[name] && !strings.Contains(code.String(), strconv.Quote(name)) && !strings.Contains(code.String(), strconv.Quote(strings.TrimSuffix(name, "-what"))) {
			unused = append(unused, key)
		}
	}
	slices.Sort(unused)
	require.Empty(t, unused)
	for key := range needed {
		require.Contains(t, own[spare], "paper-"+key)
	}
}

// A pack that words a sentence itself is followed, and a language that the paper does not know reads the spare one.
func TestPackWordsSentences(t *testing.T) {
	p := packOf(t, nil)
	w := must(wordsIn(p, "he"))
	require.Equal(t, "התחלה", w.say("start"))
	p.Sentences["he"]["paper-start"] = "כאן"
	require.Equal(t, "כאן", w.say("start"))
	w.own = map[string]map[string]string{spare: w.own[spare]}
	require.Equal(t, "Sheet 1 of 2", w.say("sheet", "n", 1, "most", 2))
	require.Equal(t, "paper-nothing", w.say("nothing"))
}
