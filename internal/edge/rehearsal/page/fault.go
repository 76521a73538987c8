package page

import (
	"net/http"

	"benyomo/internal/edge/rehearsal/server"
)

// switches are the faults that the page offers, in the order shown.
var switches = []string{server.FaultServerError, server.FaultRateLimit, server.FaultAnswerLost, server.FaultTwice}

const (
	// pause is what a rate limit asks the bot to wait, in seconds.
	pause = 3
	// maxCount bounds how often a fault is asked for.
	maxCount = 1000
)

// faultState is one switch. Left is how often the fault will still happen; 0 with On means until switched off.
type faultState struct {
	Kind string `json:"kind"`
	On   bool   `json:"on"`
	Left int    `json:"left"`
}

func (s snapshot) anyFault() bool {
	for _, f := range s.Faults {
		if f.On {
			return true
		}
	}
	return false
}

func (p *Page) faultStates() []faultState {
	out := make([]faultState, len(switches))
	for i, kind := range switches {
		out[i].Kind = kind
		for _, f := range p.server.Faults() {
			if f.Kind == kind {
				out[i].On, out[i].Left = true, f.Count
			}
		}
	}
	return out
}

// fault turns one switch on (anew, when it was on) or off.
func (p *Page) fault(w http.ResponseWriter, r *http.Request) (any, error) {
	var q struct {
		Kind  string `json:"kind"`
		On    *bool  `json:"on"`
		Count int    `json:"count"`
	}
	if err := decode(w, r, &q); err != nil {
		return nil, err
	}
	known := false
	for _, kind := range switches {
		known = known || kind == q.Kind
	}
	switch {
	case !known:
		return nil, bad("There is no fault “" + q.Kind + "”.")
	case q.On == nil:
		return nil, bad("Say with “on” whether the fault is to be on or off.")
	case q.Count < 0 || q.Count > maxCount:
		return nil, bad("A fault happens 1 to 1000 times; 0 means until it is switched off.")
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	// The server clears all faults or none, so those of other kinds are put back.
	others := p.server.Faults()
	p.server.ClearFaults()
	for _, f := range others {
		if f.Kind != q.Kind {
			p.server.Fail(f)
		}
	}
	if *q.On {
		f := server.Fault{Kind: q.Kind, Count: q.Count}
		if q.Kind == server.FaultRateLimit {
			f.RetryAfter = pause
		}
		p.server.Fail(f)
	}
	p.poke()
	return map[string]any{"faults": p.faultStates()}, nil
}
