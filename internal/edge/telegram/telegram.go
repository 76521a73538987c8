// Package telegram is the edge to the Telegram Bot API: it turns updates into chat events, and posts into calls. It is the
// only package that imports the Telegram library, and of that it uses no more than the making of one request; polling,
// decoding, time-outs and the reading of failures are done here.
//
// What lives here: the poll loop, decoding, commands, rendering to the API's HTML, the classification of failures, and the
// guarding of the token. What does not: the order, pace and repetition of deliveries (package courier, whose Sender this
// is), and what an event means.
//
// Caveats: a time-out of a send leaves open whether the message arrived, since the Bot API has no key by which it would
// know a repeat. No error and no log line of this package holds the token, a text or a name.
package telegram

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"net/url"
	"strings"
	"sync"
	"time"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"

	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/clock"
	"benyomo/internal/engine/courier"
)

// DefaultEndpoint is the base address of the public Bot API.
const DefaultEndpoint = "https://api.telegram.org"

// The times a request may take. A poll may take its own timeout and pollSlack more; a send near the limits is held open
// by the messenger for many seconds, hence the long one.
const (
	DefaultPollTimeout = 50 * time.Second // the longest the Bot API grants
	pollSlack          = 15 * time.Second
	sendTimeout        = 40 * time.Second
	toastTimeout       = 10 * time.Second
	confirmTimeout     = 5 * time.Second
)

// ErrUnauthorized says that the messenger does not know the token. Only another token helps.
var ErrUnauthorized = errors.New("the messenger does not accept the bot's token")

// Options configures a Telegram.
type Options struct {
	// Token is the bot's token, "digits:letters".
	Token Secret
	// Endpoint is the base address of the Bot API, such as "http://127.0.0.1:8081"; empty means DefaultEndpoint.
	Endpoint string
	// Machine is the clock of back-offs and of LastPoll; nil means the machine's own.
	Machine clock.Clock
	// PollTimeout is how long the messenger keeps a poll open when there is nothing new, in whole seconds, at least one; 0
	// means DefaultPollTimeout, which is also the most.
	PollTimeout time.Duration
	// Log gets what an operator should know; nil means nothing is logged.
	Log *slog.Logger
	// Files makes what a message refers to: one file, or up to ten pictures that belong together. It may take its time; nil
	// means that there are none.
	Files func(ctx context.Context, ref string) ([]File, error)
	// HTTP makes the requests; nil means a client of its own. Tests use it.
	HTTP Doer
}

// Telegram is a bot's connection. It is safe for use by several goroutines; Poll is for one at a time.
type Telegram struct {
	o    Options
	http Doer
	me   user

	mu       sync.Mutex
	lastPoll time.Time
	albums   map[uint64]album
}

var _ courier.Sender = (*Telegram)(nil)

// Dial asks the messenger who the bot is, again and again with growing waits while it cannot be reached. It returns
// ErrUnauthorized at once when the token is not accepted, an error when an option is wrong, and the last failure together
// with the context's error when that ends.
func Dial(ctx context.Context, o Options) (*Telegram, error) {
	t, err := prepare(o)
	if err != nil {
		return nil, err
	}
	for tries := 1; ; tries++ {
		raw, err := t.call(ctx, sendTimeout, "getMe", nil)
		if err == nil {
			if err = json.Unmarshal(raw, &t.me); err == nil && t.me.ID != 0 {
				return t, nil
			}
			err = errors.New("getMe: no bot in the answer")
		}
		if f := (*failure)(nil); errors.As(err, &f) && (f.code == 401 || f.code == 404) {
			return nil, fmt.Errorf("getMe: %w", ErrUnauthorized)
		}
		if ctx.Err() != nil {
			return nil, fmt.Errorf("%w: %w", ctx.Err(), err)
		}
		wait := max(backOff(tries), retryAfter(err))
		t.o.Log.Warn("the messenger cannot be reached", "error", err, "wait", wait)
		if !sleep(ctx, wait) {
			return nil, fmt.Errorf("%w: %w", ctx.Err(), err)
		}
	}
}

// silence turns the library's own logger off, once since it is global there.
var silence = sync.OnceFunc(hush)

// hush turns the library's own logger off: it prints addresses, and with them the token, and words of people.
func hush() { _ = tgbotapi.SetLogger(mute{}) } // it refuses nil only

type mute struct{}

func (mute) Println(...any)        {}
func (mute) Printf(string, ...any) {}

// prepare checks the options and fills in defaults.
func prepare(o Options) (*Telegram, error) {
	silence()
	if !o.Token.wellFormed() {
		return nil, fmt.Errorf("the token is not of the form digits:letters: %w", ErrUnauthorized)
	}
	if o.Endpoint == "" {
		o.Endpoint = DefaultEndpoint
	}
	o.Endpoint = strings.TrimRight(o.Endpoint, "/")
	base, err := url.Parse(o.Endpoint)
	if err != nil || base.Scheme != "http" && base.Scheme != "https" || base.Host == "" || base.RawQuery != "" || base.Fragment != "" {
		return nil, errors.New("the endpoint is not an http or https address")
	}
	if o.Machine == nil {
		o.Machine = clock.System{}
	}
	if o.PollTimeout <= 0 || o.PollTimeout > DefaultPollTimeout {
		o.PollTimeout = DefaultPollTimeout
	}
	o.PollTimeout = max(o.PollTimeout.Truncate(time.Second), time.Second)
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	t := &Telegram{o: o, http: o.HTTP, albums: map[uint64]album{}}
	if t.http == nil {
		t.http = newClient()
	}
	return t, nil
}

// Close ends connections that are idle. Calls under way are not touched, and later ones open new connections.
func (t *Telegram) Close() {
	if c, ok := t.http.(interface{ CloseIdleConnections() }); ok {
		c.CloseIdleConnections()
	}
}

// ID is the bot's own user id.
func (t *Telegram) ID() int64 { return t.me.ID }

// Username is the bot's name, without the @.
func (t *Telegram) Username() string { return t.me.Username }

// LastPoll is when a poll last succeeded, by machine time; the zero time before the first. A poll without news succeeds
// too, so while Poll runs in good health this is never older than the poll timeout and the time of handling.
func (t *Telegram) LastPoll() time.Time {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.lastPoll
}

// Command is one entry of the list of commands that the messenger shows.
type Command struct {
	Name  string `json:"command"`     // without the slash
	About string `json:"description"` // what it does, 1 to 256 characters
}

// SetCommands sets the list of commands shown to people whose program has that language (two letters, ISO 639-1), or, when
// it is empty, to all for whom no list of their language was set. It is tried once.
func (t *Telegram) SetCommands(ctx context.Context, lang string, commands []Command) error {
	list, err := json.Marshal(commands)
	if err != nil {
		return fmt.Errorf("list of commands: %w", err)
	}
	params := tgbotapi.Params{"commands": string(list)}
	params.AddNonEmpty("language_code", lang)
	if _, err := t.call(ctx, sendTimeout, "setMyCommands", params); err != nil {
		return fmt.Errorf("list of commands %q: %w", lang, err)
	}
	return nil
}

// Toast answers a button press. It is tried once; a failure is logged and nothing more.
func (t *Telegram) Toast(ctx context.Context, press, text string, alert bool) {
	params := tgbotapi.Params{"callback_query_id": press}
	params.AddNonEmpty("text", chat.Clip(text, toastLimit))
	params.AddBool("show_alert", alert)
	if _, err := t.call(ctx, toastTimeout, "answerCallbackQuery", params); err != nil {
		t.o.Log.Debug("a button press was not answered", "error", err)
	}
}

// toastLimit is the most characters an answer to a press may have (Bot API, answerCallbackQuery).
const toastLimit = 200
