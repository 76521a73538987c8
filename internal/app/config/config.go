// Package config reads the community's configuration file: who and where the community is, who may do what, and where the
// program keeps its things. It lists every mistake of a file at once, with its place and what to do about it.
//
// Positions, approvals and everything else that changes while the program runs are in its data, not here; nor does this
// package open what the file names: the token, the data and the dialogs are opened by those who use them.
package config

import (
	_ "embed" // for the example
	"fmt"
	"io"
	"os"

	"benyomo/internal/idea/luach"
)

// Example is a commented configuration file of an invented community. It is itself valid.
//
//go:embed example.yaml
var Example []byte

// MaxBytes bounds a configuration file: a larger one is something else.
const MaxBytes = 1 << 20

// Admissions: who may use the bot.
const (
	Anybody = "anybody" // whoever writes to it
	ByLink  = "link"    // those who came by a link, and whom they let into their household
)

// Limits of sending that the messenger documents for bots (Bot API FAQ, "My bot is hitting limits"). Rates may not exceed them.
const (
	MaxPerSecond      = 30 // messages a second, over all chats
	MaxChatPerSecond  = 1  // messages a second in one chat
	MaxGroupPerMinute = 20 // messages a minute in one group
)

// Config is the configuration of one community.
type Config struct {
	Name     string        // of the community, as people read it
	Place    luach.Place   // with its zone loaded; its Name is never empty
	Places   []luach.Place // others in which a household may be; no two have a name in common
	Custom   string        // the custom of a household that has not said: ashkenazi, sephardi or any
	Language string        // code of the language in which people are met, such as en

	TokenFile string // path of the file that holds the bot's token; "" where it comes by another way
	API       string // base address of the Bot API without a closing slash; "" is the public one
	Data      string // path of the folder for the program's data
	Dialogs   string // path of a folder of dialogs; "" is the built-in ones

	Admission      string  // Anybody or ByLink
	ApprovingRabbi int64   // approves content, sets positions and admits rabbis; 0 where the role is given by a link
	Rabbis         []int64 // others who answer questions; never holds the approving rabbi
	Office         []int64
	Inbox          int64 // the chat in which questions arrive; 0 is the approving rabbi's private chat

	Bedtime int    // minutes after midnight, 05:00 at the earliest: no heating runs into it
	Quiet   Quiet  // hours in which nobody is disturbed
	Phone   string // whom to call while the program is silent; "" is nobody
	Rates   Rates
}

// Quiet is the span of the day in which only what cannot wait is sent. It may run over midnight.
type Quiet struct{ From, To int } // minutes after midnight

// Rates bound the sending of messages.
type Rates struct {
	PerSecond      float64 // messages a second, over all chats
	ChatPerSecond  float64 // messages a second in one chat
	GroupPerMinute float64 // messages a minute in one group
}

// Load reads a configuration file. Where the file can be read but says something wrong, the error is dialog.Mistakes with
// everything that is wrong.
func Load(path string) (*Config, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("configuration: %w", err)
	}
	defer f.Close()
	raw, err := io.ReadAll(io.LimitReader(f, MaxBytes+1)) // one byte more, so that Parse notices
	if err != nil {
		return nil, fmt.Errorf("configuration: %w", err)
	}
	return Parse(path, raw)
}
