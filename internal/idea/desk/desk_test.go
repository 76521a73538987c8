package desk_test

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/desk"
	"benyomo/internal/idea/triage"
)

var at = time.Date(2045, 3, 20, 9, 0, 0, 0, time.UTC)

// A question is answered once. Two rabbis may press at the same time: the second learns of it, and nothing changes.
func TestClose(t *testing.T) {
	first, second := desk.Answer{By: 1, At: at, Reply: desk.CoverIt}, desk.Answer{By: 2, At: at.Add(time.Minute), Words: "no"}
	for _, c := range []struct {
		name    string
		status  desk.Status
		answer  *desk.Answer
		verdict desk.Verdict
		after   desk.Status
		kept    *desk.Answer
	}{
		{"an open one", desk.Open, nil, desk.Accepted, desk.Closed, &second},
		{"an answered one", desk.Closed, &first, desk.AlreadyClosed, desk.Closed, &first},
		{"a withdrawn one", desk.Withdrawn, nil, desk.Gone, desk.Withdrawn, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := desk.Shayla{ID: 5, Status: c.status, Answer: c.answer}
			require.Equal(t, c.verdict, s.Close(second))
			require.Equal(t, c.after, s.Status)
			require.Equal(t, c.kept, s.Answer)
		})
	}
}

func TestTheAnswerIsACopy(t *testing.T) {
	a := desk.Answer{By: 1, At: at, Words: "yes"}
	s := desk.Shayla{Status: desk.Open}
	require.Equal(t, desk.Accepted, s.Close(a))
	a.Words = "changed"
	require.Equal(t, "yes", s.Answer.Words)
	require.Equal(t, desk.AlreadyClosed, s.Close(a))
	require.Equal(t, "yes", s.Answer.Words)
}

func TestRepliesStandOnTheCardOnce(t *testing.T) {
	require.Equal(t, []desk.Reply{desk.CoverIt, desk.BringIt, desk.SendVisit, desk.PhoneMe}, desk.Replies())
}

// A question comes out of the store as it went in.
func TestShaylaIsKeptWhole(t *testing.T) {
	s := desk.Shayla{
		ID: 1, Household: 2, Item: 3, Kind: "oven", Asker: 4, Lang: "he", Purpose: "pesach", Custom: "sephardi", Reason: triage.NotSure,
		Question: "residue", Switch: "racks", Path: []triage.Step{{Question: "needed", Answer: "yes"}}, End: "ask-crust", Possible: []string{"hour"},
		Photos: []string{"f"}, Words: "w", Urgent: true, Opened: at, Status: desk.Closed,
		Answer: &desk.Answer{By: 9, At: at, Outcome: "hour", Reply: desk.PhoneMe, Words: "x"},
	}
	raw, err := json.Marshal(s)
	require.NoError(t, err)
	var back desk.Shayla
	require.NoError(t, json.Unmarshal(raw, &back))
	require.Equal(t, s, back)
}
