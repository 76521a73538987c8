package courier

import (
	"context"
	"time"

	"benyomo/internal/engine/chat"
)

// Fate says what became of one try to deliver a row.
type Fate string

// The fates. The first four are final and reach the writer as a Result; after the others the row is tried again.
const (
	Delivered Fate = "delivered" // it is there, or there is nothing left to do
	Refused   Fate = "refused"   // the messenger will never take it as it is
	Gone      Fate = "gone"      // the chat is closed to us
	Moved     Fate = "moved"     // the group has a new id
	Later     Fate = "later"     // too many at once; the messenger says how long to wait
	Again     Fate = "again"     // the messenger or the network failed; nobody knows for how long
)

// Final tells whether a fate ends a row. One that is none of the above does not: nothing is thrown away on a mistake.
func (f Fate) Final() bool { return f == Delivered || f == Refused || f == Gone || f == Moved }

// Receipt is what a Sender says about one try.
type Receipt struct {
	Fate       Fate
	Message    int           // the messenger's number of the message that is there now; 0: none, or unchanged
	RetryAfter time.Duration // with Later: how long to wait; not above zero means one second
	MovedTo    chat.ID       // with Moved: the group's new id
	Why        string        // short, for the operator; holds no words of people
}

// Sender is the way to the messenger. Its methods are called from several goroutines at once, but Deliver never twice at
// once for one chat. They end when their context does.
type Sender interface {
	// Deliver tries once to bring a post to its chat. The number is the messenger's own for the message that the post's
	// handle names, for an Edit or a Strip; 0 when there is none.
	Deliver(ctx context.Context, p chat.Post, message int) Receipt
	// Toast answers a button press. It is tried once; losing it leaves the button spinning for a while.
	Toast(ctx context.Context, press, text string, alert bool)
}

// Result is a row with its final fate. The post's Chat is the one that the row belongs to now, after a Rekey the new one.
type Result struct {
	Post    chat.Post
	Receipt Receipt
}
