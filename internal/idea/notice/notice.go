// Package notice is the office's announcements: who gets one, and how far it has gone.
package notice

import (
	"time"

	"benyomo/internal/idea/people"
)

// ChunkSize is the number of recipients kept in one record, and Window the number of deliveries of one announcement that
// wait at a time: an announcement never crowds out an answer.
const (
	ChunkSize = 256
	Window    = 32
)

// Announcement is a text that the office sends to all members.
type Announcement struct {
	ID        uint64    `json:"id"`
	By        int64     `json:"by"`
	Text      string    `json:"text"`
	Confirmed time.Time `json:"confirmed"`
	Total     int       `json:"total"`             // recipients, frozen at confirmation
	Queued    int       `json:"queued"`            // handed to delivery
	Done      int       `json:"done"`              // delivered or refused
	Resting   int       `json:"resting,omitempty"` // of those queued, how many wait for the end of a rest where they are
	Refused   int       `json:"refused"`
	Finished  bool      `json:"finished"`
}

// Receives decides whether a person gets announcements.
func Receives(p people.Person) bool {
	return p.Is(people.Member) && !p.OptOut && !p.Away
}

// Next is how many more deliveries may be queued now. One that waits for the end of somebody's rest holds up nobody else.
func (a Announcement) Next() int {
	return max(0, min(Window-(a.Queued-a.Done-a.Resting), a.Total-a.Queued))
}
