// Package paper puts dialogs on paper: one kind as a flowchart, and the whole pack as a handbook for reading and printing.
//
// Basics: Flowchart returns sheets of SVG with the symbols of ISO 5807, and Handbook one self-contained page of HTML. Both
// return bytes and are deterministic: the same pack, language and options give the same bytes.
//
// Caveats: nothing here reads or writes a file, asks a clock, or decides anything. Positions of the layout come from Graphviz;
// its own text, fonts and drawing are not used, since they know nothing of right-to-left writing.
package paper

import (
	"strings"
	"time"

	"benyomo/internal/idea/approval"
	"benyomo/internal/idea/dialog"
)

// Options say how a flowchart is drawn. The zero value draws sheets that stand by themselves.
type Options struct {
	// Bare leaves out the heading and the legend, for a page that has its own.
	Bare bool
	// Anchor, where it is set, begins the link of each box to the place of its words: "#" + Anchor + "-s-" + the step's id, or
	// "-o-" and the outcome's. It also begins every id within the drawing, which must be its own where several share a page.
	Anchor string
}

// HandbookOptions say whose handbook it is.
type HandbookOptions struct {
	Community string // its name for the title page, or ""
	Invented  bool   // the community is an example, and the title page says so
	// Positions are the community's; nil where they are not known, which is not the same as none set.
	Positions approval.Positions
	// Approvals are the rabbi's, by kind; nil where they are not known. Who approved is not printed.
	Approvals map[string]approval.Approval
	Now       time.Time // the date of the print, in the zone in which dates are shown
	Lang      string    // the code of one language; "" is every language of the pack, in its order
}

// stepAnchor is the id of the place of a step's words.
func stepAnchor(prefix string, s *dialog.Step) string { return prefix + "-s-" + s.Name() }

// outcomeAnchor is the id of the place of an outcome's words.
func outcomeAnchor(prefix string, o *dialog.Outcome) string { return prefix + "-o-" + o.ID }

// clean makes a text fit for XML: it drops what XML cannot hold, and escapes the rest.
func clean(s string) string {
	s = strings.ToValidUTF8(s, "")
	s = strings.Map(func(r rune) rune {
		if r < ' ' && r != '\n' && r != '\t' || r == 0xFFFE || r == 0xFFFF {
			return -1
		}
		return r
	}, s)
	return escaper.Replace(s)
}

var escaper = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;")
