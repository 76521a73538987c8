package courier

import (
	"cmp"
	"slices"
	"time"

	"benyomo/internal/engine/chat"
)

// state says where a row is on its way.
type state int

const (
	waiting   state = iota // in a lane of its room
	sending                // with the Sender
	recording              // with the writer
)

// row is one row of the outbox.
type row struct {
	post    chat.Post
	room    *room
	state   state
	bulk    bool // took one of the slots that announcements may take
	moved   bool // its receipt said Moved
	again   bool // to be sent once more after it is recorded: its room was rekeyed
	dropped bool // the writer took it back while it was on its way
}

// room is what the courier knows of one chat. Its rows wait in two lanes, each in order of their numbers: announcements in
// the second, everything else in the first, and the second moves only when the first is empty.
type room struct {
	id      chat.ID
	people  []*row
	bulk    []*row
	busy    int // rows sending or recording
	held    bool
	pause   time.Time // nothing goes before
	tries   int       // failures in a row
	buckets []bucket

	queue *queue // where it is lined up, or nil
	index int    // its place there
	at    time.Time
	class chat.Class
	seq   uint64
}

// lane is where a row of that class waits.
func (r *room) lane(c chat.Class) *[]*row {
	if c >= chat.Announcement {
		return &r.bulk
	}
	return &r.people
}

func bySeq(a *row, seq uint64) int { return cmp.Compare(a.post.Seq, seq) }

// insert puts a row in its lane, in order.
func (r *room) insert(w *row) {
	w.room, w.state, w.post.Chat = r, waiting, r.id
	lane := r.lane(w.post.Class)
	if n := len(*lane); n == 0 || (*lane)[n-1].post.Seq < w.post.Seq {
		*lane = append(*lane, w)
		return
	}
	i, _ := slices.BinarySearchFunc(*lane, w.post.Seq, bySeq)
	*lane = slices.Insert(*lane, i, w)
}

// remove takes a waiting row out of its lane.
func (r *room) remove(w *row) {
	lane := r.lane(w.post.Class)
	i, ok := slices.BinarySearchFunc(*lane, w.post.Seq, bySeq)
	switch {
	case !ok:
	case i == 0:
		(*lane)[0] = nil
		*lane = (*lane)[1:]
	default:
		*lane = slices.Delete(*lane, i, i+1)
	}
}

// next is the row that goes next, or nil. Should the first lane begin with a row about a message that an earlier
// announcement row is to bring, that one goes before it: an edit cannot overtake what it edits.
func (r *room) next() *row {
	if len(r.people) == 0 {
		if len(r.bulk) == 0 {
			return nil
		}
		return r.bulk[0]
	}
	head := r.people[0]
	if head.post.Handle != "" {
		for _, w := range r.bulk {
			if w.post.Seq > head.post.Seq {
				break
			}
			if w.post.Handle == head.post.Handle {
				return w
			}
		}
	}
	return head
}

// urgency is the class in which the room lines up: that of its most urgent row, since rows before it hold it up.
func (r *room) urgency() chat.Class {
	c := chat.Announcement
	for _, w := range r.people {
		if c = min(c, w.post.Class); c == chat.Answer {
			break
		}
	}
	return c
}

// ready is the first moment, from now on, at which the row may go as far as its room is concerned.
func (r *room) ready(now time.Time, w *row) time.Time {
	at := now
	if r.pause.After(at) {
		at = r.pause
	}
	for _, b := range r.buckets {
		if t := b.ready(now, cost(w.post)); t.After(at) {
			at = t
		}
	}
	return at
}

// forgettable tells whether nothing would change if the room were made anew.
func (r *room) forgettable(now time.Time) bool {
	if r.busy > 0 || r.held || len(r.people)+len(r.bulk) > 0 || r.pause.After(now) {
		return false
	}
	for _, b := range r.buckets {
		if !b.full(now) {
			return false
		}
	}
	return true
}

// queue is a heap of rooms (container/heap).
type queue struct {
	rooms []*room
	less  func(a, b *room) bool
}

func (q *queue) Len() int           { return len(q.rooms) }
func (q *queue) Less(i, j int) bool { return q.less(q.rooms[i], q.rooms[j]) }

func (q *queue) Swap(i, j int) {
	q.rooms[i], q.rooms[j] = q.rooms[j], q.rooms[i]
	q.rooms[i].index, q.rooms[j].index = i, j
}

// Push appends a room.
func (q *queue) Push(x any) {
	r := x.(*room)
	r.queue, r.index = q, len(q.rooms)
	q.rooms = append(q.rooms, r)
}

// Pop takes the last room away.
func (q *queue) Pop() any {
	last := len(q.rooms) - 1
	r := q.rooms[last]
	q.rooms[last], r.queue = nil, nil
	q.rooms = q.rooms[:last]
	return r
}

// byUrgency orders rooms that could send now.
func byUrgency(a, b *room) bool {
	if a.class != b.class {
		return a.class < b.class
	}
	return a.seq < b.seq
}

// byTime orders rooms that will be able to send.
func byTime(a, b *room) bool { return a.at.Before(b.at) }
