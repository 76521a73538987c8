package main

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"os"
	"time"

	"benyomo/internal/edge/rehearsal/page"
	"benyomo/internal/edge/rehearsal/server"
	"benyomo/internal/engine/clock"
	"benyomo/internal/idea/luach"
	"benyomo/internal/stage"
)

// daysBefore Pesach a rehearsal begins, where no date is given: when most is asked.
const daysBefore = 10

func runRehearse(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	fs := flags("rehearse")
	listen := fs.String("listen", "127.0.0.1:0", "loopback address of the page")
	data := fs.String("data", "", "folder of the program's data; without it a new one that is removed at the end")
	date := fs.String("date", "", "date at which household time begins, 2027-04-11; without it ten days before the next Pesach")
	dir := fs.String("dialogs", "", "folder of dialogs; without it the built-in ones")
	bare := fs.Bool("unapproved", false, "begin with nothing approved and no positions set")
	verbose := fs.Bool("verbose", false, "log what the program does")
	if _, code, ok := parse(fs, args, 0, stdout, stderr); !ok {
		return code
	}
	pack, err := loadDialogs(*dir)
	if err != nil {
		return fail("rehearse", stderr, err)
	}
	folder := *data
	if folder == "" {
		if folder, err = os.MkdirTemp("", "benyomo-rehearsal-"); err != nil {
			return fail("rehearse", stderr, err)
		}
		defer os.RemoveAll(folder)
	}
	level := slog.LevelError
	if *verbose {
		level = slog.LevelInfo
	}
	o := stage.Options{Data: folder, Listen: *listen, Pack: pack, Unapproved: *bare, Version: version(),
		Log: slog.New(slog.NewTextHandler(stderr, &slog.HandlerOptions{Level: level}))}
	place := stage.Place()
	begins, err := rehearsalBegins(*date, place, clock.System{}.Now())
	if err != nil {
		return wrong(fs, stderr, "%v", err)
	}
	household := clock.NewMovable(clock.System{}, begins)
	o.Household = household
	s, err := stage.Set(o)
	if err != nil {
		return fail("rehearse", stderr, err)
	}
	front := page.New(page.Options{
		Server: s.Server, Clock: household, Zone: place.Zone, Place: place.Name, Community: s.Config.Name + " (invented)",
		RestEnd: func(now time.Time) (time.Time, bool) { return luach.NextRest(place, now).Ends, true },
		Settle:  s.Settled,
		Views: []page.View{
			{Key: "member", Label: "Member", Person: stage.Member, Chat: stage.Member, Role: page.RoleMember},
			{Key: "rabbi", Label: "Rabbi", Person: stage.Rabbi, Chat: stage.Rabbi, Role: page.RoleRabbi},
			{Key: "office", Label: "Office", Person: stage.Office, Chat: stage.Office, Role: page.RoleOffice},
		},
	})
	s.SetFront(front, front.Close)
	for _, p := range []server.Person{{ID: stage.Member, FirstName: "Member", LanguageCode: "en"},
		{ID: stage.Rabbi, FirstName: "Rabbi", LanguageCode: "en"}, {ID: stage.Office, FirstName: "Office", LanguageCode: "en"}} {
		s.Server.AddPerson(p)
		s.Server.Say(p.ID, p.ID, "/start")
	}
	if err := s.Begin(ctx); err != nil {
		return fail("rehearse", stderr, err)
	}
	fmt.Fprintf(stdout, "Rehearsal of an invented community. Open this page:\n\n    %s\n\nStop with Ctrl-C.\n", s.URL())
	err = s.App.Wait(ctx)
	bounded, cancel := context.WithTimeout(context.Background(), 10*time.Second)
	defer cancel()
	if stopped := s.Close(bounded); err == nil {
		err = stopped
	}
	if err != nil {
		return fail("rehearse", stderr, err)
	}
	return fine
}

// rehearsalBegins is the moment at which household time begins: ten in the morning, and never in a rest span.
func rehearsalBegins(date string, p luach.Place, now time.Time) (time.Time, error) {
	var day time.Time
	if date != "" {
		d, err := time.ParseInLocation(time.DateOnly, date, p.Zone)
		if err != nil {
			return day, fmt.Errorf("date %q: write it as 2027-04-11", date)
		}
		day = d
	} else {
		y, m, d := luach.PesachAfter(p, now).Eve.Civil()
		day = time.Date(y, m, d-daysBefore, 0, 0, 0, 0, p.Zone)
	}
	for {
		y, m, d := day.Date()
		at := time.Date(y, m, d, 10, 0, 0, 0, p.Zone)
		if _, rest := luach.RestAt(p, at); !rest {
			return at, nil
		}
		day = day.AddDate(0, 0, 1)
	}
}
