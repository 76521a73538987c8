package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	"benyomo/internal/engine/clock"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/plan"
)

func runPlan(_ context.Context, args []string, stdout, stderr io.Writer) int {
	fs := flags("plan")
	asJSON := fs.Bool("json", false, "print JSON")
	lang := fs.String("lang", "en", "the language of the text, the picture and the calendar, en or he")
	var to papers
	fs.StringVar(&to.png, "png", "", "also write the plan as a picture, to this `file`; of several FILE-1.png, FILE-2.png …")
	fs.BoolVar(&to.dark, "dark", false, "make the picture light on dark")
	fs.StringVar(&to.ics, "ics", "", "also write the plan as entries of a calendar, to this `file`")
	fs.StringVar(&to.kitchen, "kitchen", "", "the `name` by which a second calendar changes the entries of the first (default the name of FILE)")
	rest, code, ok := parse(fs, args, 1, stdout, stderr)
	switch {
	case !ok:
		return code
	case len(rest) == 0:
		return wrong(fs, stderr, "name the file of the kitchen; docs/examples/plan.yaml is an example")
	case *lang != "en" && *lang != "he":
		return wrong(fs, stderr, "there is no language %q; there are en, he", *lang)
	}
	p, k, err := planOf(rest[0], clock.System{})
	var ms dialog.Mistakes
	if errors.As(err, &ms) {
		fmt.Fprintf(stderr, "%v\n\n%s\n", ms, plural(len(ms), "mistake"))
		return failed
	}
	if err == nil {
		err = writePlan(stdout, &p, *asJSON, *lang)
	}
	if err == nil {
		err = to.write(stderr, rest[0], p, k, *lang)
	}
	if err != nil {
		return fail("plan", stderr, err)
	}
	if !p.Fits {
		return failed
	}
	return fine
}

// planOf plans the kitchen of a file, from the time that it says or else from now.
func planOf(path string, c clock.Clock) (plan.Plan, plan.Kitchen, error) {
	f, err := os.Open(path)
	if err != nil {
		return plan.Plan{}, plan.Kitchen{}, fmt.Errorf("kitchen: %w", err)
	}
	defer f.Close()
	raw, err := io.ReadAll(io.LimitReader(f, plan.MaxFile+1)) // one byte more, so that Parse notices
	if err != nil {
		return plan.Plan{}, plan.Kitchen{}, fmt.Errorf("kitchen: %w", err)
	}
	k, err := plan.Parse(path, raw, nil, time.LoadLocation)
	if err != nil {
		return plan.Plan{}, plan.Kitchen{}, err
	}
	if k.Now.IsZero() {
		k.Now = c.Now()
	}
	p, err := plan.Make(k.Kitchen, nil, k.Now)
	return p, k.Kitchen, err
}

func writePlan(out io.Writer, p *plan.Plan, asJSON bool, lang string) error {
	if !asJSON {
		_, err := io.WriteString(out, p.Text(lang))
		return err
	}
	e := json.NewEncoder(out)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(p)
}
