package app

import (
	"context"
	"fmt"
	"strings"

	"benyomo/internal/edge/paper"
	"benyomo/internal/engine/store"
	"benyomo/internal/idea/approval"
)

// files makes the file that a message refers to, at the moment at which it is sent: nothing large waits in the outbox.
func files(_ context.Context, o Options, s *store.Store, ref string) (name string, data []byte, err error) {
	what, lang, _ := strings.Cut(ref, "|")
	if what != "handbook" {
		return "", nil, fmt.Errorf("there is no file %q", what)
	}
	h := paper.HandbookOptions{Community: o.Config.Name, Approvals: map[string]approval.Approval{}, Lang: lang,
		Now: o.Household.Now().In(o.Config.Place.Zone)}
	err = s.View(func(tx *store.Tx) error {
		h.Positions = tx.Positions()
		for _, t := range o.Pack.Trees {
			if a, ok := tx.Approval(t.Kind.S); ok {
				h.Approvals[t.Kind.S] = a
			}
		}
		return nil
	})
	if err != nil {
		return "", nil, fmt.Errorf("read approvals: %w", err)
	}
	page, err := paper.Handbook(o.Pack, h)
	if err != nil {
		return "", nil, err
	}
	return "handbook-" + lang + ".html", page, nil
}
