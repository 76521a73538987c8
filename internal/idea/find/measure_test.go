package find_test

import (
	"bufio"
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/dialogs"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/find"
)

// labelled is one text of testdata/find.
type labelled struct {
	text, purpose, lang string
	kinds               []string
}

func read(t testing.TB, name string) []labelled {
	t.Helper()
	f, err := os.Open("../../../testdata/find/" + name)
	require.NoError(t, err)
	defer f.Close()
	var out []labelled
	for s := bufio.NewScanner(f); s.Scan(); {
		c := strings.Split(s.Text(), "\t")
		if strings.HasPrefix(s.Text(), "#") || len(c) != 4 {
			continue
		}
		l := labelled{text: c[0], purpose: c[2], lang: c[3]}
		if c[1] != "-" {
			l.kinds = strings.Fields(c[1])
		}
		out = append(out, l)
	}
	return out
}

// total counts how texts were understood.
type total struct {
	texts, none, first, third int // of the texts about kinds: all; with a right kind first; with one among the first three
	labels, offered, more     int // kinds that must be offered; those offered among the first six; what was offered beyond
	outside, wrong            int // texts about something else; those for which a kind was offered
	purposes, purpose         int
}

func (n *total) add(l labelled, kinds []string) (right bool) {
	if len(l.kinds) == 0 {
		n.outside++
		if len(kinds) > 0 {
			n.wrong++
		}
		return len(kinds) == 0
	}
	n.texts++
	if len(kinds) == 0 {
		n.none++
	}
	is := func(k string) bool { return slices.Contains(l.kinds, k) }
	if len(kinds) > 0 && is(kinds[0]) {
		n.first++
		right = true
	}
	if slices.ContainsFunc(kinds[:min(3, len(kinds))], is) {
		n.third++
	}
	n.labels += len(l.kinds)
	for _, k := range kinds[:min(6, len(kinds))] {
		if is(k) {
			n.offered++
		} else {
			n.more++
		}
	}
	return right
}

func share(n, of int) float64 { return 100 * float64(n) / float64(max(of, 1)) }

func (n total) String() string {
	return fmt.Sprintf("texts %3d (none %2d): first %5.1f %%, first three %5.1f %%; all kinds offered %5.1f %%, beyond %.2f a text; outside %3d: wrongly matched %5.1f %%",
		n.texts, n.none, share(n.first, n.texts), share(n.third, n.texts), share(n.offered, n.labels), float64(n.more)/float64(max(n.texts, 1)), n.outside, share(n.wrong, n.outside))
}

func builtIn(t testing.TB) *dialog.Pack {
	t.Helper()
	p, err := dialog.Load(dialogs.FS)
	require.NoError(t, err)
	return p
}

// The texts that the words were chosen with and the weights are learned from: this only guards against a step back.
func TestDevelop(t *testing.T) {
	f := find.New(builtIn(t))
	for _, c := range []struct {
		file                         string
		first, third, purpose, wrong float64 // in percent; wrong is the most allowed
	}{
		{"develop.tsv", 99, 99, 98, 1},
		{"develop2.tsv", 99, 99.5, 97, 1},
		{"develop3.tsv", 99, 99, 95, 1.5},
		{"develop4.tsv", 98.3, 99.5, 91, 1.5},
		{"develop5.tsv", 99, 99, 87, 1},
	} {
		t.Run(c.file, func(t *testing.T) {
			var all total
			for _, l := range read(t, c.file) {
				r := f.Find(l.text)
				if !all.add(l, r.Names()) {
					t.Logf("%q: want %v, got %v", l.text, l.kinds, r.Kinds[:min(4, len(r.Kinds))])
				}
				if len(l.kinds) > 0 {
					all.purposes++
					if strings.Trim(l.purpose, "-") == r.Purpose {
						all.purpose++
					} else {
						t.Logf("%q: want purpose %v, got %v", l.text, l.purpose, r.Purpose)
					}
				}
			}
			t.Logf("%v; purpose right %.1f %%", all, share(all.purpose, all.purposes))
			require.GreaterOrEqual(t, share(all.first, all.texts), c.first)
			require.GreaterOrEqual(t, share(all.third, all.texts), c.third)
			require.GreaterOrEqual(t, share(all.purpose, all.purposes), c.purpose)
			require.LessOrEqual(t, share(all.wrong, all.outside), c.wrong)
		})
	}
}

// The texts that nobody reads, and from which nothing is learned: only totals are printed. The floors are what was measured; the goals (97 % first, 99 % among
// the first three, 3 % wrongly matched) are not reached, see docs/find.md.
func TestMeasure(t *testing.T) {
	f := find.New(builtIn(t))
	for _, c := range []struct {
		file                         string
		first, third, offered, wrong float64 // in percent; wrong is the most allowed
	}{
		{"measure.tsv", 92.8, 95.2, 91.9, 2.5},
		{"measure2.tsv", 87.3, 91.5, 88.7, 5.3},
	} {
		t.Run(c.file, func(t *testing.T) {
			var all total
			by := map[string]*total{}
			for _, l := range read(t, c.file) {
				r := f.Find(l.text)
				kinds := r.Names()
				all.add(l, kinds)
				if len(l.kinds) > 0 {
					all.purposes++
					if strings.Trim(l.purpose, "-") == r.Purpose {
						all.purpose++
					}
				}
				k := "language " + l.lang
				if by[k] == nil {
					by[k] = &total{}
				}
				by[k].add(l, kinds)
			}
			for _, k := range slices.Sorted(maps.Keys(by)) {
				t.Log(k, by[k])
			}
			t.Logf("%v; purpose right %.1f %%", all, share(all.purpose, all.purposes))
			require.Greater(t, all.texts, 300)
			require.Greater(t, all.outside, 60)
			require.GreaterOrEqual(t, share(all.first, all.texts), c.first)
			require.GreaterOrEqual(t, share(all.third, all.texts), c.third)
			require.GreaterOrEqual(t, share(all.offered, all.labels), c.offered)
			require.LessOrEqual(t, share(all.wrong, all.outside), c.wrong)
		})
	}
}
