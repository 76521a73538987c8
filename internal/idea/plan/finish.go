package plan

import (
	"time"

	"benyomo/internal/idea/luach"
)

// deadlines are the times towards which a plan is made.
type deadlines struct {
	eve    time.Time // noon of the eve of Pesach
	finish Moment
	ready  Moment
	notes  []Note
}

// deadlinesOf finds the finish line and the end of the plan.
func deadlinesOf(k *Kitchen, now time.Time) deadlines {
	pesach := luach.PesachAfter(k.Place, now)
	y, m, day := pesach.Eve.Civil()
	d := deadlines{eve: local(k.Place.Zone, y, m, day, 12*60, false)}
	if luach.EveOnSabbath(pesach.Year) { // Friday's hours are the stricter reading
		y, m, day = pesach.Eve.AddDays(-1).Civil()
	}
	line, why := pesach.Begins, WhyFestival // where the sun gives the day no hours
	if e := luach.Deadlines(k.Place, y, m, day).EndFourth.By(k.Place.Hours); e.Happens {
		line, why = e.At, WhyFourthHour
	}
	switch {
	case k.Finish.IsZero():
	case k.Finish.After(line):
		d.notes = append(d.notes, Note{Why: NoteFinishAfter})
	default:
		line, why = k.Finish, WhyCooking
	}
	d.finish = Moment{At: line.UTC(), Why: why}
	d.ready = d.finish
	if k.Slack > 0 {
		d.ready = Moment{At: before(k.Place, line, k.Slack, now).UTC(), Why: WhySlack}
	}
	return d
}

// before is the instant so long before another that the length passes in between outside of rest spans: what breaks cannot be
// mended in them.
func before(p luach.Place, t time.Time, length time.Duration, now time.Time) time.Time {
	from := t.Add(-length - 30*24*time.Hour) // more than any rest spans can hold
	if from.Before(now.Add(-7 * 24 * time.Hour)) {
		from = now.Add(-7 * 24 * time.Hour)
	}
	rests := restsBetween(p, from, t)
	for i := len(rests) - 1; i >= 0; i-- {
		r := rests[i]
		if !r.Ends.Before(t) {
			t = earlier(t, r.Begins)
			continue
		}
		gap := t.Sub(r.Ends)
		if gap > length {
			break
		}
		length -= gap
		t = r.Begins
	}
	return t.Add(-length)
}

func earlier(a, b time.Time) time.Time {
	if b.Before(a) {
		return b
	}
	return a
}
