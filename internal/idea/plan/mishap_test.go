package plan

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A thing that was used with heat waits anew from then, and only what hangs on it changes.
func TestUsedHot(t *testing.T) {
	rows := builtIn(t)
	k := household(t, whole()[2:]...)
	k.Meals = mealsOn(t, k, "2027-04-17", "2027-04-18", "2027-04-19")
	k.Finish = at(t, k.Place, "2027-04-21 09:00")
	k.Slack = 0
	k.Work = append(k.Work, Window{Days: []time.Weekday{time.Tuesday}, From: 8 * 60, To: 14 * 60})
	p := planned(t, k, at(t, k.Place, "2027-04-11 20:00"))
	now := at(t, k.Place, "2027-04-19 09:45") // scrubbed on Sunday, to be kashered from Monday evening
	mid := doneBy(t, k, p, now)

	one, mixed := mid.UsedHot(rows, now.Add(-10*time.Minute), "counter")
	require.Empty(t, mixed)
	q, changes, err := Again(p, one, rows, now)
	require.NoError(t, err)
	check(t, one, q, now, "")
	for _, s := range item(t, q, "counter").step("pour") {
		require.False(t, s.Begins.Before(now.Add(-10*time.Minute).Add(Idle)), shown(q))
	}
	for _, c := range changes {
		require.NotContains(t, []string{"oven", "grates", "kashering-pot"}, c.Item, "%+v", c)
	}

	all, mixed := mid.UsedHot(rows, now.Add(-10*time.Minute))
	require.Empty(t, mixed)
	q, _, err = Again(p, all, rows, now)
	require.NoError(t, err)
	check(t, all, q, now, "")
	for _, it := range q.Items {
		kashered, waits := (&checker{k: all, kind: map[string]*kind{it.ID: rows.kind(it.Kind)}}).kashered(it)
		require.True(t, !waits || !kashered.Before(now.Add(-10*time.Minute).Add(Idle)), "%s\n%s", it.ID, shown(q))
	}

	done := mid
	done.Done = append(slices.Clone(mid.Done), Done{Item: "oven", Step: "heat-up", Begins: now.Add(-4 * time.Hour), Ends: now.Add(-3 * time.Hour)})
	after, mixed := done.UsedHot(rows, now)
	require.ElementsMatch(t, []string{"oven", "grates"}, mixed, "the grates lie in the oven's heating")
	require.Equal(t, done.Items[0].LastHot, after.Items[0].LastHot)
	require.Zero(t, mid.Items[2].LastHot, "the kitchen that was given is as it was")
}

// differences are those of two plans, found by another way than Diff's: by a list of all that is said of either plan.
func differences(earlier, later Plan) map[string]bool {
	all := func(p Plan) map[string]string {
		out := map[string]string{}
		for _, it := range p.Items {
			if it.LastUse != nil {
				out["last-use "+it.ID] = fmt.Sprint(it.LastUse.At.Unix())
			}
			nth := map[string]int{}
			for _, s := range it.Steps {
				if !s.Done {
					out[fmt.Sprintf("step %s %s %d", it.ID, s.Name, nth[s.Name])] = fmt.Sprint(s.Begins.Unix(), s.Ends.Unix())
				}
				nth[s.Name]++
			}
		}
		return out
	}
	a, b := all(earlier), all(later)
	out := map[string]bool{}
	for key, x := range b {
		if a[key] != x {
			out[key[:len(key)-len(lastWord(key))]] = true
		}
	}
	return out
}

// lastWord is the number at the end of a step's key, with its space.
func lastWord(key string) string {
	if key[:5] != "step " {
		return ""
	}
	for i := len(key) - 1; ; i-- {
		if key[i] == ' ' {
			return key[i:]
		}
	}
}

// Whatever happens, what is said to have changed has, and what has changed of what is still to be done is said.
func TestDiffSaysWhatChangedAndNoMore(t *testing.T) {
	t.Parallel()
	rows := builtIn(t)
	asked, told := 0, 0
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 83))
		k, now := randomKitchen(t, r, 3+r.IntN(6))
		p, err := Make(k, rows, now)
		require.NoError(t, err)
		if !p.Fits {
			continue
		}
		later := now.Add(time.Duration(r.Int64N(int64(p.Ready.At.Sub(now)))))
		after := doneBy(t, k, p, later)
		switch r.IntN(4) {
		case 0: // something was not done
			if n := len(after.Done); n > 0 {
				after.Done = slices.Delete(after.Done, n-1, n)
			}
		case 1: // something ended sooner
			for i := range after.Done {
				if d := &after.Done[i]; !d.Ends.IsZero() {
					d.Ends = d.Begins.Add(d.Ends.Sub(d.Begins) / 2)
				}
			}
		case 2: // a mishap with all
			after, _ = after.UsedHot(rows, later)
		case 3: // a mishap with one
			after, _ = after.UsedHot(rows, later, after.Items[r.IntN(len(after.Items))].ID)
		}
		q, changes, err := Again(p, after, rows, later)
		require.NoError(t, err)
		asked++
		told += len(changes)
		want, got := differences(p, q), map[string]bool{}
		for _, c := range changes {
			switch {
			case c.What == ChangedUse && !c.To.IsZero():
				got["last-use "+c.Item] = true
			case (c.What == ChangedStep || c.What == ChangedLength) && !c.To.IsZero():
				got["step "+c.Item+" "+c.Step] = true
			}
		}
		require.Equal(t, want, got, "seed %d\n%s\n%s", seed, shown(p), shown(q))
	}
	t.Logf("asked %d times, told %d changes", asked, told)
	require.Greater(t, asked, 20)
	require.Greater(t, told, 50)
}
