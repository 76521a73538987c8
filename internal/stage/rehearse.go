package stage

import (
	"context"
	"errors"
	"time"

	"benyomo/internal/edge/rehearsal/page"
	"benyomo/internal/edge/rehearsal/server"
	"benyomo/internal/engine/store"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/luach"
	"benyomo/internal/idea/people"
)

// Rehearse sets the stage with the rehearsal's page in front: the member, the rabbi and the office of the invented community
// side by side, each of whom has opened the bot, and behind the first a member whose household is in another invented place. Household time is the clock that the page moves; Options.Household is not
// used. The program is started too, under ctx as by Begin; where that fails, nothing is left running.
func Rehearse(ctx context.Context, o Options, household page.Clock) (*Stage, error) {
	o.Household = household
	s, err := Set(o)
	if err != nil {
		return nil, err
	}
	place, elsewhere := s.Config.Place, s.Config.Places[0].Name // the example has one
	s.also = func(tx *store.Tx, now time.Time) { visit(tx, elsewhere, now) }
	front := page.New(page.Options{
		Server: s.Server, Clock: household, Zone: place.Zone, Place: place.Name, Community: s.Config.Name + " (invented)",
		RestEnd: func(now time.Time) (time.Time, bool) { return luach.NextRest(place, now).Ends, true },
		Settle:  s.Settled,
		Views: []page.View{
			{Key: "member", Label: "Member", Person: Member, Chat: Member, Role: page.RoleMember},
			{Key: "elsewhere", Label: "Visitor in " + elsewhere, Person: Visitor, Chat: Visitor, Role: page.RoleMember},
			{Key: "rabbi", Label: "Rabbi", Person: Rabbi, Chat: Rabbi, Role: page.RoleRabbi},
			{Key: "office", Label: "Office", Person: Office, Chat: Office, Role: page.RoleOffice},
		},
	})
	s.o.Front, s.closeFront = front, front.Close // nobody knows the address yet
	for _, p := range []server.Person{{ID: Member, FirstName: "Member", LanguageCode: "en"}, {ID: Visitor, FirstName: "Visitor", LanguageCode: "en"},
		{ID: Rabbi, FirstName: "Rabbi", LanguageCode: "en"}, {ID: Office, FirstName: "Office", LanguageCode: "en"}} {
		s.Server.AddPerson(p)
		s.Server.Say(p.ID, p.ID, "/start")
	}
	if err := s.Begin(ctx); err != nil {
		return nil, errors.Join(err, s.Close(ctx))
	}
	return s, nil
}

// visit brings in a household that is in another place, where there is none yet.
func visit(tx *store.Tx, town string, now time.Time) {
	if _, ok := tx.Person(Visitor); ok {
		return
	}
	h := tx.NewHousehold(people.Household{Members: []int64{Visitor}, Purpose: dialog.Pesach, Custom: dialog.UnsureFact, Place: people.Israel,
		Town: town, Since: now})
	tx.PutPerson(people.Person{ID: Visitor, Roles: []people.Role{people.Member}, Lang: "en", Household: h.ID, LastActive: now})
}
