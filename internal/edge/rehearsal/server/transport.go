package server

import (
	"context"
	"net/http"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// answer is what goes back over HTTP.
type answer struct {
	status     int
	kind       string // content type
	body       []byte
	retryAfter int  // seconds, for the header; 0: none
	silent     bool // close the connection instead
	held       bool // after Options.Slow
	never      bool // not at all
}

func refusal(e *apiError) answer {
	body := object{"ok": false, "error_code": e.code, "description": e.text}
	parameters := object{}
	if e.retryAfter != 0 {
		parameters["retry_after"] = e.retryAfter
	}
	if e.migrateTo != 0 {
		parameters["migrate_to_chat_id"] = e.migrateTo
	}
	if len(parameters) > 0 {
		body["parameters"] = parameters
	}
	return answer{status: e.code, kind: "application/json", body: mustJSON(body), retryAfter: e.retryAfter}
}

func success(result any) answer {
	return answer{status: http.StatusOK, kind: "application/json", body: mustJSON(object{"ok": true, "result": result})}
}

// ServeHTTP answers /bot<token>/<method> and /file/bot<token>/<path>. Faults that close the connection do so by
// panicking with http.ErrAbortHandler, which net/http takes for exactly that.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	rest, isFile := strings.CutPrefix(r.URL.Path, "/file/bot")
	if !isFile {
		var ok bool
		if rest, ok = strings.CutPrefix(r.URL.Path, "/bot"); !ok {
			s.write(w, r, refusal(errNoPage))
			return
		}
	}
	token, name, ok := strings.Cut(rest, "/")
	var a answer
	switch refused := s.checkToken(token); {
	case !ok:
		a = refusal(errNoPage)
	case refused != nil:
		a = refusal(refused)
	case isFile:
		a = s.download(name)
	default:
		a = s.perform(w, r, name)
	}
	s.write(w, r, a)
}

var tokenPattern = regexp.MustCompile(`^[0-9]+:[A-Za-z0-9_-]+$`)

func (s *Server) checkToken(token string) *apiError {
	switch {
	case token == s.o.Token:
		return nil
	case tokenPattern.MatchString(token):
		return errUnauthorized
	}
	return errMalformedToken
}

// perform does a method call, with the fault that befalls it.
func (s *Server) perform(w http.ResponseWriter, r *http.Request, name string) answer {
	p, refused := readParams(w, r)
	if refused != nil {
		return refusal(refused)
	}
	m, ok := methods[strings.ToLower(strings.TrimSuffix(name, "/"))]
	if !ok {
		return refusal(errNoMethod)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.isClosed() {
		return badGateway()
	}
	fault := s.takeFault(m.name, s.chatOf(p), false)
	if a, decided := fault.instead(); decided {
		return a
	}
	return fault.after(s.do(r.Context(), m, p))
}

func (s *Server) do(ctx context.Context, m method, p params) answer {
	var (
		result  any
		refused *apiError
	)
	if m.run != nil {
		result, refused = m.run(s, &call{params: p, method: m.name})
	} else {
		var fault Fault
		result, refused, fault = s.getUpdates(ctx, p)
		if a, decided := fault.instead(); decided {
			return a
		}
	}
	if refused != nil {
		return refusal(refused)
	}
	return success(result)
}

// download answers with a file's bytes.
func (s *Server) download(path string) answer {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.isClosed() {
		return badGateway()
	}
	fault := s.takeFault("file", 0, false)
	if a, decided := fault.instead(); decided {
		return a
	}
	a := refusal(errNoPage)
	if f := s.byPath[path]; f != nil && len(f.data) <= maxDownload {
		a = answer{status: http.StatusOK, kind: "application/octet-stream", body: f.data}
	}
	return fault.after(a)
}

// write sends an answer with its length, so that connections can be used again.
func (s *Server) write(w http.ResponseWriter, r *http.Request, a answer) {
	if a.held && !a.silent {
		timer := time.NewTimer(s.o.Slow)
		defer timer.Stop()
		select {
		case <-timer.C:
		case <-r.Context().Done():
			a.silent = true
		case <-s.closed:
			a = badGateway()
		}
	}
	if a.never {
		select {
		case <-r.Context().Done():
			a.silent = true
		case <-s.closed:
			a = badGateway()
		}
	}
	if a.silent {
		panic(http.ErrAbortHandler)
	}
	h := w.Header()
	h.Set("Content-Type", a.kind)
	h.Set("Content-Length", strconv.Itoa(len(a.body)))
	if a.retryAfter != 0 {
		h.Set("Retry-After", strconv.Itoa(a.retryAfter))
	}
	w.WriteHeader(a.status)
	_, _ = w.Write(a.body) // a client that is gone is no concern of the server's
}
