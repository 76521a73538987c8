package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"slices"

	recognise "benyomo/internal/idea/find"
)

// mostFiles is how many files of examples one call may have.
const mostFiles = 100

func runLearn(_ context.Context, args []string, stdout, stderr io.Writer) int {
	fs := flags("learn")
	dir := fs.String("dialogs", "", "learn for the dialogs in the folder `DIR` instead of the built-in ones")
	out := fs.String("o", "", "write the weights to `FILE`, mostly find.weights.gz in the folder of the dialogs")
	parts := fs.Int("cross", 0, "instead, deal the examples into `N` parts, ask each of what was learned from the others, and say how many were understood")
	files, code, ok := parse(fs, args, mostFiles, stdout, stderr)
	if !ok {
		return code
	}
	if len(files) == 0 {
		return wrong(fs, stderr, "give files of examples")
	}
	if (*out == "") == (*parts == 0) || *parts < 0 || *parts == 1 {
		return wrong(fs, stderr, "give -o FILE, or --cross with 2 parts or more")
	}
	p, err := loadDialogs(*dir)
	if err != nil {
		return fail("learn", stderr, err)
	}
	f := recognise.New(p)
	var examples []recognise.Example
	for _, name := range files {
		more, err := readExamples(f, name)
		if err != nil {
			return fail("learn", stderr, err)
		}
		examples = append(examples, more...)
	}
	if *parts > 0 {
		understood(examples, f.Cross(examples, *parts), stdout)
		return fine
	}
	if err := saveWeights(f, examples, *out); err != nil {
		return fail("learn", stderr, err)
	}
	return fine
}

func readExamples(f *recognise.Finder, name string) ([]recognise.Example, error) {
	file, err := os.Open(name)
	if err != nil {
		return nil, fmt.Errorf("examples: %w", err)
	}
	defer file.Close()
	out, err := f.ReadExamples(file)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return out, nil
}

func saveWeights(f *recognise.Finder, examples []recognise.Example, name string) error {
	file, err := os.Create(name)
	if err != nil {
		return fmt.Errorf("weights: %w", err)
	}
	if err := f.Save(examples, file); err != nil {
		file.Close()
		return err
	}
	if err := file.Close(); err != nil {
		return fmt.Errorf("weights: %w", err)
	}
	return nil
}

// understood counts how many of the examples were understood.
func understood(examples []recognise.Example, results []recognise.Result, w io.Writer) {
	var about, first, three, outside, matched int
	for i, e := range examples {
		got := results[i].Names()
		right := func(k string) bool { return slices.Contains(e.Kinds, k) }
		switch {
		case len(e.Kinds) > 0:
			about++
			if len(got) > 0 && right(got[0]) {
				first++
			}
			if slices.ContainsFunc(got[:min(3, len(got))], right) {
				three++
			}
		default:
			outside++
			if len(got) > 0 {
				matched++
			}
		}
	}
	share := func(n, of int) float64 { return 100 * float64(n) / float64(max(of, 1)) }
	fmt.Fprintf(w, "about kinds   %5d: right first %.1f %%, in the first three %.1f %%\n", about, share(first, about), share(three, about))
	fmt.Fprintf(w, "about others  %5d: wrongly matched %.1f %%\n", outside, share(matched, outside))
}
