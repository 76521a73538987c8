// Package store keeps everything in one bbolt file. It is the only importer of bbolt; each record has its own file and a
// versioned codec.
//
// Basics: one writer calls Update with a whole batch of work; each part of it runs in Batch.Try on an overlay that is merged
// only if the part succeeds, so that a failure poisons nothing. Reads are short Views. Values are decoded before they are
// returned. Every commit is synced to disk.
//
// Caveats: a Tx remembers its first failure and returns zero values from then on; Try and View report it at the end.
// Nothing in a transaction calls out, and no transaction is opened inside another.
package store

import (
	"encoding/binary"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"time"

	"go.etcd.io/bbolt"
	bolterrors "go.etcd.io/bbolt/errors"

	"benyomo/internal/engine/chat"
)

// FileName is the name of the file in a data folder.
const FileName = "benyomo.db"

// Schema is the version of the file that this program writes.
const Schema = 1

// lockWait is how long a second copy waits for the file before it gives up.
const lockWait = time.Second

// initialMmap is mapped at the start, so that growth seldom has to wait for readers; in bytes.
const initialMmap = 64 << 20

// Errors of Open. They are sentences for the person who started the program.
var (
	ErrRunning  = errors.New("another copy is running on this data: stop it first")
	ErrNewer    = errors.New("the data was written by a newer version: use that version, or another data folder")
	ErrOtherBot = errors.New("the data belongs to another bot: check the token, or use another data folder")
	ErrNotOurs  = errors.New("the file is no data of benyomo")
)

// Store is an open file.
type Store struct {
	db   *bbolt.DB
	path string
	// fault, when set by a test, is asked before each commit and its error fails it.
	fault func() error
}

// Open opens or creates the file of a data folder.
func Open(dir string) (*Store, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("make data folder: %w", err)
	}
	path := filepath.Join(dir, FileName)
	db, err := bbolt.Open(path, 0o600, &bbolt.Options{Timeout: lockWait, InitialMmapSize: initialMmap, FreelistType: bbolt.FreelistMapType})
	switch {
	case errors.Is(err, bolterrors.ErrTimeout):
		return nil, fmt.Errorf("%s: %w", path, ErrRunning)
	case errors.Is(err, bolterrors.ErrInvalid), errors.Is(err, bolterrors.ErrChecksum), errors.Is(err, bolterrors.ErrVersionMismatch):
		return nil, fmt.Errorf("%s: %w", path, ErrNotOurs)
	case err != nil:
		return nil, fmt.Errorf("open data: %w", err)
	}
	s := &Store{db: db, path: path}
	if err := s.prepare(); err != nil {
		return nil, errors.Join(err, db.Close())
	}
	return s, nil
}

func (s *Store) prepare() error {
	return s.db.Update(func(tx *bbolt.Tx) error {
		meta := tx.Bucket([]byte(bucketMeta))
		if meta == nil {
			if k, _ := tx.Cursor().First(); k != nil {
				return fmt.Errorf("%s: %w", s.path, ErrNotOurs)
			}
		} else if v := meta.Get([]byte("schema")); len(v) == 8 && binary.BigEndian.Uint64(v) > Schema {
			return fmt.Errorf("%s: %w", s.path, ErrNewer)
		}
		for _, b := range buckets {
			if _, err := tx.CreateBucketIfNotExists([]byte(b)); err != nil {
				return fmt.Errorf("create bucket %s: %w", b, err)
			}
		}
		if meta == nil { // nobody is in it yet
			if err := tx.Bucket([]byte(bucketMeta)).Put([]byte(listsActive), binary.BigEndian.AppendUint64(nil, 1)); err != nil {
				return fmt.Errorf("write %s: %w", listsActive, err)
			}
		}
		if err := tx.Bucket([]byte(bucketMeta)).Put([]byte("schema"), binary.BigEndian.AppendUint64(nil, Schema)); err != nil {
			return fmt.Errorf("write schema: %w", err)
		}
		return nil
	})
}

// Bind ties the file to a bot by its id, and refuses another one's.
func (s *Store) Bind(bot int64) error {
	return s.Update(func(b *Batch) error {
		return b.Try(func(tx *Tx) error {
			if owner := tx.number("bot"); owner != 0 && owner != uint64(bot) {
				return fmt.Errorf("%s: %w", s.path, ErrOtherBot)
			}
			tx.setNumber("bot", uint64(bot))
			return nil
		})
	})
}

// Close closes the file.
func (s *Store) Close() error {
	if err := s.db.Close(); err != nil {
		return fmt.Errorf("close data: %w", err)
	}
	return nil
}

// View reads.
func (s *Store) View(fn func(*Tx) error) error {
	return s.db.View(func(b *bbolt.Tx) error {
		tx := &Tx{bolt: b}
		return errors.Join(fn(tx), tx.err)
	})
}

// Update commits a batch of work as one transaction. An error returned by fn undoes all of it.
func (s *Store) Update(fn func(*Batch) error) error {
	return s.db.Update(func(b *bbolt.Tx) error {
		if err := fn(&Batch{bolt: b}); err != nil {
			return err
		}
		if s.fault != nil {
			return s.fault()
		}
		return nil
	})
}

// Check walks every page of the file and returns the first inconsistency. Tests run it at their end.
func (s *Store) Check() error {
	return s.db.View(func(tx *bbolt.Tx) error {
		var first error
		for err := range tx.Check() {
			if first == nil {
				first = err
			}
		}
		return first
	})
}

// Batch is the work of one commit.
type Batch struct {
	bolt *bbolt.Tx
	// Posts and Dropped are the deliveries that the commit adds and takes back; the writer hands them to the courier after it.
	Posts   []chat.Post
	Dropped []uint64
	Asked   bool // a job was asked for
}

// Try runs one part of the work on an overlay, and merges it only if it succeeds. A panic is an error of the part.
func (b *Batch) Try(fn func(*Tx) error) (err error) {
	tx := &Tx{bolt: b.bolt, overlay: map[string]map[string][]byte{}}
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("panic: %v", r)
		}
	}()
	if err := errors.Join(fn(tx), tx.err); err != nil {
		return err
	}
	for bucket, rows := range tx.overlay {
		bk := b.bolt.Bucket([]byte(bucket))
		for k, v := range rows {
			if v == nil {
				err = bk.Delete([]byte(k))
			} else {
				err = bk.Put([]byte(k), v)
			}
			if err != nil {
				return fmt.Errorf("merge %s: %w", bucket, err)
			}
		}
	}
	b.deliver(tx)
	return nil
}

// deliver adds a part's deliveries to the batch's. The courier hears of the batch as a whole: what an earlier part posted and
// this one takes back it never hears of, and what an earlier part posted to a group that has moved goes to the new id.
func (b *Batch) deliver(tx *Tx) {
	for _, m := range tx.moves {
		rekey(b.Posts, m[0], m[1])
	}
	b.Posts = append(b.Posts, tx.posts...)
	b.Asked = b.Asked || tx.asked
	for _, seq := range tx.dropped {
		n := len(b.Posts)
		if b.Posts = slices.DeleteFunc(b.Posts, func(p chat.Post) bool { return p.Seq == seq }); len(b.Posts) == n {
			b.Dropped = append(b.Dropped, seq)
		}
	}
}

func rekey(posts []chat.Post, from, to chat.ID) {
	for i := range posts {
		if posts[i].Chat == from {
			posts[i].Chat = to
		}
	}
}
