package crash

import (
	"context"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/edge/rehearsal/server"
	"benyomo/internal/engine/store"
)

// TestStops asks the program to end while people use it: it does so in time, everything that it sent is recorded, and nothing
// is lost or comes twice. Once the messenger does not answer: then what hangs stays owed and comes again.
func TestStops(t *testing.T) {
	t.Parallel()
	w, ctx := newWorld(t, 90*time.Second)
	w.populate()
	var took []int64
	var flying []int
	for i, when := range []moment{anywhere, anywhere, accepted} {
		r := &run{when: when, after: 20 + w.random.IntN(60), want: 2}
		w.front.begin(r)
		p := w.start()
		select {
		case <-r.come:
		case <-p.ended:
		case <-ctx.Done():
			require.FailNow(t, "the moment of the stop does not come", "%s\n%s\n%s", when, w.doing(), p.log.String())
		}
		took = append(took, p.stop(t).Milliseconds())
		w.reckon()
		flying = append(flying, len(w.inFlight[i]))
		if when == anywhere {
			require.Zero(t, flying[i], "everything that was sent is recorded")
		} else {
			_, held := w.front.counts(r)
			require.Positive(t, flying[i])
			require.LessOrEqual(t, flying[i], held)
		}
	}
	w.front.begin(nil)
	p := w.start()
	w.finish()
	took = append(took, p.stop(t).Milliseconds())
	repeated, unexplained := w.repeated()
	n := w.compare(repeated)
	t.Logf("4 stops under load took %v ms (in the third the messenger did not answer); %d items, %d timers, %d questions; in flight %v, repeated %d, lost %d",
		took, n.items, n.timers, n.shaylos, flying, repeated, len(w.lost))
	require.Empty(t, w.lost)
	require.Zero(t, unexplained)
	require.GreaterOrEqual(t, repeated, w.again)
}

// serve serves a messenger without a front, and returns its address.
func serve(t *testing.T, s *server.Server) string {
	h := httptest.NewServer(s)
	t.Cleanup(func() { _ = s.Close(); h.Close() })
	return h.URL
}

// slow is how much slower than by itself a program may be under the race detector, with all other tests beside it on two cores.
const slow = 3

// within gives a wait a bound that a healthy program never meets.
func within(t *testing.T, d time.Duration) context.Context {
	ctx, cancel := context.WithTimeout(t.Context(), slow*d)
	t.Cleanup(cancel)
	return ctx
}

func TestASecondCopyIsRefused(t *testing.T) {
	t.Parallel()
	s := newServer(t)
	config := configure(t, t.TempDir(), awake(t, time.Now()))
	env := environment(serve(t, s))
	first := start(t, config, env...)
	require.NoError(t, s.Until(within(t, 20*time.Second), s.Polling), first.log.String())

	second := start(t, config, env...)
	require.Equal(t, 1, second.wait(t, 20*time.Second))
	require.Equal(t, "benyomo serve: "+filepath.Join(filepath.Dir(config), "data", "benyomo.db")+
		": another copy is running on this data: stop it first\n", second.log.String())
	require.Empty(t, second.out.String())

	seq := s.Seq() // the first one goes on
	s.Say(400000001, 400000001, "/start")
	s.AddPerson(server.Person{ID: 400000001, FirstName: "Member", LanguageCode: "en"})
	s.Say(400000001, 400000001, "/start")
	require.NoError(t, s.Until(within(t, 20*time.Second), func() bool { return s.Seq() > seq && len(s.Chat(400000001)) > 1 }))
	first.stop(t)

	third := start(t, config, env...) // and the data is free again
	require.NoError(t, s.Until(within(t, 20*time.Second), s.Polling), third.log.String())
	third.stop(t)
}

// TestNothingTurnsSyncingOff: a commit that is not synced is lost in a power cut, and no test here could show it, since a
// killed program's writes are still in the machine's memory.
func TestNothingTurnsSyncingOff(t *testing.T) {
	off := regexp.MustCompile(`No(Grow|Freelist)?Sync"?\s*(:|=|\()`)
	require.Regexp(t, off, "db.NoSync = true")
	require.Regexp(t, off, "&bbolt.Options{NoGrowSync: true}")
	files := 0
	require.NoError(t, filepath.WalkDir("../..", func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || filepath.Base(path) == "stop_test.go" {
			return err
		}
		raw, err := os.ReadFile(path)
		require.NoError(t, err)
		require.NotRegexp(t, off, string(raw), path)
		files++
		return nil
	}))
	require.Greater(t, files, 50)
}

// quarantined are the errors of what could not be handled.
func quarantined(t *testing.T, config string) (out []string) {
	s, err := store.Open(filepath.Join(filepath.Dir(config), "data"))
	require.NoError(t, err)
	require.NoError(t, s.Check())
	require.NoError(t, s.View(func(tx *store.Tx) error {
		for q := range tx.Quarantines() {
			out = append(out, q.Kind+": "+q.Error)
		}
		return nil
	}))
	require.NoError(t, s.Close())
	return out
}
