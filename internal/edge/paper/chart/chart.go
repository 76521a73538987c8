// Package chart puts the plan of a kitchen on paper: as a picture for a phone ([Picture]) and as entries of a calendar
// ([Calendar]). Both return bytes and are deterministic: the same plan, words and options give the same bytes.
//
// The picture goes down by days and across by hours. Who does not read it sees what is meant by pattern and symbol: work is
// solid, heat is hatched, waiting is dotted; nothing is told by colour alone.
//
// Nothing here plans, reads or writes a file, or asks a clock; and no word stands here: all come with [Words]. How shapes and
// letters are drawn is in package ink.
package chart

import (
	"errors"
	"fmt"
	"time"

	"benyomo/internal/edge/paper/ink"
	"benyomo/internal/idea/luach"
	"benyomo/internal/idea/plan"
)

// Words are all that is said, in one language.
type Words struct {
	Lang string // its code
	RTL  bool   // it is written from right to left

	Item func(id string) string                // the name of an item of the plan
	Step func(name string) string              // the name of a step
	Why  func(id, item string) string          // the sentence of an id of the plan, such as Step.Why, with the item that decides
	Say  func(key string, pairs ...any) string // a sentence of this package, such as those of [Sentences]; pairs are name, value
}

// Options are what a plan does not say. Times are shown in the place's zone.
type Options struct {
	Place         luach.Place // for rest spans
	Wake, Bedtime int         // minutes after midnight
	Now           time.Time   // the line "now"; zero is when the plan was made
	Dark          bool        // light on dark
	Tall          int         // the height of one picture at most, in dots; 0 is [Tallest]
}

// The heights of pictures, in dots: a longer plan makes several.
const (
	// Tallest is for who opens a file: as much at once as can be.
	Tallest = 4000
	// PhoneScreen is the shape of a phone's screen: messengers make photos smaller until their longer side fits.
	PhoneScreen = 1920
)

// Measures of the picture, in dots: a phone shows it at its own width, which is about a third of it in its points.
const (
	width  = 1080
	margin = 24.0
	full   = width - 2*margin

	nameWidth = 268.0
	laneFrom  = margin + nameWidth + 16
	lane      = width - margin - laneFrom // the width of the hours
)

// Sizes of letters, in dots.
const (
	small = 26.0 // none is smaller
	body  = 28.0
	large = 32.0
	title = 44.0
)

// ErrNothing says that a plan has nothing to show.
var ErrNothing = errors.New("the plan has no step and no item that does not fit")

// Picture is the plan as pictures in the format PNG, one as a rule: where the plan is long, several, to be shown one after the
// other. Each is 1080 dots wide and at most 4000 high.
func Picture(p plan.Plan, w Words, o Options) ([][]byte, error) {
	sheets, err := sheets(&p, w, o)
	if err != nil {
		return nil, err
	}
	out := make([][]byte, len(sheets))
	for i, d := range sheets {
		if out[i], err = d.PNG(); err != nil {
			return nil, fmt.Errorf("sheet %d of the plan: %w", i+1, err)
		}
	}
	return out, nil
}

// chart is a picture in the making.
type chart struct {
	plan  *plan.Plan
	words Words
	opts  Options
	look  look
	now   time.Time

	d       *ink.Drawing // measures, and is what is drawn on
	strands []*strand
	bands   []*band
	rests   []luach.Span
	flow    []element
}

// sheets are the pictures as marks.
func sheets(p *plan.Plan, w Words, o Options) ([]*ink.Drawing, error) {
	if err := o.Place.Valid(); err != nil {
		return nil, fmt.Errorf("place of the plan: %w", err)
	}
	c := &chart{plan: p, words: w, opts: o, look: light, now: o.Now}
	if o.Dark {
		c.look = dark
	}
	if c.now.IsZero() {
		c.now = p.Made
	}
	var err error
	if c.d, err = ink.New(width, w.RTL, c.look.paper); err != nil {
		return nil, err
	}
	c.strands = c.group()
	if len(c.strands) == 0 && len(p.Unfit) == 0 {
		return nil, ErrNothing
	}
	c.rests = restsOf(o.Place, c.from(), c.until())
	c.bands = c.divide()
	c.heading()
	c.story()
	c.closing()
	return c.pages(), nil
}

// from is the beginning of what is shown, and until its end.
func (c *chart) from() time.Time {
	from := c.now
	for _, l := range c.strands {
		for _, t := range l.tasks {
			if from.IsZero() || t.Begins.Before(from) {
				from = t.Begins
			}
		}
	}
	if m := c.plan.LastMeal; m != nil && m.At.Before(from) {
		from = m.At
	}
	return from
}

func (c *chart) until() time.Time {
	until := later(c.plan.Finish.At, c.now)
	for _, l := range c.strands {
		for _, t := range l.tasks {
			if t.Ends.After(until) {
				until = t.Ends
			}
		}
	}
	return until
}

// restsOf lists the rest spans that touch the time.
func restsOf(p luach.Place, from, until time.Time) []luach.Span {
	const most = 200 // a plan holds 100 days
	var out []luach.Span
	for s := luach.NextRest(p, from); s.Begins.Before(until) && len(out) < most; s = luach.NextRest(p, s.Ends) {
		out = append(out, s)
	}
	return out
}
