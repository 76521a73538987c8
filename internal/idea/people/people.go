// Package people says who somebody is and what he may do: members and their households, the rabbi and the office, the links
// by which they come in. It keeps the least that the work needs: no names, no telephone numbers.
//
// Rights are asked at the action, never only by hiding a button.
package people

import (
	"slices"
	"time"
)

// Role is a right that a person holds.
type Role string

const (
	Member         Role = "member"
	Rabbi          Role = "rabbi"           // answers questions
	ApprovingRabbi Role = "approving-rabbi" // also approves content, sets positions, admits rabbis
	Office         Role = "office"
)

// Person is somebody who has written to the bot.
type Person struct {
	ID         int64     `json:"id"` // also the id of the private chat
	Roles      []Role    `json:"roles,omitempty"`
	Lang       string    `json:"lang,omitempty"`
	Household  uint64    `json:"household,omitempty"`
	OptOut     bool      `json:"opt_out,omitempty"` // wants no announcements
	Away       bool      `json:"away,omitempty"`    // has stopped the bot
	LastActive time.Time `json:"last_active"`
}

// Is reports whether the person holds the role. The approving rabbi is a rabbi.
func (p Person) Is(r Role) bool {
	return slices.Contains(p.Roles, r) || (r == Rabbi && slices.Contains(p.Roles, ApprovingRabbi))
}

// Grant gives the person a role.
func (p *Person) Grant(r Role) {
	if !slices.Contains(p.Roles, r) {
		p.Roles = append(p.Roles, r)
	}
}

// Household is a kitchen and those who share it.
type Household struct {
	ID      uint64    `json:"id"`
	Members []int64   `json:"members"`
	Purpose string    `json:"purpose,omitempty"`
	Custom  string    `json:"custom,omitempty"`
	Place   string    `json:"place,omitempty"` // israel or abroad: where it keeps the festivals
	Town    string    `json:"town,omitempty"`  // name of the place where it is; "" is the community's
	Since   time.Time `json:"since"`
}

// Places at which a household keeps the festivals.
const (
	Israel = "israel"
	Abroad = "abroad"
)

// Complete reports whether the three questions about the household are answered.
func (h Household) Complete() bool { return h.Purpose != "" && h.Custom != "" && h.Place != "" }

// Join adds a member.
func (h *Household) Join(id int64) {
	if !slices.Contains(h.Members, id) {
		h.Members = append(h.Members, id)
	}
}

// Leave removes a member.
func (h *Household) Leave(id int64) {
	h.Members = slices.DeleteFunc(h.Members, func(m int64) bool { return m == id })
}

// Link is what `/start TOKEN` does.
type Link struct {
	Token     string    `json:"token"`
	Grants    Role      `json:"grants"`              // what it makes of whoever opens it
	Household uint64    `json:"household,omitempty"` // the household it joins
	Once      bool      `json:"once,omitempty"`      // it works a single time
	Used      bool      `json:"used,omitempty"`
	Expires   time.Time `json:"expires,omitzero"`
}

// Refusal says why a link does not work.
type Refusal string

const (
	Works   Refusal = ""
	IsUsed  Refusal = "used"
	Expired Refusal = "expired"
)

// Open decides whether the link works now.
func (l Link) Open(now time.Time) Refusal {
	switch {
	case l.Once && l.Used:
		return IsUsed
	case !l.Expires.IsZero() && now.After(l.Expires):
		return Expired
	}
	return Works
}
