package linear

import (
	"bufio"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
)

// The file is text, packed with gzip (RFC 1952), one line each, the parts with tabs between them:
//
//	classes  CLASS…
//	family   NAME  CLASS…
//	own      FEATURE  WEIGHT
//	all      FEATURE  COLUMN WEIGHT  COLUMN WEIGHT…
//
// Weights are whole numbers of hundredths; columns are counted from 0, the classes first and then the families.
const (
	step     = 100
	longest  = 1 << 16  // bytes of a line
	mostText = 64 << 20 // bytes of all lines
)

// ErrFile means that a file does not hold a model.
var ErrFile = errors.New("not a file of weights")

// Write writes the model. Weights of less than least are left out.
func (m *Model) Write(w io.Writer, least float64) error {
	z, err := gzip.NewWriterLevel(w, gzip.BestCompression)
	if err != nil {
		return fmt.Errorf("write weights: %w", err)
	}
	b := bufio.NewWriter(z)
	fmt.Fprintf(b, "classes\t%s\n", strings.Join(m.classes, " "))
	for c := len(m.classes); c < len(m.columns); c++ {
		var in []string
		for i, class := range m.classes {
			if slices.Contains(m.member[i], c) {
				in = append(in, class)
			}
		}
		fmt.Fprintf(b, "family\t%s\t%s\n", m.columns[c], strings.Join(in, " "))
	}
	whole := func(x float64) int { return int(math.Round(x * step)) }
	for _, name := range sorted(m.shared) {
		if x := whole(m.shared[name]); math.Abs(m.shared[name]) >= least && x != 0 {
			fmt.Fprintf(b, "own\t%s\t%d\n", name, x)
		}
	}
	for _, name := range sorted(m.rows) {
		var cells []string
		for _, c := range m.rows[name] {
			if x := whole(c.weight); math.Abs(c.weight) >= least && x != 0 {
				cells = append(cells, strconv.Itoa(c.column)+" "+strconv.Itoa(x))
			}
		}
		if len(cells) > 0 {
			fmt.Fprintf(b, "all\t%s\t%s\n", name, strings.Join(cells, " "))
		}
	}
	if err := errors.Join(b.Flush(), z.Close()); err != nil {
		return fmt.Errorf("write weights: %w", err)
	}
	return nil
}

// Read reads what Write wrote. What is wrong is said with its line, and is ErrFile.
func Read(r io.Reader) (*Model, error) {
	var m *Model
	var classes []string
	var families []Family
	z, err := gzip.NewReader(r)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", err, ErrFile)
	}
	s := bufio.NewScanner(io.LimitReader(z, mostText))
	s.Buffer(nil, longest)
	line := 0
	wrong := func(what string) error { return fmt.Errorf("line %d: %s: %w", line, what, ErrFile) }
	for s.Scan() {
		line++
		parts := strings.Split(s.Text(), "\t")
		switch {
		case parts[0] == "classes" && len(parts) == 2 && classes == nil:
			classes = strings.Fields(parts[1])
		case parts[0] == "family" && len(parts) == 3 && m == nil:
			families = append(families, Family{parts[1], strings.Fields(parts[2])})
		case (parts[0] == "own" || parts[0] == "all") && len(parts) == 3 && len(classes) > 0:
			if m == nil {
				m = frame(classes, families)
			}
			numbers, err := whole(parts[2])
			if err != nil {
				return nil, wrong("no whole number")
			}
			if parts[0] == "own" {
				if len(numbers) != 1 {
					return nil, wrong("not one weight")
				}
				m.shared[parts[1]] = float64(numbers[0]) / step
				continue
			}
			row := make([]cell, 0, len(numbers)/2)
			for i := 0; i+1 < len(numbers); i += 2 {
				if numbers[i] < 0 || numbers[i] >= len(m.columns) {
					return nil, wrong("there is no such column")
				}
				row = append(row, cell{numbers[i], float64(numbers[i+1]) / step})
			}
			if len(numbers)%2 != 0 || len(row) == 0 {
				return nil, wrong("a column without a weight")
			}
			m.rows[parts[1]] = row
		default:
			return nil, wrong("not understood here")
		}
	}
	if err := s.Err(); err != nil {
		return nil, fmt.Errorf("line %d: %w: %w", line+1, err, ErrFile)
	}
	if m == nil {
		return nil, fmt.Errorf("it holds no weights: %w", ErrFile)
	}
	return m, nil
}

// whole reads numbers with spaces between them.
func whole(s string) ([]int, error) {
	var out []int
	for f := range strings.FieldsSeq(s) {
		n, err := strconv.Atoi(f)
		if err != nil {
			return nil, err
		}
		out = append(out, n)
	}
	return out, nil
}

func sorted[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
