package main

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"os"
	"strings"

	recognise "benyomo/internal/idea/find"
)

// longestLine bounds one text of a file of texts, in bytes.
const longestLine = 1 << 20

func runFind(_ context.Context, args []string, stdout, stderr io.Writer) int {
	fs := flags("find")
	dir := fs.String("dialogs", "", "read the dialogs in the folder `DIR` instead of the built-in ones")
	lines := fs.String("lines", "", "read one text a line from `FILE`, and print the kinds of each on a line, - for none")
	rest, code, ok := parse(fs, args, 1, stdout, stderr)
	if !ok {
		return code
	}
	if (len(rest) == 0) == (*lines == "") {
		return wrong(fs, stderr, "give a text, or a file with --lines")
	}
	p, err := loadDialogs(*dir)
	if err != nil {
		return fail("find", stderr, err)
	}
	f := recognise.New(p)
	if *lines == "" {
		for _, m := range f.Find(rest[0]).Kinds {
			fmt.Fprintf(stdout, "%s\t%.3f\n", m.Kind, m.Score)
		}
		return fine
	}
	if err := findLines(f, *lines, stdout); err != nil {
		return fail("find", stderr, err)
	}
	return fine
}

// findLines prints the kinds of each line of a file.
func findLines(f *recognise.Finder, name string, stdout io.Writer) error {
	file, err := os.Open(name)
	if err != nil {
		return fmt.Errorf("texts: %w", err)
	}
	defer file.Close()
	out := bufio.NewWriter(stdout)
	s := bufio.NewScanner(file)
	s.Buffer(nil, longestLine)
	for s.Scan() {
		kinds := f.Find(s.Text()).Names()
		if len(kinds) == 0 {
			kinds = []string{"-"}
		}
		fmt.Fprintln(out, strings.Join(kinds, " "))
	}
	if err := s.Err(); err != nil {
		return fmt.Errorf("texts: %w", err)
	}
	return out.Flush()
}
