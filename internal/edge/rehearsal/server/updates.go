package server

import (
	"encoding/json"
	"math"
	"time"
)

const (
	// firstUpdateID is the first update's number; any positive number would do.
	firstUpdateID = 1001
	// maxAnswer is about where one answer of getUpdates is cut, in bytes. Observed, not published.
	maxAnswer = 4 << 20
)

// update is one update in the queue.
type update struct {
	id    int
	kind  string // "" for an injected one
	chat  int64
	raw   json.RawMessage
	born  time.Time // machine time
	twice bool      // to be delivered once more after it is confirmed
	sent  bool      // of an update in again: was in an answer
}

// queue holds the updates that no offset has confirmed yet.
type queue struct {
	next    int
	items   []*update
	again   []*update       // confirmed ones that come a second time
	allowed map[string]bool // nil: the standard set
}

// standardKinds tells whether an update kind is delivered when allowed_updates was never set or set to an empty list:
// all are, but three. Source: Bot API, getUpdates.
func standardKinds(kind string) bool {
	return kind != "chat_member" && kind != "message_reaction" && kind != "message_reaction_count"
}

// enqueue makes an update of an event, unless allowed_updates leaves its kind out. The mutex is held.
func (s *Server) enqueue(kind string, chat int64, payload object) {
	if q := &s.queue; q.allowed != nil && !q.allowed[kind] || q.allowed == nil && !standardKinds(kind) {
		return
	}
	s.push(&update{kind: kind, chat: chat, raw: mustJSON(object{"update_id": s.queue.next, kind: payload})})
}

// push numbers an update and appends it. The mutex is held.
func (s *Server) push(u *update) {
	u.id = s.queue.next
	s.queue.next++
	u.born = s.o.Machine()
	for i, f := range s.faults {
		if f.Kind == FaultTwice && (f.Chat == 0 || f.Chat == u.chat) {
			u.twice = true
			s.useFault(i)
			break
		}
	}
	s.queue.items = append(s.queue.items, u)
}

// Inject queues an update as it is, whatever allowed_updates says; only update_id is filled in. It is meant for kinds
// of update this server does not make and for broken ones. It returns the update's number, or 0 when raw is no JSON.
func (s *Server) Inject(raw json.RawMessage) (updateID int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if !json.Valid(raw) {
		return 0
	}
	id := s.queue.next
	var fields map[string]json.RawMessage
	if json.Unmarshal(raw, &fields) == nil && fields != nil {
		fields["update_id"] = mustJSON(id)
		raw = mustJSON(fields)
	}
	s.push(&update{raw: append(json.RawMessage(nil), raw...)})
	s.advance()
	return id
}

// Unconfirmed counts the updates that no offset has confirmed yet and that are not too old.
func (s *Server) Unconfirmed() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.forget()
	return len(s.queue.items) + len(s.queue.again)
}

// forget drops what is too old: presses sooner than the rest. The mutex is held.
func (s *Server) forget() {
	now := s.o.Machine()
	kept := s.queue.items[:0]
	for _, u := range s.queue.items {
		keep := s.o.KeepMessages
		if u.kind == "callback_query" {
			keep = s.o.KeepPresses
		}
		if now.Sub(u.born) < keep {
			kept = append(kept, u)
		}
	}
	clear(s.queue.items[len(kept):])
	s.queue.items = kept
}

// confirm applies an offset: updates below it are done with. A negative one forgets all but the last. An offset beyond
// the newest update makes the numbering go on from there, since a bot that comes with one has it from an earlier
// rehearsal and would otherwise confirm updates it has not seen. The mutex is held.
func (q *queue) confirm(offset int64) {
	switch {
	case offset < 0:
		if n := int64(len(q.items)) + offset; n > 0 {
			q.items = q.items[n:]
		}
	case offset > 0:
		q.next = max(q.next, int(min(offset, math.MaxInt32-1_000_000)))
		q.again = dropWhere(q.again, func(u *update) bool { return u.sent && int64(u.id) < offset })
		q.items = dropWhere(q.items, func(u *update) bool {
			if int64(u.id) >= offset {
				return false
			}
			if u.twice {
				u.twice, u.sent = false, false
				q.again = append(q.again, u)
			}
			return true
		})
	}
}

func dropWhere(list []*update, drop func(*update) bool) []*update {
	var kept []*update
	for _, u := range list {
		if !drop(u) {
			kept = append(kept, u)
		}
	}
	return kept
}

// batch is the next answer, oldest first, without taking anything away. The mutex is held.
func (q *queue) batch(limit int) []json.RawMessage {
	list := []json.RawMessage{} // empty it is "[]" on the wire
	size := 0
	for _, part := range [][]*update{q.again, q.items} {
		for _, u := range part {
			size += len(u.raw)
			if len(list) == limit || size > maxAnswer && len(list) > 0 {
				return list
			}
			u.sent = true
			list = append(list, u.raw)
		}
	}
	return list
}
