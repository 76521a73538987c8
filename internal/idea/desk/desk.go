// Package desk is the rabbi's desk: the questions that were referred to him (shaylos), with their facts, and his answers.
//
// A question is a value; every decision about it takes `now`. What the card looks like belongs to the rabbi's room.
package desk

import (
	"time"

	"benyomo/internal/idea/triage"
)

// Status is where a question stands.
type Status string

const (
	Open      Status = "open"
	Closed    Status = "closed"
	Withdrawn Status = "withdrawn" // by the member
)

// Shayla is a question for the rabbi.
type Shayla struct {
	ID        uint64        `json:"id"`
	Household uint64        `json:"household"`
	Item      uint64        `json:"item,omitempty"` // 0 where it is about no item
	Kind      string        `json:"kind,omitempty"`
	Asker     int64         `json:"asker"`
	Lang      string        `json:"lang"`
	Purpose   string        `json:"purpose,omitempty"`
	Custom    string        `json:"custom,omitempty"`
	Reason    triage.Reason `json:"reason"`
	Question  string        `json:"question,omitempty"` // the fact in doubt
	Switch    string        `json:"switch,omitempty"`   // or the switch in doubt
	Path      []triage.Step `json:"path,omitempty"`
	End       string        `json:"end,omitempty"`      // the tree's own end that asks him, where it came to one
	Possible  []string      `json:"possible,omitempty"` // outcomes of the kind's tree
	Photos    []string      `json:"photos,omitempty"`   // of the fact in doubt first
	Words     string        `json:"words,omitempty"`    // the member's own, where the question is in words
	Urgent    bool          `json:"urgent,omitempty"`   // a mix-up: food may be waiting
	Opened    time.Time     `json:"opened"`
	Status    Status        `json:"status"`
	Answer    *Answer       `json:"answer,omitempty"`
}

// Answer is the rabbi's.
type Answer struct {
	By      int64     `json:"by"`
	At      time.Time `json:"at"`
	Outcome string    `json:"outcome,omitempty"` // one of Possible
	Reply   Reply     `json:"reply,omitempty"`   // or one of the fixed replies
	Words   string    `json:"words,omitempty"`   // or his own words
}

// Reply is a short answer that fits any question.
type Reply string

const (
	CoverIt   Reply = "cover"      // cover it, or do not use it
	BringIt   Reply = "bring"      // bring it to me
	SendVisit Reply = "supervisor" // a supervisor will come
	PhoneMe   Reply = "phone"      // phone me
)

// Replies lists the fixed replies in the order of the card.
func Replies() []Reply { return []Reply{CoverIt, BringIt, SendVisit, PhoneMe} }

// Opened is raised when a question has been put on the desk, Answered when it is closed with an answer, Withdrew when the member
// has taken it back.
type (
	Opened   struct{ ID uint64 }
	Answered struct{ ID uint64 }
	Withdrew struct{ ID uint64 }
)

// Verdict says what became of an attempt to answer.
type Verdict string

const (
	Accepted      Verdict = "accepted"
	AlreadyClosed Verdict = "already-closed"
	Gone          Verdict = "withdrawn"
)

// Close answers an open question. A closed one keeps its first answer.
func (s *Shayla) Close(a Answer) Verdict {
	switch s.Status {
	case Closed:
		return AlreadyClosed
	case Withdrawn:
		return Gone
	}
	s.Status, s.Answer = Closed, &a
	return Accepted
}
