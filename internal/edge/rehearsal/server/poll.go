package server

import (
	"context"
	"encoding/json"
	"maps"
	"net/http"
	"slices"
	"time"
)

// maxPoll is the longest long poll; a longer timeout is cut to it. Observed, not published.
const maxPoll = 50 * time.Second

// poll is a getUpdates that waits.
type poll struct {
	ended  chan struct{}
	reason *apiError // why it was ended from outside; set before ended is closed
}

// Polling tells whether a getUpdates of the bot waits at this moment.
func (s *Server) Polling() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.poll != nil
}

// endPoll ends the waiting getUpdates, if there is one. The mutex is held.
func (s *Server) endPoll(reason *apiError) {
	if s.poll != nil {
		s.poll.reason = reason
		close(s.poll.ended)
		s.poll = nil
	}
}

// getUpdates confirms, and answers at once or as soon as there is an update, at the latest after the timeout. A fault
// that is set while it waits comes back as the third value. The mutex is held, but not while it waits.
func (s *Server) getUpdates(ctx context.Context, p params) (any, *apiError, Fault) {
	if s.webhook != "" {
		return nil, errWebhookActive, Fault{}
	}
	s.endPoll(errOtherPoll)
	if raw := p.json("allowed_updates"); raw != "" {
		var kinds []string
		if json.Unmarshal([]byte(raw), &kinds) != nil {
			return nil, badRequest("can't parse allowed_updates: expected an Array of String"), Fault{}
		}
		s.allow(kinds)
	}
	s.queue.confirm(p.integer("offset"))
	s.stir()
	limit := p.integer("limit")
	if limit < 1 || limit > 100 {
		limit = 100
	}
	timeout := min(time.Duration(min(max(p.integer("timeout"), 0), 3600))*time.Second, maxPoll)
	timer := time.NewTimer(timeout)
	defer timer.Stop()
	me := &poll{ended: make(chan struct{})}
	for over := timeout == 0; ; {
		s.forget()
		if list := s.queue.batch(int(limit)); len(list) > 0 || over {
			if s.poll == me {
				s.poll = nil
				s.stir()
			}
			return list, nil, Fault{}
		}
		if s.poll == nil {
			s.poll = me
			s.stir()
		}
		pulse := s.pulse
		s.mu.Unlock()
		select {
		case <-pulse:
		case <-me.ended:
		case <-s.closed:
		case <-ctx.Done():
		case <-timer.C:
			over = true
		}
		s.mu.Lock()
		if me.reason != nil {
			return nil, me.reason, Fault{}
		}
		if f := s.interruption(ctx); f.Kind != "" {
			s.poll = nil
			s.stir()
			return nil, nil, f
		}
	}
}

// interruption is what ends a waiting poll without an answer of its own: the server closes, the client is gone, or a
// fault was set. The mutex is held.
func (s *Server) interruption(ctx context.Context) Fault {
	switch {
	case s.isClosed():
		return Fault{Kind: FaultServerError}
	case ctx.Err() != nil:
		return Fault{Kind: FaultRefused}
	}
	return s.takeFault("getUpdates", 0, true)
}

// allow sets which kinds of update are made from now on; an empty list means the standard set.
func (s *Server) allow(kinds []string) {
	s.queue.allowed = nil
	for _, kind := range kinds {
		if s.queue.allowed == nil {
			s.queue.allowed = map[string]bool{}
		}
		s.queue.allowed[kind] = true
	}
}

// setWebhook remembers the address, ends the waiting poll and makes getUpdates answer 409. Nothing is delivered to the
// address: a rehearsal connects to nobody.
func (s *Server) setWebhook(c *call) (any, *apiError) {
	link := c.values["url"]
	if link == "" {
		return s.deleteWebhook(c)
	}
	if len(link) < 9 || lowerASCII(link[:8]) != "https://" {
		return nil, badRequest("bad webhook: An HTTPS URL must be provided for webhook")
	}
	if raw := c.json("allowed_updates"); raw != "" {
		var kinds []string
		if json.Unmarshal([]byte(raw), &kinds) == nil {
			s.allow(kinds)
		}
	}
	s.webhook = link
	s.endPoll(&apiError{code: http.StatusConflict, text: "Conflict: terminated by setWebhook request"})
	s.dropPending(c)
	s.record(Entry{Method: c.method, Text: link})
	return true, nil
}

func (s *Server) deleteWebhook(c *call) (any, *apiError) {
	s.webhook = ""
	s.dropPending(c)
	s.record(Entry{Method: c.method})
	return true, nil
}

func (s *Server) dropPending(c *call) {
	if c.flag("drop_pending_updates") {
		s.queue.items, s.queue.again = nil, nil
	}
}

func (s *Server) getWebhookInfo(*call) (any, *apiError) {
	s.forget()
	info := object{
		"url": s.webhook, "has_custom_certificate": false,
		"pending_update_count": len(s.queue.items) + len(s.queue.again),
	}
	if s.queue.allowed != nil {
		info["allowed_updates"] = slices.Sorted(maps.Keys(s.queue.allowed))
	}
	return info, nil
}
