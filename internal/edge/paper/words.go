package paper

import (
	"embed"
	"fmt"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/goccy/go-yaml"

	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/wording"
)

// The sentences of the paper are kept here as YAML, one file a language. A pack that has a sentence of the same key is
// followed instead, so that a community can word it, and add a language, without a program being changed.
//
//go:embed words/*.yaml
var wordFiles embed.FS

var ownWords = sync.OnceValues(func() (map[string]map[string]string, error) {
	out := map[string]map[string]string{}
	files, err := wordFiles.ReadDir("words")
	if err != nil {
		return nil, fmt.Errorf("list the sentences of the paper: %w", err)
	}
	for _, f := range files {
		raw, err := wordFiles.ReadFile("words/" + f.Name())
		if err != nil {
			return nil, fmt.Errorf("read the sentences of the paper: %w", err)
		}
		m := map[string]string{}
		if err := yaml.UnmarshalWithOptions(raw, &m, yaml.Strict()); err != nil {
			return nil, fmt.Errorf("read the sentences of the paper, %s: %w", f.Name(), err)
		}
		out[strings.TrimSuffix(f.Name(), ".yaml")] = m
	}
	return out, nil
})

// spare is the language of a sentence that has no words in the one asked for.
const spare = "en"

// words says the sentences of one language.
type words struct {
	wording.Words
	pack *dialog.Pack
	own  map[string]map[string]string
}

// wordsIn returns the words of a language of the pack.
func wordsIn(p *dialog.Pack, lang string) (words, error) {
	if !p.HasLanguage(lang) {
		return words{}, fmt.Errorf("language %q: the dialogs do not have it", lang)
	}
	own, err := ownWords()
	if err != nil {
		return words{}, err
	}
	return words{Words: wording.In(p, lang, time.UTC), pack: p, own: own}, nil
}

// say fills the sentence "paper-"+key. Values come in pairs: name, value.
func (w words) say(key string, pairs ...any) string {
	key = "paper-" + key
	if w.Has(key) {
		return w.Say(key, pairs...)
	}
	s, ok := w.own[w.Lang][key]
	if !ok {
		if s, ok = w.own[spare][key]; !ok {
			return key
		}
	}
	fill := make([]string, 0, len(pairs))
	for i := 0; i+1 < len(pairs); i += 2 {
		fill = append(fill, "{"+fmt.Sprint(pairs[i])+"}", fmt.Sprint(pairs[i+1]))
	}
	return strings.NewReplacer(fill...).Replace(s)
}

// count says KEY-one for one, else KEY with {n}.
func (w words) count(key string, n int) string {
	if n == 1 {
		return w.say(key + "-one")
	}
	return w.say(key, "n", n)
}

func (w words) rtl() bool { return w.pack.RightToLeft(w.Lang) }

// direction is the value of `dir` and `direction`.
func (w words) direction() string {
	if w.rtl() {
		return "rtl"
	}
	return "ltr"
}

// text is a text of the dialogs.
func (w words) text(t dialog.Text) string { return t.In(w.Lang) }

// date is a civil day.
func (w words) date(t time.Time) string {
	return w.say("date", "day", t.Day(), "month", w.say("month-"+strconv.Itoa(int(t.Month()))), "year", t.Year())
}

// letter names a connector: A, B … Z, then AA, AB …, in the alphabet of the language.
func (w words) letter(i int) string {
	alphabet := []rune(w.say("alphabet"))
	s := ""
	for i++; i > 0; i = (i - 1) / len(alphabet) {
		s = string(alphabet[(i-1)%len(alphabet)]) + s
	}
	return s
}
