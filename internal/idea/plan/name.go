package plan

import "benyomo/internal/idea/dialog"

// Name is what a kind of thing is called; it is empty for a kind that the rows do not have.
func (r *Rows) Name(kind string) dialog.Text {
	if k := r.kind(kind); k != nil {
		return k.name
	}
	return dialog.Text{}
}
