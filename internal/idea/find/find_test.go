package find_test

import (
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"benyomo/dialogs"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/find"
)

// shelf is a made-up pack of three kinds.
func shelf(t *testing.T) *dialog.Pack {
	t.Helper()
	fsys := fstest.MapFS{}
	for name, text := range map[string]string{
		"languages.yaml":    "languages:\n  - {code: en, name: English, direction: ltr}\n  - {code: he, name: עברית, direction: rtl}\n",
		"groups.yaml":       "groups:\n  - {id: all, name: {en: All, he: הכול}}\n",
		"policy.yaml":       "switches: []\n",
		"sources.yaml":      "sources:\n  - {id: src, title: {en: S, he: מ}, checked: none}\n",
		"methods.yaml":      "methods:\n  - {id: m, name: {en: M, he: ש}, gloss: {en: G, he: ה}}\n",
		"cautions.yaml":     "cautions: []\n",
		"sentences/en.yaml": "one: One\n",
		"sentences/he.yaml": "one: אחד\n",
		"kinds/oven.yaml":   kind("oven", "Oven", "תנור", "[cooker, self clean oven]", "[אח]"),
		"kinds/pot.yaml":    kind("pot", "Pot", "סיר", "[saucepan]", "[סיר מרק, 'סוטאז׳']"),
		"kinds/rack.yaml":   kind("rack", "Oven rack", "רשת", "[]", "[]"),
	} {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	p, err := dialog.Load(fsys)
	require.NoError(t, err)
	return p
}

func kind(id, en, he, aliasesEn, aliasesHe string) string {
	return "kind: " + id + "\nname: {en: " + en + ", he: " + he + "}\ngroup: all\naliases: {en: " + aliasesEn + ", he: " + aliasesHe + "}\n" +
		"start: {end: x}\noutcomes:\n  - {id: x, whether: wash, method: m, headline: {en: H, he: כ}, sources: [src]}\n"
}

func TestKinds(t *testing.T) {
	p := shelf(t)
	for _, c := range []struct{ text, want string }{
		{"", ""},
		{"   \n", ""},
		{"?!… 🙂", ""},
		{"something else", ""},
		{"oven", "oven"},
		{"How do I kasher my OVEN?", "oven"},
		{"(oven)", "oven"},
		{"two ovens, please", "oven"},
		{"the oven's door", "oven"}, // apostrophes are dropped
		{"ovenproof", ""},           // a word, not a piece of one
		{"proven", ""},
		{"self-clean oven", "oven"},   // a hyphen is a space
		{"Self  clean\noven", "oven"}, // and so is any gap
		{"oven rack", "rack oven"},    // the longest match first
		{"a pot and an oven", "oven pot"},
		{"pot, saucepan", "pot"}, // once, though twice named
		{"תנור", "oven"},
		{"איך מכשירים את התנור שלי?", "oven"},
		{"ולתנור", "oven"}, // up to three letters are written together with a noun
		{"שבתנור", "oven"},
		{"ושמהתנור", ""},     // four are another word
		{"גתנור", ""},        // and so are other letters
		{"תַּנּוּר", "oven"}, // points do not count
		{"סיר מרק", "pot"},
		{"בסיר־מרק", "pot"}, // a maqaf is a space
		{"סוטאז'", "pot"},   // whatever mark stands for the geresh
		{"הסוטאז׳ הגדול", "pot"},
		{"אח", "oven"}, // a short word alone
		{"באח", ""},    // with a prefix it could be anything
		{"oven או סיר", "oven pot"},
		{"התנור והסיר", "oven pot"},
		{"סיר תנור ורשת", "oven pot rack"},
	} {
		require.Equal(t, c.want, strings.Join(find.Kinds(p, c.text), " "), "%q", c.text)
	}
}

// Every name and alias of the built-in dialogs, in every language, finds its kind: as it is, in capitals, in a sentence, and
// in Hebrew with the letters that are written together with a noun.
func TestBuiltInNamesFindTheirKind(t *testing.T) {
	p, err := dialog.Load(dialogs.FS)
	require.NoError(t, err)
	seen := 0
	for _, tree := range p.Trees {
		for _, l := range p.Languages {
			for _, a := range append([]dialog.Word{tree.Name[l.Code.S]}, tree.Aliases[l.Code.S]...) {
				texts := []string{strings.ToUpper(a.S), "x «" + a.S + "»? y"}
				if l.Code.S == "he" && len([]rune(a.S)) > 3 {
					texts = append(texts, "את וב"+a.S+".")
				}
				for _, text := range texts {
					require.Contains(t, find.Kinds(p, text), tree.Kind.S, "%q", text)
				}
				seen++
			}
		}
	}
	require.Greater(t, seen, 100)
}

// Nothing that a person types is too strange.
func FuzzKinds(f *testing.F) {
	p, err := dialog.Load(dialogs.FS)
	require.NoError(f, err)
	for _, s := range []string{"", "oven", "התנור", "ובבתנור", " תנור", "\xff\xfeתנור", "e\u0301 oven", "תנורתנור תנור", "🍲 סיר"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		seen := map[string]bool{}
		for _, k := range find.Kinds(p, s) {
			require.NotNil(t, p.Tree(k))
			require.False(t, seen[k], "%s stands twice", k)
			seen[k] = true
		}
	})
}
