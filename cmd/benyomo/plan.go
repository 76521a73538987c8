package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"benyomo/internal/edge/paper/chart"
	"benyomo/internal/engine/clock"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/plan"
	"benyomo/internal/idea/wording"
)

func runPlan(_ context.Context, args []string, stdout, stderr io.Writer) int {
	fs := flags("plan")
	asJSON := fs.Bool("json", false, "print JSON, with times in UTC")
	dir := fs.String("dialogs", "", "`folder` of dialogs, whose rows are planned with; without it the built-in ones")
	lang := fs.String("lang", "en", "the `language` of the text, the picture and the calendar")
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
	}
	pack, err := loadDialogs(*dir)
	if err != nil {
		return failPlan(stderr, err)
	}
	if !pack.HasLanguage(*lang) {
		return wrong(fs, stderr, "there is no language %q; there are %s", *lang, strings.Join(languages(pack), ", "))
	}
	rows, err := plan.Read(pack)
	if err != nil {
		return fail("plan", stderr, err)
	}
	p, k, err := planOf(rest[0], rows, clock.System{})
	if err != nil {
		return failPlan(stderr, err)
	}
	w := wording.In(pack, *lang, k.Place.Zone)
	if *asJSON {
		e := json.NewEncoder(stdout)
		e.SetIndent("", "  ")
		e.SetEscapeHTML(false)
		err = e.Encode(p)
	} else {
		_, err = io.WriteString(stdout, wording.Plain(w.Plan(&p, rows, true)))
	}
	if err == nil {
		err = to.write(stderr, rest[0], p, k, func() (chart.Words, error) { return chart.In(pack, w, &p, nil, rows) })
	}
	if err != nil {
		return fail("plan", stderr, err)
	}
	if !p.Fits {
		return failed
	}
	return fine
}

// failPlan lists mistakes of files, or says what else went wrong.
func failPlan(stderr io.Writer, err error) int {
	var ms dialog.Mistakes
	if errors.As(err, &ms) {
		return mistaken(stderr, ms)
	}
	return fail("plan", stderr, err)
}

// planOf plans the kitchen of a file, from the time that it says or else from now, and gives the kitchen too.
func planOf(path string, rows *plan.Rows, c clock.Clock) (plan.Plan, plan.Kitchen, error) {
	f, err := os.Open(path)
	if err != nil {
		return plan.Plan{}, plan.Kitchen{}, fmt.Errorf("kitchen: %w", err)
	}
	defer f.Close()
	raw, err := io.ReadAll(io.LimitReader(f, plan.MaxFile+1)) // one byte more, so that Parse notices
	if err != nil {
		return plan.Plan{}, plan.Kitchen{}, fmt.Errorf("kitchen: %w", err)
	}
	k, err := plan.Parse(path, raw, rows, time.LoadLocation)
	if err != nil {
		return plan.Plan{}, plan.Kitchen{}, err
	}
	if k.Now.IsZero() {
		k.Now = c.Now()
	}
	p, err := plan.Make(k.Kitchen, rows, k.Now)
	return p, k.Kitchen, err
}
