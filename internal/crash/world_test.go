package crash

import (
	"context"
	"fmt"
	"math/rand/v2"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/dialogs"
	"benyomo/internal/edge/rehearsal/server"
	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/store"
	"benyomo/internal/idea/desk"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/stage"
)

const (
	members   = 12
	firstID   = 400000001
	openAtAll = 3 // questions that wait for the rabbi at a time
)

// seedVariable sets the seed of the random choices.
const seedVariable = "BENYOMO_CRASH_SEED"

// world is everything around the program: the messenger, the people, and where the program keeps its data.
type world struct {
	t       *testing.T
	server  *server.Server
	front   *front
	phones  *phones
	api     string
	config  string
	data    string
	random  *rand.Rand
	members []*member
	rabbi   *rabbi

	enough   atomic.Bool
	left     atomic.Int32 // members that are not at their end yet
	failures chan error
	people   sync.WaitGroup

	lost     []string       // what was confirmed and is not there
	again    int            // messages that must come again, by the data after each kill
	crossed  []int          // lengths of the log at the kills
	inFlight []map[row]bool // what was accepted and not recorded, at each kill
	pending  []row          // sends that were owed at a kill
	most     int            // deliveries under way at once
	lookUps  int            // of confirmed updates
}

// row is a message that was owed at a kill.
type row struct {
	chat int64
	what string
}

// newWorld sets everything up but the program. Everything is approved, as in the invented community.
func newWorld(t *testing.T, limit time.Duration) (*world, context.Context) {
	seed := uint64(time.Now().UnixNano())
	if s := os.Getenv(seedVariable); s != "" {
		n, err := strconv.ParseUint(s, 10, 64)
		require.NoError(t, err)
		seed = n
	}
	t.Logf("%s=%d", seedVariable, seed)
	now := time.Now()
	place := awake(t, now)
	dir := t.TempDir()
	w := &world{t: t, server: newServer(t), config: configure(t, dir, place), data: filepath.Join(dir, "data"),
		random: rand.New(rand.NewPCG(seed, 0)), failures: make(chan error, members+1)}
	w.front, w.phones = newFront(w.server), newPhones(w.server)
	pack, err := dialog.Load(dialogs.FS)
	require.NoError(t, err)
	w.file(func(s *store.Store) {
		require.NoError(t, s.Update(func(b *store.Batch) error {
			return b.Try(func(tx *store.Tx) error { stage.Seed(tx, pack, now); return nil })
		}))
	})

	h := httptest.NewUnstartedServer(w.front)
	h.Config.ConnState = w.front.connection
	h.Start()
	w.api = h.URL
	ctx, cancel := context.WithTimeout(t.Context(), slow*limit)
	var following sync.WaitGroup
	following.Go(func() { w.phones.follow(ctx) })
	t.Cleanup(func() {
		cancel()
		following.Wait()
		w.people.Wait()
		close(w.front.closed)
		_ = w.server.Close()
		h.Close()
	})
	return w, ctx
}

// populate lets the people in. They act by themselves from now on.
func (w *world) populate() {
	places := make(chan struct{}, openAtAll)
	w.left.Store(members)
	for i := range members {
		id := int64(firstID + i)
		w.server.AddPerson(server.Person{ID: id, FirstName: "Member", LanguageCode: "en"})
		m := &member{phone: phone{all: w.phones, id: id, marker: fmt.Sprintf("mx%dx", i)}, first: i, desk: places,
			random: rand.New(rand.NewPCG(w.random.Uint64(), 0))}
		w.members = append(w.members, m)
		w.act(func() {
			defer func() {
				w.left.Add(-1)
				w.phones.news.Broadcast()
			}()
			m.live(&w.enough)
		})
	}
	w.rabbi = &rabbi{phone: phone{all: w.phones, id: stage.Rabbi, marker: "rx"}, answers: map[uint64]desk.Answer{}}
	w.act(func() { w.rabbi.live(func() bool { return w.left.Load() == 0 }) })
}

// act runs a person. What he waits for in vain fails the test.
func (w *world) act(live func()) {
	w.people.Go(func() {
		defer func() {
			switch r := recover().(type) {
			case nil:
			case stuck:
				w.failures <- r.err
			default:
				panic(r)
			}
		}()
		live()
	})
}

// finish lets everybody come to an end, and waits for that.
func (w *world) finish() {
	w.enough.Store(true)
	w.people.Wait()
	close(w.failures)
	for err := range w.failures {
		require.NoError(w.t, err, "somebody was left without an answer; lost: %v", w.lost)
	}
}

// start starts the program.
func (w *world) start() *process { return start(w.t, w.config, environment(w.api)...) }

// file opens the data of a program that does not run, and checks every page of it.
func (w *world) file(fn func(*store.Store)) {
	w.t.Helper()
	s, err := store.Open(w.data)
	require.NoError(w.t, err)
	defer func() { require.NoError(w.t, s.Close()) }()
	require.NoError(w.t, s.Check(), "the file is consistent")
	fn(s)
}

// view reads the data of a program that does not run.
func (w *world) view(fn func(*store.Tx)) {
	w.t.Helper()
	w.file(func(s *store.Store) {
		require.NoError(w.t, s.View(func(tx *store.Tx) error { fn(tx); return nil }))
	})
}

// handled asks the data whether an update was handled. One that was not, the store would note, and cannot in a view.
func handled(s *store.Store, update int64) (ok bool) {
	err := s.View(func(tx *store.Tx) error { ok = tx.Seen(update); return nil })
	return ok && err == nil
}

// spaces lays out texts alike: the messenger trims and joins them in its own way.
func spaces(text string) string { return strings.Join(strings.Fields(text), " ") }

// content is what makes two messages the same for a person.
func content(text string, buttons []string, photos int) string {
	return fmt.Sprintf("%s %v %d", spaces(text), buttons, photos)
}

// stripped is the content of a message that loses its buttons.
const stripped = "loses its buttons"

func entryContent(e server.Entry) string {
	if e.Method == "editMessageReplyMarkup" {
		return stripped
	}
	photos := 0
	if e.FileKind != "" {
		photos = 1
	}
	return content(e.Text, data(e), photos)
}

func postContent(p chat.Post) string {
	var buttons []string
	for _, r := range p.Message.Keyboard {
		for _, b := range r {
			buttons = append(buttons, b.Data)
		}
	}
	return content(p.Message.Plain(), buttons, len(p.Message.Photos))
}

// reckon looks at the data after a run: what the program had confirmed must be there, and what it owes tells what must come
// again.
func (w *world) reckon() {
	require.NoError(w.t, w.front.quiet(w.api))
	w.phones.catchUp()
	offset, presses := w.front.confirmed()
	log := w.server.Log(0)
	answered := map[int64]string{} // update → press
	last := map[int64]server.Entry{}
	for _, e := range log {
		if e.Method == "answerCallbackQuery" {
			answered[presses[e.CallbackID]] = e.CallbackID
		} else {
			last[e.Chat] = e
		}
	}
	inFlight := map[row]bool{}
	w.file(func(s *store.Store) {
		for id := int64(firstUpdate); id < offset; id++ {
			w.lookUps++
			if !handled(s, id) {
				w.lose("update %d was confirmed", id)
			}
		}
		for id, press := range answered {
			if id == 0 || !handled(s, id) {
				w.lose("press %s was answered", press)
			}
		}
	})
	w.view(func(tx *store.Tx) {
		heads := map[chat.ID]chat.Post{}
		for p := range tx.AllPosts() {
			if _, ok := heads[p.Chat]; !ok { // a chat's rows go one after the other
				heads[p.Chat] = p
			}
			if p.Op == chat.Send {
				w.pending = append(w.pending, row{int64(p.Chat), postContent(p)})
			}
		}
		for c, p := range heads {
			e, ok := last[int64(c)]
			what := postContent(p)
			if p.Op == chat.Strip {
				what = stripped
			}
			if !ok || entryContent(e) != what {
				continue
			}
			inFlight[row{int64(c), what}] = true // an edit that comes again changes nothing
			// A chat can be owed what it was just told, word for word: a message whose number is recorded is not what is owed. What was
			// in flight at the kill before, and has not come again since, comes again once.
			_, recorded := tx.HandleOf(c, e.MessageID)
			counted := len(w.crossed) > 0 && e.N <= w.crossed[len(w.crossed)-1]
			if strings.HasPrefix(e.Method, "send") && !recorded && !counted {
				w.again++
			}
		}
	})
	w.inFlight = append(w.inFlight, inFlight)
	w.crossed = append(w.crossed, len(log))
}

// firstUpdate is the local server's first update number.
const firstUpdate = 1001

// repeated counts the messages that came twice in a row, and those of them that were not in flight at a kill in between. (A
// change of a message that was in flight may come again as a new message: where the member has gone on from it before the
// program was there again, its number is forgotten.)
func (w *world) repeated() (all, unexplained int) {
	log := w.server.Log(0)
	type spot struct {
		what string
		n    int
	}
	last := map[int64]spot{}
	for _, e := range log {
		if e.Method == "answerCallbackQuery" || e.Chat == 0 {
			continue
		}
		what := entryContent(e)
		before, ok := last[e.Chat]
		if ok && strings.HasPrefix(e.Method, "send") && before.what == what {
			all++
			explained := false
			for i, n := range w.crossed {
				explained = explained || before.n <= n && n < e.N && w.inFlight[i][row{e.Chat, what}]
			}
			if !explained {
				unexplained++
			}
		}
		last[e.Chat] = spot{what, e.N}
	}
	return all, unexplained
}

// lose notes something that is not as it was confirmed.
func (w *world) lose(format string, args ...any) {
	w.lost = append(w.lost, fmt.Sprintf(format, args...))
}

// doing says what everybody waits for.
func (w *world) doing() string {
	w.phones.mu.Lock()
	defer w.phones.mu.Unlock()
	out := fmt.Sprintf("rabbi: %s\n", w.rabbi.doing)
	for _, m := range w.members {
		out += fmt.Sprintf("%d: %s\n", m.id, m.doing)
	}
	return out
}
