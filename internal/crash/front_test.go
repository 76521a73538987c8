package crash

import (
	"bytes"
	"encoding/json"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"path"
	"strconv"
	"strings"
	"sync"

	"benyomo/internal/edge/rehearsal/server"
)

// moment says when a run of the program ends.
type moment string

const (
	// accepted: messages were accepted by the messenger, and their answers are on the way. The program cannot have recorded them.
	accepted moment = "messages accepted, not recorded"
	// committed: messages are in the outbox and asked for, and the messenger has not taken them yet.
	committed moment = "messages committed, not accepted"
	// anywhere: at a call of any kind, the start included.
	anywhere moment = "anywhere"
)

// front stands before the local server: it holds calls at the moment of a kill, and keeps what the program confirmed.
type front struct {
	server *server.Server
	closed chan struct{}

	mu      sync.Mutex
	changed *sync.Cond
	open    int // connections
	run     *run
	offset  int64            // updates below it are confirmed
	presses map[string]int64 // press → its update
}

// run is what the front does during one run of the program.
type run struct {
	when  moment
	after int           // calls that pass first
	want  int           // calls that are held before the moment has come
	come  chan struct{} // closed then

	calls, held int
	deliveries  int // deliveries under way
	most        int // of these at once
}

func newFront(s *server.Server) *front {
	f := &front{server: s, closed: make(chan struct{}), presses: map[string]int64{}}
	f.changed = sync.NewCond(&f.mu)
	return f
}

// connection counts connections; it is told by the HTTP server.
func (f *front) connection(_ net.Conn, s http.ConnState) {
	f.mu.Lock()
	defer f.mu.Unlock()
	switch s {
	case http.StateNew:
		f.open++
	case http.StateClosed, http.StateHijacked:
		f.open--
	}
	f.changed.Broadcast()
}

// quiet returns when everything that a killed program had sent off is dealt with: what is in the network still arrives. The
// listener takes connections in their order, so that after one of our own none of the program's can come any more.
func (f *front) quiet(address string) error {
	own := http.Client{Transport: &http.Transport{DisableKeepAlives: true}}
	answer, err := own.Get(address)
	if err != nil {
		return err
	}
	_ = answer.Body.Close()
	f.mu.Lock()
	defer f.mu.Unlock()
	for f.open > 0 {
		f.changed.Wait()
	}
	return nil
}

// begin says when the next run ends; nil means that it does not.
func (f *front) begin(r *run) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.run = r; r != nil {
		r.come = make(chan struct{})
	}
}

// counts are how many deliveries of a run were under way at once at most, and how many were held.
func (f *front) counts(r *run) (most, held int) {
	f.mu.Lock()
	defer f.mu.Unlock()
	return r.most, r.held
}

// confirmed is the offset that the program has sent: everything below it will not come again.
func (f *front) confirmed() (offset int64, presses map[string]int64) {
	f.mu.Lock()
	defer f.mu.Unlock()
	copied := map[string]int64{}
	for k, v := range f.presses {
		copied[k] = v
	}
	return f.offset, copied
}

// delivers tells whether a call brings something to a chat.
func delivers(method string) bool {
	return strings.HasPrefix(method, "send") || strings.HasPrefix(method, "edit")
}

// ServeHTTP passes a call on, unless the moment has come.
func (f *front) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	method := path.Base(r.URL.Path)
	body, err := io.ReadAll(r.Body)
	if err != nil {
		return // the program is gone
	}
	r.Body = io.NopCloser(bytes.NewReader(body))
	run, hold := f.arrive(method, body)
	if run != nil && delivers(method) {
		defer f.leave(run)
	}
	if hold && run.when == committed {
		f.wait(r, run)
	}
	answer := httptest.NewRecorder()
	f.server.ServeHTTP(answer, r)
	if hold && run.when == accepted && answer.Code == http.StatusOK {
		f.wait(r, run)
	}
	if method == "getUpdates" {
		f.remember(answer.Body.Bytes())
	}
	for k, v := range answer.Header() {
		w.Header()[k] = v
	}
	w.WriteHeader(answer.Code)
	_, _ = w.Write(answer.Body.Bytes())
}

// arrive counts a call, and tells whether it is to be held.
func (f *front) arrive(method string, body []byte) (r *run, hold bool) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if method == "getUpdates" {
		if form, err := url.ParseQuery(string(body)); err == nil {
			offset, _ := strconv.ParseInt(form.Get("offset"), 10, 64)
			f.offset = max(f.offset, offset)
		}
	}
	if r = f.run; r == nil {
		return nil, false
	}
	r.calls++
	if delivers(method) {
		r.deliveries++
		r.most = max(r.most, r.deliveries)
	}
	if r.when == anywhere && r.calls == r.after {
		close(r.come)
	}
	// An edit that is owed may be replaced by a newer one, and then nothing shows that it was accepted.
	holds := delivers(method) && r.when != accepted || strings.HasPrefix(method, "send")
	return r, holds && r.calls > r.after
}

func (f *front) leave(r *run) {
	f.mu.Lock()
	defer f.mu.Unlock()
	r.deliveries--
}

// wait holds a call until the program is killed.
func (f *front) wait(r *http.Request, run *run) {
	f.mu.Lock()
	if run.held++; run.held == run.want {
		close(run.come)
	}
	f.mu.Unlock()
	select {
	case <-r.Context().Done():
	case <-f.closed:
	}
	panic(http.ErrAbortHandler)
}

// remember keeps which update brought which press.
func (f *front) remember(body []byte) {
	var a struct {
		Result []struct {
			ID    int64 `json:"update_id"`
			Press *struct {
				ID string `json:"id"`
			} `json:"callback_query"`
		} `json:"result"`
	}
	if json.Unmarshal(body, &a) != nil {
		return
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	for _, u := range a.Result {
		if u.Press != nil {
			f.presses[u.Press.ID] = u.ID
		}
	}
}
