package paper

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/approval"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/wording"
)

var printed = time.Date(2045, 3, 29, 23, 30, 0, 0, time.FixedZone("west", -5*60*60))

// whole is the handbook of the built-in pack in all languages, written once.
var whole = sync.OnceValues(func() ([]byte, error) {
	p, err := builtIn()
	if err != nil {
		return nil, err
	}
	return Handbook(p, HandbookOptions{Community: "Kehillas Emek Rimon", Invented: true, Positions: p.Demo(), Now: printed})
})

func book(t *testing.T, p *dialog.Pack, o HandbookOptions) (raw []byte, root *element) {
	t.Helper()
	o.Now = printed
	raw, err := Handbook(p, o)
	require.NoError(t, err)
	return raw, read(t, raw, true)
}

// The page needs nothing from elsewhere, all its links lead somewhere, its ids are its own, its headings form an outline without gaps, and
// each part is in its language and direction (WCAG 2.2: 1.3.1 Info and Relationships, 2.4.1 Bypass Blocks, 2.4.2 Page Titled,
// 3.1.1 and 3.1.2 Language of Page and of Parts; from memory).
func TestHandbookIsWhole(t *testing.T) {
	p := own(t)
	raw, err := whole()
	require.NoError(t, err)
	root, page := read(t, raw, true), string(raw)
	require.NotRegexp(t, regexp.MustCompile(`(?i)<script|<link|<img|<iframe|\bsrc=|url\(|@import|\son[a-z]+=`), page)
	for _, address := range regexp.MustCompile(`[a-z]+://[^"\s<]+`).FindAllString(page, -1) {
		require.Equal(t, "http://www.w3.org/2000/svg", address, "a name, and no address")
	}

	ids := map[string]bool{}
	root.each(func(e *element) {
		if id := e.attr["id"]; id != "" {
			require.False(t, ids[id], "two places are called %s", id)
			ids[id] = true
		}
	})
	links := 0
	root.each(func(e *element) {
		for _, a := range []string{"href", "aria-labelledby", "aria-describedby"} {
			if to, ok := e.attr[a]; ok {
				links++
				require.True(t, ids[strings.TrimPrefix(to, "#")], "%s leads nowhere", to)
			}
		}
	})
	require.Greater(t, links, 1000)

	level, title := 0, 0
	root.each(func(e *element) {
		if len(e.name) == 2 && e.name[0] == 'h' && e.name[1] >= '1' && e.name[1] <= '5' {
			n := int(e.name[1] - '0')
			require.LessOrEqual(t, n, level+1, "heading %q", e.text)
			require.NotEmpty(t, strings.TrimSpace(e.text))
			level = n
			if n == 1 {
				title++
			}
		}
	})
	require.Equal(t, len(p.Languages), title)
	require.NotEmpty(t, root.all("title")[0].text)
	require.Len(t, root.all("main"), 1)

	html := root.all("html")[0]
	require.Equal(t, "en", html.attr["lang"])
	var sections []string
	root.each(func(e *element) {
		if e.attr["class"] == "volume" {
			sections = append(sections, e.attr["lang"]+" "+e.attr["dir"])
		}
	})
	require.Equal(t, []string{"en ltr", "he rtl"}, sections)
	require.Contains(t, page, "@page volume-he")
}

// Every kind is there with its picture, its questions whole and its outcomes as members read them, in every language.
func TestHandbookHoldsEverything(t *testing.T) {
	p := own(t)
	raw, err := whole()
	require.NoError(t, err)
	root := read(t, raw, true)
	sections := map[string]*element{} // the section that a heading begins
	root.each(func(e *element) {
		if len(e.children) > 0 && (e.name == "section" || e.name == "article") {
			if id := e.children[0].attr["id"]; id != "" {
				sections[id] = e
			}
		}
	})
	for _, l := range p.Languages {
		w := must(wordsIn(p, l.Code.S))
		members := wording.In(p, l.Code.S, time.UTC)
		for _, tree := range p.Trees {
			id := l.Code.S + "-kind-" + tree.Kind.S
			kind := sections[id]
			require.NotNil(t, kind, id)
			require.NotEmpty(t, kind.all("svg"))
			require.Contains(t, kind.text, tree.Logic())
			require.Contains(t, kind.text, tree.Words(l.Code.S))
			for _, s := range tree.Steps {
				at := sections[stepAnchor(id, s)]
				require.NotNil(t, at, stepAnchor(id, s))
				c := &chart{words: w, tree: tree}
				require.Contains(t, at.text, c.text(s))
				for _, e := range c.exits(s) {
					require.Contains(t, squeeze(at.text), squeeze(e.label))
				}
				require.Contains(t, squeeze(at.text), squeeze(w.text(s.Why)))
				if s.Unsure != nil {
					require.Contains(t, squeeze(at.text), squeeze(w.text(s.Unsure.Test)))
					require.Contains(t, squeeze(at.text), squeeze(w.text(s.Unsure.Holds)))
				}
			}
			for _, o := range tree.Outcomes.List {
				at := sections[outcomeAnchor(id, o)]
				require.NotNil(t, at, outcomeAnchor(id, o))
				for _, part := range members.Outcome(o) {
					require.Contains(t, squeeze(at.text), squeeze(part.Text))
				}
			}
		}
		for _, sw := range p.Switches {
			at := sections[l.Code.S+"-switch-"+sw.ID.S]
			require.NotNil(t, at, sw.ID.S)
			for _, pos := range sw.Positions {
				require.Contains(t, at.text, w.text(pos.Label))
			}
		}
	}
	require.NotRegexp(t, regexp.MustCompile(`paper-|\{[a-z]+\}`), root.text, "a sentence is missing or not filled")
}

func TestHandbookLeavesAliasesOut(t *testing.T) {
	raw, _ := book(t, packOf(t, nil), HandbookOptions{})
	require.NotContains(t, string(raw), "zzalias")
	require.NotContains(t, string(raw), "זזכינויזז")
}

func TestHandbookOfOneLanguage(t *testing.T) {
	_, root := book(t, packOf(t, nil), HandbookOptions{Lang: "he"})
	html := root.all("html")[0]
	require.Equal(t, "he rtl", html.attr["lang"]+" "+html.attr["dir"])
	require.Contains(t, root.text, "29 במרץ 2045", "the day of the given zone")
	require.NotContains(t, root.text, "Outcome 1")
	_, err := Handbook(packOf(t, nil), HandbookOptions{Lang: "fr"})
	require.EqualError(t, err, `write a handbook: language "fr": the dialogs do not have it`)
	_, err = Handbook(nil, HandbookOptions{})
	require.EqualError(t, err, "write a handbook: there are no dialogs")
}

// below is what stands in the section that a heading begins.
func below(t *testing.T, root *element, id string) string {
	t.Helper()
	var out *element
	root.each(func(e *element) {
		if len(e.children) > 0 && e.children[0].attr["id"] == id && (e.name == "section" || e.name == "article") {
			out = e
		}
	})
	require.NotNil(t, out, id)
	return strings.Join(strings.Fields(out.text), " ")
}

func TestHandbookSaysWhatIsPractised(t *testing.T) {
	p := packOf(t, nil)
	for name, tt := range map[string]struct {
		positions          approval.Positions
		want, none, answer string // of the point; what must not stand there; at the answer 'is strict'
	}{
		"not known": {nil, "Decides in: Thing <b>", "Practised here", "is strict → 5. Which size has it?is"},
		"not set":   {approval.Positions{}, "Practised here every custom: not set: asked of the rav", "Ashkenazi", ""},
		"one for all": {approval.Positions{"point": {"any": "strict"}}, "Practised here every custom: is strict", "not set",
			"is strict → 5. Which size has it? (practised here: every custom)"},
		"by custom": {approval.Positions{"point": {"ashkenazi": "strict", "sephardi": "lenient"}},
			"Practised here Ashkenazi: is strict Sephardi or Eastern: is lenient other customs: not set: asked of the rav", "every custom",
			"is strict → 5. Which size has it? (practised here: Ashkenazi)"},
		"under a default": {approval.Positions{"point": {"any": "strict", "sephardi": "lenient"}},
			"Ashkenazi: is strict Sephardi or Eastern: is lenient other customs: is strict", "not set", "(practised here: Ashkenazi, other customs)"},
		"a position that is gone": {approval.Positions{"point": {"any": "gone"}}, "every custom: not set: asked of the rav", "gone", ""},
	} {
		t.Run(name, func(t *testing.T) {
			_, root := book(t, p, HandbookOptions{Positions: tt.positions, Lang: "en"})
			got := below(t, root, "en-switch-point")
			require.Contains(t, got, tt.want)
			require.NotContains(t, got, tt.none)
			require.Contains(t, got, "is strict (Work 1:2 (from memory))")
			step := below(t, root, "en-kind-thing-s-point")
			if strings.HasSuffix(tt.answer, "?is") { // nothing is said of a practice
				require.NotContains(t, step, "practised")
			} else {
				require.Contains(t, step, tt.answer)
			}
			require.Equal(t, tt.positions == nil, strings.Contains(root.text, "made without the community's data"))
		})
	}
}

// The rabbi's approval is shown by its day, in the zone of the print, and never by who gave it.
func TestHandbookSaysWhatIsApproved(t *testing.T) {
	p := packOf(t, nil)
	const rabbi = 7007007
	at := time.Date(2045, 3, 2, 3, 0, 0, 0, time.UTC) // still the first in the zone of the print
	full := approval.Of(p.Tree("thing"), p, rabbi, at)
	logic, text := approval.Of(p.Tree("other"), p, rabbi, at), approval.Of(p.Tree("other"), p, rabbi, at)
	logic.Logic = "another"
	text.Words = map[string]string{"en": "another", "he": p.Tree("other").Words("he")}
	for name, tt := range map[string]struct {
		approvals map[string]approval.Approval
		kind      string
		en, he    string
		count     string
	}{
		"not known": {nil, "thing", "approval: not part of this print", "האישור אינו בהדפסה זו", ""},
		"never":     {map[string]approval.Approval{}, "thing", "not approved: goes to the rav first", "לא אושר: עובר תחילה לרב", "0 of 3 dialogs"},
		"approved":  {map[string]approval.Approval{"thing": full}, "thing", "approved 1 March 2045", "אושר: 1 במרץ 2045", "1 of 3 dialogs"},
		"logic": {map[string]approval.Approval{"other": logic}, "other", "changed since the approval of 1 March 2045: goes to the rav first",
			"השתנה מאז האישור, 1 במרץ 2045: עובר תחילה לרב", "0 of 3 dialogs"},
		"words": {map[string]approval.Approval{"other": text}, "other", "words changed since the approval of 1 March 2045: goes to the rav first",
			"אושר: 1 במרץ 2045", "0 of 3 dialogs"},
	} {
		t.Run(name, func(t *testing.T) {
			raw, root := book(t, p, HandbookOptions{Approvals: tt.approvals})
			require.Contains(t, below(t, root, "en-kind-"+tt.kind), "· "+tt.en)
			require.Contains(t, below(t, root, "he-kind-"+tt.kind), "· "+tt.he)
			require.Contains(t, below(t, root, "en-versions"), tt.en)
			require.Contains(t, root.text, tt.count)
			require.NotContains(t, string(raw), strconv.Itoa(rabbi))
		})
	}
}

func TestHandbookNamesSharedParts(t *testing.T) {
	p := packOf(t, nil)
	require.Equal(t, "needed", partOf(p.Tree("thing").Step("needed")))
	require.Equal(t, "needed", partOf(p.Tree("other").Outcome("leave")))
	require.Empty(t, partOf(p.Tree("thing").Step("size")))
	_, root := book(t, p, HandbookOptions{Lang: "en"})
	require.Equal(t, "needed Used by: Other, Thing <b> Is it needed & wanted? (with: Other) A point of the part (with: Other) Leave it. (with: Other)",
		below(t, root, "en-part-needed"))
	require.Contains(t, below(t, root, "en-kind-thing-s-needed"), "Asked alike of several kinds: needed")

	without := packOf(t, map[string]string{"shared/needed.yaml": "", "kinds/thing.yaml": "", "kinds/other.yaml": "",
		"policy.yaml": "switches: []\n"})
	_, root = book(t, without, HandbookOptions{Lang: "en"})
	require.Nil(t, root.byID("en-shared"))
}

func TestHandbookOfAnIntake(t *testing.T) {
	_, root := book(t, packOf(t, nil), HandbookOptions{Lang: "en"})
	got := below(t, root, "en-kind-plain")
	require.Contains(t, got, "only collects facts")
	require.Contains(t, got, "as urgent")
	require.Contains(t, below(t, root, "en-kind-thing"), "Before the first question: Flame off.")
}

func TestHandbookSaysHowSourcesWereChecked(t *testing.T) {
	_, root := book(t, packOf(t, nil), HandbookOptions{Lang: "en"})
	require.Contains(t, below(t, root, "en-sources"), "no sourceno published source Work 1:2cited from memory, not yet compared Book 3the text was read",
		"in the order of the pack")
}

// Words that look like markup, in the dialogs and in the community's name, stay words.
func TestHandbookEscapes(t *testing.T) {
	name := `</style><script>"a" & \b` + "\x00\x07"
	raw, root := book(t, packOf(t, nil), HandbookOptions{Community: name, Invented: true})
	require.NotContains(t, string(raw), "<script>")
	require.Equal(t, 1, strings.Count(string(raw), "</style>"))
	require.NotContains(t, string(raw), "\x00")
	require.Contains(t, root.text, `</style><script>"a" & \b`)
	require.Contains(t, root.text, "are invented, as an example")
	require.Contains(t, string(raw), "invented example", "on every printed page")
}

func TestHandbookIsDeterministic(t *testing.T) {
	p := packOf(t, nil)
	o := HandbookOptions{Positions: approval.Positions{"point": {"any": "strict", "sephardi": "lenient"}}}
	first, _ := book(t, p, o)
	for range 5 {
		again, _ := book(t, p, o)
		require.Equal(t, string(first), string(again))
	}
}

// Colours are readable on white: 4.5:1 for words, 3:1 for lines (WCAG 2.2, 1.4.3 and 1.4.11; the formula of relative luminance
// from memory).
func TestHandbookContrast(t *testing.T) {
	found := 0
	for _, m := range regexp.MustCompile(`(?m)([a-z-]+):[^;{}]*#([0-9a-f]{3}|[0-9a-f]{6})\b`).FindAllStringSubmatch(handbookStyle, -1) {
		if m[1] == "background" {
			require.Equal(t, "fff", m[2])
			continue
		}
		need := 3.0
		if m[1] == "color" {
			need = 4.5
		}
		require.GreaterOrEqual(t, onWhite(t, m[2]), need, m[0])
		found++
	}
	require.Greater(t, found, 5)
	require.InDelta(t, 21, onWhite(t, "000"), 0.01)
}

func onWhite(t *testing.T, hex string) float64 {
	if len(hex) == 3 {
		hex = fmt.Sprintf("%c%c%c%c%c%c", hex[0], hex[0], hex[1], hex[1], hex[2], hex[2])
	}
	n, err := strconv.ParseUint(hex, 16, 32)
	require.NoError(t, err)
	lum := 0.0
	for i, part := range []float64{0.2126, 0.7152, 0.0722} {
		lum += part * linear(float64(n>>(16-8*i)&255)/255)
	}
	return 1.05 / (lum + 0.05)
}
