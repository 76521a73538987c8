package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"benyomo/internal/edge/paper"
)

func runDraw(_ context.Context, args []string, stdout, stderr io.Writer) int {
	fs := flags("draw")
	out := fs.String("o", "", "the `file` to write, FILE.svg; of several sheets FILE-1.svg, FILE-2.svg … (default KIND.svg)")
	lang := fs.String("lang", "", "the language, by its code (default the first of the dialogs)")
	dir := fs.String("dialogs", "", "a `folder` of dialogs (default the built-in ones)")
	rest, code, ok := parse(fs, args, 1, stdout, stderr)
	switch {
	case !ok:
		return code
	case len(rest) == 0:
		return wrong(fs, stderr, "name the kind of item")
	}
	p, err := loadDialogs(*dir)
	if err != nil {
		return fail("draw", stderr, err)
	}
	tree := p.Tree(rest[0])
	if tree == nil {
		fmt.Fprintf(stderr, "benyomo draw: %v\n", unknown("kind", rest[0], kinds(p)))
		return misuse
	}
	if *lang == "" {
		*lang = p.Languages[0].Code.S
	} else if !p.HasLanguage(*lang) {
		fmt.Fprintf(stderr, "benyomo draw: %v\n", unknown("language", *lang, languages(p)))
		return misuse
	}
	if *out == "" {
		*out = tree.Kind.S + ".svg"
	}
	sheets, err := paper.Flowchart(p, tree, *lang, paper.Options{})
	if err != nil {
		return fail("draw", stderr, err)
	}
	for i, s := range sheets {
		path := sheetPath(*out, i, len(sheets))
		if err := os.WriteFile(path, s, 0o644); err != nil {
			return fail("draw", stderr, err)
		}
		fmt.Fprintf(stdout, "wrote %s\n", path)
	}
	return fine
}

// sheetPath is where sheet i of n is written.
func sheetPath(path string, i, n int) string {
	if n == 1 {
		return path
	}
	ext := filepath.Ext(path)
	return strings.TrimSuffix(path, ext) + "-" + strconv.Itoa(i+1) + ext
}
