// Package chat is the language in which the program and the messenger speak: an Event comes in, a Message goes out, a Handle
// is our own name for a message that was sent. It knows no messenger, no store and no clock.
//
// Caveats: lengths are measured in UTF-16 units, which is never shorter than any messenger's own count. Texts are plain;
// the edge escapes them.
package chat

// ID names a conversation: a private one (the person's own id) or a group (negative).
type ID int64

// Kind says what happened.
type Kind string

const (
	Typed     Kind = "typed"     // words, or a command
	Pressed   Kind = "pressed"   // a button
	Photo     Kind = "photo"     // a picture, perhaps with words
	Voice     Kind = "voice"     // a voice note
	File      Kind = "file"      // any other file
	Other     Kind = "other"     // a sticker, a contact, a place …
	Blocked   Kind = "blocked"   // the person stopped the bot
	Unblocked Kind = "unblocked" // and let it in again
	Migrated  Kind = "migrated"  // the group has a new id
)

// Event is one thing that somebody did.
type Event struct {
	Update  int64  `json:"update"` // the messenger's number for it, by which repeats are known
	Kind    Kind   `json:"kind"`
	Chat    ID     `json:"chat"`
	Group   bool   `json:"group,omitempty"`
	User    int64  `json:"user"`
	Lang    string `json:"lang,omitempty"` // the language of the person's own program, a hint
	Text    string `json:"text,omitempty"` // words, or the words of a photo
	Command string `json:"command,omitempty"`
	Args    string `json:"args,omitempty"` // what follows the command
	Message int    `json:"message,omitempty"`
	ReplyTo int    `json:"reply_to,omitempty"` // the message that is answered
	Press   string `json:"press,omitempty"`    // the messenger's number for a press, which it wants answered
	Data    string `json:"data,omitempty"`     // the button's data
	FileID  string `json:"file,omitempty"`
	NewChat ID     `json:"new_chat,omitempty"` // where a group moved
}
