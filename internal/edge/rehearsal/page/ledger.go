package page

import (
	"bytes"
	"encoding/json"
	"time"

	"benyomo/internal/edge/rehearsal/server"
)

// ledger is one view's conversation with what is needed to tell a browser only what changed. Numbers, once given, stay:
// a message that vanishes leaves its number behind.
type ledger struct {
	View
	lines   []*line
	byID    map[int]*line
	stopped bool // the person has stopped the bot
	note    note
}

// line is one numbered entry and the revision at which it last changed.
type line struct {
	entry
	digest  []byte
	changed int
}

// note is what the line under a ledger says about the last press.
type note struct {
	Text    string `json:"text"`
	Alert   bool   `json:"alert,omitempty"`   // the bot asked for it to be shown as an alert
	Waiting bool   `json:"waiting,omitempty"` // no answer yet
	N       int    `json:"n"`                 // grows, so that the same text twice is said twice
}

// press is a button press whose answer has not come.
type press struct {
	view  *ledger
	label string
}

func newLedger(v View) *ledger { return &ledger{View: v, byID: map[int]*line{}} }

// private reports whether the view is a conversation between one person and the bot.
func (l *ledger) private() bool { return l.Chat == l.Person }

// people is what the server knows about everybody, by number.
type people map[int64]server.Person

// update takes in what the chat shows now and stamps what changed with rev. It reports whether anything did.
func (l *ledger) update(messages []server.Message, who people, zone *time.Location, rev int) bool {
	changed := false
	day := ""
	shown := make(map[int]bool, len(messages))
	for _, m := range messages {
		shown[m.ID] = true
		e := compose(m, l.Person, nameOf(m, who), who[l.Person].LanguageCode)
		at := m.Time.In(zone)
		e.Time = at.Format("15:04")
		if d := at.Format("Monday 2 January 2006"); d != day {
			day, e.Day = d, d
		}
		if answered := l.byID[e.AnswerTo]; answered != nil {
			e.AnswerNo = answered.No
		}
		changed = l.put(e, rev) || changed
	}
	for _, old := range l.lines {
		if !shown[old.ID] && !old.Gone {
			e := old.entry
			e.Gone, e.Blocks, e.Rows, e.File = true, []block{}, [][]key{}, nil
			changed = l.put(e, rev) || changed
		}
	}
	return changed
}

// put writes one entry under its number and reports whether it differs from what stood there.
func (l *ledger) put(e entry, rev int) bool {
	at := l.byID[e.ID]
	if at == nil {
		at = &line{entry: entry{No: len(l.lines) + 1}}
		l.byID[e.ID] = at
		l.lines = append(l.lines, at)
	}
	e.No = at.No
	digest, err := json.Marshal(e)
	if err == nil && bytes.Equal(digest, at.digest) {
		return false
	}
	at.entry, at.digest, at.changed = e, digest, rev
	return true
}

// since lists the entries that changed after rev, by number.
func (l *ledger) since(rev int) []entry {
	out := []entry{}
	for _, at := range l.lines {
		if at.changed > rev {
			out = append(out, at.entry)
		}
	}
	return out
}

// say puts a new text on the line under the ledger.
func (l *ledger) say(text string, alert, waiting bool) {
	l.note = note{Text: text, Alert: alert, Waiting: waiting, N: l.note.N + 1}
}

func nameOf(m server.Message, who people) string {
	if m.Bot {
		return "Bot"
	}
	if p, ok := who[m.From]; ok && p.FirstName != "" {
		return p.FirstName
	}
	return "Somebody"
}
