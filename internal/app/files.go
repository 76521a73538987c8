package app

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"benyomo/internal/edge/paper"
	"benyomo/internal/edge/paper/chart"
	"benyomo/internal/edge/telegram"
	"benyomo/internal/engine/store"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/approval"
	"benyomo/internal/idea/plan"
	"benyomo/internal/idea/wording"
	"benyomo/internal/person/member"
)

// files makes what a message refers to, at the moment at which it is sent: nothing large waits in the outbox.
type files struct {
	Options
	env   *turn.Env
	store *store.Store
}

func (f files) make(_ context.Context, ref string) ([]telegram.File, error) {
	part := strings.Split(ref, "|")
	switch {
	case part[0] == "handbook" && len(part) == 2:
		return f.handbook(part[1])
	case part[0] == "plan" && len(part) == 4:
		return f.plan(part[1], part[2], part[3])
	}
	return nil, fmt.Errorf("there is no file %q", part[0])
}

func (f files) handbook(lang string) ([]telegram.File, error) {
	h := paper.HandbookOptions{Community: f.Config.Name, Approvals: map[string]approval.Approval{}, Lang: lang,
		Now: f.Household.Now().In(f.Config.Place.Zone)}
	err := f.store.View(func(tx *store.Tx) error {
		h.Positions = tx.Positions()
		for _, t := range f.Pack.Trees {
			if a, ok := tx.Approval(t.Kind.S); ok {
				h.Approvals[t.Kind.S] = a
			}
		}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("read approvals: %w", err)
	}
	page, err := paper.Handbook(f.Pack, h)
	if err != nil {
		return nil, err
	}
	return []telegram.File{{Name: "handbook-" + lang + ".html", Data: page}}, nil
}

// plan is a household's plan as pictures or as a calendar.
func (f files) plan(what, household, lang string) ([]telegram.File, error) {
	id, err := strconv.ParseUint(household, 10, 64)
	if err != nil {
		return nil, fmt.Errorf("household of a plan: %w", err)
	}
	var o plan.Order
	known := false
	place := f.env.Community.Place
	err = f.store.View(func(tx *store.Tx) error {
		o, known = tx.Order(id)
		if h, ok := tx.Household(id); ok {
			place = f.env.Community.PlaceOf(h)
		}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("read a plan: %w", err)
	}
	if !known || o.Plan == nil {
		return nil, fmt.Errorf("the household has no plan")
	}
	w := wording.In(f.Pack, lang, place.Zone)
	switch what {
	case member.PlanPicture:
		words, err := chart.In(f.Pack, w, o.Plan, nil, f.env.Rows)
		if err != nil {
			return nil, err
		}
		k := o.Kitchen(place, f.env.Community.Bedtime, f.Household.Now())
		sheets, err := chart.Picture(*o.Plan, words, chart.Options{Place: place, Wake: k.Wake, Bedtime: k.Bedtime, Now: f.Household.Now(), Tall: chart.PhoneScreen})
		if err != nil {
			return nil, err
		}
		out := make([]telegram.File, len(sheets))
		for i, s := range sheets {
			out[i] = telegram.File{Name: fmt.Sprintf("plan-%d.png", i+1), Data: s}
		}
		return out, nil
	case member.PlanCalendar:
		now, before := o.Plan, o.SentBefore
		if o.Sent != nil {
			now = o.Sent
		}
		words, err := chart.In(f.Pack, w, now, before, f.env.Rows)
		if err != nil {
			return nil, err
		}
		raw, err := chart.Calendar(*now, words, chart.CalendarOptions{Kitchen: fmt.Sprintf("%s-%d", f.env.BotName, id), Place: place, Stamp: now.Made,
			Sequence: o.Files, Before: before})
		if err != nil {
			return nil, err
		}
		return []telegram.File{{Name: "plan.ics", Data: raw}}, nil
	}
	return nil, fmt.Errorf("there is no file %q of a plan", what)
}
