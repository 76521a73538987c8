package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"text/tabwriter"

	"benyomo/dialogs"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/proof"
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
		return mistaken(stderr, ms)
	}
	if err != nil {
		return fail("check", stderr, err)
	}
	proved := proof.Pack(p)
	if ms := inFolder(dir, proved.Mistakes); len(ms) > 0 {
		return mistaken(stderr, ms)
	}
	summary(stdout, p, proved)
	return fine
}

func mistaken(stderr io.Writer, ms dialog.Mistakes) int {
	fmt.Fprintf(stderr, "%v\n\n%s\n", ms, plural(len(ms), "mistake"))
	return failed
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
		return nil, inFolder(dir, ms)
	}
	return p, err
}

// inFolder lets mistakes name files by their whole path, where the dialogs are those of a folder.
func inFolder(dir string, ms dialog.Mistakes) dialog.Mistakes {
	if dir == "" {
		return ms
	}
	out := slices.Clone(ms)
	for i := range out {
		out[i].File = filepath.Join(dir, out[i].File)
	}
	return out
}

// summary prints what a pack holds, and what was proved of it.
func summary(w io.Writer, p *dialog.Pack, proved proof.Proof) {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintf(t, "questions\toutcomes\twalks\tlongest\tmean\t  kind\n")
	questions, outcomes := 0, 0
	for _, r := range proved.Reports {
		fmt.Fprintf(t, "%d\t%d\t%.0f\t%d\t%.1f\t  %s\n", r.Questions, r.Outcomes, r.Walks, r.Longest, r.Mean, r.Kind)
		questions += r.Questions
		outcomes += r.Outcomes
	}
	t.Flush()
	langs := make([]string, len(p.Languages))
	for i, l := range p.Languages {
		langs[i] = l.Code.S
	}
	fmt.Fprintf(w, "\n%s, %s, %s, %s; languages: %s\n", plural(len(p.Trees), "kind"), plural(questions, "question"),
		plural(outcomes, "outcome"), plural(len(p.Switches), "policy switch"), strings.Join(langs, ", "))
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
