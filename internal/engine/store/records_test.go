package store

import (
	"fmt"
	"iter"
	"reflect"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/engine/chat"
	"benyomo/internal/idea/approval"
	"benyomo/internal/idea/desk"
	"benyomo/internal/idea/kitchen"
	"benyomo/internal/idea/notice"
	"benyomo/internal/idea/people"
	"benyomo/internal/idea/plan"
)

// fill sets every field of a record, however deep, to something that is not its zero value: what does not come back was not
// written. A field that cannot be written to a file is a mistake of the record.
func fill(t *testing.T, v reflect.Value, n *int, within map[reflect.Type]bool) {
	t.Helper()
	*n++
	switch {
	case v.Type() == reflect.TypeFor[time.Time]():
		v.Set(reflect.ValueOf(at.Add(time.Duration(*n) * time.Minute)))
		return
	case v.Kind() == reflect.Struct:
		for i := range v.NumField() {
			require.True(t, v.Type().Field(i).IsExported(), "%s.%s", v.Type(), v.Type().Field(i).Name)
			fill(t, v.Field(i), n, within)
		}
		return
	}
	switch v.Kind() {
	case reflect.String:
		v.SetString(fmt.Sprintf("word %d – שלום | \"<&>\n", *n))
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Int, reflect.Int64:
		v.SetInt(-1<<40 - int64(*n))
	case reflect.Uint64:
		v.SetUint(1<<63 + uint64(*n))
	case reflect.Pointer:
		if within[v.Type()] { // a plan within a plan
			return
		}
		within[v.Type()] = true
		defer delete(within, v.Type())
		v.Set(reflect.New(v.Type().Elem()))
		fill(t, v.Elem(), n, within)
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 2, 2))
		fill(t, v.Index(0), n, within)
		fill(t, v.Index(1), n, within)
	case reflect.Map:
		v.Set(reflect.MakeMap(v.Type()))
		k, e := reflect.New(v.Type().Key()).Elem(), reflect.New(v.Type().Elem()).Elem()
		fill(t, k, n, within)
		fill(t, e, n, within)
		v.SetMapIndex(k, e)
	default:
		require.Failf(t, "a record of an unknown kind", "%s", v.Type())
	}
}

func full[V any](t *testing.T) V {
	var v V
	n := 0
	fill(t, reflect.ValueOf(&v).Elem(), &n, map[reflect.Type]bool{})
	return v
}

// record is one kind of record with the way in and the way out.
type record struct {
	table string
	trip  func(t *testing.T) (put func(*Tx), check func(*testing.T, *Tx))
	newer func(*Tx) // writes one of a version that this program does not know
	read  func(*Tx) // reads it
}

// kind makes a record's row of the tables below. all may be nil.
func kind[V any](tb table[V], put func(*Tx, V) V, get func(*Tx, V) (V, bool), all func(*Tx) iter.Seq[V]) record {
	return record{
		table: tb.bucket,
		trip: func(t *testing.T) (func(*Tx), func(*testing.T, *Tx)) {
			v := full[V](t)
			return func(tx *Tx) { v = put(tx, v) }, func(t *testing.T, tx *Tx) {
				if get != nil {
					got, ok := get(tx, v)
					require.True(t, ok)
					require.Equal(t, v, got)
				}
				if all != nil {
					require.Equal(t, []V{v}, slices.Collect(all(tx)))
				}
			}
		},
		newer: func(tx *Tx) {
			var v V
			v = put(tx, v)
			later := table[V]{tb.bucket, tb.version + 1}
			for k := range tx.rows(tb.bucket, nil) {
				later.put(tx, k, v)
			}
		},
		read: func(tx *Tx) {
			var v V
			if get != nil {
				get(tx, v)
			}
			for range tb.all(tx, nil) {
			}
		},
	}
}

// as is a put that gives the record back as it was.
func as[V any](put func(*Tx, V)) func(*Tx, V) V {
	return func(tx *Tx, v V) V { put(tx, v); return v }
}

func records() []record {
	return []record{
		kind(persons, as((*Tx).PutPerson), func(tx *Tx, v people.Person) (people.Person, bool) { return tx.Person(v.ID) }, (*Tx).Persons),
		kind(households, (*Tx).NewHousehold, func(tx *Tx, v people.Household) (people.Household, bool) { return tx.Household(v.ID) }, nil),
		kind(links, func(tx *Tx, v people.Link) people.Link {
			v.Token += "x" // never empty
			tx.PutLink(v)
			return v
		}, nil, (*Tx).Links),
		kind(items, (*Tx).NewItem, func(tx *Tx, v kitchen.Item) (kitchen.Item, bool) { return tx.Item(v.Household, v.ID) }, nil),
		kind(tellings, (*Tx).NewTelling, func(tx *Tx, v kitchen.Telling) (kitchen.Telling, bool) { return tx.Telling(v.ID) }, nil),
		kind(shaylos, (*Tx).NewShayla, func(tx *Tx, v desk.Shayla) (desk.Shayla, bool) { return tx.Shayla(v.ID) }, nil),
		kind(screens, as((*Tx).PutScreen), func(tx *Tx, v chat.Screen) (chat.Screen, bool) { return tx.Screen(v.Chat) }, nil),
		kind(timers, func(tx *Tx, v Timer) Timer {
			v.Key += "x"
			if v.Due.IsZero() {
				v.Due = at
			}
			tx.SetTimer(v)
			return v
		}, nil, (*Tx).Timers),
		kind(jobs, func(tx *Tx, v Job) Job {
			v.Key += "x"
			tx.AskFor(v)
			v, _ = tx.NextJob(anyJob)
			return v
		}, func(tx *Tx, _ Job) (Job, bool) { return tx.NextJob(anyJob) }, (*Tx).Jobs),
		kind(orders, as((*Tx).PutOrder), func(tx *Tx, v plan.Order) (plan.Order, bool) { return tx.Order(v.Household) }, nil),
		kind(outbox, func(tx *Tx, v chat.Post) chat.Post {
			tx.Post(v)
			v.Seq = tx.posts[len(tx.posts)-1].Seq
			return v
		}, func(tx *Tx, v chat.Post) (chat.Post, bool) { return tx.Pending(v.Chat, v.Seq) }, (*Tx).AllPosts),
		kind(holds, as((*Tx).SetHold), func(tx *Tx, v Hold) (Hold, bool) { return tx.Hold(v.Chat) }, (*Tx).Holds),
		kind(quarantines, func(tx *Tx, v Quarantine) Quarantine { tx.AddQuarantine(v); v.ID = 1; return v }, nil, (*Tx).Quarantines),
		kind(held, as((*Tx).HoldEvent), nil, func(tx *Tx) iter.Seq[chat.Event] { return values(held.all(tx, nil)) }),
		kind(approvals, func(tx *Tx, v approval.Approval) approval.Approval { v.Kind += "x"; tx.PutApproval(v); return v },
			func(tx *Tx, v approval.Approval) (approval.Approval, bool) { return tx.Approval(v.Kind) }, nil),
		kind(approvedSays, func(tx *Tx, v []string) []string { tx.PutApprovedSays("pot", "en", v); return v },
			func(tx *Tx, _ []string) ([]string, bool) { return tx.ApprovedSays("pot", "en"), true }, nil),
		kind(positions, func(tx *Tx, v map[string]string) map[string]string {
			if v == nil {
				v = map[string]string{"any": "one"}
			}
			for custom, p := range v {
				tx.SetPosition("a-switch", custom, p)
			}
			return v
		}, func(tx *Tx, _ map[string]string) (map[string]string, bool) {
			p, ok := tx.Positions()["a-switch"]
			return p, ok
		}, nil),
		kind(audits, func(tx *Tx, v Audit) Audit { tx.Audit(v.At, v.By, v.What); v.ID = 1; return v }, nil, (*Tx).Audits),
		kind(announcements, func(tx *Tx, v notice.Announcement) notice.Announcement { return tx.NewAnnouncement(v, nil) },
			func(tx *Tx, v notice.Announcement) (notice.Announcement, bool) { return tx.Announcement(v.ID) }, (*Tx).Announcements),
		kind(chunks, func(tx *Tx, v []int64) []int64 {
			if v == nil {
				v = []int64{1}
			}
			tx.NewAnnouncement(notice.Announcement{}, v)
			return v
		}, func(tx *Tx, v []int64) ([]int64, bool) { return tx.Recipients(1, 0, max(len(v), 1)), true }, nil),
	}
}

// TestRecordsRoundTrip: every field of every record comes back, within the part that wrote it, after the commit, and after
// the file was opened anew.
func TestRecordsRoundTrip(t *testing.T) {
	for _, r := range records() {
		t.Run(r.table, func(t *testing.T) {
			dir := t.TempDir()
			s := open(t, dir)
			put, check := r.trip(t)
			write(t, s, func(tx *Tx) { put(tx); check(t, tx) })
			read(t, s, func(tx *Tx) { check(t, tx) })
			require.NoError(t, s.Close())
			s = open(t, dir)
			read(t, s, func(tx *Tx) { check(t, tx) })
		})
	}
}

// TestNoRecordIsLeftOut: the two tests above know every bucket that holds records.
func TestNoRecordIsLeftOut(t *testing.T) {
	plain := []string{bucketMeta, roles, active, openShaylos, homeShaylos, timerKeys, posted, updates, owed, moved}
	var known []string
	for _, r := range records() {
		known = append(known, r.table)
	}
	require.ElementsMatch(t, buckets, append(plain, known...))
}

// TestRecordOfANewerVersionIsRefused: what a newer version wrote is not half understood, and not written over.
func TestRecordOfANewerVersionIsRefused(t *testing.T) {
	for _, r := range records() {
		t.Run(r.table, func(t *testing.T) {
			s := open(t, t.TempDir())
			write(t, s, r.newer)
			require.ErrorIs(t, s.View(func(tx *Tx) error { r.read(tx); return nil }), ErrNewer)
			err := s.Update(func(b *Batch) error {
				return b.Try(func(tx *Tx) error {
					r.read(tx)
					tx.SetStamp("after", at) // the part goes on with zero values; nothing of it is kept
					return nil
				})
			})
			require.ErrorIs(t, err, ErrNewer)
			require.ErrorContains(t, err, r.table)
			read(t, s, func(tx *Tx) { require.Zero(t, tx.Stamp("after")) })
		})
	}
}

func TestRecordOfAnOlderVersionIsRead(t *testing.T) {
	s := open(t, t.TempDir())
	next := table[people.Household]{households.bucket, households.version + 1}
	write(t, s, func(tx *Tx) { tx.NewHousehold(people.Household{Purpose: "pesach"}) })
	read(t, s, func(tx *Tx) {
		h, ok := next.get(tx, key(uint64(1)))
		require.True(t, ok)
		require.Equal(t, "pesach", h.Purpose)
	})
}

func TestACorruptRecordIsAnError(t *testing.T) {
	for _, raw := range []string{"", "{", `{"v":1,"r":{"id":"x"}}`, `{"v":1}`, "\x00"} {
		s := open(t, t.TempDir())
		write(t, s, func(tx *Tx) { tx.set(persons.bucket, key(int64(7)), []byte(raw)) })
		err := s.View(func(tx *Tx) error {
			_, ok := tx.Person(7)
			require.False(t, ok)
			return nil
		})
		require.ErrorContains(t, err, "read person", raw)
	}
}

func TestWithRole(t *testing.T) {
	s := open(t, t.TempDir())
	write(t, s, func(tx *Tx) {
		tx.PutPerson(people.Person{ID: 1, Roles: []people.Role{people.ApprovingRabbi}})
		tx.PutPerson(people.Person{ID: 2, Roles: []people.Role{people.Office, people.Rabbi}})
		tx.PutPerson(people.Person{ID: 3, Roles: []people.Role{people.Member}})
		tx.PutPerson(people.Person{ID: 4, Roles: []people.Role{people.Rabbi}})
	})
	write(t, s, func(tx *Tx) { tx.PutPerson(people.Person{ID: 4}) }) // is a rabbi no more
	read(t, s, func(tx *Tx) {
		ids := func(r people.Role) (out []int64) {
			for _, p := range tx.WithRole(r) {
				out = append(out, p.ID)
			}
			return out
		}
		require.Equal(t, []int64{1}, ids(people.ApprovingRabbi))
		require.Equal(t, []int64{2}, ids(people.Rabbi))
		require.Equal(t, []int64{2}, ids(people.Office))
	})
}

func TestListsOfShaylos(t *testing.T) {
	s := open(t, t.TempDir())
	ids := func(seq iter.Seq[desk.Shayla]) (out []uint64) {
		for q := range seq {
			out = append(out, q.ID)
		}
		return out
	}
	write(t, s, func(tx *Tx) {
		for h := range uint64(3) {
			for range 2 {
				tx.NewShayla(desk.Shayla{Household: h + 1, Status: desk.Open})
			}
		}
	})
	write(t, s, func(tx *Tx) {
		for q := range tx.OpenShaylos() { // closed while they are listed
			if q.ID%2 == 0 {
				q.Close(desk.Answer{Words: "yes"})
				tx.PutShayla(q)
			}
		}
		require.Equal(t, []uint64{1, 3, 5}, ids(tx.OpenShaylos()), "the same part sees it")
	})
	read(t, s, func(tx *Tx) {
		require.Equal(t, []uint64{1, 3, 5}, ids(tx.OpenShaylos()))
		require.Equal(t, []uint64{3, 4}, ids(tx.ShaylosOf(2)))
		require.Empty(t, ids(tx.ShaylosOf(9)))
	})
}

func TestItemsAreOfOneHousehold(t *testing.T) {
	s := open(t, t.TempDir())
	write(t, s, func(tx *Tx) {
		for i := range uint64(6) {
			tx.NewItem(kitchen.Item{Household: i % 2})
		}
	})
	read(t, s, func(tx *Tx) {
		var ids []uint64
		for it := range tx.Items(1) {
			ids = append(ids, it.ID)
		}
		require.Equal(t, []uint64{2, 4, 6}, ids)
		_, ok := tx.Item(0, 2)
		require.False(t, ok, "another household's")
	})
}

// TestRecipients: an announcement's recipients are cut in chunks, and any range of them comes back in its order.
func TestRecipients(t *testing.T) {
	s := open(t, t.TempDir())
	for id, n := range []int{0, 1, notice.ChunkSize - 1, notice.ChunkSize, notice.ChunkSize + 1, 3*notice.ChunkSize + 7} {
		to := make([]int64, n)
		for i := range to {
			to[i] = int64(1000*id + i)
		}
		write(t, s, func(tx *Tx) {
			a := tx.NewAnnouncement(notice.Announcement{}, to)
			require.Equal(t, uint64(id+1), a.ID)
			require.Equal(t, n, a.Total)
		})
		read(t, s, func(tx *Tx) {
			for _, cut := range [][2]int{{0, n}, {0, n + 5}, {n / 2, n}, {n - 1, n}, {notice.ChunkSize - 3, notice.ChunkSize + 3}, {n, n + 9}} {
				from, to2 := max(0, cut[0]), cut[1]
				want := to[min(from, n):min(to2, n)]
				require.Equal(t, len(want), len(tx.Recipients(uint64(id+1), from, to2)))
				if len(want) > 0 {
					require.Equal(t, want, tx.Recipients(uint64(id+1), from, to2), "%d: %v", n, cut)
				}
			}
		})
	}
}

func TestStamps(t *testing.T) {
	s := open(t, t.TempDir())
	write(t, s, func(tx *Tx) {
		require.Zero(t, tx.LastCommit())
		tx.SetLastCommit(at)
		tx.SetStamp("other", at.Add(time.Hour))
	})
	read(t, s, func(tx *Tx) {
		require.Equal(t, at, tx.LastCommit())
		require.Equal(t, at.Add(time.Hour), tx.Stamp("other"))
	})
}

// TestKeysSortAsNumbers: negative ids (groups) come before positive ones, and numbers by their size.
func TestKeysSortAsNumbers(t *testing.T) {
	s := open(t, t.TempDir())
	ids := []int64{-1 << 62, -300000001, -1, 0, 1, 255, 256, 1 << 52}
	write(t, s, func(tx *Tx) {
		for i := range ids {
			tx.PutPerson(people.Person{ID: ids[len(ids)-1-i]})
		}
	})
	read(t, s, func(tx *Tx) {
		var got []int64
		for p := range tx.Persons() {
			got = append(got, p.ID)
		}
		require.Equal(t, ids, got)
	})
	require.Panics(t, func() { key(7) }, "a plain int has no fixed width: a mistake of the program")
}
