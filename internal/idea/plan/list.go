package plan

import (
	"slices"

	"benyomo/internal/idea/dialog"
)

// Row is what a household is shown of a row.
type Row struct {
	ID      string
	Name    dialog.Text
	Counted bool // it takes longer where there are several
	Boiled  bool // in a round of boiling, which goes by sides
	Waits   bool // hot use begins its wait anew
	Sabbath bool // many keep it in hot use on Sabbath
}

// List is what a household can choose from, in the order of the rows.
func (r *Rows) List() []Row {
	var out []Row
	for _, k := range r.kinds {
		if k.unlisted {
			continue
		}
		out = append(out, Row{
			ID: k.id, Name: k.name, Sabbath: k.sabbath,
			Counted: slices.ContainsFunc(k.steps, func(s stepRow) bool { return s.each }),
			Boiled:  slices.ContainsFunc(k.steps, func(s stepRow) bool { return s.isRound }),
			Waits:   slices.ContainsFunc(k.steps, func(s stepRow) bool { return s.idle }),
		})
	}
	return out
}
