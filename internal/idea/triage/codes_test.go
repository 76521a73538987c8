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
// published source says so. Positions override those of the invented community; facts and positions are joined by ';'.
const codesFolder = "../../../testdata/codes"

var codesHeader = []string{"kind", "purpose", "custom", "positions", "facts", "whether", "method", "minutes", "source", "note"}

// minCodes is the least number of cases for each kind.
const minCodes = 8

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

// The built-in dialogs, under the positions of a row, come to what its source says.
func TestPublishedCodes(t *testing.T) {
	p, all := builtIn(t), codes(t)
	for kind, rows := range all {
		require.NotNil(t, p.Tree(kind), "a table without a kind")
		said := map[string]bool{}
		for _, c := range rows {
			t.Run(c.at, func(t *testing.T) {
				require.Regexp(t, citeShape, c.cell["source"])
				require.NotEmpty(t, c.cell["note"], "the note says what the source says")
				key := fmt.Sprint(c.cell["purpose"], c.cell["custom"], c.cell["positions"], c.cell["facts"], c.cell["source"])
				require.False(t, said[key], "the row stands twice")
				said[key] = true
				walkRow(t, p, c.cell)
			})
		}
	}
	for _, tree := range p.Trees {
		require.GreaterOrEqual(t, len(all[tree.Kind.S]), minCodes, "cases of %s", tree.Kind.S)
	}
}

func walkRow(t *testing.T, p *dialog.Pack, row map[string]string) {
	tree := p.Tree(row["kind"])
	require.NotNil(t, tree)
	require.Contains(t, dialog.Purposes(), row["purpose"])
	require.Contains(t, triage.Customs(), row["custom"])
	other := listed(t, row["positions"])
	for id, pos := range other {
		require.NotNil(t, p.Switch(id), "switch %s", id)
		require.NotNil(t, p.Switch(id).Position(pos), "position %s of %s", pos, id)
	}
	facts := listed(t, row["facts"])
	r := triage.Walk(tree, row["purpose"], facts, demo(p, row["custom"], other))
	require.Nil(t, r.Question, "the facts leave a question open")
	require.Len(t, r.Path, len(facts), "every fact is used: %v", r.Path)

	end := r.Outcome
	if r.Refer != nil {
		require.Equal(t, triage.OutcomeAsks, r.Refer.Reason)
		end = r.Refer.Asks
	}
	require.Equal(t, row["whether"], end.Whether.S, "outcome %s", end.ID)
	require.Equal(t, row["method"], end.Method.S, "outcome %s", end.ID)
	require.Equal(t, row["minutes"], lengths(end), "outcome %s", end.ID)
}

// Together the cases come to every outcome of the built-in dialogs by which something is used again: none is unjudged.
func TestCodesReachEveryPermission(t *testing.T) {
	p := builtIn(t)
	met := map[string]bool{}
	for _, rows := range codes(t) {
		for _, c := range rows {
			r := triage.Walk(p.Tree(c.cell["kind"]), c.cell["purpose"], listed(t, c.cell["facts"]), demo(p, c.cell["custom"], listed(t, c.cell["positions"])))
			if r.Outcome != nil {
				met[c.cell["kind"]+" "+r.Outcome.ID] = true
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
