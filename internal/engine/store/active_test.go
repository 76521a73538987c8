package store

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/people"
)

// The file of an earlier program has no list of who was active when. It is made when it is first asked for, as far as anybody asks.
func TestActiveOfEarlierFile(t *testing.T) {
	s := open(t, t.TempDir())
	write(t, s, func(tx *Tx) {
		for i := range int64(6) {
			tx.PutPerson(people.Person{ID: i, LastActive: at.Add(time.Duration(i) * time.Hour)})
		}
	})
	write(t, s, func(tx *Tx) {
		for k := range tx.rows(active, nil) {
			tx.set(active, k, nil)
		}
		tx.set(bucketMeta, []byte(listsActive), nil)
		tx.PutPerson(people.Person{ID: 1, LastActive: at.Add(7 * time.Hour)}) // back already
	})
	ids := func(since time.Time) (out []int64) {
		write(t, s, func(tx *Tx) {
			for p := range tx.ActiveSince(since) {
				out = append(out, p.ID)
			}
		})
		return out
	}
	require.Equal(t, []int64{3, 4, 5, 1}, ids(at.Add(3*time.Hour)))
	write(t, s, func(tx *Tx) { tx.PutPerson(people.Person{ID: 4, LastActive: at.Add(8 * time.Hour)}) })
	require.Equal(t, []int64{5, 1, 4}, ids(at.Add(4*time.Hour)))
	read(t, s, func(tx *Tx) {
		require.Len(t, slices.Collect(tx.ActiveSince(at.Add(8*time.Hour))), 1, "reading is enough from now on")
	})
}
