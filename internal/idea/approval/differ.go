package approval

import (
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/kitchen"
	"benyomo/internal/idea/triage"
)

// NowDiffers walks the facts of what was told under the present content and positions, and reports whether the answer would be
// another one. now is nil where it would be asked, or go to the rabbi.
func NowDiffers(t *dialog.Tree, rec kitchen.Telling, lookup triage.Lookup) (now *dialog.Outcome, differs bool) {
	facts := triage.Facts{}
	for _, st := range rec.Path {
		facts[st.Question] = st.Answer
	}
	r := triage.Walk(t, rec.Purpose, facts, lookup)
	if r.Outcome == nil {
		return nil, true
	}
	return r.Outcome, r.Outcome.Content() != rec.Content
}
