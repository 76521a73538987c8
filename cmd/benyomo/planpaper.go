package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"benyomo/internal/edge/paper/chart"
	"benyomo/internal/idea/plan"
)

// papers are the files that a plan is written to; those without a name are not written.
type papers struct {
	png, ics string
	dark     bool
	kitchen  string
}

// write makes all files before it writes the first, and says on out what it wrote.
func (f papers) write(out io.Writer, from string, p plan.Plan, k plan.Kitchen, words func() (chart.Words, error)) error {
	if f.png == "" && f.ics == "" {
		return nil
	}
	w, err := words()
	if err != nil {
		return err
	}
	type file struct {
		path string
		raw  []byte
	}
	var files []file
	if f.png != "" {
		sheets, err := chart.Picture(p, w, chart.Options{Place: k.Place, Wake: k.Wake, Bedtime: k.Bedtime, Dark: f.dark})
		if err != nil {
			return err
		}
		for i, s := range sheets {
			files = append(files, file{sheetPath(f.png, i, len(sheets)), s})
		}
	}
	if f.ics != "" {
		name := f.kitchen
		if name == "" {
			name = strings.TrimSuffix(filepath.Base(from), filepath.Ext(from))
		}
		// A plan that is made later has a greater sequence: the minute in which it was made.
		raw, err := chart.Calendar(p, w, chart.CalendarOptions{Kitchen: name, Place: k.Place, Stamp: p.Made, Sequence: max(0, int(p.Made.Unix()/60))})
		if err != nil {
			return err
		}
		files = append(files, file{f.ics, raw})
	}
	for _, x := range files {
		if err := replaceFile(x.path, x.raw); err != nil {
			return err
		}
		fmt.Fprintf(out, "wrote %s\n", x.path)
	}
	return nil
}

// replaceFile writes a file as a whole or not at all: whoever reads it meanwhile sees the one before.
func replaceFile(path string, raw []byte) (err error) {
	f, err := os.CreateTemp(filepath.Dir(path), ".benyomo-*")
	if err != nil {
		return fmt.Errorf("write %s: %w", path, err)
	}
	defer func() {
		if err != nil {
			err = fmt.Errorf("write %s: %w", path, errors.Join(err, os.Remove(f.Name())))
		}
	}()
	_, err = f.Write(raw)
	err = errors.Join(err, f.Chmod(0o644), f.Sync(), f.Close())
	if err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}
