// Package page is the web page of the rehearsal: it shows, on one machine, the people who use the bot (members, the
// rabbi, the office), lets somebody play all of them, moves the household's clock forward and turns faults on and off.
//
// What lives here: an http.Handler with embedded HTML, CSS and JavaScript, and the JSON endpoints the page is built on.
// Every conversation is read from the local Bot API server, and everything a person does is done through it.
//
// What does not live here: the Bot API itself (package server), the bot, and the real time of the machine. The page
// never reads the machine's clock; it shows the household's.
//
// The page drives a local process without a password, so it answers loopback hosts only and refuses every request that
// another site's page makes (guard.go).
package page

import (
	"context"
	"crypto/rand"
	"embed"
	"encoding/hex"
	"encoding/json"
	"errors"
	"net/http"
	"path"
	"sync"
	"time"

	"benyomo/internal/edge/rehearsal/server"
)

// Clock is household time. It moves by itself or not, as its owner likes; the page only ever pushes it forward.
type Clock interface {
	// Now is the household's present moment.
	Now() time.Time
	// Advance moves household time forward by d.
	Advance(d time.Duration)
	// AdvanceTo moves household time forward to t and fails when t is not ahead.
	AdvanceTo(t time.Time) error
}

// View is one person's place on the page.
type View struct {
	Key    string // names the view in requests; unique
	Label  string // said to people
	Person int64  // who writes
	Chat   int64  // the conversation shown; a private one has the person's own number
	Role   string // RoleMember, RoleRabbi or RoleOffice
}

// The roles of a View. A wide screen shows one view of each role side by side.
const (
	RoleMember = "member"
	RoleRabbi  = "rabbi"
	RoleOffice = "office"
)

// Options configures a Page. Server, Clock and at least one View are needed.
type Options struct {
	Server *server.Server
	Clock  Clock
	// RestEnd is the end of the rest span that is running at now or comes next; false when none is known. Nil takes the
	// button away.
	RestEnd func(now time.Time) (time.Time, bool)
	// Zone is the place's zone, in which household time is shown and typed. Nil means UTC.
	Zone *time.Location
	// Place and Community are shown in the heading.
	Place, Community string
	// Views are the people at the start; members can be added on the page.
	Views []View
	// Settle is called after the clock moved and returns when the bot has caught up. Nil means nothing to wait for.
	Settle func(ctx context.Context) error
}

//go:embed web
var web embed.FS

// Page is the http.Handler of the rehearsal page. It expects to be mounted at the root of its own listener.
type Page struct {
	server  *server.Server
	clock   Clock
	restEnd func(time.Time) (time.Time, bool)
	zone    *time.Location
	place   string
	title   string
	settle  func(context.Context) error
	mux     *http.ServeMux
	run     string        // tells a browser that this is another process than the one it followed
	done    chan struct{} // closed by Close
	close   sync.Once

	moving sync.Mutex // held while the clock moves, so that two moves never overlap

	mu      sync.Mutex
	views   []*ledger
	rev     int               // grows with every change a browser can see
	seq     int               // the server's sequence that rev is up to date with
	logged  int               // last log entry looked at for answers to presses
	head    string            // digest of what is shown outside the ledgers
	waiting map[string]*press // presses without an answer, by callback id
	changed chan struct{}     // closed and replaced when the page itself changed something
}

// New makes a Page. It panics when Server, Clock or Views is missing or two views have the same key, because that is a
// mistake in the calling program and not something that happens while it runs.
func New(o Options) *Page {
	if o.Server == nil || o.Clock == nil || len(o.Views) == 0 {
		panic("page: Server, Clock and Views are needed")
	}
	if o.Zone == nil {
		o.Zone = time.UTC
	}
	p := &Page{
		server: o.Server, clock: o.Clock, restEnd: o.RestEnd, zone: o.Zone, place: o.Place, title: o.Community,
		settle: o.Settle, run: newRun(), done: make(chan struct{}),
		waiting: map[string]*press{}, changed: make(chan struct{}),
	}
	for _, v := range o.Views {
		if p.find(v.Key) != nil {
			panic("page: two views have the key " + v.Key)
		}
		p.views = append(p.views, newLedger(v))
	}
	p.mux = p.routes()
	return p
}

// newRun is a name no earlier process had.
func newRun() string {
	var b [6]byte
	_, _ = rand.Read(b[:]) // never fails, by its documentation
	return hex.EncodeToString(b[:])
}

// Close ends the requests that wait for news, so that the listener can shut down at once. It can be called twice.
func (p *Page) Close() {
	p.close.Do(func() { close(p.done) })
}

// ServeHTTP answers the page, its assets and its endpoints.
func (p *Page) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	protect(w.Header())
	if err := guard(r); err != nil {
		answer(w, nil, err)
		return
	}
	p.mux.ServeHTTP(w, r)
}

// action does one thing that a browser asked for and returns what to tell it.
type action func(w http.ResponseWriter, r *http.Request) (any, error)

func (p *Page) routes() *http.ServeMux {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", func(w http.ResponseWriter, r *http.Request) { asset(w, r, "index.html") })
	mux.HandleFunc("GET /assets/{name}", func(w http.ResponseWriter, r *http.Request) { asset(w, r, r.PathValue("name")) })
	mux.HandleFunc("GET /favicon.ico", func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusNoContent) })
	mux.HandleFunc("GET /api/file/{id...}", p.file)
	for pattern, do := range map[string]action{
		"GET /api/state":     p.state,
		"POST /api/say":      p.say,
		"POST /api/press":    p.press,
		"POST /api/photo":    p.photo,
		"POST /api/voice":    p.voice,
		"POST /api/document": p.document,
		"POST /api/block":    p.block,
		"POST /api/unblock":  p.unblock,
		"POST /api/person":   p.person,
		"POST /api/clock":    p.moveClock,
		"POST /api/fault":    p.fault,
	} {
		mux.HandleFunc(pattern, func(w http.ResponseWriter, r *http.Request) {
			body, err := do(w, r)
			answer(w, body, err)
		})
	}
	return mux
}

// asset serves one embedded file.
func asset(w http.ResponseWriter, r *http.Request, name string) {
	content, err := web.ReadFile(path.Join("web", path.Base(name)))
	if err != nil {
		http.NotFound(w, r)
		return
	}
	kinds := map[string]string{".html": "text/html", ".css": "text/css", ".js": "text/javascript"}
	w.Header().Set("Content-Type", kinds[path.Ext(name)]+"; charset=utf-8")
	_, _ = w.Write(content)
}

// problem is a failure with the sentence that a person reads and the HTTP status that a program reads.
type problem struct {
	status   int
	sentence string
}

func (e *problem) Error() string { return e.sentence }

// bad is a problem with what was asked.
func bad(sentence string) error { return &problem{http.StatusBadRequest, sentence} }

// answer writes body, or err as {"error": sentence}.
func answer(w http.ResponseWriter, body any, err error) {
	status := http.StatusOK
	if err != nil {
		status = http.StatusInternalServerError
		if p := (*problem)(nil); errors.As(err, &p) {
			status = p.status
		}
		body = map[string]string{"error": err.Error()}
	}
	text, err := json.Marshal(body)
	if err != nil {
		http.Error(w, "The answer could not be written.", http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.WriteHeader(status)
	_, _ = w.Write(text)
}
