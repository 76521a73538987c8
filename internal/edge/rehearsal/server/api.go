package server

import "time"

// DefaultToken is the token of a Server made without one.
const DefaultToken = "123456:rehearsal"

// DefaultBotName is the bot's username when Options names none.
const DefaultBotName = "emek_rimon_bot"

// Options configures a Server. The zero value is usable.
type Options struct {
	// Token is the bot's token, "digits:secret". Requests with another one get 401. Empty means DefaultToken.
	Token string
	// BotName is the bot's username, without the @. Empty means DefaultBotName.
	BotName string
	// Now stamps messages and decides the 48 hour rule of deleting. Nil means the machine's clock.
	Now func() time.Time
	// KeepMessages is how long an unconfirmed update lives; zero means 24 hours. Measured by Machine.
	KeepMessages time.Duration
	// KeepPresses is how long an unconfirmed button press lives; zero means 150 seconds. Measured by Machine.
	KeepPresses time.Duration
	// AnswerWindow is how long a button press can be answered; zero means one minute. Measured by Machine.
	// The Bot API publishes no figure, only the error that comes afterwards.
	AnswerWindow time.Duration
	// Machine is machine time: retention, rate rules and the answer window. Nil means the machine's clock. The waits
	// of a long poll and of FaultSlow are real time, whatever this says.
	Machine func() time.Time
	// Rates are the sending limits. The zero value turns them off; PublishedRates has the published figures.
	Rates Rates
	// Slow is how long FaultSlow holds an answer back; zero means 15 seconds of real time.
	Slow time.Duration
	// Privacy turns group privacy mode on: in groups the bot then sees only commands, replies to its own messages and
	// service messages.
	Privacy bool
}

// Rates are limits on what the bot sends. A zero field is not enforced. Beyond a limit the answer is 429 with
// retry_after in whole seconds, measured by Machine.
type Rates struct {
	PerSecond      int // messages a second over all chats
	ChatPerSecond  int // messages a second in one chat
	ChatBurst      int // messages one chat takes at once before ChatPerSecond applies; 0 means ChatPerSecond
	GroupPerMinute int // messages a minute in one group
}

// PublishedRates are the figures of the Bot FAQ ("My bot is hitting limits, how do I avoid this?"): about 30 messages
// a second over all, one a second in a chat with short bursts tolerated, 20 a minute in a group. The size of a
// tolerated burst is not published; 3 is this server's choice.
var PublishedRates = Rates{PerSecond: 30, ChatPerSecond: 1, ChatBurst: 3, GroupPerMinute: 20}

// Person is somebody who can talk to the bot.
type Person struct {
	ID           int64
	FirstName    string
	LanguageCode string // IETF tag as a client sends it ("en", "he"); empty means not sent
}

// ChatInfo names one chat.
type ChatInfo struct {
	ID    int64
	Kind  string // "private", "group" or "supergroup"
	Title string // a group's title, a person's first name
}

// Message is what a chat shows at one place.
type Message struct {
	ID       int
	Chat     int64
	From     int64
	Bot      bool
	Time     time.Time
	Edited   bool
	Text     string
	Entities []Entity // of Text, or of Caption when there is one; UTF-16 offsets
	// HTML is Text (or Caption) with its entities as safe HTML: only tags the Bot API itself allows, everything else
	// escaped, line ends kept as they are.
	HTML     string
	Caption  string
	FileID   string
	FileKind string // "photo", "voice" or "document"
	FileName string
	ReplyTo  int    // 0: none
	Album    string // media_group_id; empty: none
	Keyboard [][]Button
	Deleted  bool   // a deleted message stays in the list, so that a page can show that it went
	Service  string // a service message's kind, such as "migrate_to_chat_id"; empty for ordinary ones
	Reaction string // the bot's emoji reaction; empty: none
}

// Button is one button of an inline keyboard. Exactly one of Data and URL is set for a button of those kinds.
type Button struct{ Text, Data, URL string }

// Entity is one special piece of a text, offsets in UTF-16 units.
type Entity struct {
	Type     string `json:"type"`
	Offset   int    `json:"offset"`
	Length   int    `json:"length"`
	URL      string `json:"url,omitempty"`
	Language string `json:"language,omitempty"` // of a "pre"

	CustomEmojiID  string `json:"custom_emoji_id,omitempty"`
	UnixTime       int64  `json:"unix_time,omitempty"` // of a "date_time", seconds
	DateTimeFormat string `json:"date_time_format,omitempty"`

	// UserID is the person a "text_mention" names; on the wire it is a whole user.
	UserID int64 `json:"-"`
}

// Entry is one accepted effect of the bot.
type Entry struct {
	N          int    // numbered from 1
	Method     string // the Bot API method in its documented spelling
	Chat       int64
	MessageID  int
	Text       string // text, caption, callback answer, or the JSON text of a setting
	Keyboard   [][]Button
	FileKind   string
	FileID     string
	CallbackID string
	Alert      bool
	Time       time.Time // by Options.Now
}

// Fault is a failure the server shall show. It applies to calls of Method ("" = any) that concern Chat (0 = any), Count
// times (0 = until cleared). Of several that fit a call the oldest is taken. A poll that is waiting when a fitting fault
// is set ends with it at once. The download of a file counts as the method "file".
type Fault struct {
	ID     int
	Kind   string // one of the Fault… constants
	Method string
	Chat   int64
	Count  int
	// RetryAfter is in seconds and used by FaultRateLimit; 0 means 1.
	RetryAfter int
}

// The kinds of Fault.
const (
	// FaultServerError answers 502 with an HTML page, as a gateway does.
	FaultServerError = "server-error"
	// FaultRateLimit answers 429 with retry_after.
	FaultRateLimit = "rate-limit"
	// FaultAnswerLost does what was asked, then closes the connection instead of answering.
	FaultAnswerLost = "answer-lost"
	// FaultRefused closes the connection before anything was done.
	FaultRefused = "refused"
	// FaultSlow does what was asked and answers Options.Slow later, or not at all when the client goes or the server
	// closes.
	FaultSlow = "slow"
	// FaultBlocked answers 403 "bot was blocked by the user" to calls that send to a chat or edit there.
	FaultBlocked = "blocked"
	// FaultTwice delivers each new update a second time, with the same update_id, after it was confirmed. Count is the
	// number of updates. Method is not looked at; Chat is the update's chat.
	FaultTwice = "twice"
	// FaultConflict answers 409, to getUpdates only.
	FaultConflict = "conflict"
	// FaultUnauthorized answers 401.
	FaultUnauthorized = "unauthorized"
	// FaultHang never answers a getUpdates; it ends when the client goes or the server closes.
	FaultHang = "hang"
)
