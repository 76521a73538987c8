package store

import (
	"errors"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"go.etcd.io/bbolt"

	"benyomo/internal/engine/chat"
)

// at is a moment that survives being written: in UTC, to the nanosecond.
var at = time.Date(2027, 4, 11, 10, 0, 0, 123456789, time.UTC)

// open opens a store that is checked, page by page, and closed at the end of the test.
func open(t *testing.T, dir string) *Store {
	t.Helper()
	s, err := Open(dir)
	require.NoError(t, err)
	t.Cleanup(func() { closeChecked(t, s) })
	return s
}

// closeChecked closes a store, once.
func closeChecked(t *testing.T, s *Store) {
	t.Helper()
	if s.db == nil || s.db.Path() == "" {
		return
	}
	require.NoError(t, s.Check(), "the file is consistent")
	require.NoError(t, s.Close())
}

// write commits one part.
func write(t *testing.T, s *Store, fn func(*Tx)) *Batch {
	t.Helper()
	var batch *Batch
	require.NoError(t, s.Update(func(b *Batch) error {
		batch = b
		return b.Try(func(tx *Tx) error { fn(tx); return nil })
	}))
	return batch
}

// read looks into what is committed.
func read(t *testing.T, s *Store, fn func(*Tx)) {
	t.Helper()
	require.NoError(t, s.View(func(tx *Tx) error { fn(tx); return nil }))
}

// seqs are the numbers of deliveries.
func seqs(posts []chat.Post) []uint64 {
	var out []uint64
	for _, p := range posts {
		out = append(out, p.Seq)
	}
	return out
}

// foreign makes a bbolt file with one bucket of somebody else's.
func foreign(t *testing.T, dir, bucket string) {
	t.Helper()
	db, err := bbolt.Open(filepath.Join(dir, "benyomo.db"), 0o600, nil)
	require.NoError(t, err)
	require.NoError(t, db.Update(func(tx *bbolt.Tx) error {
		_, err := tx.CreateBucket([]byte(bucket))
		return err
	}))
	require.NoError(t, db.Close())
}

var errTest = errors.New("on purpose")
