package server

import (
	"net/http"
	"slices"
	"strings"
)

// Fail adds a fault and returns its number.
func (s *Server) Fail(f Fault) (id int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.faultNo++
	f.ID = s.faultNo
	s.faults = append(s.faults, f)
	s.stir()
	return f.ID
}

// ClearFaults ends all faults. A call that is already held back or hanging stays so.
func (s *Server) ClearFaults() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.faults = nil
	s.stir()
}

// Faults lists the faults still in force, the oldest first, each with the Count that is left.
func (s *Server) Faults() []Fault {
	s.mu.Lock()
	defer s.mu.Unlock()
	return slices.Clone(s.faults)
}

// takeFault finds the oldest fault that fits a call and counts it; the zero Fault when there is none. With deciding
// set, only those are looked at that answer in place of the call.
func (s *Server) takeFault(method string, chat int64, deciding bool) Fault {
	for i, f := range s.faults {
		if f.Method != "" && !strings.EqualFold(f.Method, method) || f.Chat != 0 && f.Chat != chat || !f.fits(method, chat) {
			continue
		}
		if deciding && (f.Kind == FaultSlow || f.Kind == FaultAnswerLost) {
			continue
		}
		s.useFault(i)
		return f
	}
	return Fault{}
}

// useFault counts one use of the fault at that index, and takes it away after the last.
func (s *Server) useFault(i int) {
	switch s.faults[i].Count {
	case 0:
		return
	case 1:
		s.faults = slices.Delete(s.faults, i, i+1)
	default:
		s.faults[i].Count--
	}
	s.stir()
}

// fits tells whether a kind of fault can befall a method at all.
func (f Fault) fits(method string, chat int64) bool {
	switch f.Kind {
	case FaultTwice:
		return false // it befalls updates, see enqueue
	case FaultConflict, FaultHang:
		return method == "getUpdates"
	case FaultBlocked:
		return chat != 0 && (strings.HasPrefix(method, "send") || strings.HasPrefix(method, "edit") ||
			strings.HasPrefix(method, "copy") || strings.HasPrefix(method, "forward"))
	}
	return true
}

// badGateway is the page a gateway in front of the API shows; it is no JSON.
func badGateway() answer {
	return answer{
		status: http.StatusBadGateway,
		kind:   "text/html",
		body: []byte("<html>\r\n<head><title>502 Bad Gateway</title></head>\r\n<body>\r\n" +
			"<center><h1>502 Bad Gateway</h1></center>\r\n</body>\r\n</html>\r\n"),
	}
}

// instead is the answer a fault gives in place of the call; decided is false when the call is to be done.
func (f Fault) instead() (a answer, decided bool) {
	switch f.Kind {
	case FaultServerError:
		return badGateway(), true
	case FaultRateLimit:
		return refusal(tooManyRequests(f.RetryAfter)), true
	case FaultRefused:
		return answer{silent: true}, true
	case FaultBlocked:
		return refusal(errBlocked), true
	case FaultConflict:
		return refusal(errOtherPoll), true
	case FaultUnauthorized:
		return refusal(errUnauthorized), true
	case FaultHang:
		return answer{never: true}, true
	}
	return answer{}, false
}

// after changes the answer of a call that was done.
func (f Fault) after(a answer) answer {
	switch f.Kind {
	case FaultAnswerLost:
		a.silent = true
	case FaultSlow:
		a.held = true
	}
	return a
}
