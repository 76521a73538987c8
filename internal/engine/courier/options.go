package courier

import (
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/clock"
)

// DefaultInFlight is how many rows may be on their way, which is how many a crash can repeat.
const DefaultInFlight = 32

// DefaultGrace is how long sends that are on their way at the end of Run may take to finish.
const DefaultGrace = 5 * time.Second

// Options configures a Courier. Sender and Results must be given.
type Options struct {
	// Sender brings posts to the messenger.
	Sender Sender
	// Machine is the clock that paces, waits and backs off; nil means the machine's own.
	Machine clock.Clock
	// Resting tells whether it is a time in which nothing is sent to a chat. Nil means never. It is asked before every
	// send; when it turns false, Wake must be called. It must be quick, and must not call the courier.
	Resting func(chat.ID) bool
	// Lookup gives the messenger's number of a message that we name, 0 when there is none. It is asked just before an
	// Edit or a Strip is sent, when all earlier results of the chat are recorded. Nil means always 0.
	Lookup func(chat.ID, chat.Handle) int
	// Rates are the limits to keep to; the zero value means DefaultRates.
	Rates Rates
	// InFlight bounds the rows that were sent, or are being sent, and not yet recorded; 0 means DefaultInFlight.
	InFlight int
	// Grace bounds how long Run waits, after its context ended, for sends on their way; 0 means DefaultGrace. Then they
	// are cancelled, and their rows stay owed.
	Grace time.Duration
	// Results hands a final fate to the writer. It is called from several goroutines, may block, and is called until Run
	// returns, so whoever takes the results must outlive Run.
	Results func(Result)
}
