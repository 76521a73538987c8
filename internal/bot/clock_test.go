package bot_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/engine/store"
)

// The clock jumps forward by hours: everything that was due meanwhile comes at once, and once.
func TestClockForward(t *testing.T) {
	j := newJumps(t, "2027-04-12 10:00")
	for _, kind := range []string{idle, heat, cool, look} {
		j.set(kind, time.Hour)
	}
	later := j.set(idle, 9*time.Hour)
	j.jump(5 * time.Hour)
	j.none(5)
	require.Empty(t, j.came[later])
	j.jump(5 * time.Hour)
	j.all()
	require.Zero(t, j.log.count(saysBehind))
	require.Empty(t, j.told)
}

// The clock goes back, by minutes or by hours, and the program is started anew under it or not: nothing fires, the log says so
// once for each start and the office hears of it once, and everything goes on when the clock is right again.
func TestClockBack(t *testing.T) {
	for _, back := range []time.Duration{5 * time.Minute, 50 * time.Minute, 7 * time.Hour, 40 * time.Hour} {
		for _, restart := range []bool{false, true} {
			name := back.String()
			if restart {
				name += ", with a restart"
			}
			t.Run(name, func(t *testing.T) {
				t.Parallel()
				j := newJumps(t, "2027-04-14 10:00")
				j.set(idle, time.Hour)
				j.set(heat, time.Hour)
				j.jump(time.Hour)
				j.none(2)
				j.set(idle, -back/2) // due by the clock that is behind, before it is right again
				waits := j.set(look, time.Second)
				alarms := 1
				if restart {
					j.down()
					j.household.Advance(-back)
					j.up()
					alarms = 2
				} else {
					j.jump(-back)
				}
				require.Equal(t, 1, j.log.count(saysBehind), "at once, and at a start too")
				j.jump(back * 3 / 4)
				if restart {
					j.restart()
				}
				j.none(2)
				require.Equal(t, alarms, j.log.count(saysBehind))
				warnings := 1
				if back > 24*time.Hour {
					warnings = 2 // the office is told again after twelve hours
				}
				require.Len(t, j.told, warnings)
				require.Contains(t, j.told[0], "it shows 2027-04-1")
				require.Contains(t, j.told[0], "the last work was at 2027-04-14 11:00")
				require.Zero(t, j.log.count(saysRight))

				j.jump(back / 4)
				require.Equal(t, 1, j.log.count(saysRight))
				require.Len(t, j.told, warnings+1)
				require.Equal(t, thePack(t).Sentences["en"]["office-clock-right"], j.told[warnings])
				require.Empty(t, j.came[waits])
				j.none(3)
				j.jump(time.Hour)
				j.all()
				require.Len(t, j.told, warnings+1)
			})
		}
	}
}

// A clock that is set back by less than a minute goes on, but not again and again: what was committed stays the mark.
func TestClockCreepsBack(t *testing.T) {
	j := newJumps(t, "2027-04-14 10:00")
	j.jump(time.Minute)
	j.household.Advance(-40 * time.Second)
	j.set(look, 0)
	j.settle()
	j.none(1)
	j.household.Advance(-40 * time.Second)
	j.set(look, 0)
	j.settle()
	j.none(1)
	require.Equal(t, 1, j.log.count(saysBehind))
	j.jump(20 * time.Second)
	j.none(2)
	j.all()
	require.NoError(t, j.store.View(func(tx *store.Tx) error {
		require.True(t, tx.LastCommit().Equal(on(t, "2027-04-14 10:01")))
		return nil
	}))
}

// The clock goes there and back again and again: each time the log says so, the office hears of it once in twelve hours.
func TestClockBackAndForth(t *testing.T) {
	j := newJumps(t, "2027-04-12 10:00")
	for i := range 20 {
		j.set([]string{idle, heat, cool, look}[i%4], time.Duration(i*20)*time.Minute+time.Second)
	}
	for range 10 {
		j.jump(3 * time.Hour)
		before := len(j.came)
		j.jump(-2*time.Hour - 30*time.Minute)
		require.Len(t, j.came, before)
	}
	j.jump(2*time.Hour + 30*time.Minute)
	j.all()
	require.Equal(t, 10, j.log.count(saysBehind))
	require.Equal(t, 10, j.log.count(saysRight))
	require.Len(t, j.told, 2, "that it is behind, and that it is right again: %v", j.told)
}

// The machine is suspended, through a rest span, into one, or out of one: what was due comes when it wakes and no rest holds.
func TestSuspended(t *testing.T) {
	for _, c := range []struct {
		name, from, to string
		came           bool
	}{
		{"over a night", "2027-04-12 22:00", "2027-04-13 09:00", true},
		{"through a rest span", "2027-04-16 12:00", "2027-04-18 10:00", true},
		{"into a rest span", "2027-04-16 12:00", "2027-04-17 10:00", false},
		{"out of a rest span", "2027-04-17 10:00", "2027-04-18 10:00", true},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			j := newJumps(t, c.from)
			for _, kind := range []string{idle, heat, cool, look} {
				j.set(kind, time.Hour)
			}
			asleep := on(t, c.to).Sub(on(t, c.from))
			j.machine.Advance(asleep)
			j.jump(asleep)
			if !c.came {
				j.none(0)
				j.machine.Advance(24 * time.Hour)
				j.jump(24 * time.Hour)
			}
			j.all()
			require.Zero(t, j.log.count(saysBehind))
		})
	}
}

// The clock is set back into a rest span: it rests, the log says that the clock is behind, and the office hears of it after
// the rest, since nobody is told anything in it. What was said before is not said again.
func TestClockBackIntoRest(t *testing.T) {
	for _, restart := range []bool{false, true} {
		j := newJumps(t, "2027-04-16 10:00")
		j.set(idle, 30*time.Hour) // in the rest
		j.set(heat, 49*time.Hour) // Sunday at eleven
		j.jump(8 * time.Hour)
		require.Len(t, j.came[-firstResident], 1, "people were told of the rest, two hours before")
		j.jump(40 * time.Hour) // Sunday at ten
		j.none(1)
		j.jump(-20 * time.Hour) // the Sabbath at two in the afternoon
		if restart {
			j.restart()
		}
		require.Positive(t, j.log.count(saysBehind))
		require.Empty(t, j.told)
		j.jump(12 * time.Hour) // two at night
		j.none(1)
		require.Len(t, j.told, 1)
		j.jump(10 * time.Hour)
		j.none(3)
		j.all()
		require.Len(t, j.told, 2)
		require.Len(t, j.came[-firstResident], 1)
		j.down()
	}
}

// The clock is set back from the rest to the hours before it: people were told what will wait, and are not told again.
func TestClockBackBeforeRest(t *testing.T) {
	for _, restart := range []bool{false, true} {
		j := newJumps(t, "2027-04-16 10:00")
		j.set(idle, 72*time.Hour)
		j.jump(8 * time.Hour)
		told := j.came[-firstResident]
		require.Len(t, told, 1)
		j.jump(16 * time.Hour)  // the Sabbath
		j.jump(-22 * time.Hour) // Friday noon
		alarms := 1
		if restart {
			j.restart()
			alarms = 2 // a program that has just started knows of no earlier one
		}
		require.Equal(t, alarms, j.log.count(saysBehind))
		for range 10 {
			j.jump(time.Hour)
		}
		j.jump(60 * time.Hour)
		require.Equal(t, told, j.came[-firstResident])
		j.jump(time.Hour)
		j.all()
		j.down()
	}
}

// The clock is set back a little in the hours before a rest, and the program is started anew, which sets the timer of the rest
// anew: people are not told of the same rest a second time.
func TestClockBackAfterRestWasTold(t *testing.T) {
	j := newJumps(t, "2027-04-16 10:00")
	j.set(idle, 72*time.Hour)
	j.jump(8 * time.Hour)
	told := j.came[-firstResident]
	require.Len(t, told, 1)
	j.down()
	j.household.Advance(-10 * time.Minute)
	j.up()
	require.Equal(t, 1, j.log.count(saysBehind))
	j.jump(20 * time.Minute)
	require.Equal(t, 1, j.log.count(saysRight))
	require.Equal(t, told, j.came[-firstResident])
}

// Nobody writes, nothing is due: the writer's own look at the clock sees that it went back, and that it is right again.
func TestIdleWriterSeesTheClock(t *testing.T) {
	j := newJumps(t, "2027-04-12 10:00")
	until := func(what string) {
		over := time.After(20 * time.Second)
		for j.log.count(what) == 0 {
			select {
			case <-j.log.news:
			case <-over:
				require.Fail(t, "the log does not say", what)
			}
		}
	}
	j.household.Advance(-time.Hour)
	until(saysBehind)
	j.household.Advance(time.Hour)
	until(saysRight)
}

// More is due at once than one pass fires: it goes on at once, and whoever waits for all of it waits until none is left.
func TestManyDueAtOnce(t *testing.T) {
	j := newJumps(t, "2027-04-12 10:00")
	for range 450 {
		j.set(look, time.Hour)
	}
	j.jump(2 * time.Hour)
	j.all()
	j.none(450)
}
