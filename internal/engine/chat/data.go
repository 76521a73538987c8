package chat

import (
	"fmt"
	"strings"
)

// Data builds a button's data from a verb and its arguments. It panics over DataLimit or on a stray separator: both are
// mistakes of the program, and a test presses every button.
func Data(verb string, args ...any) string {
	if strings.Contains(verb, "|") {
		panic(fmt.Sprintf("button %s: the verb holds the separator", verb))
	}
	var b strings.Builder
	b.WriteString(verb)
	for _, a := range args {
		s := fmt.Sprint(a)
		if strings.Contains(s, "|") {
			panic(fmt.Sprintf("button %s: argument %q holds the separator", verb, s))
		}
		b.WriteByte('|')
		b.WriteString(s)
	}
	if b.Len() > DataLimit {
		panic(fmt.Sprintf("button %s: %d bytes of data", verb, b.Len()))
	}
	return b.String()
}

// ParseData takes a button's data apart.
func ParseData(data string) (verb string, args []string) {
	parts := strings.Split(data, "|")
	return parts[0], parts[1:]
}

// Class orders deliveries: answers to people go before ends of heatings, those before other reminders, announcements last.
type Class int

const (
	Answer Class = iota
	HeatingEnd
	Reminder
	Announcement
)

// Op is what is done with a message.
type Op string

const (
	Send  Op = "send"
	Edit  Op = "edit"  // the message named by the handle
	Strip Op = "strip" // take its buttons away
)

// Post is one delivery that is owed.
type Post struct {
	Seq     uint64  `json:"seq"`
	Chat    ID      `json:"chat"`
	Op      Op      `json:"op"`
	Handle  Handle  `json:"handle,omitempty"` // names the message for later edits; may be empty for a send
	Class   Class   `json:"class"`
	Message Message `json:"message"`
}
