package paper

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

// drawn are all built-in drawings, made once.
var drawn = sync.OnceValues(func() ([]*drawing, error) {
	p, err := builtIn()
	if err != nil {
		return nil, err
	}
	var out []*drawing
	for _, l := range p.Languages {
		for _, tree := range p.Trees {
			d, err := drawTree(p, tree, l.Code.S, Options{})
			if err != nil {
				return nil, err
			}
			out = append(out, d)
		}
	}
	return out, nil
})

func eachDrawing(t *testing.T, check func(t *testing.T, d *drawing)) {
	all, err := drawn()
	require.NoError(t, err)
	require.NotEmpty(t, all)
	for _, d := range all {
		t.Run(d.chart.words.Lang+" "+d.chart.tree.Kind.S, func(t *testing.T) { check(t, d) })
	}
}

// outline writes what a drawing shows, sheet by sheet: each symbol with its words, and where its lines lead.
func outlineOf(d *drawing) string {
	names := map[shape]string{noShape: "label", terminator: "terminator", process: "process", decision: "decision", preparation: "preparation",
		predefined: "predefined", connector: "connector"}
	var b strings.Builder
	for i, s := range d.sheets {
		fmt.Fprintf(&b, "sheet %d\n", i+1)
		for _, pp := range s.pieces {
			name := func(n node) string {
				var words []string
				for _, l := range n.lines {
					words = append(words, l.text)
				}
				if n.shape == connector {
					words = []string{d.letters[n.goes]}
				}
				bars := ""
				if n.bars {
					bars = ", bars"
				}
				return fmt.Sprintf("%s%s %q", names[n.shape], bars, strings.Join(words, " "))
			}
			for from, n := range pp.nodes {
				for _, l := range pp.links {
					if l.from == from {
						fmt.Fprintf(&b, "  %s -> %s\n", name(n), name(pp.nodes[l.to]))
					}
				}
			}
		}
	}
	return b.String()
}

// The symbols are those of ISO 5807:1985 (from memory): 'terminator', 'decision', 'preparation', 'predefined process',
// 'process'. Bars mark what kinds share.
func TestFlowchartOfAMadeUpKind(t *testing.T) {
	p := packOf(t, nil)
	for _, tt := range []struct{ kind, lang, want string }{
		{"thing", "en", `sheet 1
  terminator "Start Thing <b>" -> process "Flame off."
  process "Flame off." -> predefined "1. What is the kashering for?"
  predefined "1. What is the kashering for?" -> label "Pesach"
  predefined "1. What is the kashering for?" -> label "After non- kosher food"
  decision, bars "2. Is it needed & wanted?" -> label "Needed"
  decision, bars "2. Is it needed & wanted?" -> label "Not needed"
  preparation, bars "3. A point of the part" -> label "goes on"
  preparation, bars "3. A point of the part" -> label "ends"
  preparation "4. A point <of> practice" -> label "is lenient"
  preparation "4. A point <of> practice" -> label "is strict"
  decision "5. Which size has it?" -> label "• Small • Middle"
  decision "5. Which size has it?" -> label "• Large • Not sure"
  label "Pesach" -> decision, bars "2. Is it needed & wanted?"
  label "After non- kosher food" -> preparation "4. A point <of> practice"
  label "Needed" -> preparation, bars "3. A point of the part"
  label "Not needed" -> terminator "Outcome 4 no kashering needed Leave it."
  label "goes on" -> preparation "4. A point <of> practice"
  label "ends" -> terminator "Outcome 4 no kashering needed Leave it."
  label "is lenient" -> terminator "Outcome 2 washing is enough Wash it."
  label "is strict" -> decision "5. Which size has it?"
  label "• Small • Middle" -> terminator "Outcome 1 can be kashered Yes. Heat it."
  label "• Large • Not sure" -> terminator "Outcome 3 goes to the rav The rav looks at it."
`},
		{"plain", "he", `sheet 1
  terminator "התחלה פשוט" -> terminator "תוצאה 1 השאלה עוברת לרב עובר לרב."
`},
	} {
		d, err := drawTree(p, p.Tree(tt.kind), tt.lang, Options{})
		require.NoError(t, err)
		require.Equal(t, tt.want, outlineOf(d))
	}
}

func TestFlowchartFails(t *testing.T) {
	p := packOf(t, nil)
	_, err := Flowchart(p, p.Tree("thing"), "fr", Options{})
	require.EqualError(t, err, `draw thing: language "fr": the dialogs do not have it`)
	_, err = Flowchart(p, p.Tree("nothing"), "en", Options{})
	require.EqualError(t, err, "draw a flowchart: there is no tree")
}

// A sheet is a file by itself: well formed, in its language and direction, with title, content in words, versions, and no colour.
func TestSheetsAreWholeFiles(t *testing.T) {
	eachDrawing(t, func(t *testing.T, d *drawing) {
		w := d.chart.words
		for i := range d.sheets {
			root := read(t, d.svg(i), false).children[0]
			require.Equal(t, "svg", root.name)
			require.Equal(t, w.Lang, root.attr["lang"])
			require.Equal(t, map[string]string{"en": "ltr", "he": "rtl"}[w.Lang], root.attr["direction"])
			require.Len(t, root.all("title"), 1)
			require.NotEmpty(t, root.byID(root.attr["aria-labelledby"]).text)
			require.NotEmpty(t, root.byID(root.attr["aria-describedby"]).text)
			for _, part := range []string{w.text(d.chart.tree.Name), d.chart.tree.Logic(), d.chart.tree.Words(w.Lang), w.say("legend")} {
				require.Contains(t, root.text, part)
			}
			ids := map[string]bool{}
			root.each(func(e *element) {
				for _, paint := range []string{e.attr["fill"], e.attr["stroke"]} {
					require.Contains(t, []string{"", "none", "#000", "#fff"}, paint)
				}
				if id := e.attr["id"]; id != "" {
					require.False(t, ids[id])
					ids[id] = true
				}
			})
		}
	})
}

// Nothing is lost and nothing is drawn twice: each step once, each way out of it with all its answers, each outcome with its words.
func TestDrawingsAreComplete(t *testing.T) {
	eachDrawing(t, func(t *testing.T, d *drawing) {
		c := d.chart
		steps, ends := map[int]int{}, map[string]bool{}
		for _, s := range d.sheets {
			for _, pp := range s.pieces {
				next := map[int][]int{}
				for _, l := range pp.links {
					next[l.from] = append(next[l.from], l.to)
				}
				for i, n := range pp.nodes {
					if n.shape == terminator || n.shape == connector || n.shape == noShape || n.shape == process {
						continue
					}
					p := placeOf(c, n)
					require.NotNil(t, p, "a symbol stands for no step")
					steps[p.index]++
					require.Len(t, next[i], len(p.ways))
					for k, label := range next[i] {
						words, target := wordsOf(pp.nodes[label]), pp.nodes[next[label][0]]
						for _, l := range p.ways[k].labels {
							require.Contains(t, squeeze(words), squeeze(l))
						}
						switch way := p.ways[k]; {
						case way.end != nil:
							require.Contains(t, squeeze(wordsOf(target)), squeeze(c.words.text(way.end.Headline)))
							ends[way.end.ID] = true
						case target.shape == connector:
							require.Equal(t, way.to, target.goes)
							require.False(t, target.into)
						default:
							require.Equal(t, way.to, placeOf(c, target).index)
						}
					}
				}
			}
		}
		require.Len(t, steps, len(c.places))
		for _, n := range steps {
			require.Equal(t, 1, n)
		}
		if c.start.end != nil {
			ends[c.start.end.ID] = true
		}
		require.Len(t, ends, len(c.tree.Outcomes.List))
		require.Len(t, c.places, len(c.tree.Steps))
	})
}

func wordsOf(n node) string {
	var b strings.Builder
	for _, l := range n.lines {
		b.WriteString(l.text + " ")
	}
	return b.String()
}

func placeOf(c *chart, n node) *place {
	number, _, _ := strings.Cut(n.lines[0].text, ".")
	for _, p := range c.places {
		if fmt.Sprint(p.index+1) == number {
			return p
		}
	}
	return nil
}

// Each letter stands once where it goes on, and at least once where it is cut; and the sheets named are the right ones.
func TestConnectorsMeet(t *testing.T) {
	cuts := 0
	eachDrawing(t, func(t *testing.T, d *drawing) {
		in, out := map[string][]int{}, map[string][]int{}
		for i, s := range d.sheets {
			for _, pp := range s.pieces {
				for _, n := range pp.nodes {
					if n.shape != connector {
						continue
					}
					cuts++
					letter := d.letters[n.goes]
					require.NotEmpty(t, letter)
					if n.into {
						in[letter] = append(in[letter], i)
					} else {
						out[letter] = append(out[letter], i)
						if len(d.sheets) > 1 {
							require.Equal(t, d.chart.words.say("to-sheet", "n", d.on[n.goes]+1), d.reference(n))
						}
					}
				}
			}
		}
		require.Len(t, out, len(in))
		for letter, at := range in {
			require.Len(t, at, 1)
			require.NotEmpty(t, out[letter])
			for goes, l := range d.letters {
				if l == letter {
					require.Equal(t, at[0], d.on[goes])
					from := slices.Compact(slices.Sorted(slices.Values(out[letter])))
					if len(d.sheets) > 1 {
						var numbers []string
						for _, f := range from {
							numbers = append(numbers, fmt.Sprint(f+1))
						}
						require.Equal(t, d.chart.words.say("from-sheet", "n", strings.Join(numbers, ", ")), d.reference(node{box: box{shape: connector, goes: goes, into: true}}))
					}
				}
			}
		}
	})
	require.Positive(t, cuts)
}

// Boxes do not lie over each other, words stay in their boxes, all stays on the sheet, and nothing is drawn so small that it
// could not be read: 12.5 units of 0.22 mm are 8 point.
func TestDrawingsAreLegible(t *testing.T) {
	eachDrawing(t, func(t *testing.T, d *drawing) {
		for _, s := range d.sheets {
			var all []([4]float64)
			for _, pp := range s.pieces {
				require.GreaterOrEqual(t, pp.scale, 0.9)
				left := pp.at.x + (sheetWidth-s.rows[pp.row].w)/2
				for _, n := range pp.nodes {
					x, y := left+n.at.x*pp.scale, pp.at.y+n.at.y*pp.scale
					w, h := n.w*pp.scale, n.h*pp.scale
					r := [4]float64{x - w/2, y - h/2, x + w/2, y + h/2}
					require.True(t, r[0] >= -1 && r[1] >= -1 && r[2] <= sheetWidth+1 && r[3] <= sheetHeight+1, "%v leaves the sheet", r)
					for _, o := range all {
						require.False(t, r[0] < o[2]-1 && o[0] < r[2]-1 && r[1] < o[3]-1 && o[1] < r[3]-1, "%v lies over %v", r, o)
					}
					all = append(all, r)
					high := 0.0
					for _, l := range n.lines {
						require.LessOrEqual(t, l.face.width(l.text), n.w)
						high += l.face.height()
					}
					require.LessOrEqual(t, high, n.h)
				}
				for _, l := range pp.links { // a line begins under its box and ends on the next
					from, to := pp.nodes[l.from], pp.nodes[l.to]
					require.InDelta(t, from.at.y+from.h/2, l.curve[0].y, 1.5)
					require.InDelta(t, from.at.x, l.curve[0].x, 1.5)
					require.InDelta(t, to.at.y-to.h/2, l.curve[len(l.curve)-1].y, 1.5)
					require.InDelta(t, to.at.x, l.curve[len(l.curve)-1].x, 1.5)
				}
			}
		}
	})
}

// The bytes depend on nothing but the tree, the language and the options: not on what was drawn before, nor by how many at once.
func TestFlowchartIsDeterministic(t *testing.T) {
	p := own(t)
	draw := func(kind, lang string) []byte {
		sheets, err := Flowchart(p, p.Tree(kind), lang, Options{})
		require.NoError(t, err)
		return bytes.Join(sheets, nil)
	}
	first := draw("pot", "he")
	draw("oven", "en")
	require.Equal(t, string(first), string(draw("pot", "he")))
	var wait sync.WaitGroup
	var got [4][]byte
	for i := range got {
		wait.Go(func() { got[i] = draw("pot", "he") })
	}
	wait.Wait()
	for _, g := range got {
		require.Equal(t, string(first), string(g))
	}
}

// A chain that is longer than a sheet, and a question whose ends are wider than one, are cut and spread.
func TestLargeTrees(t *testing.T) {
	const headline = "A headline of some length, such as many outcomes have, which tells what is to be done first and what then."
	var long, wide strings.Builder
	long.WriteString("kind: plain\nname: {en: Plain, he: פשוט}\ngroup: all\nstart: {to: q0}\nsteps:\n")
	const links = 40
	for i := range links {
		next := fmt.Sprintf("to: q%d", i+1)
		if i == links-1 {
			next = "end: b"
		}
		fmt.Fprintf(&long, "  - ask: q%d\n    text: {en: \"Question of the chain %d?\", he: ש}\n    why: {en: W, he: ל}\n    answers:\n      - {id: x, label: {en: Yes, he: כן}, %s}\n      - {id: y, label: {en: No, he: לא}, end: a}\n", i, i, next)
	}
	long.WriteString("outcomes:\n")
	for _, o := range []string{"a", "b"} {
		fmt.Fprintf(&long, "  - {id: %s, whether: ask, method: wash, headline: {en: \"Ask %s.\", he: ת}, sources: [none]}\n", o, o)
	}
	wide.WriteString("kind: plain\nname: {en: Plain, he: פשוט}\ngroup: all\nstart: {to: q}\nsteps:\n  - ask: q\n    text: {en: Which?, he: מה?}\n    why: {en: W, he: ל}\n    answers:\n")
	for i := range 6 {
		fmt.Fprintf(&wide, "      - {id: x%d, label: {en: \"A rather long answer, number %d\", he: ת}, end: o%d}\n", i, i, i)
	}
	wide.WriteString("outcomes:\n")
	for i := range 6 {
		fmt.Fprintf(&wide, "  - {id: o%d, whether: ask, method: wash, headline: {en: \"%s %d\", he: ת}, sources: [none]}\n", i, headline, i)
	}
	for name, text := range map[string]string{"long": long.String(), "wide": wide.String()} {
		t.Run(name, func(t *testing.T) {
			p := packOf(t, map[string]string{"kinds/plain.yaml": text})
			d, err := drawTree(p, p.Tree("plain"), "en", Options{})
			require.NoError(t, err)
			require.Equal(t, name == "long", len(d.sheets) > 1)
			for _, s := range d.sheets {
				for _, pp := range s.pieces {
					require.GreaterOrEqual(t, pp.scale, 0.9)
				}
			}
		})
	}
}

func must[T any](x T, err error) T {
	if err != nil {
		panic(err)
	}
	return x
}

// Where a page gives the words, boxes lead to them, and heading and legend are the page's.
func TestBareSheets(t *testing.T) {
	p := packOf(t, nil)
	sheets, err := Flowchart(p, p.Tree("thing"), "en", Options{Bare: true, Anchor: "here"})
	require.NoError(t, err)
	require.Len(t, sheets, 1)
	root := read(t, sheets[0], false)
	var links []string
	for _, a := range root.all("a") {
		links = append(links, a.attr["href"])
	}
	require.ElementsMatch(t, []string{"#here-s-by-purpose", "#here-s-needed", "#here-s-part-point", "#here-s-point", "#here-s-size",
		"#here-o-burn", "#here-o-rinse", "#here-o-ask", "#here-o-leave"}, links)
	require.NotContains(t, root.text, "Symbols")
	require.NotContains(t, root.text, p.Tree("thing").Logic())
}

func TestLetters(t *testing.T) {
	p := packOf(t, nil)
	en, he := must(wordsIn(p, "en")), must(wordsIn(p, "he"))
	require.Equal(t, []string{"A", "Z", "AA", "AB", "BA"}, []string{en.letter(0), en.letter(25), en.letter(26), en.letter(27), en.letter(52)})
	require.Equal(t, []string{"א", "ת", "אא"}, []string{he.letter(0), he.letter(21), he.letter(22)})
}

func BenchmarkFlowchart(b *testing.B) {
	p := own(b)
	for b.Loop() {
		_, err := Flowchart(p, p.Tree("pot"), "en", Options{})
		require.NoError(b, err)
	}
}
