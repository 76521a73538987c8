package triage_test

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/dialogs"
	"benyomo/internal/idea/approval"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/triage"
)

// codesFolder holds, for each kind, cases with what the published codes say of them. A row names its source; one without a
// published source says so. Positions override those of the invented community; facts and positions are joined by ';'. The
// outcome is the id of the end that the source demands of all that the kind can say, found by reading what each says; or the
// reason of a referral, where facts that nobody knows leave the end open.
const codesFolder = "../../../testdata/codes"

var codesHeader = []string{"kind", "purpose", "custom", "positions", "facts", "whether", "method", "minutes", "outcome", "source", "note"}

// Least numbers of cases: for a small kind, and of those in all kinds together that are clauses of a published code.
const (
	minCodes   = 3
	minClauses = 80
)

// noSource is the confession that a case rests on no published source.
const noSource = "common practice, no source"

// citeShape is a source: works by their section, several joined by "; ", or the confession that there is none. OC and YD are
// the parts of the Shulchan Aruch, with its glosses; MA and MB its commentaries; AZ and Pesachim tractates.
var citeShape = regexp.MustCompile(`^(?:(?:OC|YD|MA|MB) \d+:\d+(?:-\d+)?(?: (?:SA|Rema|s\.v\. \w+))?|(?:AZ|Pesachim) \d+[ab])(?:; (?:(?:OC|YD|MA|MB) \d+:\d+(?:-\d+)?(?: (?:SA|Rema|s\.v\. \w+))?|(?:AZ|Pesachim) \d+[ab]))*$|^common practice, no source$`)

// load reads the built-in dialogs once: nothing changes them.
var load = sync.OnceValues(func() (*dialog.Pack, error) { return dialog.Load(dialogs.FS) })

func builtIn(t testing.TB) *dialog.Pack {
	t.Helper()
	p, err := load()
	require.NoError(t, err)
	return p
}

// listed reads "a=x;b=y".
func listed(t *testing.T, s string) map[string]string {
	t.Helper()
	m := map[string]string{}
	if s == "" {
		return m
	}
	for _, w := range strings.Split(s, ";") {
		k, v, ok := strings.Cut(w, "=")
		require.True(t, ok, "%q is no pair", w)
		require.NotContains(t, m, k, "%q stands twice", k)
		m[k] = v
	}
	return m
}

// demo is the invented community as a household of the custom sees it, with other positions in the place of some.
func demo(p *dialog.Pack, custom string, other map[string]string) triage.Lookup {
	base := approval.Positions(p.Demo()).Lookup(custom)
	return func(id string) (string, bool) {
		if pos, ok := other[id]; ok {
			return pos, true
		}
		return base(id)
	}
}

// lengths writes the stages of a timeline as the table does: 1440+45.
func lengths(o *dialog.Outcome) string {
	parts := make([]string, len(o.Timeline))
	for i, s := range o.Timeline {
		parts[i] = strconv.Itoa(s.Minutes)
	}
	return strings.Join(parts, "+")
}

// verdict is what a row says of an end: whether, by which method, how long.
func verdict(o *dialog.Outcome) string {
	return o.Whether.S + ", " + o.Method.S + ", " + lengths(o)
}

// toRabbi is the verdict of a row by which the rabbi is asked.
const toRabbi = dialog.AskRabbi + ", rabbi, "

// claim is a row made ready to be walked.
type claim struct {
	purpose string
	facts   triage.Facts
	lookup  triage.Lookup
	want    string // a verdict with the end that gives it
}

// told writes what a row demands: a verdict, and by which end.
func told(verdict, end string) string { return verdict + ": " + end }

// comes is what the walk of the claim through the tree comes to, as told; else what went wrong. The rabbi is asked where the
// tree ends with him and where unknown facts leave the end open, but not where a position is unset or a purpose missing.
func (c claim) comes(tree *dialog.Tree) string {
	r := triage.Walk(tree, c.purpose, c.facts, c.lookup)
	switch {
	case r.Question != nil:
		return "the facts leave open: " + r.Question.Ask.S
	case len(r.Path) != len(c.facts):
		return fmt.Sprintf("not every fact is used: %v", r.Path)
	case r.Outcome != nil:
		return told(verdict(r.Outcome), r.Outcome.ID)
	case r.Refer.Asks != nil:
		return told(verdict(r.Refer.Asks), r.Refer.Asks.ID)
	case r.Refer.Reason == triage.NotSure || r.Refer.Reason == triage.ThirdNotSure:
		return told(toRabbi, string(r.Refer.Reason))
	}
	return "referred: " + string(r.Refer.Reason)
}

// code is one row of a table, by column, with its place.
type code struct {
	cell map[string]string
	at   string
}

// codes reads all tables, by kind.
func codes(t *testing.T) map[string][]code {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(codesFolder, "*.csv"))
	require.NoError(t, err)
	all := map[string][]code{}
	for _, name := range files {
		f, err := os.Open(name)
		require.NoError(t, err)
		table, err := csv.NewReader(f).ReadAll()
		require.NoError(t, err, name)
		require.NoError(t, f.Close())
		require.Equal(t, codesHeader, table[0], name)
		kind := strings.TrimSuffix(filepath.Base(name), ".csv")
		for i, cells := range table[1:] {
			c := code{map[string]string{}, kind + "/" + strconv.Itoa(i+2)}
			for j, h := range codesHeader {
				c.cell[h] = cells[j]
			}
			require.Equal(t, kind, c.cell["kind"], c.at)
			all[kind] = append(all[kind], c)
		}
	}
	return all
}

// claim reads the row.
func (c code) claim(t *testing.T, p *dialog.Pack) claim {
	t.Helper()
	require.Contains(t, dialog.Purposes(), c.cell["purpose"], c.at)
	require.Contains(t, triage.Customs(), c.cell["custom"], c.at)
	other := listed(t, c.cell["positions"])
	for id, pos := range other {
		require.NotNil(t, p.Switch(id), "%s: switch %s", c.at, id)
		require.NotNil(t, p.Switch(id).Position(pos), "%s: position %s of %s", c.at, pos, id)
	}
	return claim{c.cell["purpose"], listed(t, c.cell["facts"]), demo(p, c.cell["custom"], other),
		told(c.cell["whether"]+", "+c.cell["method"]+", "+c.cell["minutes"], c.cell["outcome"])}
}

// enough is how many cases a kind needs at least: half as many as it has ends that rule.
func enough(tree *dialog.Tree) int {
	rulings := 0
	for _, o := range tree.Outcomes.List {
		if o.Whether.S != dialog.AskRabbi {
			rulings++
		}
	}
	return max(minCodes, (rulings+1)/2)
}

// The built-in dialogs, under the positions of a row, come to what its source says.
func TestPublishedCodes(t *testing.T) {
	p, all := builtIn(t), codes(t)
	for kind, rows := range all {
		require.NotNil(t, p.Tree(kind), "a table without a kind: %s", kind)
		said := map[string]bool{}
		for _, c := range rows {
			t.Run(c.at, func(t *testing.T) {
				require.Regexp(t, citeShape, c.cell["source"])
				require.NotEmpty(t, c.cell["note"], "the note says what the source says")
				key := fmt.Sprint(c.cell["purpose"], c.cell["custom"], c.cell["positions"], c.cell["facts"], c.cell["source"])
				require.False(t, said[key], "the row stands twice")
				said[key] = true
				row := c.claim(t, p)
				require.Equal(t, row.want, row.comes(p.Tree(kind)))
			})
		}
	}
	for _, tree := range p.Trees {
		require.GreaterOrEqual(t, len(all[tree.Kind.S]), enough(tree), "cases of %s", tree.Kind.S)
	}
}

// A good part of the cases are clauses of published codes and no mere practice.
func TestPublishedClauses(t *testing.T) {
	clauses, cases := map[string]bool{}, 0
	for _, rows := range codes(t) {
		for _, c := range rows {
			if c.cell["source"] != noSource {
				cases++
				for _, cite := range strings.Split(c.cell["source"], "; ") {
					clauses[cite] = true
				}
			}
		}
	}
	t.Logf("%d cases by %d clauses", cases, len(clauses))
	require.GreaterOrEqual(t, cases, minClauses)
}

// Together the cases come to every outcome of the built-in dialogs by which something is used again: none is unjudged.
func TestCodesReachEveryPermission(t *testing.T) {
	p := builtIn(t)
	met := map[string]bool{}
	for kind, rows := range codes(t) {
		for _, c := range rows {
			row := c.claim(t, p)
			if r := triage.Walk(p.Tree(kind), row.purpose, row.facts, row.lookup); r.Outcome != nil {
				met[kind+" "+r.Outcome.ID] = true
			}
		}
	}
	var unjudged []string
	for _, tree := range p.Trees {
		for _, o := range tree.Outcomes.List {
			permits := o.Whether.S == dialog.Kasher || o.Whether.S == dialog.WashOnly
			if permits && !met[tree.Kind.S+" "+o.ID] {
				unjudged = append(unjudged, tree.Kind.S+" "+o.ID)
			}
		}
	}
	require.Empty(t, unjudged)
}
