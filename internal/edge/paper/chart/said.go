package chart

import (
	"fmt"

	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/plan"
	"benyomo/internal/idea/wording"
)

// In are the words of a plan in a language of the pack; also of an earlier plan, where there is one.
func In(pack *dialog.Pack, w wording.Words, p, before *plan.Plan, rows *plan.Rows) (Words, error) {
	say, err := Sentences(w.Lang)
	if err != nil {
		return Words{}, err
	}
	lines, names := w.PlanLines(p, rows), map[string]string{}
	call := func(p *plan.Plan) {
		lines := w.PlanLines(p, rows)
		for _, it := range p.Items {
			names[it.ID] = lines.Name(it.ID)
			if it.Count > 1 {
				names[it.ID] = fmt.Sprintf("%s ×%d", lines.Name(it.ID), it.Count)
			}
		}
	}
	if before != nil {
		call(before)
	}
	call(p)
	item := func(id string) string {
		if n, ok := names[id]; ok {
			return n
		}
		return lines.Name(id)
	}
	return Words{Lang: w.Lang, RTL: pack.RightToLeft(w.Lang), Say: say, Item: item, Step: lines.Step, Why: lines.Why}, nil
}
