package plan

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// sampled is a plan by hand: an hour of work of two things, a heating, and, much later, another work.
func sampled() Plan {
	t0 := time.Date(2027, time.April, 19, 19, 0, 0, 0, time.UTC)
	minute := func(n int) time.Time { return t0.Add(time.Duration(n) * time.Minute) }
	return Plan{
		LastMeal: &Moment{At: minute(-24 * 60), Why: WhyMeals},
		Items: []ItemPlan{
			{ID: "a", Steps: []Step{
				{Name: "scrub", Begins: minute(0), Ends: minute(30), Attended: true},
				{Name: IdleStep, Begins: minute(30), Ends: minute(60)},
				{Name: "boil", Begins: minute(60), Ends: minute(100), Attended: true, In: "round-dairy-1", Uses: map[string]int{"burners": 1}},
			}},
			{ID: "b", Steps: []Step{
				{Name: "boil", Begins: minute(60), Ends: minute(100), Attended: true, In: "round-dairy-1", Uses: map[string]int{"burners": 1}},
				{Name: "heat", Begins: minute(100), Ends: minute(160), Awake: true},
				{Name: "cover", Begins: minute(300), Ends: minute(330), Attended: true},
			}},
		},
	}
}

func TestTasks(t *testing.T) {
	p := sampled()
	var said []string
	for _, task := range p.Tasks() {
		line := task.Name
		for _, id := range task.Items {
			line += " " + id
		}
		said = append(said, line)
	}
	require.Equal(t, []string{"scrub a", "boil a b", "heat b", "cover b"}, said, "a round is one task, the 24 hours are none")
	require.False(t, p.Tasks()[0].Hot())
	require.True(t, p.Tasks()[1].Hot())
	require.True(t, p.Tasks()[2].Hot())
}

func TestAlerts(t *testing.T) {
	p := sampled()
	begin := p.Items[0].Steps[0].Begins
	type heard struct {
		what    string
		minutes int
		tasks   int
	}
	list := func(after time.Time) (out []heard) {
		for _, a := range p.Alerts(after) {
			out = append(out, heard{a.What, int(a.At.Sub(begin).Minutes()), len(a.Tasks)})
		}
		return out
	}
	all := []heard{{AlertMeal, -26 * 60, 0}, {AlertWork, -30, 3}, {AlertCheck, 160, 3}, {AlertHeat, 160, 1}, {AlertWork, 270, 1}, {AlertCheck, 330, 1}}
	require.Equal(t, all, list(begin.AddDate(0, 0, -2)), "a pause of half an hour is within a sitting")
	require.Equal(t, all[2:], list(begin.Add(-30*time.Minute)), "what is at that instant was said")
	require.Empty(t, list(begin.Add(330*time.Minute)))
	p.Items[0].Steps[0].Done = true
	p.LastMeal.Why = WhyDecided
	require.Equal(t, []heard{{AlertWork, 30, 2}, {AlertCheck, 160, 2}, {AlertHeat, 160, 1}, {AlertWork, 270, 1}, {AlertCheck, 330, 1}}, list(begin.AddDate(0, 0, -2)))
}

func TestOverdue(t *testing.T) {
	p := sampled()
	begin := p.Items[0].Steps[0].Begins
	names := func(now time.Time) (out []string) {
		for _, task := range p.Overdue(now) {
			out = append(out, task.Name)
		}
		return out
	}
	require.Empty(t, names(begin.Add(29*time.Minute)))
	require.Equal(t, []string{"scrub"}, names(begin.Add(30*time.Minute)))
	require.Equal(t, []string{"scrub", "boil", "heat"}, names(begin.Add(160*time.Minute)))
	p.Items[1].Steps[1].Done = true
	require.Equal(t, []string{"scrub", "boil"}, names(begin.Add(160*time.Minute)))
}

// Every alert of a real plan is at a moment of the plan, in order, and each step of work, and each heating that somebody has to start, is in exactly one sitting.
func TestAlertsOfAPlan(t *testing.T) {
	k := household(t, whole()...)
	now := at(t, k.Place, "2027-04-11 20:00")
	p, err := Make(k, builtIn(t), now)
	require.NoError(t, err)
	sat := map[string]int{}
	var last time.Time
	for _, a := range p.Alerts(now.AddDate(0, -1, 0)) {
		require.False(t, a.At.Before(last))
		last = a.At
		for _, task := range a.Tasks {
			if a.What == AlertWork {
				sat[task.Items[0]+task.Name+task.Begins.String()]++
			}
		}
	}
	n := 0
	for _, task := range p.Tasks() {
		if task.Attended || task.Name == "heat-water" || task.Name == "heat-up" {
			n++
			require.Equal(t, 1, sat[task.Items[0]+task.Name+task.Begins.String()], task.Name)
		}
	}
	require.Greater(t, n, 10)
}
