package store

import (
	"bytes"
	"encoding/binary"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"go.etcd.io/bbolt"
)

// requireSentence checks that an error of Open tells somebody who knows nothing of databases where, what, and what to do.
func requireSentence(t *testing.T, err, want error, dir string) {
	t.Helper()
	require.ErrorIs(t, err, want)
	require.Equal(t, filepath.Join(dir, "benyomo.db")+": "+want.Error(), err.Error())
}

func TestOpenMakesTheFolderForItsOwnerAlone(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "a", "b")
	open(t, dir)
	info, err := os.Stat(dir)
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o700), info.Mode().Perm())
	info, err = os.Stat(filepath.Join(dir, "benyomo.db"))
	require.NoError(t, err)
	require.Equal(t, os.FileMode(0o600), info.Mode().Perm())
}

func TestOpenWhileAnotherCopyRuns(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	_, err := Open(dir)
	requireSentence(t, err, ErrRunning, dir)
	write(t, s, func(tx *Tx) { tx.SetStamp("still-here", at) }) // the first copy is not disturbed

	require.NoError(t, s.Close())
	again, err := Open(dir)
	require.NoError(t, err)
	defer closeChecked(t, again)
	read(t, again, func(tx *Tx) { require.Equal(t, at, tx.Stamp("still-here")) })
}

func TestOpenOfANewerSchema(t *testing.T) {
	dir := t.TempDir()
	s, err := Open(dir)
	require.NoError(t, err)
	require.NoError(t, s.db.Update(func(tx *bbolt.Tx) error {
		return tx.Bucket([]byte(bucketMeta)).Put([]byte("schema"), binary.BigEndian.AppendUint64(nil, Schema+1))
	}))
	require.NoError(t, s.Close())
	before, err := os.ReadFile(filepath.Join(dir, "benyomo.db"))
	require.NoError(t, err)

	_, err = Open(dir)
	requireSentence(t, err, ErrNewer, dir)
	after, err := os.ReadFile(filepath.Join(dir, "benyomo.db"))
	require.NoError(t, err)
	require.True(t, bytes.Equal(before, after), "the newer version's file is left as it is")
}

func TestOpenOfWhatIsNotOurs(t *testing.T) {
	for name, prepare := range map[string]func(t *testing.T, dir string){
		"a bbolt file of another program": func(t *testing.T, dir string) { foreign(t, dir, "somebody-else") },
		"a short text":                    func(t *testing.T, dir string) { put(t, dir, []byte("shopping list\n")) },
		"a long text":                     func(t *testing.T, dir string) { put(t, dir, []byte(strings.Repeat("shopping list\n", 5000))) },
		"zeros":                           func(t *testing.T, dir string) { put(t, dir, make([]byte, 1<<16)) },
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			prepare(t, dir)
			_, err := Open(dir)
			requireSentence(t, err, ErrNotOurs, dir)
		})
	}
}

func put(t *testing.T, dir string, raw []byte) {
	t.Helper()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "benyomo.db"), raw, 0o600))
}

func TestOpenOfAnEmptyFile(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, nil) // such as a full disk leaves behind: there is nothing in it to lose
	open(t, dir)
}

func TestOpenWhereThereCanBeNoFolder(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	_, err := Open(filepath.Join(file, "data"))
	require.ErrorContains(t, err, "make data folder")

	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, "benyomo.db"), 0o700))
	_, err = Open(dir)
	require.ErrorContains(t, err, "open data")
}

func TestOpenOfAFileThatWasCutShort(t *testing.T) {
	dir := t.TempDir()
	s, err := Open(dir)
	require.NoError(t, err)
	require.NoError(t, s.Close())
	require.NoError(t, os.Truncate(filepath.Join(dir, "benyomo.db"), int64(os.Getpagesize())))
	_, err = Open(dir)
	require.ErrorContains(t, err, "open data: file size too small")
}

func TestBind(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	require.NoError(t, s.Bind(123456))
	require.NoError(t, s.Bind(123456), "the same bot again")
	requireSentence(t, s.Bind(654321), ErrOtherBot, dir)
	require.NoError(t, s.Close())

	again, err := Open(dir)
	require.NoError(t, err)
	defer closeChecked(t, again)
	requireSentence(t, again.Bind(654321), ErrOtherBot, dir)
	require.NoError(t, again.Bind(123456))
}

func TestOpenErrorsAreToldApart(t *testing.T) {
	all := []error{ErrRunning, ErrNewer, ErrOtherBot, ErrNotOurs}
	for i, a := range all {
		for j, b := range all {
			require.Equal(t, i == j, errors.Is(a, b))
		}
		require.NotContains(t, a.Error(), "bbolt")
		require.NotContains(t, a.Error(), "timeout")
	}
}

// TestCommitsAreSynced: a commit that is not synced to disk is no commit.
func TestCommitsAreSynced(t *testing.T) {
	s := open(t, t.TempDir())
	require.False(t, s.db.NoSync)
	require.False(t, s.db.NoGrowSync)
	require.False(t, s.db.NoFreelistSync)
}
