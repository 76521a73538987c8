package store

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Jobs come in the order in which they were asked for; one that is asked for anew is done as it was asked last, and what came of
// the earlier one is void.
func TestJobs(t *testing.T) {
	s := open(t, t.TempDir())
	var first Job
	err := s.Update(func(b *Batch) error {
		return b.Try(func(tx *Tx) error {
			tx.AskFor(Job{Key: "plan-9", Rev: 1})
			tx.AskFor(Job{Key: "plan-2", Rev: 1})
			first, _ = tx.NextJob(anyJob)
			require.Equal(t, "plan-9", first.Key)
			tx.AskFor(Job{Key: "plan-9", Rev: 2})
			return nil
		})
	})
	require.NoError(t, err)
	write(t, s, func(tx *Tx) {
		require.False(t, tx.EndJob(first), "it was asked for anew")
		j, ok := tx.NextJob(func(j Job) bool { return j.Key != "plan-2" })
		require.True(t, ok)
		require.Equal(t, "plan-9", j.Key)
		j, ok = tx.NextJob(anyJob)
		require.True(t, ok)
		require.Equal(t, "plan-2", j.Key)
		require.True(t, tx.EndJob(j))
		require.False(t, tx.EndJob(j))
		j, _ = tx.NextJob(anyJob)
		require.Equal(t, uint64(2), j.Rev)
		require.True(t, tx.EndJob(j))
		_, ok = tx.NextJob(anyJob)
		require.False(t, ok)
	})
}

// A batch says that a job was asked for only if the part that asked was merged.
func TestBatchSaysThatAJobWasAskedFor(t *testing.T) {
	s := open(t, t.TempDir())
	require.NoError(t, s.Update(func(b *Batch) error {
		require.Error(t, b.Try(func(tx *Tx) error { tx.AskFor(Job{Key: "a"}); panic("no") }))
		require.False(t, b.Asked)
		require.NoError(t, b.Try(func(tx *Tx) error { tx.AskFor(Job{Key: "a"}); return nil }))
		require.True(t, b.Asked)
		return nil
	}))
}

func anyJob(Job) bool { return true }
