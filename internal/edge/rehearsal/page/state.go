package page

import (
	"context"
	"encoding/json"
	"net/http"
	"strconv"
	"time"
)

const (
	// longest is how long a request for news waits before it answers that there is none. It also bounds how old the
	// clock on the page can be.
	longest = 15 * time.Second
	// restless is how often news is looked for while updates or faults are being used up, which the server does not
	// announce.
	restless = time.Second
)

// snapshot is the answer of /api/state.
type snapshot struct {
	Run       string       `json:"run"`
	Rev       int          `json:"rev"`
	Whole     bool         `json:"whole"` // everything is here; forget what was known before
	Community string       `json:"community"`
	Place     string       `json:"place"`
	Clock     clockState   `json:"clock"`
	Views     []viewState  `json:"views"`
	Faults    []faultState `json:"faults"`
	Waiting   int          `json:"waiting"` // updates that the bot has not taken yet
}

// viewState is one view; Entries holds only those that changed.
type viewState struct {
	Key     string  `json:"key"`
	Label   string  `json:"label"`
	Role    string  `json:"role"`
	Private bool    `json:"private"`
	Stopped bool    `json:"stopped"`
	Lang    string  `json:"lang,omitempty"`
	Note    note    `json:"note"`
	Entries []entry `json:"entries"`
}

// state answers what changed after the revision "since". With "wait=0", or when there is news, it answers at once; else
// it waits for some. "run" is the process that gave the revision: another one's means nothing here.
func (p *Page) state(_ http.ResponseWriter, r *http.Request) (any, error) {
	q := r.URL.Query()
	since := 0
	if text := q.Get("since"); text != "" {
		n, err := strconv.Atoi(text)
		if err != nil || n < 0 {
			return nil, bad("“since” must be a whole number, zero or more.")
		}
		since = n
	}
	if run := q.Get("run"); run != "" && run != p.run {
		since = 0
	}
	ctx, cancel := context.WithTimeout(r.Context(), longest)
	defer cancel()
	for {
		s, seq, changed := p.snapshot(since)
		if s.Rev > since || s.Whole || q.Get("wait") == "0" || ctx.Err() != nil || p.closed() {
			return s, nil
		}
		quiet := longest
		if s.Waiting > 0 || s.anyFault() {
			quiet = restless
		}
		p.wait(ctx, seq, changed, quiet)
	}
}

// wait returns when the server's sequence went beyond seq, changed is closed, the page is closed, ctx is over, or quiet
// has passed.
func (p *Page) wait(ctx context.Context, seq int, changed <-chan struct{}, quiet time.Duration) {
	ctx, cancel := context.WithTimeout(ctx, quiet)
	defer cancel()
	go func() {
		select {
		case <-changed:
		case <-p.done:
		case <-ctx.Done():
		}
		cancel()
	}()
	_ = p.server.Wait(ctx, seq) // an error only says that ctx ended, and the caller looks again either way
}

func (p *Page) closed() bool {
	select {
	case <-p.done:
		return true
	default:
		return false
	}
}

// snapshot brings the ledgers up to date and returns what changed after since, with the server's sequence it covers and
// the channel that the next change by the page itself closes.
func (p *Page) snapshot(since int) (s snapshot, seq int, changed <-chan struct{}) {
	p.mu.Lock()
	defer p.mu.Unlock()
	who := p.refresh()
	if since > p.rev {
		since = 0
	}
	s = p.heading(who)
	s.Rev, s.Whole = p.rev, since == 0
	for i, v := range p.views {
		s.Views[i].Entries = v.since(since)
	}
	return s, p.seq, p.changed
}

// refresh reads the server and grows p.rev when anything that a browser shows is different. The sequence is read first:
// what happens meanwhile is then seen twice rather than never.
func (p *Page) refresh() people {
	p.seq = p.server.Seq()
	p.takeAnswers()
	who := people{}
	for _, person := range p.server.People() {
		who[person.ID] = person
	}
	next := p.rev + 1
	different := false
	for _, v := range p.views {
		different = v.update(p.server.Chat(v.Chat), who, p.zone, next) || different
	}
	head, err := json.Marshal(p.heading(who))
	if err != nil || string(head) != p.head {
		p.head, different = string(head), true
	}
	if different {
		p.rev = next
	}
	return who
}

// takeAnswers looks through the bot's new effects for answers to presses made here.
func (p *Page) takeAnswers() {
	for _, e := range p.server.Log(p.logged) {
		p.logged = e.N
		if e.CallbackID == "" {
			continue
		}
		at := p.waiting[e.CallbackID]
		if at == nil {
			continue
		}
		delete(p.waiting, e.CallbackID)
		text := e.Text
		if text == "" {
			text = "Pressed " + quoted(at.label) + "."
		}
		at.view.say(text, e.Alert, false)
	}
}

// heading is everything but the entries.
func (p *Page) heading(who people) snapshot {
	s := snapshot{
		Run: p.run, Community: p.title, Place: p.place, Clock: p.clockState(), Faults: p.faultStates(),
		Waiting: p.server.Unconfirmed(), Views: make([]viewState, len(p.views)),
	}
	for i, v := range p.views {
		s.Views[i] = viewState{
			Key: v.Key, Label: v.Label, Role: v.Role, Private: v.private(), Stopped: v.stopped, Note: v.note,
			Lang: who[v.Person].LanguageCode,
		}
	}
	return s
}

// poke tells the requests that wait for news that the page changed something by itself. The caller holds p.mu.
func (p *Page) poke() {
	close(p.changed)
	p.changed = make(chan struct{})
}

// find is the view with that key, nil when there is none. The caller holds p.mu or is alone.
func (p *Page) find(key string) *ledger {
	for _, v := range p.views {
		if v.Key == key {
			return v
		}
	}
	return nil
}
