package crash

import (
	"os"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/engine/courier"
)

// crashesVariable sets how often the program is killed; the default is for everyday.
const crashesVariable = "BENYOMO_CRASHES"

func crashes(t *testing.T) int {
	s := os.Getenv(crashesVariable)
	if s == "" {
		return 3
	}
	n, err := strconv.Atoi(s)
	require.NoError(t, err)
	require.Positive(t, n)
	return n
}

// TestKills kills the program again and again while people use it, two times of three between a commit and the record of its
// delivery, and starts it anew on the same data. After each kill everything that it had confirmed to the messenger is in its
// data. In the end every item, wait, question and answer is there once, every message came, and none came twice but those
// that were accepted and not recorded at a kill.
func TestKills(t *testing.T) {
	t.Parallel()
	kills := crashes(t)
	w, ctx := newWorld(t, 20*time.Second+time.Duration(kills)*8*time.Second)
	begun := time.Now()
	w.populate()
	moments := []moment{accepted, committed, anywhere}
	count := map[moment]int{}
	var flying []int // deliveries that were accepted and not recorded, at each kill
	for i := range kills {
		r := &run{when: moments[i%len(moments)], after: 10 + w.random.IntN(140), want: 1 + w.random.IntN(8)}
		w.front.begin(r)
		p := w.start()
		select {
		case <-r.come:
		case <-p.ended:
		case <-ctx.Done():
			require.FailNow(t, "the moment of the kill does not come", "%s\n%s\n%s", r.when, w.doing(), p.log.String())
		}
		p.kill(t)
		count[r.when]++
		w.reckon()
		most, _ := w.front.counts(r)
		w.most = max(w.most, most)
		if r.when == accepted {
			require.NotEmpty(t, w.inFlight[i], "what was held was accepted and could not be recorded")
		}
		flying = append(flying, len(w.inFlight[i]))
		require.LessOrEqual(t, flying[i], courier.DefaultInFlight)
	}
	w.front.begin(nil)
	p := w.start()
	w.finish()
	took := p.stop(t)
	repeated, unexplained := w.repeated()
	n := w.compare(repeated)

	acts, rounds := w.rabbi.acts, 0
	for _, m := range w.members {
		acts, rounds = acts+m.acts, rounds+m.rounds
	}
	t.Logf("%d kills in %.1f s: %d with messages accepted and not recorded, %d with messages committed and not accepted, %d anywhere",
		kills, time.Since(begun).Seconds(), count[accepted], count[committed], count[anywhere])
	t.Logf("%d people did %d things in %d rounds; %d items, %d timers, %d questions, %d screens compared; %d look-ups of confirmed updates",
		members+1, acts, rounds, n.items, n.timers, n.shaylos, n.screens, w.lookUps)
	t.Logf("%d messages in the chats; accepted and not recorded at a kill: %v; calls under way at once: at most %d", n.messages, flying, w.most)
	t.Logf("lost: %d; repeated: %d messages, of which %d had to be; stopped in %d ms", len(w.lost), repeated, w.again, took.Milliseconds())

	require.Empty(t, w.lost)
	require.Zero(t, unexplained, "only what was accepted and not recorded at a kill comes again, once for each kill")
	require.GreaterOrEqual(t, repeated, w.again)
	require.LessOrEqual(t, repeated, kills*courier.DefaultInFlight)
	require.Positive(t, n.items)
	require.Positive(t, n.timers)
	require.GreaterOrEqual(t, 2*(count[accepted]+count[committed]), kills)
	require.Positive(t, n.shaylos)
	require.Positive(t, slices.Max(flying))
}
