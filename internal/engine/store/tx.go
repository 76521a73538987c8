package store

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"iter"
	"slices"
	"strings"

	"go.etcd.io/bbolt"

	"benyomo/internal/engine/chat"
)

// Tx reads and, within a Batch, writes records.
type Tx struct {
	bolt    *bbolt.Tx
	overlay map[string]map[string][]byte // bucket → key → value; nil = deleted. nil map: read only
	err     error
	posts   []chat.Post
	dropped []uint64
	moves   [][2]chat.ID // groups with a new id: old, new
	asked   bool         // a job was asked for
}

// fail keeps the first failure.
func (tx *Tx) fail(err error) {
	if tx.err == nil && err != nil {
		tx.err = err
	}
}

func (tx *Tx) raw(bucket string, key []byte) []byte {
	if v, ok := tx.overlay[bucket][string(key)]; ok {
		return v
	}
	return tx.bolt.Bucket([]byte(bucket)).Get(key)
}

func (tx *Tx) set(bucket string, key, value []byte) {
	if tx.overlay == nil {
		tx.fail(errors.New("write in a read-only transaction"))
		return
	}
	if len(key) == 0 || len(key) > bbolt.MaxKeySize { // found now, or the merge would stop half-way
		tx.fail(fmt.Errorf("write %s: a key of %d bytes", bucket, len(key)))
		return
	}
	if tx.overlay[bucket] == nil {
		tx.overlay[bucket] = map[string][]byte{}
	}
	tx.overlay[bucket][string(key)] = value
}

// next draws the bucket's next number, from 1.
func (tx *Tx) next(bucket string) uint64 {
	n, err := tx.bolt.Bucket([]byte(bucket)).NextSequence()
	if err != nil {
		tx.fail(fmt.Errorf("number of %s: %w", bucket, err))
	}
	return n
}

// rows yields the rows of a bucket whose keys have the prefix, in order, the overlay's included. Rows may be changed and
// deleted while it runs, and are yielded as they then are; a row that is new since it began may be left out.
func (tx *Tx) rows(bucket string, prefix []byte) iter.Seq2[[]byte, []byte] {
	return tx.rowsFrom(bucket, prefix, prefix)
}

// rowsFrom yields the rows whose keys have the prefix from a key on, as rows does.
func (tx *Tx) rowsFrom(bucket string, from, prefix []byte) iter.Seq2[[]byte, []byte] {
	return func(yield func([]byte, []byte) bool) {
		c := tx.bolt.Bucket([]byte(bucket)).Cursor()
		fresh := tx.freshKeys(bucket, from, prefix)
		k, v := c.Seek(from)
		for {
			stored := k != nil && bytes.HasPrefix(k, prefix)
			switch {
			case !stored && len(fresh) == 0:
				return
			case stored && (len(fresh) == 0 || string(k) < fresh[0]):
				val, changed := tx.overlay[bucket][string(k)] // by the caller, since it began to read
				if !changed {
					val = v
				}
				if val != nil && !yield(bytes.Clone(k), val) {
					return
				}
				k, v = c.Next()
			default:
				key := fresh[0]
				fresh = fresh[1:]
				if stored && string(k) == key {
					k, v = c.Next()
				}
				if val := tx.overlay[bucket][key]; val != nil && !yield([]byte(key), val) {
					return
				}
			}
		}
	}
}

func (tx *Tx) freshKeys(bucket string, from, prefix []byte) []string {
	var keys []string
	for k := range tx.overlay[bucket] {
		if k >= string(from) && strings.HasPrefix(k, string(prefix)) {
			keys = append(keys, k)
		}
	}
	slices.Sort(keys)
	return keys
}

// table is a bucket of records of one type, kept as JSON in an envelope with the record's version.
type table[V any] struct {
	bucket  string
	version int
}

type envelope struct {
	Version int             `json:"v"`
	Record  json.RawMessage `json:"r"`
}

func (t table[V]) decode(tx *Tx, raw []byte) (v V, ok bool) {
	var e envelope
	if err := json.Unmarshal(raw, &e); err != nil {
		tx.fail(fmt.Errorf("read %s: %w", t.bucket, err))
		return v, false
	}
	if e.Version > t.version {
		tx.fail(fmt.Errorf("read %s: %w", t.bucket, ErrNewer))
		return v, false
	}
	if err := json.Unmarshal(e.Record, &v); err != nil {
		tx.fail(fmt.Errorf("read %s: %w", t.bucket, err))
		return v, false
	}
	return v, true
}

func (t table[V]) get(tx *Tx, key []byte) (v V, ok bool) {
	raw := tx.raw(t.bucket, key)
	if raw == nil {
		return v, false
	}
	return t.decode(tx, raw)
}

func (t table[V]) put(tx *Tx, key []byte, v V) {
	rec, err := json.Marshal(v)
	if err != nil {
		tx.fail(fmt.Errorf("write %s: %w", t.bucket, err))
		return
	}
	raw, err := json.Marshal(envelope{Version: t.version, Record: rec})
	if err != nil {
		tx.fail(fmt.Errorf("write %s: %w", t.bucket, err))
		return
	}
	tx.set(t.bucket, key, raw)
}

func (t table[V]) delete(tx *Tx, key []byte) { tx.set(t.bucket, key, nil) }

func (t table[V]) all(tx *Tx, prefix []byte) iter.Seq2[[]byte, V] {
	return func(yield func([]byte, V) bool) {
		for k, raw := range tx.rows(t.bucket, prefix) {
			v, ok := t.decode(tx, raw)
			if !ok || !yield(k, v) {
				return
			}
		}
	}
}

// key joins numbers so that their order is the order of the bytes, negative ones first.
func key(parts ...any) []byte {
	var b []byte
	for _, p := range parts {
		switch x := p.(type) {
		case int64:
			b = binary.BigEndian.AppendUint64(b, uint64(x)^(1<<63))
		case chat.ID:
			b = binary.BigEndian.AppendUint64(b, uint64(x)^(1<<63))
		case uint64:
			b = binary.BigEndian.AppendUint64(b, x)
		case string:
			b = append(b, x...)
		case chat.Handle:
			b = append(b, x...)
		default:
			panic(fmt.Sprintf("key part of type %T", p))
		}
	}
	return b
}

func (tx *Tx) number(name string) uint64 {
	if v := tx.raw(bucketMeta, []byte(name)); len(v) == 8 {
		return binary.BigEndian.Uint64(v)
	}
	return 0
}

func (tx *Tx) setNumber(name string, n uint64) {
	tx.set(bucketMeta, []byte(name), binary.BigEndian.AppendUint64(nil, n))
}
