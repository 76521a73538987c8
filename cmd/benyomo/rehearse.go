package main

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"os"
	"time"

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
	s, err := stage.Rehearse(ctx, o, clock.NewMovable(clock.System{}, begins))
	if err != nil {
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
