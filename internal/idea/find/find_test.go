package find_test

import (
	"reflect"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/find"
)

// shelf is a made-up pack of three kinds.
func shelf(t *testing.T) *dialog.Pack {
	t.Helper()
	p, err := dialog.Load(shelfFiles())
	require.NoError(t, err)
	return p
}

func shelfFiles() fstest.MapFS {
	fsys := fstest.MapFS{}
	for name, text := range map[string]string{
		"languages.yaml":    "languages:\n  - {code: en, name: English, direction: ltr}\n  - {code: he, name: עברית, direction: rtl}\n",
		"groups.yaml":       "groups:\n  - {id: all, name: {en: All, he: הכול}}\n",
		"policy.yaml":       "switches: []\n",
		"sources.yaml":      "sources:\n  - {id: src, title: {en: S, he: מ}, checked: none}\n",
		"methods.yaml":      "methods:\n  - {id: m, name: {en: M, he: ש}, gloss: {en: G, he: ה}}\n",
		"cautions.yaml":     "cautions: []\n",
		"find.yaml":         "groups:\n  prefixes: {he: [ו, ה, ב, ל, מ, ש, כ]}\n  endings: {en: [s]}\n",
		"sentences/en.yaml": "one: One\n",
		"sentences/he.yaml": "one: אחד\n",
		"kinds/oven.yaml":   kind("oven", "Oven", "תנור", "[cooker, self clean oven]", "[אח]"),
		"kinds/pot.yaml":    kind("pot", "Pot", "סיר", "[saucepan]", "[סיר מרק, 'סוטאז׳']"),
		"kinds/rack.yaml":   kind("rack", "Oven rack", "רשת", "[]", "[]"),
	} {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return fsys
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
		{"oven rack", "rack"},         // the longer name is meant
		{"a pot and an oven", "pot oven"},
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
		{"סיר תנור ורשת", "pot oven rack"},
	} {
		require.Equal(t, c.want, strings.Join(find.New(p).Find(c.text).Names(), " "), "%q", c.text)
	}
}

// Every name and alias of the built-in dialogs, in every language, finds its kind: in capitals, in a question about kashering,
// and in Hebrew with the letters that are written together with a noun.
func TestBuiltInNamesFindTheirKind(t *testing.T) {
	p := builtIn(t)
	f := find.New(p)
	seen := 0
	for _, tree := range p.Trees {
		for _, l := range p.Languages {
			for _, a := range append([]dialog.Word{tree.Name[l.Code.S]}, tree.Aliases[l.Code.S]...) {
				if tree.Intake && tree.Kind.S != find.Other {
					continue // what happened is told by more than one phrase: see the texts of testdata/find
				}
				texts := []string{strings.ToUpper(a.S), "How is it kashered, " + a.S + "?"}
				if first, _, _ := strings.Cut(a.S, " "); l.Code.S == "he" && len([]rune(first)) > 3 {
					texts = append(texts, "להכשיר את וב"+a.S+".")
				}
				for _, text := range texts {
					require.Contains(t, f.Find(text).Names(), tree.Kind.S, "%q", text)
				}
				seen++
			}
		}
	}
	require.Greater(t, seen, 100)
}

// What is recognised beside the kinds.
func TestRecognised(t *testing.T) {
	f := find.New(builtIn(t))
	for _, c := range []struct {
		text string
		want find.Result
	}{
		{"my sink, meat to dairy", find.Result{Purpose: dialog.MeatDairy, Lang: "en"}},
		{"הכיור לפסח", find.Result{Purpose: dialog.Pesach, Lang: "he"}},
		{"the previous owners weren't Jewish, what about the sink", find.Result{Purpose: dialog.NonKosher, Lang: "en"}},
		{"milk dripped into the chicken soup in the pot", find.Result{MixUp: true, Lang: "en"}}, // a mix-up is no change of sides
		{"good morning!", find.Result{Greeting: true, Lang: "en"}},
		{"בוקר טוב", find.Result{Greeting: true, Lang: "he"}},
		{"good morning, my sink", find.Result{Lang: "en"}},
		{"", find.Result{}},
		{"???", find.Result{}},
	} {
		got := f.Find(c.text)
		got.Kinds = nil
		require.Equal(t, c.want, got, c.text)
	}
	require.Equal(t, find.MixUp, f.Find("milk dripped into the chicken soup in the pot").Kinds[0].Kind, "it is offered first")
	require.Empty(t, f.Find("does anyone have a recipe for the oven").Kinds)
	require.ElementsMatch(t, []string{"gas-stovetop", "electric-coil-stovetop", "glass-stovetop", "induction-stovetop"}, f.Find("hob").Names())
	require.Equal(t, []string{"gas-stovetop"}, f.Find("hob, it is gas").Names(), "a hint narrows")
}

// Long and hostile texts are read up to a bound, and cost little.
func TestLongTexts(t *testing.T) {
	f := find.New(builtIn(t))
	for _, text := range []string{
		strings.Repeat("oven ", 20_000), strings.Repeat("a", 100_000), strings.Repeat("ובבתנור ", 12_000), strings.Repeat("ששששש", 20_000),
		strings.Repeat("\xff", 100_000), strings.Repeat("😀", 25_000), strings.Repeat("הוובבל ", 15_000), strings.Repeat("qzxv ", 20_000),
		strings.Repeat("e\u0301", 30_000), "oven" + strings.Repeat("\n", 100_000) + "sink",
	} {
		require.LessOrEqual(t, len(f.Find(text).Kinds), 60)
	}
	require.Equal(t, []string{"oven"}, f.Find(strings.Repeat("oven ", 20_000)).Names())
	require.Equal(t, []string{"oven"}, f.Find("oven"+strings.Repeat("\n", 100_000)+"sink").Names(), "nobody names a kitchen so late")
}

// Many callers at once get what one gets.
func TestManyAtOnce(t *testing.T) {
	f := find.New(builtIn(t))
	texts := read(t, "develop.tsv")
	want := make([]find.Result, len(texts))
	for i, l := range texts {
		want[i] = f.Find(l.text)
	}
	var all sync.WaitGroup
	same := make([]bool, 4)
	for n := range same {
		all.Go(func() {
			same[n] = true
			for i, l := range texts {
				same[n] = same[n] && reflect.DeepEqual(want[i], f.Find(l.text))
			}
		})
	}
	all.Wait()
	require.NotContains(t, same, false)
}

// Nothing that a person types is too strange.
func FuzzFind(f *testing.F) {
	p := builtIn(f)
	finder := find.New(p)
	for _, s := range []string{"", "oven", "התנור", "ובבתנור", " תנור", "\xff\xfeתנור", "e\u0301 oven", "תנורתנור תנור", "🍲 סיר", "ovenתנור", "milk fell in the pot", "ſtove", "İoven"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		r := finder.Find(s)
		seen := map[string]bool{}
		for i, k := range r.Kinds {
			require.NotNil(t, p.Tree(k.Kind))
			require.False(t, seen[k.Kind], "%s stands twice", k.Kind)
			seen[k.Kind] = true
			require.Greater(t, k.Score, 0.0)
			if i > 0 {
				require.LessOrEqual(t, k.Score, r.Kinds[i-1].Score)
			}
		}
		require.Contains(t, append(dialog.Purposes(), ""), r.Purpose)
	})
}

func BenchmarkFind(b *testing.B) {
	f := find.New(builtIn(b))
	for name, text := range map[string]string{
		"short":   "can i koser my ceramic hob 4 pesach",
		"long":    strings.Repeat("we moved in with my late aunt and there is an ovn, two sinks, a diswasher and the hob which nobody cleaned ", 4),
		"hostile": strings.Repeat("qzxvbnm ושוהבלכמ ", 6_000),
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				f.Find(text)
			}
		})
	}
}

func BenchmarkNew(b *testing.B) {
	p := builtIn(b)
	for b.Loop() {
		find.New(p)
	}
}
