// Package turn is one exchange: who did what, when, inside one transaction; and what is said, started and raised in answer.
// The rooms of the people are written against it, and so need no messenger, no database library and no clock.
//
// A room that has news for another one raises it; the bot's table says who listens. Nothing here waits or sends.
package turn

import (
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/find"
	"benyomo/internal/idea/luach"
	"benyomo/internal/idea/plan"
)

// Env is what stays the same from turn to turn.
type Env struct {
	Pack      *dialog.Pack
	Finder    *find.Finder // recognises what is typed, by the words of the pack
	Rows      *plan.Rows   // of the pack, for planning a kitchen
	Community Community
	Token     func() string // a new unguessable token for a link, of A-Z a-z 0-9 _ -
	BotName   string        // for links
	Version   string        // of the program, kept with what was told
}

// Community is what the configuration says.
type Community struct {
	Name     string
	Custom   string // of those who are not sure of their own; may be ""
	Lang     string // in which groups and the first screen speak
	Place    luach.Place
	Places   []luach.Place // others in which a household may be, by names that differ
	Phone    string        // shown where the program cannot help
	Closed   bool          // only those who came by a link may ask
	Inbox    chat.ID
	Bedtime  int // minutes after midnight
	Quiet    Hours
	Founders Founders
}

// Hours is a part of each day, in minutes after midnight; it may run over midnight. An empty one never holds.
type Hours struct{ From, To int }

// Founders are those whom the configuration names.
type Founders struct {
	ApprovingRabbi int64
	Rabbis, Office []int64
}

// At reports whether the hours hold at t, and when they end: the first minute after t at which the clocks of t's zone show
// another time, whatever happens to the clocks in between.
func (h Hours) At(t time.Time) (ends time.Time, ok bool) {
	if !h.hold(t) {
		return time.Time{}, false
	}
	ends = t.Truncate(time.Minute)
	for range 25 * 60 { // hours that never end are as long as the longest day
		if ends = ends.Add(time.Minute); !h.hold(ends) {
			break
		}
	}
	return ends, true
}

func (h Hours) hold(t time.Time) bool {
	minute := t.Hour()*60 + t.Minute()
	if h.From > h.To {
		return minute >= h.From || minute < h.To
	}
	return minute >= h.From && minute < h.To
}
