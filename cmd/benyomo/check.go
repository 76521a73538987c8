package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"benyomo/dialogs"
	"benyomo/internal/idea/dialog"
)

func runCheck(_ context.Context, args []string, stdout, stderr io.Writer) int {
	rest, code, ok := parse(flags("check"), args, 1, stdout, stderr)
	if !ok {
		return code
	}
	dir := ""
	if len(rest) > 0 {
		dir = rest[0]
	}
	p, err := loadDialogs(dir)
	var ms dialog.Mistakes
	if errors.As(err, &ms) {
		fmt.Fprintf(stderr, "%v\n\n%s\n", ms, plural(len(ms), "mistake"))
		return failed
	}
	if err != nil {
		return fail("check", stderr, err)
	}
	summary(stdout, p)
	return fine
}

// loadDialogs reads the dialogs of a folder, or the built-in ones where dir is "". Mistakes name files by their whole path.
func loadDialogs(dir string) (*dialog.Pack, error) {
	if dir == "" {
		return dialog.Load(dialogs.FS)
	}
	if info, err := os.Stat(dir); err != nil {
		return nil, fmt.Errorf("dialogs: %w", err)
	} else if !info.IsDir() {
		return nil, fmt.Errorf("dialogs: %s: %w", dir, fs.ErrInvalid)
	}
	p, err := dialog.Load(os.DirFS(dir))
	var ms dialog.Mistakes
	if errors.As(err, &ms) {
		for i := range ms {
			ms[i].File = filepath.Join(dir, ms[i].File)
		}
		return nil, ms
	}
	return p, err
}

// summary prints what a pack holds.
func summary(w io.Writer, p *dialog.Pack) {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintf(t, "questions\toutcomes\twalks\tlongest\tmean\t  kind\n")
	questions, outcomes := 0, 0
	for _, tree := range p.Trees {
		q := 0
		for _, s := range tree.Steps {
			if s.IsQuestion() {
				q++
			}
		}
		walks, mean := walks(tree)
		fmt.Fprintf(t, "%d\t%d\t%.0f\t%d\t%.1f\t  %s\n", q, len(tree.Outcomes.List), walks, tree.Longest(tree.Start), mean, tree.Kind.S)
		questions += q
		outcomes += len(tree.Outcomes.List)
	}
	t.Flush()
	langs := make([]string, len(p.Languages))
	for i, l := range p.Languages {
		langs[i] = l.Code.S
	}
	fmt.Fprintf(w, "\n%s, %s, %s, %s; languages: %s\n", plural(len(p.Trees), "kind"), plural(questions, "question"),
		plural(outcomes, "outcome"), plural(len(p.Switches), "policy switch"), strings.Join(langs, ", "))
}

// walks counts the ways from the start of a tree to its ends, by every answer, position and purpose ('not sure' apart), and
// the questions that they ask on average. Each step is counted once and remembered, for the ways themselves may be many.
func walks(t *dialog.Tree) (ways, mean float64) {
	type count struct{ ways, asked float64 } // asked is the sum over all ways
	memo := map[string]count{}
	var from func(dialog.Target) count
	from = func(tg dialog.Target) count {
		s := t.Step(tg.To.S)
		if s == nil {
			return count{ways: 1}
		}
		if c, ok := memo[s.Name()]; ok {
			return c
		}
		var sum count
		add := func(next dialog.Target) {
			c := from(next)
			sum.ways, sum.asked = sum.ways+c.ways, sum.asked+c.asked
		}
		for _, a := range s.Answers {
			add(a.Target)
		}
		for _, next := range s.Positions {
			add(next)
		}
		for _, next := range s.Purpose {
			add(next)
		}
		if s.IsQuestion() {
			sum.asked += sum.ways
		}
		memo[s.Name()] = sum
		return sum
	}
	all := from(t.Start)
	if all.ways == 0 {
		return 0, 0
	}
	return all.ways, all.asked / all.ways
}

func plural(n int, noun string) string {
	switch {
	case n == 1:
		return "1 " + noun
	case strings.HasSuffix(noun, "ch"):
		noun += "es"
	default:
		noun += "s"
	}
	return fmt.Sprintf("%d %s", n, noun)
}
