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

	"benyomo/internal/edge/paper"
	"benyomo/internal/engine/clock"
	"benyomo/internal/engine/store"
	"benyomo/internal/idea/approval"
	"benyomo/internal/idea/dialog"
)

// bothLanguages stands for every language of the dialogs.
const bothLanguages = "both"

// demoCommunity is the invented community whose positions --demo takes.
const demoCommunity = "Kehillas Emek Rimon"

func runHandbook(_ context.Context, args []string, stdout, stderr io.Writer) int {
	fs := flags("handbook")
	out := fs.String("o", "handbook.html", "the `file` to write")
	lang := fs.String("lang", bothLanguages, "the language, by its code, or both: every language of the dialogs")
	dir := fs.String("dialogs", "", "a `folder` of dialogs (default the built-in ones)")
	demo := fs.Bool("demo", false, "print the positions of the invented community")
	data := fs.String("data", "", "`folder` of the data of a program that is stopped: print its positions and approvals")
	name := fs.String("community", "", "the community's `name` for the title page")
	if _, code, ok := parse(fs, args, 0, stdout, stderr); !ok {
		return code
	}
	if *demo && *data != "" {
		return wrong(fs, stderr, "take --demo or --data, not both")
	}
	p, err := loadDialogs(*dir)
	if err != nil {
		return fail("handbook", stderr, err)
	}
	o := paper.HandbookOptions{Community: *name, Invented: *demo, Now: clock.System{}.Now()}
	if *lang != bothLanguages {
		if !p.HasLanguage(*lang) {
			fmt.Fprintf(stderr, "benyomo handbook: %v\n", unknown("language", *lang, append(slices.Clone(languages(p)), bothLanguages)))
			return misuse
		}
		o.Lang = *lang
	}
	switch {
	case *demo:
		o.Positions = p.Demo()
		if *name == "" {
			o.Community = demoCommunity
		}
	case *data != "":
		if o.Positions, o.Approvals, err = readGovernance(*data, p); err != nil {
			return fail("handbook", stderr, err)
		}
	}
	page, err := paper.Handbook(p, o)
	if err == nil {
		err = os.WriteFile(*out, page, 0o644)
	}
	if err != nil {
		return fail("handbook", stderr, err)
	}
	fmt.Fprintf(stdout, "wrote %s\n", *out)
	return fine
}

// readGovernance reads what the rabbi has set and approved. It makes no data where there are none.
func readGovernance(dir string, p *dialog.Pack) (positions approval.Positions, approvals map[string]approval.Approval, err error) {
	if _, err := os.Stat(filepath.Join(dir, store.FileName)); errors.Is(err, fs.ErrNotExist) {
		return nil, nil, fmt.Errorf("%s holds no data of benyomo", dir)
	} else if err != nil {
		return nil, nil, fmt.Errorf("data: %w", err)
	}
	s, err := store.Open(dir)
	if err != nil {
		return nil, nil, err
	}
	defer func() { err = errors.Join(err, s.Close()) }()
	approvals = map[string]approval.Approval{}
	err = s.View(func(tx *store.Tx) error {
		positions = tx.Positions()
		for _, t := range p.Trees {
			if a, ok := tx.Approval(t.Kind.S); ok {
				approvals[t.Kind.S] = a
			}
		}
		return nil
	})
	return positions, approvals, err
}
