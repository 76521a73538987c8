package store

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"go.etcd.io/bbolt"

	"benyomo/internal/engine/chat"
	"benyomo/internal/idea/people"
)

// TestAFailedPartLeavesNothing: an error, a panic, and a failure that the part itself did not notice undo the part and
// nothing else of its batch.
func TestAFailedPartLeavesNothing(t *testing.T) {
	for name, fail := range map[string]struct {
		part func(tx *Tx) error
		says string
	}{
		"an error":          {func(*Tx) error { return errTest }, errTest.Error()},
		"a panic":           {func(*Tx) error { panic("a mistake") }, "panic: a mistake"},
		"a nil dereference": {func(*Tx) error { var p *people.Person; p.ID = 1; return nil }, "nil pointer dereference"},
		"a corrupt record":  {func(tx *Tx) error { tx.Person(99); return nil }, "read person"},
		"an empty key":      {func(tx *Tx) error { tx.PutLink(people.Link{}); return nil }, "a key of 0 bytes"},
		"a key too long": {func(tx *Tx) error {
			tx.PutLink(people.Link{Token: strings.Repeat("x", bbolt.MaxKeySize+1)})
			return nil
		}, "write link: a key of 32769 bytes"},
	} {
		t.Run(name, func(t *testing.T) {
			s := open(t, t.TempDir())
			write(t, s, func(tx *Tx) {
				tx.set(persons.bucket, key(int64(99)), []byte("not JSON"))
				tx.PutPerson(people.Person{ID: 1, Lang: "en"})
				tx.Post(chat.Post{Chat: 1, Op: chat.Send})
			})
			var batch *Batch
			require.NoError(t, s.Update(func(b *Batch) error {
				batch = b
				require.NoError(t, b.Try(func(tx *Tx) error { tx.PutPerson(people.Person{ID: 2, Lang: "he"}); return nil }))
				require.ErrorContains(t, b.Try(func(tx *Tx) error {
					tx.PutPerson(people.Person{ID: 1, Lang: "broken"})
					tx.PutPerson(people.Person{ID: 3})
					tx.NewHousehold(people.Household{})
					tx.Post(chat.Post{Chat: 1, Op: chat.Send})
					tx.Unpost(1, 1)
					return fail.part(tx)
				}), fail.says)
				return b.Try(func(tx *Tx) error { // what comes later in the batch sees nothing of it either
					p, ok := tx.Person(1)
					require.True(t, ok)
					require.Equal(t, "en", p.Lang)
					tx.PutPerson(people.Person{ID: 4})
					return nil
				})
			}))
			require.Empty(t, batch.Posts)
			require.Empty(t, batch.Dropped)
			read(t, s, func(tx *Tx) {
				for id, want := range map[int64]bool{1: true, 2: true, 3: false, 4: true} {
					_, ok := tx.Person(id)
					require.Equal(t, want, ok, "person %d", id)
				}
				require.Equal(t, []uint64{1}, seqs(slices.Collect(tx.AllPosts())))
				require.Empty(t, slices.Collect(values(households.all(tx, nil))))
			})
		})
	}
}

// TestAFailedBatchLeavesNothing: where the whole commit fails, all of its parts are undone, and the same batch can be tried
// again.
func TestAFailedBatchLeavesNothing(t *testing.T) {
	s := open(t, t.TempDir())
	part := func(tx *Tx) error {
		require.False(t, tx.Seen(7))
		tx.Post(chat.Post{Chat: 5, Op: chat.Send})
		tx.SetTimer(Timer{Due: at, Key: "k"})
		return nil
	}
	s.fault = func() error { return errTest }
	require.ErrorIs(t, s.Update(func(b *Batch) error { return b.Try(part) }), errTest)
	s.fault = nil
	require.ErrorIs(t, s.Update(func(b *Batch) error { require.NoError(t, b.Try(part)); return errTest }), errTest)
	require.Panics(t, func() {
		_ = s.Update(func(b *Batch) error { require.NoError(t, b.Try(part)); panic("outside of a part") })
	})
	read(t, s, func(tx *Tx) {
		require.Empty(t, slices.Collect(tx.AllPosts()))
		require.Empty(t, slices.Collect(tx.Timers()))
	})
	var batch *Batch
	require.NoError(t, s.Update(func(b *Batch) error { batch = b; return b.Try(part) }))
	require.Equal(t, []uint64{1}, seqs(batch.Posts), "numbers that were drawn in vain are drawn again")
}

func TestAReaderCannotWrite(t *testing.T) {
	s := open(t, t.TempDir())
	err := s.View(func(tx *Tx) error { tx.PutPerson(people.Person{ID: 1}); return nil })
	require.ErrorContains(t, err, "read-only")
	read(t, s, func(tx *Tx) { _, ok := tx.Person(1); require.False(t, ok) })
}

func TestATxKeepsItsFirstFailure(t *testing.T) {
	s := open(t, t.TempDir())
	write(t, s, func(tx *Tx) {
		tx.set(persons.bucket, key(int64(1)), []byte("no"))
		tx.set(households.bucket, key(uint64(1)), []byte("no"))
	})
	err := s.View(func(tx *Tx) error {
		tx.Person(1)
		tx.Household(1)
		return nil
	})
	require.ErrorContains(t, err, "read person")
	require.NotContains(t, err.Error(), "read household")
}

// TestRowsMergeStoredAndOverlay compares a scan with the same rows merged by hand, where the overlay adds, replaces and
// deletes before, between and after the stored ones, and other prefixes stand around them.
func TestRowsMergeStoredAndOverlay(t *testing.T) {
	s := open(t, t.TempDir())
	write(t, s, func(tx *Tx) {
		for _, k := range []string{"a", "b1", "b3", "b5", "b7", "c"} {
			tx.set(posted, []byte(k), []byte("stored "+k))
		}
	})
	rows := func(tx *Tx, prefix string) (out []string) {
		for k, v := range tx.rows(posted, []byte(prefix)) {
			out = append(out, string(k)+"="+string(v))
		}
		return out
	}
	write(t, s, func(tx *Tx) {
		for k, v := range map[string]string{"b0": "new", "b3": "replaced", "b4": "new", "b9": "new", "d": "new"} {
			tx.set(posted, []byte(k), []byte(v))
		}
		tx.set(posted, []byte("b5"), nil)
		tx.set(posted, []byte("b6"), nil) // was never there
		want := []string{"b0=new", "b1=stored b1", "b3=replaced", "b4=new", "b7=stored b7", "b9=new"}
		require.Equal(t, want, rows(tx, "b"))
		require.Equal(t, append(append([]string{"a=stored a"}, want...), "c=stored c", "d=new"), rows(tx, ""))
		require.Equal(t, []string{"d=new"}, rows(tx, "d"))
		require.Empty(t, rows(tx, "bb"))
	})
	read(t, s, func(tx *Tx) {
		require.Equal(t, []string{"b0=new", "b1=stored b1", "b3=replaced", "b4=new", "b7=stored b7", "b9=new"}, rows(tx, "b"))
	})
}

// TestRowsMayChangeWhileTheyAreRead: a loop sees what it has changed itself further on.
func TestRowsMayChangeWhileTheyAreRead(t *testing.T) {
	for _, where := range []string{"stored", "in the overlay"} {
		t.Run(where, func(t *testing.T) {
			s := open(t, t.TempDir())
			fill := func(tx *Tx) {
				for id := range int64(6) {
					tx.PutPerson(people.Person{ID: id})
				}
			}
			if where == "stored" {
				write(t, s, fill)
			}
			write(t, s, func(tx *Tx) {
				if where != "stored" {
					fill(tx)
				}
				var seen []string
				for p := range tx.Persons() {
					seen = append(seen, p.Lang)
					switch p.ID {
					case 1:
						tx.PutPerson(people.Person{ID: 0, Lang: "behind"})
						tx.PutPerson(people.Person{ID: 1, Lang: "itself"})
						tx.PutPerson(people.Person{ID: 3, Lang: "ahead"})
						persons.delete(tx, key(int64(4)))
					}
				}
				require.Equal(t, []string{"", "", "", "ahead", ""}, seen)
			})
		})
	}
}

// TestALoopMayStop: the iterators end where the loop does.
func TestALoopMayStop(t *testing.T) {
	s := open(t, t.TempDir())
	write(t, s, func(tx *Tx) {
		for id := range int64(4) {
			tx.PutPerson(people.Person{ID: id})
		}
	})
	write(t, s, func(tx *Tx) {
		tx.PutPerson(people.Person{ID: 9})
		for n := range 5 {
			seen := 0
			for range tx.Persons() {
				if seen++; seen > n {
					break
				}
			}
			require.Equal(t, n+1, seen)
		}
	})
}
