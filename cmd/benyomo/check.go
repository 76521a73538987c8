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
	"benyomo/internal/idea/approval"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/plan"
	"benyomo/internal/idea/proof"
)

func runCheck(_ context.Context, args []string, stdout, stderr io.Writer) int {
	fs := flags("check")
	data := fs.String("data", "", "`folder` of the data of a program that is stopped: also list what these dialogs would unapprove there")
	rest, code, ok := parse(fs, args, 1, stdout, stderr)
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
	if *data != "" {
		_, approvals, err := readGovernance(*data, p)
		if err != nil {
			return fail("check", stderr, err)
		}
		unapproves(stdout, p, approvals)
	}
	return fine
}

// unapproves says before an upgrade which dialogs would answer nobody until the rabbi has approved them again.
func unapproves(w io.Writer, p *dialog.Pack, approvals map[string]approval.Approval) {
	fmt.Fprintln(w)
	n := 0
	for _, t := range p.Trees {
		a, given := approvals[t.Kind.S]
		var what []string
		for _, l := range p.Languages {
			if s := approval.Judge(t, l.Code.S, a, given); s != approval.Approved {
				what = append(what, l.Code.S+": "+string(s))
			}
		}
		if len(what) > 0 {
			n++
			fmt.Fprintf(w, "not approved: %s (%s)\n", t.Kind.S, strings.Join(what, ", "))
		}
	}
	if n == 0 {
		fmt.Fprintln(w, "every dialog is approved as it stands")
	}
}

func mistaken(stderr io.Writer, ms dialog.Mistakes) int {
	fmt.Fprintf(stderr, "%v\n\n%s\n", ms, plural(len(ms), "mistake"))
	return failed
}

// loadDialogs reads the dialogs of a folder, or the built-in ones where dir is "". Mistakes name files by their whole path.
func loadDialogs(dir string) (*dialog.Pack, error) {
	if dir == "" {
		return readDialogs(dialogs.FS)
	}
	if info, err := os.Stat(dir); err != nil {
		return nil, fmt.Errorf("dialogs: %w", err)
	} else if !info.IsDir() {
		return nil, fmt.Errorf("dialogs: %s: %w", dir, fs.ErrInvalid)
	}
	p, err := readDialogs(os.DirFS(dir))
	var ms dialog.Mistakes
	if errors.As(err, &ms) {
		return nil, inFolder(dir, ms)
	}
	return p, err
}

// readDialogs reads the dialogs, and the rows of the planning in them.
func readDialogs(fsys fs.FS) (*dialog.Pack, error) {
	p, err := dialog.Load(fsys)
	if err != nil {
		return nil, err
	}
	if _, err := plan.Read(p); err != nil {
		return nil, err
	}
	return p, nil
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
