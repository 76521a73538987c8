package paper

import (
	"encoding/xml"
	"errors"
	"io"
	"maps"
	"strings"
	"sync"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"benyomo/dialogs"
	"benyomo/internal/idea/dialog"
)

// builtIn is the program's own pack, read once.
var builtIn = sync.OnceValues(func() (*dialog.Pack, error) { return dialog.Load(dialogs.FS) })

func own(t testing.TB) *dialog.Pack {
	t.Helper()
	p, err := builtIn()
	require.NoError(t, err)
	return p
}

// madeUp is a pack of three kinds that has everything a drawing can show: a shared part that two of them use, a thing to do
// first, an intake, a start that is an outcome, several answers on one way, and text that is hostile to markup.
var madeUp = map[string]string{
	"languages.yaml": "languages:\n  - {code: en, name: English, direction: ltr}\n  - {code: he, name: עברית, direction: rtl}\n",
	"groups.yaml":    "groups:\n  - {id: all, name: {en: All things, he: הכול}}\n",
	"policy.yaml": `switches:
  - id: point
    about: {en: "A point <of> practice", he: "נקודה"}
    positions:
      - {id: lenient, label: {en: is lenient, he: מקל}, sources: [none]}
      - {id: strict, label: {en: is strict, he: מחמיר}, sources: [work]}
  - id: part-point
    about: {en: A point of the part, he: נקודת החלק}
    positions:
      - {id: a, label: {en: goes on, he: ממשיך}, sources: [none]}
      - {id: b, label: {en: ends, he: מסיים}, sources: [none]}
`,
	"sources.yaml": `sources:
  - {id: none, title: {en: no source, he: ללא מקור}, checked: none}
  - {id: work, title: {en: Work, he: חיבור}, section: {en: "1:2", he: "א, ב"}, checked: memory}
  - {id: book, title: {en: Book, he: ספר}, section: {en: "3", he: "ג"}, checked: read}
`,
	"methods.yaml":  "methods:\n  - {id: heat, hot: true, name: {en: heating, he: חימום}, gloss: {en: heating through, he: חימום לכל העובי}}\n  - {id: wash, name: {en: washing, he: שטיפה}, gloss: {en: with water, he: במים}}\n",
	"cautions.yaml": "cautions:\n  - {id: away, text: {en: Keep away., he: להתרחק.}}\n",
	"shared/needed.yaml": `shared: needed
exits: [go-on]
steps:
  - ask: needed
    text: {en: "Is it needed & wanted?", he: "נחוץ?"}
    why: {en: "Why needed.", he: "למה נחוץ."}
    answers:
      - {id: "yes", label: {en: "Needed", he: "נחוץ"}, to: part-point}
      - {id: "no", label: {en: "Not needed", he: "לא נחוץ"}, end: leave}
  - id: part-point
    switch: part-point
    positions:
      a: {exit: go-on}
      b: {end: leave}
outcomes:
  - {id: leave, whether: not-needed, method: wash, headline: {en: "Leave it.", he: "להניח."}, sources: [none]}
`,
	"kinds/thing.yaml": `kind: thing
name: {en: "Thing <b>", he: "דבר"}
group: all
aliases: {en: [zzalias], he: [זזכינויזז]}
first: {en: "Flame off.", he: "לכבות."}
start: {to: by-purpose}
uses:
  - {shared: needed, exits: {go-on: {to: point}}}
steps:
  - id: by-purpose
    purpose: {pesach: {to: needed}, from-nonkosher: {to: point}}
  - id: point
    switch: point
    positions:
      lenient: {end: rinse}
      strict: {to: size}
  - ask: size
    text: {en: "Which size has it?", he: "מה הגודל?"}
    why: {en: "It must fit.", he: "עליו להיכנס."}
    photo: true
    record: true
    answers:
      - {id: small, label: {en: "Small", he: "קטן"}, end: burn}
      - {id: middle, label: {en: "Middle", he: "בינוני"}, end: burn}
      - {id: large, label: {en: "Large", he: "גדול"}, end: ask}
    unsure:
      test: {en: "Measure it.", he: "למדוד."}
      holds: {en: "The rav sees it.", he: "הרב רואה."}
      end: ask
outcomes:
  - id: burn
    whether: kasher
    method: heat
    headline: {en: "Yes. Heat it.", he: "לחמם."}
    cautions: [away]
    steps: [{en: "Clean it.", he: "לנקות."}, {en: "Heat it through.", he: "לחמם היטב."}]
    timeline:
      - {wait: idle, minutes: 1440}
      - {heating: burn, minutes: 60, cool: 30, label: {en: "full heat", he: "חום מלא"}}
    ways: [home, visit]
    sources: [work, book]
  - id: rinse
    whether: wash
    method: wash
    headline: {en: "Wash it.", he: "לשטוף."}
    sources: [none]
  - id: ask
    whether: ask
    method: wash
    headline: {en: "The rav looks at it.", he: "הרב בודק."}
    sources: [none]
`,
	"kinds/other.yaml": `kind: other
name: {en: Other, he: אחר}
group: all
start: {to: needed}
uses:
  - {shared: needed, exits: {go-on: {end: rest}}}
outcomes:
  - {id: rest, whether: cannot, method: wash, headline: {en: "No.", he: "לא."}, instead: {en: "Buy one.", he: "לקנות."}, sources: [none]}
`,
	"kinds/plain.yaml": `kind: plain
name: {en: Plain, he: פשוט}
group: all
intake: true
urgent: true
start: {end: ask}
outcomes:
  - {id: ask, whether: ask, method: wash, headline: {en: "It goes to the rav.", he: "עובר לרב."}, sources: [none]}
`,
}

// packOf loads the made-up pack, with files put in the place of its own, and the program's own sentences.
func packOf(t testing.TB, changed map[string]string) *dialog.Pack {
	t.Helper()
	files := maps.Clone(madeUp)
	maps.Copy(files, changed)
	fsys := fstest.MapFS{}
	for name, text := range files {
		if text != "" {
			fsys[name] = &fstest.MapFile{Data: []byte(text)}
		}
	}
	for _, lang := range []string{"en", "he"} {
		raw, err := dialogs.FS.ReadFile("sentences/" + lang + ".yaml")
		require.NoError(t, err)
		fsys["sentences/"+lang+".yaml"] = &fstest.MapFile{Data: raw}
	}
	p, err := dialog.Load(fsys)
	require.NoError(t, err)
	return p
}

// element is an element of a page.
type element struct {
	name     string
	attr     map[string]string
	children []*element
	text     string // its own and that of all below it
}

// read parses XML, or HTML with closed elements. It fails on anything that is not well formed.
func read(t testing.TB, raw []byte, html bool) *element {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(string(raw)))
	if html {
		d.Strict, d.AutoClose, d.Entity = false, []string{"meta"}, xml.HTMLEntity
	}
	root := &element{}
	stack := []*element{root}
	var text strings.Builder // all of the page: each element's own is a slice of it
	begins := []int{0}
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
		top := stack[len(stack)-1]
		switch x := tok.(type) {
		case xml.StartElement:
			e := &element{name: x.Name.Local, attr: map[string]string{}}
			for _, a := range x.Attr {
				name := a.Name.Local
				if a.Name.Space != "" {
					name = a.Name.Space + ":" + name
				}
				e.attr[name] = a.Value
			}
			top.children = append(top.children, e)
			stack, begins = append(stack, e), append(begins, text.Len())
		case xml.EndElement:
			require.Equal(t, top.name, x.Name.Local, "elements are nested")
			top.text = text.String()[begins[len(begins)-1]:]
			stack, begins = stack[:len(stack)-1], begins[:len(begins)-1]
		case xml.CharData:
			text.Write(x)
		}
	}
	require.Len(t, stack, 1)
	root.text = text.String()
	return root
}

// each visits an element and all below it.
func (e *element) each(visit func(*element)) {
	visit(e)
	for _, c := range e.children {
		c.each(visit)
	}
}

// all lists the elements of a name.
func (e *element) all(name string) []*element {
	var out []*element
	e.each(func(x *element) {
		if x.name == name {
			out = append(out, x)
		}
	})
	return out
}

// byID finds an element.
func (e *element) byID(id string) *element {
	var out *element
	e.each(func(x *element) {
		if x.attr["id"] == id {
			out = x
		}
	})
	return out
}

// squeeze leaves the spaces out, which wrapping changes.
func squeeze(s string) string { return strings.Join(strings.Fields(s), "") }
