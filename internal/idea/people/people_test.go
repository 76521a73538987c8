package people_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/people"
)

func TestRoles(t *testing.T) {
	all := []people.Role{people.Member, people.Rabbi, people.ApprovingRabbi, people.Office}
	for _, c := range []struct {
		holds []people.Role
		is    []people.Role
	}{
		{nil, nil},
		{[]people.Role{people.Member}, []people.Role{people.Member}},
		{[]people.Role{people.Rabbi}, []people.Role{people.Rabbi}},
		{[]people.Role{people.ApprovingRabbi}, []people.Role{people.Rabbi, people.ApprovingRabbi}},
		{[]people.Role{people.Office}, []people.Role{people.Office}},
		{[]people.Role{people.Member, people.Office}, []people.Role{people.Member, people.Office}},
	} {
		var is []people.Role
		for _, r := range all {
			if (people.Person{Roles: c.holds}).Is(r) {
				is = append(is, r)
			}
		}
		require.Equal(t, c.is, is, "%v", c.holds)
	}
}

func TestGrant(t *testing.T) {
	var p people.Person
	p.Grant(people.Member)
	p.Grant(people.ApprovingRabbi)
	p.Grant(people.Member)
	require.Equal(t, []people.Role{people.Member, people.ApprovingRabbi}, p.Roles)
	require.True(t, p.Is(people.Rabbi))
	p.Grant(people.Rabbi)
	require.Equal(t, []people.Role{people.Member, people.ApprovingRabbi, people.Rabbi}, p.Roles, "what is granted is kept by its name")
}

func TestHousehold(t *testing.T) {
	var h people.Household
	h.Leave(5)
	h.Join(5)
	h.Join(6)
	h.Join(5)
	require.Equal(t, []int64{5, 6}, h.Members)
	h.Leave(5)
	h.Leave(5)
	require.Equal(t, []int64{6}, h.Members)
	h.Join(5)
	require.Equal(t, []int64{6, 5}, h.Members)

	for _, c := range []struct {
		h    people.Household
		want bool
	}{
		{people.Household{}, false},
		{people.Household{Purpose: "pesach", Custom: "unsure"}, false},
		{people.Household{Purpose: "pesach", Place: people.Israel}, false},
		{people.Household{Custom: "sephardi", Place: people.Abroad}, false},
		{people.Household{Purpose: "pesach", Custom: "unsure", Place: people.Abroad}, true},
	} {
		require.Equal(t, c.want, c.h.Complete(), "%+v", c.h)
	}
}

func TestLink(t *testing.T) {
	now := time.Date(2045, 3, 20, 9, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		name string
		link people.Link
		want people.Refusal
	}{
		{"one for everybody", people.Link{}, people.Works},
		{"one for everybody, opened before", people.Link{Used: true}, people.Works},
		{"one for a single time", people.Link{Once: true}, people.Works},
		{"the same again", people.Link{Once: true, Used: true}, people.IsUsed},
		{"up to its last moment", people.Link{Expires: now}, people.Works},
		{"a moment later", people.Link{Expires: now.Add(-time.Nanosecond)}, people.Expired},
		{"used and expired: used is the truth of it", people.Link{Once: true, Used: true, Expires: now.Add(-time.Hour)}, people.IsUsed},
		{"in another zone", people.Link{Expires: now.In(time.FixedZone("east", 3*60*60))}, people.Works},
	} {
		require.Equal(t, c.want, c.link.Open(now), c.name)
	}
}
