package kitchen_test

import (
	"encoding/csv"
	"fmt"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/kitchen"
)

var start = time.Date(2045, 3, 20, 9, 0, 0, 0, time.UTC)

const (
	idle = 24 * time.Hour
	heat = time.Hour
	cool = 30 * time.Minute
)

func idleStage() kitchen.Stage { return kitchen.Stage{Name: "idle", Minutes: 1440} }

func heatStage(name string) kitchen.Stage {
	return kitchen.Stage{Name: name, Heats: true, Minutes: 60, Cool: 30}
}

// stand brings an item with a wait and a heating to the state, as people do, and gives the moment at which it is reached.
func stand(t *testing.T, s kitchen.State) (kitchen.Item, time.Time) {
	t.Helper()
	it := kitchen.Item{ID: 7, Household: 3, Kind: "oven", State: kitchen.Asking}
	now := start
	if s == kitchen.Asking {
		return it, now
	}
	it.Tell(4, []kitchen.Stage{idleStage(), heatStage("hour")}, now)
	steps := []struct {
		to kitchen.State
		do func() bool
	}{
		{kitchen.Told, func() bool { return true }},
		{kitchen.Waiting, func() bool { return it.StartIdle(now, now) }},
		{kitchen.Ready, func() bool { now = now.Add(idle); return it.EndIdle(now) }},
		{kitchen.Heating, func() bool { return it.StartHeating(now) }},
		{kitchen.Cooling, func() bool { now = now.Add(heat); return it.EndHeating(now) }},
		{kitchen.Done, func() bool { now = now.Add(cool); return it.Finish(now) }},
	}
	for _, step := range steps {
		require.True(t, step.do(), "to %s", step.to)
		require.Equal(t, step.to, it.State)
		if step.to == s {
			return it, now
		}
		if s == kitchen.Referred || s == kitchen.Away || s == kitchen.Dropped {
			it.SetState(s, now)
			return it, now
		}
	}
	t.Fatalf("no way to %s", s)
	return it, now
}

// Every state with every action: where it leads, or '-' where it is refused. Soon is a minute after the state was reached,
// late is 30 hours after.
const transitions = `
state     idle-soon restart-soon end-idle-soon end-idle-late heat-soon end-heat-soon end-heat-late interrupt-soon finish-soon hot-use
asking    -         -            -             -             -         -             -             -              -           none
told      waiting   waiting      -             -             -         -             -             -              -           restarts
waiting   waiting   waiting      -             ready         -         -             -             -              -           restarts
ready     -         waiting      -             -             heating   -             -             -              -           restarts
heating   -         -            -             -             -         -             cooling       ready          -           mix-up
cooling   -         -            -             -             -         -             -             -              done        mix-up
done      -         -            -             -             -         -             -             -              -           mix-up
referred  -         -            -             -             -         -             -             -              -           none
away      -         -            -             -             -         -             -             -              -           none
dropped   -         -            -             -             -         -             -             -              -           none
`

var actions = map[string]func(*kitchen.Item, time.Time) bool{
	"idle":      func(it *kitchen.Item, now time.Time) bool { return it.StartIdle(now, now) },
	"restart":   func(it *kitchen.Item, now time.Time) bool { return it.Restart(now, now) },
	"end-idle":  (*kitchen.Item).EndIdle,
	"heat":      (*kitchen.Item).StartHeating,
	"end-heat":  (*kitchen.Item).EndHeating,
	"interrupt": (*kitchen.Item).Interrupt,
	"finish":    (*kitchen.Item).Finish,
}

func TestEveryStateWithEveryAction(t *testing.T) {
	lines := strings.Split(strings.TrimSpace(transitions), "\n")
	head := strings.Fields(lines[0])[1:]
	seen := map[string]bool{}
	for _, line := range lines[1:] {
		cells := strings.Fields(line)
		state := kitchen.State(cells[0])
		seen[cells[0]] = true
		for i, column := range head {
			t.Run(cells[0]+" "+column, func(t *testing.T) {
				it, now := stand(t, state)
				want := cells[i+1]
				if column == "hot-use" {
					before := fmt.Sprint(it)
					require.Equal(t, kitchen.UsedHot(want), it.HotUse())
					require.Equal(t, before, fmt.Sprint(it))
					return
				}
				at := strings.LastIndexByte(column, '-')
				name, when := column[:at], column[at+1:]
				now = now.Add(map[string]time.Duration{"soon": time.Minute, "late": 30 * time.Hour}[when])
				before, rev := fmt.Sprint(it), it.Rev
				if actions[name](&it, now) {
					require.Equal(t, want, string(it.State))
					require.Greater(t, it.Rev, rev, "buttons of before are old")
					require.Equal(t, now, it.Changed)
				} else {
					require.Equal(t, "-", want)
					require.Equal(t, before, fmt.Sprint(it), "what is refused changes nothing")
				}
			})
		}
	}
	require.Len(t, seen, 10, "every state has its row")
}

func TestDecisionsFromOutside(t *testing.T) {
	for _, s := range []kitchen.State{kitchen.Asking, kitchen.Waiting, kitchen.Cooling, kitchen.Done, kitchen.Referred, kitchen.Away} {
		it, now := stand(t, s)
		rev := it.Rev
		it.SetState(kitchen.Referred, now.Add(time.Hour))
		require.Equal(t, kitchen.Referred, it.State)
		require.Equal(t, rev+1, it.Rev)
		require.Equal(t, now.Add(time.Hour), it.Changed)

		stages := []kitchen.Stage{idleStage()}
		it.Tell(9, stages, now.Add(2*time.Hour))
		require.Equal(t, kitchen.Told, it.State)
		require.Equal(t, uint64(9), it.Told)
		require.True(t, it.LastHot.IsZero(), "the waits start anew")
		require.Equal(t, 0, it.Current())
		require.Equal(t, rev+2, it.Rev)
	}
}

// The wait counts from the last hot use, which may lie long ago, but not ahead.
func TestIdleCountsFromTheLastHotUse(t *testing.T) {
	for _, c := range []struct {
		name    string
		lastHot time.Duration // before now
		started bool
		state   kitchen.State
	}{
		{"just now", 0, true, kitchen.Waiting},
		{"ten hours ago", 10 * time.Hour, true, kitchen.Waiting},
		{"a second less than 24 hours ago", idle - time.Second, true, kitchen.Waiting},
		{"24 hours ago", idle, true, kitchen.Ready},
		{"last week", 7 * 24 * time.Hour, true, kitchen.Ready},
		{"in a second", -time.Second, false, kitchen.Told},
	} {
		t.Run(c.name, func(t *testing.T) {
			it, now := stand(t, kitchen.Told)
			require.Equal(t, c.started, it.StartIdle(now.Add(-c.lastHot), now))
			require.Equal(t, c.state, it.State)
			if !c.started {
				require.True(t, it.LastHot.IsZero())
				return
			}
			require.Equal(t, now.Add(-c.lastHot), it.LastHot)
			require.Equal(t, now.Add(-c.lastHot).Add(idle), it.Timeline[0].Ends())
		})
	}
}

func TestRestart(t *testing.T) {
	it, now := stand(t, kitchen.Ready)
	before := fmt.Sprint(it)
	require.False(t, it.Restart(now.Add(time.Minute), now), "a hot use that lies ahead")
	require.Equal(t, before, fmt.Sprint(it), "what is refused changes nothing")
	require.True(t, it.Restart(now, now))
	require.Equal(t, kitchen.Waiting, it.State)
	require.False(t, it.EndIdle(now.Add(idle-time.Nanosecond)))
	require.True(t, it.EndIdle(now.Add(idle)))
}

// Between two heatings the kashering has begun: hot use then is a mix-up, and the first heating is not counted past it.
func TestHotUseBetweenTwoHeatings(t *testing.T) {
	var it kitchen.Item
	now := start
	it.Tell(1, []kitchen.Stage{idleStage(), heatStage("one"), heatStage("two")}, now)
	require.True(t, it.StartIdle(now, now))
	now = now.Add(idle)
	require.True(t, it.EndIdle(now))
	require.True(t, it.StartHeating(now))
	require.True(t, it.Interrupt(now))
	require.Equal(t, kitchen.Restarts, it.HotUse(), "a heating that was cut short does not count")
	require.True(t, it.StartHeating(now))
	now = now.Add(heat)
	require.True(t, it.EndHeating(now))
	require.Equal(t, kitchen.Ready, it.State)
	require.Equal(t, kitchen.MixedUp, it.HotUse())
	require.False(t, it.Restart(now, now))
	require.False(t, it.Finish(now), "the second heating is still due")
	require.True(t, it.StartHeating(now))
	require.True(t, it.EndHeating(now.Add(heat)))
	require.Equal(t, kitchen.Cooling, it.State)
	require.Equal(t, now.Add(heat+cool), it.CoolAt())
	require.True(t, it.Finish(now.Add(heat)))
}

func TestWaysToDone(t *testing.T) {
	for _, c := range []struct {
		name   string
		stages []kitchen.Stage
		do     []string
	}{
		{"nothing is timed", nil, []string{"finish"}},
		{"only the wait", []kitchen.Stage{idleStage()}, []string{"restart", "end-idle", "finish"}},
		{"only a heating", []kitchen.Stage{heatStage("cycle")}, []string{"heat", "end-heat", "finish"}},
		{"both", []kitchen.Stage{idleStage(), heatStage("hour")}, []string{"restart", "end-idle", "heat", "end-heat", "finish"}},
		{"two heatings", []kitchen.Stage{idleStage(), heatStage("one"), heatStage("two")},
			[]string{"restart", "end-idle", "heat", "end-heat", "heat", "end-heat", "finish"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			var it kitchen.Item
			now := start
			it.Tell(1, c.stages, now)
			for i, name := range c.do {
				for other, act := range actions { // nothing else gets there: only hot use and an interruption are always possible
					if other != name && other != "restart" && other != "idle" && other != "interrupt" {
						require.False(t, act(&it, now), "%s before %s", other, strings.Join(c.do[i:], " "))
					}
				}
				now = now.Add(25 * time.Hour)
				require.True(t, actions[name](&it, now), name)
			}
			require.Equal(t, kitchen.Done, it.State)
		})
	}
}

// No sequence of actions gets an item done with a stage that has not ended, or has not taken its time.
func TestNothingIsSkipped(t *testing.T) {
	names := []string{"idle", "restart", "end-idle", "heat", "end-heat", "interrupt", "finish"}
	outside := []kitchen.State{kitchen.Asking, kitchen.Referred, kitchen.Away, kitchen.Dropped}
	timelines := [][]kitchen.Stage{nil, {idleStage()}, {heatStage("one")}, {idleStage(), heatStage("one")}, {idleStage(), heatStage("one"), heatStage("two")}}
	r := rand.New(rand.NewPCG(5, 6))
	done := map[int]int{}
	for range 500 {
		it, now, kind := kitchen.Item{State: kitchen.Asking}, start, -1
		var story []string
		for range 60 {
			now = now.Add([]time.Duration{0, time.Minute, 59 * time.Minute, time.Hour, 24 * time.Hour}[r.IntN(5)])
			before, rev := fmt.Sprint(it), it.Rev
			changed := true
			switch n := r.IntN(80); {
			case n == 0:
				kind = r.IntN(len(timelines))
				it.Tell(it.Told+1, append([]kitchen.Stage{}, timelines[kind]...), now)
				story = append(story, fmt.Sprint("tell ", kind))
			case n == 1:
				s := outside[r.IntN(len(outside))]
				it.SetState(s, now)
				story = append(story, string(s))
			case n == 2:
				story = append(story, "hot ahead or behind")
				changed = it.Restart(now.Add(time.Duration(r.IntN(50)-40)*time.Hour), now)
			case kind < 0:
				kind = r.IntN(len(timelines))
				it.Tell(1, append([]kitchen.Stage{}, timelines[kind]...), now)
			default:
				name := names[r.IntN(len(names))]
				story = append(story, name)
				changed = actions[name](&it, now)
			}
			if !changed {
				require.Equal(t, before, fmt.Sprint(it), "%v", story)
			} else {
				require.Greater(t, it.Rev, rev, "%v", story)
			}
			requireSound(t, it, now, story)
			if it.State == kitchen.Done {
				done[kind]++
				break
			}
		}
	}
	t.Logf("done, by timeline: %v", done)
	require.Len(t, done, len(timelines), "each timeline came to its end at least once")
}

func requireSound(t *testing.T, it kitchen.Item, now time.Time, story []string) {
	t.Helper()
	from := time.Time{} // the end of the stage before
	for i, s := range it.Timeline {
		if !s.Ended {
			for _, later := range it.Timeline[i+1:] {
				require.False(t, later.Ended || !later.Started.IsZero(), "a stage has run before its turn: %v", story)
			}
			break
		}
		require.False(t, s.Ends().After(now), "a stage has ended before its time: %v", story)
		require.False(t, s.Started.Before(from), "a stage has begun before the one before it was over: %v", story)
		from = s.Ends()
	}
	i := it.Current()
	switch it.State {
	case kitchen.Done, kitchen.Cooling:
		require.Equal(t, -1, i, "%s with an unended stage: %v", it.State, story)
	case kitchen.Waiting:
		require.False(t, it.Timeline[i].Heats || it.Timeline[i].Started.IsZero(), "%v", story)
		require.Equal(t, it.LastHot, it.Timeline[i].Started, "%v", story)
	case kitchen.Heating:
		require.True(t, it.Timeline[i].Heats && !it.Timeline[i].Started.IsZero(), "%v", story)
	case kitchen.Ready:
		require.True(t, i < 0 || it.Timeline[i].Heats, "%v", story)
	}
}

// localLayout writes the zone of the table: +00:00 where others write Z.
const localLayout = "2006-01-02T15:04:05-07:00"

// Waits are hours that passed, not hands that went round. Source: testdata/reference/elapsed.csv (IANA time-zone data 2025b).
func TestWaitsAreElapsedHours(t *testing.T) {
	f, err := os.Open("../../../testdata/reference/elapsed.csv")
	require.NoError(t, err)
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.NoError(t, f.Close())
	col := map[string]int{}
	for i, h := range rows[0] {
		col[h] = i
	}
	crossed := 0
	for _, row := range rows[1:] {
		name := row[col["tz"]] + " " + row[col["start_local"]] + " +" + row[col["plus_hours"]]
		zone, err := time.LoadLocation(row[col["tz"]])
		require.NoError(t, err, name)
		begin, err := time.Parse(time.RFC3339, row[col["start_utc"]])
		require.NoError(t, err, name)
		end, err := time.Parse(time.RFC3339, row[col["end_utc"]])
		require.NoError(t, err, name)
		hours, err := strconv.Atoi(row[col["plus_hours"]])
		require.NoError(t, err, name)
		begin = begin.In(zone)
		require.Equal(t, row[col["start_local"]], begin.Format(localLayout), name)

		var it kitchen.Item
		it.Tell(1, []kitchen.Stage{{Name: "idle", Minutes: hours * 60}, {Name: "hour", Heats: true, Minutes: hours * 60, Cool: 60 * hours}}, begin)
		require.True(t, it.StartIdle(begin, begin), name)
		require.True(t, end.Equal(it.Timeline[0].Ends()), name)
		require.Equal(t, row[col["end_local"]], it.Timeline[0].Ends().In(zone).Format(localLayout), name)
		require.False(t, it.EndIdle(end.Add(-time.Second).In(zone)), name)
		require.True(t, it.EndIdle(end.In(zone)), name)

		// A heating is timed in the same way, and so is its cooling.
		it.Timeline[1].Started = begin
		require.True(t, end.Equal(it.Timeline[1].Ends()), name)
		require.Equal(t, time.Duration(hours)*time.Hour, it.Timeline[1].Cooled().Sub(end), name)
		if row[col["crosses_clock_change"]] == "yes" && row[col["wall_clock_arithmetic_error_s"]] != "0" {
			crossed++
		}
	}
	require.Greater(t, crossed, 20, "the table crosses clock changes")
}

func TestStagesThatHaveNotStarted(t *testing.T) {
	s := heatStage("hour")
	require.True(t, s.Ends().IsZero())
	require.True(t, s.Cooled().IsZero())
	var it kitchen.Item
	require.Equal(t, -1, it.Current())
	require.True(t, it.CoolAt().IsZero())
	it.Tell(1, []kitchen.Stage{idleStage(), s}, start)
	require.True(t, it.CoolAt().IsZero())
}
