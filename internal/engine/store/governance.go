package store

import (
	"iter"
	"time"

	"benyomo/internal/idea/approval"
	"benyomo/internal/idea/notice"
)

var (
	approvals     = table[approval.Approval]{"approval", 1}
	approvedSays  = table[[]string]{"approved-says", 1} // kind | language → the sentences that were approved
	positions     = table[map[string]string]{"position", 1}
	audits        = table[Audit]{"audit", 1}
	announcements = table[notice.Announcement]{"announcement", 1}
	chunks        = table[[]int64]{"chunk", 1} // announcement | number → recipients
)

// Audit records who decided what.
type Audit struct {
	ID   uint64    `json:"id"`
	At   time.Time `json:"at"`
	By   int64     `json:"by"`
	What string    `json:"what"`
}

// Approval returns the approval of a kind's dialog.
func (tx *Tx) Approval(kind string) (approval.Approval, bool) { return approvals.get(tx, key(kind)) }

// PutApproval stores an approval.
func (tx *Tx) PutApproval(a approval.Approval) { approvals.put(tx, key(a.Kind), a) }

// ApprovedSays returns the sentences of a dialog as they were approved in a language.
func (tx *Tx) ApprovedSays(kind, lang string) []string {
	says, _ := approvedSays.get(tx, key(kind+"|"+lang))
	return says
}

// PutApprovedSays keeps the sentences that were approved, to show later what has changed.
func (tx *Tx) PutApprovedSays(kind, lang string, says []string) {
	approvedSays.put(tx, key(kind+"|"+lang), says)
}

// Positions returns the community's positions on all switches.
func (tx *Tx) Positions() approval.Positions {
	out := approval.Positions{}
	for k, by := range positions.all(tx, nil) {
		out[string(k)] = by
	}
	return out
}

// SetPosition sets the community's position on a switch for a custom; an empty one unsets it.
func (tx *Tx) SetPosition(switchID, custom, position string) {
	p := tx.Positions()
	p.Set(switchID, custom, position)
	positions.put(tx, key(switchID), p[switchID])
}

// Audit records a decision.
func (tx *Tx) Audit(at time.Time, by int64, what string) {
	id := tx.next(audits.bucket)
	audits.put(tx, key(id), Audit{ID: id, At: at, By: by, What: what})
}

// Audits yields the decisions in their order.
func (tx *Tx) Audits() iter.Seq[Audit] { return values(audits.all(tx, nil)) }

// NewAnnouncement stores an announcement with its recipients, in chunks.
func (tx *Tx) NewAnnouncement(a notice.Announcement, to []int64) notice.Announcement {
	a.ID, a.Total = tx.next(announcements.bucket), len(to)
	announcements.put(tx, key(a.ID), a)
	for n := 0; n*notice.ChunkSize < len(to); n++ {
		chunks.put(tx, key(a.ID, uint64(n)), to[n*notice.ChunkSize:min(len(to), (n+1)*notice.ChunkSize)])
	}
	return a
}

// PutAnnouncement stores an announcement.
func (tx *Tx) PutAnnouncement(a notice.Announcement) { announcements.put(tx, key(a.ID), a) }

// Announcement returns an announcement.
func (tx *Tx) Announcement(id uint64) (notice.Announcement, bool) {
	return announcements.get(tx, key(id))
}

// Announcements yields all announcements.
func (tx *Tx) Announcements() iter.Seq[notice.Announcement] {
	return values(announcements.all(tx, nil))
}

// Recipients returns the recipients from..to of an announcement, in their frozen order.
func (tx *Tx) Recipients(id uint64, from, to int) []int64 {
	var out []int64
	for n := from / notice.ChunkSize; n*notice.ChunkSize < to; n++ {
		c, ok := chunks.get(tx, key(id, uint64(n)))
		if !ok {
			break
		}
		base := n * notice.ChunkSize
		out = append(out, c[min(len(c), max(0, from-base)):min(len(c), to-base)]...)
	}
	return out
}
