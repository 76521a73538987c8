package find_test

import (
	"maps"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/find"
)

// The simpler methods against which the finder was measured; docs/find.md has the numbers.

type method func(text string) []string

func plainWords(s string) string {
	s = strings.NewReplacer("'", "", "\"", "", "׳", "", "״", "", "’", "").Replace(strings.ToLower(s))
	return " " + strings.Join(strings.FieldsFunc(s, func(r rune) bool { return strings.ContainsRune(" -־,.;:!?()+/&\t", r) }), " ") + " "
}

// names lists the names and aliases of each kind.
func names(p *dialog.Pack) map[string][]string {
	out := map[string][]string{}
	for _, t := range p.Trees {
		for _, l := range p.Languages {
			for _, a := range append([]dialog.Word{t.Name[l.Code.S]}, t.Aliases[l.Code.S]...) {
				out[t.Kind.S] = append(out[t.Kind.S], strings.TrimSpace(plainWords(a.S)))
			}
		}
	}
	return out
}

func best(score map[string]float64) []string {
	kinds := slices.Sorted(maps.Keys(score))
	slices.SortStableFunc(kinds, func(a, b string) int {
		return int(math.Copysign(1, score[b]-score[a])) * min(1, int(math.Ceil(math.Abs(score[b]-score[a])*1e9)))
	})
	return kinds
}

// wholeWords takes names that stand in the text as they are, the longest first.
func wholeWords(p *dialog.Pack) method {
	all := names(p)
	return func(text string) []string {
		w, score := plainWords(text), map[string]float64{}
		for kind, list := range all {
			for _, a := range list {
				if strings.Contains(w, " "+a+" ") {
					score[kind] = max(score[kind], float64(len(a)))
				}
			}
		}
		return best(score)
	}
}

// trigrams compares the text's letters, three by three and weighed by rarity, with those of each kind's names.
func trigrams(p *dialog.Pack, least float64) method {
	grams := func(s string) map[string]float64 {
		out, r := map[string]float64{}, []rune(plainWords(s))
		for i := 0; i+3 <= len(r); i++ {
			out[string(r[i:i+3])]++
		}
		return out
	}
	vectors, seen := map[string]map[string]float64{}, map[string]float64{}
	for kind, list := range names(p) {
		vectors[kind] = grams(strings.Join(list, " "))
		for g := range vectors[kind] {
			seen[g]++
		}
	}
	weigh := func(v map[string]float64) map[string]float64 {
		out, sum := map[string]float64{}, 0.0
		for g, n := range v {
			if seen[g] > 0 {
				out[g] = (1 + math.Log(n)) * math.Log(1+float64(len(vectors))/seen[g])
				sum += out[g] * out[g]
			}
		}
		for g := range out {
			out[g] /= math.Sqrt(sum)
		}
		return out
	}
	for kind := range vectors {
		vectors[kind] = weigh(vectors[kind])
	}
	return func(text string) []string {
		q, score := weigh(grams(text)), map[string]float64{}
		for kind, v := range vectors {
			s := 0.0
			for g, x := range q {
				s += x * v[g]
			}
			if s > least {
				score[kind] = s
			}
		}
		return best(score)
	}
}

// nearWords takes names whose every word is near a word of the text: one wrong letter in five.
func nearWords(p *dialog.Pack) method {
	all := names(p)
	near := func(a, b string) bool {
		x, y := []rune(a), []rune(b)
		most := len(x) / 5
		if len(x)-len(y) > most || len(y)-len(x) > most {
			return false
		}
		prev := make([]int, len(y)+1)
		for j := range prev {
			prev[j] = j
		}
		for i := range x {
			cur := append(make([]int, 0, len(y)+1), i+1)
			for j := range y {
				d := prev[j]
				if x[i] != y[j] {
					d++
				}
				cur = append(cur, min(d, prev[j+1]+1, cur[j]+1))
			}
			prev = cur
		}
		return prev[len(y)] <= most
	}
	return func(text string) []string {
		w, score := strings.Fields(plainWords(text)), map[string]float64{}
		known := map[[2]string]bool{}
		for kind, list := range all {
			for _, a := range list {
				all := a != ""
				for _, part := range strings.Fields(a) {
					all = all && slices.ContainsFunc(w, func(x string) bool {
						key := [2]string{part, x}
						is, ok := known[key]
						if !ok {
							is = near(part, x)
							known[key] = is
						}
						return is
					})
				}
				if all {
					score[kind] = max(score[kind], float64(len(a)))
				}
			}
		}
		return best(score)
	}
}

// No simpler method comes near the finder, on either file.
func TestSimplerMethods(t *testing.T) {
	p := builtIn(t)
	f := find.New(p)
	good := func(file string, m method) int {
		var n total
		for _, l := range read(t, file) {
			n.add(l, m(l.text))
		}
		t.Log(file, n)
		return n.first + n.outside - n.wrong
	}
	for _, file := range []string{"develop.tsv", "measure.tsv"} {
		ours := good(file, func(text string) []string { return f.Find(text).Names() })
		require.Less(t, good(file, wholeWords(p)), ours)
		require.Less(t, good(file, trigrams(p, 0.1)), ours)
	}
}

// The slowest of the simpler methods is measured only when asked for.
func BenchmarkNearWords(b *testing.B) {
	m := nearWords(builtIn(b))
	texts := read(b, "measure.tsv")
	for b.Loop() {
		var n total
		for _, l := range texts {
			n.add(l, m(l.text))
		}
		b.ReportMetric(share(n.first, n.texts), "%first")
		b.ReportMetric(share(n.third, n.texts), "%third")
		b.ReportMetric(share(n.wrong, n.outside), "%wrong")
	}
}
