package find

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/linear"
)

// How the weights are trained. Chosen by cross-validation, see docs/find.md.
var training = linear.Training{Epochs: 12, Rate: 0.07, Shrink: 1e-4, Least: 2, Slight: 0.02}

const (
	shareName   = 0.6  // what a name or an alias counts as an example, beside a text
	leastWeight = 0.05 // what is smaller is not written
	longestText = 1 << 20
)

// Example is a text with the kinds that it is about, none where it is about something else.
type Example struct {
	Text  string
	Kinds []string
}

// ErrExample means that a line is no example.
var ErrExample = errors.New("no example")

// ReadExamples reads examples, one a line: the text, its kinds with spaces between them or - for none, and further columns that are not
// for learning, with tabs between them. Lines that begin with # are comments. A mistake is said with its line, and is ErrExample.
func (f *Finder) ReadExamples(r io.Reader) ([]Example, error) {
	var out []Example
	s := bufio.NewScanner(r)
	s.Buffer(nil, longestText)
	for line := 1; s.Scan(); line++ {
		if strings.HasPrefix(s.Text(), "#") || strings.TrimSpace(s.Text()) == "" {
			continue
		}
		text, rest, ok := strings.Cut(s.Text(), "\t")
		kinds, _, _ := strings.Cut(rest, "\t")
		if !ok || kinds == "" {
			return nil, fmt.Errorf("line %d has no kinds behind a tab: %w", line, ErrExample)
		}
		e := Example{Text: text}
		if kinds != dialog.Outside {
			e.Kinds = strings.Fields(kinds)
		}
		for _, k := range e.Kinds {
			if f.pack.Tree(k) == nil {
				return nil, fmt.Errorf("line %d: there is no kind %q: %w", line, k, ErrExample)
			}
		}
		out = append(out, e)
	}
	if err := s.Err(); err != nil {
		return nil, fmt.Errorf("read examples: %w", err)
	}
	return out, nil
}

// Learn trains weights on examples, and on the names and aliases of the pack. An example that is given several times counts so
// often. It takes some seconds.
func (f *Finder) Learn(examples []Example) *linear.Model {
	var in []linear.Example
	add := func(e Example, weight float64) {
		right := e.Kinds
		if len(right) == 0 {
			right = []string{dialog.Outside}
		}
		in = append(in, linear.Example{Input: f.features(f.hear(e.Text)), Right: right, Weight: weight})
	}
	times := map[string]float64{}
	for _, e := range examples {
		times[e.Text]++
	}
	for _, e := range examples {
		if n := times[e.Text]; n > 0 {
			add(e, n)
			times[e.Text] = 0
		}
	}
	for _, e := range f.names() {
		add(e, shareName)
	}
	classes := []string{dialog.Outside}
	var items []string
	for _, t := range f.pack.Trees {
		classes = append(classes, t.Kind.S)
		if !f.intake[t.Kind.S] {
			items = append(items, t.Kind.S)
		}
	}
	return linear.Train(classes, []linear.Family{{Name: "items", Classes: items}}, in, training)
}

// Save trains weights and writes them.
func (f *Finder) Save(examples []Example, w io.Writer) error {
	return f.Learn(examples).Write(w, leastWeight)
}

// Cross says what a finder would offer for each example that has learned from the others only: they are dealt into so many parts, and each
// part is asked of one that has learned from the rest.
func (f *Finder) Cross(examples []Example, parts int) []Result {
	out := make([]Result, len(examples))
	for part := range parts {
		var rest []Example
		for i, e := range examples {
			if i%parts != part {
				rest = append(rest, e)
			}
		}
		other := *f
		other.model = f.Learn(rest)
		for i, e := range examples {
			if i%parts == part {
				out[i] = other.Find(e.Text)
			}
		}
	}
	return out
}

// names lists the names and aliases as examples. What several kinds are called is one of all of them.
func (f *Finder) names() []Example {
	var out []Example
	at := map[string]int{}
	for _, t := range f.pack.Trees {
		for _, l := range f.pack.Languages {
			for _, a := range append([]dialog.Word{t.Name[l.Code.S]}, t.Aliases[l.Code.S]...) {
				key := strings.Join(bare(a.S), " ")
				i, ok := at[key]
				if !ok {
					i = len(out)
					at[key] = i
					out = append(out, Example{Text: a.S})
				}
				if !slices.Contains(out[i].Kinds, t.Kind.S) {
					out[i].Kinds = append(out[i].Kinds, t.Kind.S)
				}
			}
		}
	}
	return out
}
