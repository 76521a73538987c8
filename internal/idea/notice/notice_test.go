package notice_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/notice"
	"benyomo/internal/idea/people"
)

func TestReceives(t *testing.T) {
	member := []people.Role{people.Member}
	for _, c := range []struct {
		name   string
		person people.Person
		want   bool
	}{
		{"a member", people.Person{Roles: member}, true},
		{"a member who wants none", people.Person{Roles: member, OptOut: true}, false},
		{"a member who has stopped the bot", people.Person{Roles: member, Away: true}, false},
		{"somebody who only wrote", people.Person{}, false},
		{"a rabbi who asks nothing himself", people.Person{Roles: []people.Role{people.Rabbi}}, false},
		{"a member of the office", people.Person{Roles: []people.Role{people.Member, people.Office}}, true},
	} {
		require.Equal(t, c.want, notice.Receives(c.person), c.name)
	}
}

func TestNext(t *testing.T) {
	for _, c := range []struct {
		name                string
		total, queued, done int
		want                int
	}{
		{"at the start a whole window", 100, 0, 0, notice.Window},
		{"a small community at once", 5, 0, 0, 5},
		{"a full window waits", 100, 32, 0, 0},
		{"as many as have ended", 100, 32, 7, 7},
		{"the rest", 100, 96, 80, 4},
		{"all are on their way", 100, 100, 80, 0},
		{"all have ended", 100, 100, 100, 0},
		{"nobody", 0, 0, 0, 0},
		{"never less than none", 100, 90, 20, 0},
	} {
		a := notice.Announcement{Total: c.total, Queued: c.queued, Done: c.done}
		require.Equal(t, c.want, a.Next(), c.name)
	}
}

// Whoever rests elsewhere does not hold the others up.
func TestNextBesidesThoseWhoRest(t *testing.T) {
	a := notice.Announcement{Total: 100, Queued: 50, Done: 10, Resting: 30}
	require.Equal(t, notice.Window-10, a.Next())
	a.Resting = 40
	require.Equal(t, notice.Window, a.Next())
	a.Queued, a.Done, a.Resting = 100, 60, 40
	require.Zero(t, a.Next())
}

// However deliveries end, no more than a window of them waits, everybody's turn comes, and nobody's comes twice.
func TestAnAnnouncementComesToItsEnd(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 200 {
		a := notice.Announcement{Total: r.IntN(1000)}
		for rounds := 0; a.Done < a.Total; rounds++ {
			require.Less(t, rounds, 10*1000, "it stands still: %+v", a)
			a.Queued += a.Next()
			require.LessOrEqual(t, a.Queued-a.Done, notice.Window)
			require.LessOrEqual(t, a.Queued, a.Total)
			require.Positive(t, a.Queued-a.Done)
			a.Done += 1 + r.IntN(a.Queued-a.Done)
		}
		require.Equal(t, a.Total, a.Queued)
		require.Zero(t, a.Next())
	}
}

// An answer to a person never waits behind more than a window; a chunk is read for several windows.
func TestSizes(t *testing.T) {
	require.Zero(t, notice.ChunkSize%notice.Window)
}
