package store

import (
	"cmp"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/engine/chat"
	"benyomo/internal/idea/desk"
	"benyomo/internal/idea/kitchen"
	"benyomo/internal/idea/people"
)

// model is what the store should hold, kept in plain maps.
type model struct {
	persons    map[int64]people.Person
	households map[uint64]people.Household
	links      map[string]people.Link
	items      map[[2]uint64]kitchen.Item
	shaylos    map[uint64]desk.Shayla
	screens    map[chat.ID]chat.Screen
	timers     map[string]Timer
	outbox     map[uint64]chat.Post
	posted     map[chat.ID]map[chat.Handle]int
	holds      map[chat.ID]Hold
	seen       map[int64]bool
	held       []chat.Event
	owed       map[chat.ID]bool
	positions  map[string]map[string]string
	stamps     map[string]time.Time
	settled    map[uint64]bool // deliveries that have ended: of these the courier knows by itself
}

func newModel() *model {
	return &model{
		persons: map[int64]people.Person{}, households: map[uint64]people.Household{}, links: map[string]people.Link{},
		items: map[[2]uint64]kitchen.Item{}, shaylos: map[uint64]desk.Shayla{}, screens: map[chat.ID]chat.Screen{},
		timers: map[string]Timer{}, outbox: map[uint64]chat.Post{}, posted: map[chat.ID]map[chat.Handle]int{},
		holds: map[chat.ID]Hold{}, seen: map[int64]bool{}, owed: map[chat.ID]bool{}, positions: map[string]map[string]string{},
		stamps: map[string]time.Time{}, settled: map[uint64]bool{},
	}
}

// clone is a copy that shares nothing that is changed in place.
func (m *model) clone() *model {
	c := *m
	c.persons, c.households, c.links = maps.Clone(m.persons), maps.Clone(m.households), maps.Clone(m.links)
	c.items, c.shaylos, c.screens = maps.Clone(m.items), maps.Clone(m.shaylos), maps.Clone(m.screens)
	c.timers, c.outbox, c.holds = maps.Clone(m.timers), maps.Clone(m.outbox), maps.Clone(m.holds)
	c.settled = maps.Clone(m.settled)
	c.seen, c.owed, c.held, c.stamps = maps.Clone(m.seen), maps.Clone(m.owed), slices.Clone(m.held), maps.Clone(m.stamps)
	c.posted, c.positions = map[chat.ID]map[chat.Handle]int{}, map[string]map[string]string{}
	for k, v := range m.posted {
		c.posted[k] = maps.Clone(v)
	}
	for k, v := range m.positions {
		c.positions[k] = maps.Clone(v)
	}
	return &c
}

// sorted are a map's values by key.
func sorted[K cmp.Ordered, V any](m map[K]V, keep func(K, V) bool) (out []V) {
	for _, k := range slices.Sorted(maps.Keys(m)) {
		if keep == nil || keep(k, m[k]) {
			out = append(out, m[k])
		}
	}
	return out
}

// Small spaces of names, so that the operations meet the same rows again and again.
const (
	chats   = 4 // -2 … 1
	handles = 3
	names   = 5
	numbers = 60 // of updates
)

var allRoles = []people.Role{people.Member, people.Rabbi, people.ApprovingRabbi, people.Office}

// compare looks at everything the model knows, through every way of reading it.
func (m *model) compare(t *testing.T, tx *Tx) {
	require.Equal(t, sorted(m.persons, nil), slices.Collect(tx.Persons()))
	for h := range names + 1 {
		since := at.Add(time.Duration(h)*time.Hour - time.Second)
		var want []people.Person
		for _, p := range sorted(m.persons, nil) {
			if !p.LastActive.IsZero() && !p.LastActive.Before(since) {
				want = append(want, p)
			}
		}
		slices.SortStableFunc(want, func(a, b people.Person) int { return a.LastActive.Compare(b.LastActive) })
		require.Equal(t, want, slices.Collect(tx.ActiveSince(since)))
	}
	for _, r := range allRoles[1:] {
		require.Equal(t, sorted(m.persons, func(_ int64, p people.Person) bool { return slices.Contains(p.Roles, r) }), tx.WithRole(r), r)
	}
	require.Equal(t, sorted(m.households, nil), slices.Collect(values(households.all(tx, nil))))
	require.Equal(t, sorted(m.links, nil), slices.Collect(tx.Links()))
	require.Equal(t, sorted(m.shaylos, func(_ uint64, q desk.Shayla) bool { return q.Status == desk.Open }), slices.Collect(tx.OpenShaylos()))
	for h := range uint64(names) {
		var its []kitchen.Item
		for _, k := range slices.SortedFunc(maps.Keys(m.items), func(a, b [2]uint64) int { return cmp.Compare(a[1], b[1]) }) {
			if k[0] == h {
				its = append(its, m.items[k])
			}
		}
		require.Equal(t, its, slices.Collect(tx.Items(h)))
		require.Equal(t, sorted(m.shaylos, func(_ uint64, q desk.Shayla) bool { return q.Household == h }), slices.Collect(tx.ShaylosOf(h)))
	}
	byDue := slices.SortedFunc(maps.Values(m.timers), func(a, b Timer) int { return cmp.Or(a.Due.Compare(b.Due), cmp.Compare(a.Key, b.Key)) })
	require.Equal(t, byDue, slices.Collect(tx.Timers()))
	require.Equal(t, sorted(m.holds, nil), slices.Collect(tx.Holds()))
	for c := chat.ID(-chats / 2); c < chats/2; c++ {
		require.Equal(t, sorted(m.outbox, func(_ uint64, p chat.Post) bool { return p.Chat == c }), slices.Collect(tx.Outbox(c)))
		s, ok := tx.Screen(c)
		want, has := m.screens[c]
		require.Equal(t, has, ok)
		require.Equal(t, want, s)
		h, ok := tx.Hold(c)
		wantHold, has := m.holds[c]
		require.Equal(t, has, ok)
		require.Equal(t, wantHold, h)
		for i := range handles {
			n, ok := tx.Posted(c, handle(i))
			require.Equal(t, m.posted[c][handle(i)], n)
			require.Equal(t, n != 0, ok)
		}
	}
	require.Equal(t, len(m.outbox), len(slices.Collect(tx.AllPosts())))
	var seen []int64
	for n := range int64(numbers) {
		if tx.raw(updates, key(n)) != nil {
			seen = append(seen, n)
		}
	}
	require.Equal(t, slices.Sorted(maps.Keys(m.seen)), seen)
	require.Equal(t, m.held, slices.Collect(values(held.all(tx, nil))))
	require.Equal(t, len(m.held) > 0, tx.AnyHeld())
	got := tx.Positions()
	for id, by := range m.positions {
		require.Equal(t, len(by), len(got[id]))
		for custom, p := range by {
			require.Equal(t, p, got[id][custom])
		}
	}
	for name, at := range m.stamps {
		require.Equal(t, at, tx.Stamp(name))
	}
}

func handle(i int) chat.Handle { return chat.Handle(fmt.Sprint("handle-", i)) }

// operation does one thing to the store and the same to the model.
type operation func(r *rand.Rand, tx *Tx, m *model)

func someChat(r *rand.Rand) chat.ID { return chat.ID(r.IntN(chats) - chats/2) }
func someName(r *rand.Rand) string  { return fmt.Sprint("name-", r.IntN(names)) }

// operations are all that changes what the model knows.
var operations = []operation{
	func(r *rand.Rand, tx *Tx, m *model) {
		p := people.Person{ID: int64(r.IntN(names)) - 2, Lang: someName(r), LastActive: at.Add(time.Duration(r.IntN(names)) * time.Hour)}
		for _, role := range allRoles {
			if r.IntN(3) == 0 {
				p.Roles = append(p.Roles, role)
			}
		}
		tx.PutPerson(p)
		m.persons[p.ID] = p
	},
	func(r *rand.Rand, tx *Tx, m *model) {
		h := tx.NewHousehold(people.Household{Members: []int64{1}, Custom: someName(r), Since: at})
		m.households[h.ID] = h
	},
	func(r *rand.Rand, tx *Tx, m *model) {
		for _, id := range slices.Sorted(maps.Keys(m.households)) {
			if r.IntN(2) == 0 {
				h := m.households[id]
				h.Purpose = someName(r)
				tx.PutHousehold(h)
				m.households[id] = h
			}
		}
	},
	func(r *rand.Rand, tx *Tx, m *model) {
		l := people.Link{Token: someName(r), Grants: people.Member, Used: r.IntN(2) == 0}
		tx.PutLink(l)
		m.links[l.Token] = l
	},
	func(r *rand.Rand, tx *Tx, m *model) {
		it := tx.NewItem(kitchen.Item{Household: uint64(r.IntN(names)), Kind: someName(r), Since: at, Changed: at})
		m.items[[2]uint64{it.Household, it.ID}] = it
	},
	func(r *rand.Rand, tx *Tx, m *model) { // changed while they are listed, the next ones too
		h := uint64(r.IntN(names))
		for it := range tx.Items(h) {
			for _, id := range []uint64{it.ID, it.ID + 1} {
				if other, ok := m.items[[2]uint64{h, id}]; ok && r.IntN(2) == 0 {
					other.Rev++
					tx.PutItem(other)
					m.items[[2]uint64{h, id}] = other
				}
			}
		}
	},
	func(r *rand.Rand, tx *Tx, m *model) {
		q := tx.NewShayla(desk.Shayla{Household: uint64(r.IntN(names)), Words: someName(r), Opened: at, Status: desk.Open})
		m.shaylos[q.ID] = q
	},
	func(r *rand.Rand, tx *Tx, m *model) {
		for q := range tx.OpenShaylos() {
			if r.IntN(3) == 0 {
				q.Close(desk.Answer{By: 1, At: at, Words: someName(r)})
				tx.PutShayla(q)
				m.shaylos[q.ID] = q
			}
		}
	},
	func(r *rand.Rand, tx *Tx, m *model) {
		c := someChat(r)
		old, _ := tx.Screen(c)
		s := chat.Screen{Chat: c, Step: old.Step + 1, Name: someName(r), Handle: handle(r.IntN(handles))}
		tx.PutScreen(s)
		m.screens[c] = s
	},
	func(r *rand.Rand, tx *Tx, m *model) {
		tm := Timer{Due: at.Add(time.Duration(r.IntN(6)) * time.Hour), Key: someName(r), Kind: "kind", Rev: r.Uint64N(9)}
		tx.SetTimer(tm)
		m.timers[tm.Key] = tm
	},
	func(r *rand.Rand, tx *Tx, m *model) {
		k := someName(r)
		tx.StopTimer(k)
		delete(m.timers, k)
	},
	func(r *rand.Rand, tx *Tx, m *model) {
		tm := Timer{Due: at.Add(time.Duration(r.IntN(6)) * time.Hour), Key: someName(r)}
		tx.StopTimerAt(tm)
		if old, ok := m.timers[tm.Key]; ok && old.Due.Equal(tm.Due) {
			delete(m.timers, tm.Key)
		}
	},
	post, post, post, // the outbox is the busiest
	func(r *rand.Rand, tx *Tx, m *model) {
		for _, seq := range slices.Sorted(maps.Keys(m.outbox)) {
			if p := m.outbox[seq]; r.IntN(4) == 0 { // delivered
				tx.Settle(p.Chat, seq)
				delete(m.outbox, seq)
				m.settled[seq] = true
				if p.Handle != "" {
					tx.SetPosted(p.Chat, p.Handle, int(seq))
					m.setPosted(p.Chat, p.Handle, int(seq))
				}
			} else if r.IntN(8) == 0 { // taken back
				tx.Unpost(p.Chat, seq)
				delete(m.outbox, seq)
			}
		}
	},
	func(r *rand.Rand, tx *Tx, m *model) {
		c, h, n := someChat(r), handle(r.IntN(handles)), r.IntN(3)
		tx.SetPosted(c, h, n)
		m.setPosted(c, h, n)
	},
	func(r *rand.Rand, tx *Tx, m *model) {
		h := Hold{Chat: someChat(r), Why: someName(r), Since: at}
		if r.IntN(2) == 0 {
			tx.SetHold(h)
			m.holds[h.Chat] = h
		} else {
			tx.Release(h.Chat)
			delete(m.holds, h.Chat)
		}
	},
	func(r *rand.Rand, tx *Tx, m *model) {
		if r.IntN(6) > 0 { // seldom: it empties a chat
			return
		}
		from, to := someChat(r), someChat(r)
		if from == to {
			return
		}
		tx.Rekey(from, to)
		for seq, p := range m.outbox {
			if p.Chat == from {
				p.Chat = to
				m.outbox[seq] = p
			}
		}
		delete(m.posted, from)
		if s, ok := m.screens[from]; ok {
			delete(m.screens, from)
			s.Chat, s.Handle = to, ""
			m.screens[to] = s
		}
		delete(m.holds, from)
	},
	func(r *rand.Rand, tx *Tx, m *model) {
		n := int64(r.IntN(numbers))
		if tx.Seen(n) != m.seen[n] {
			panic(fmt.Sprintf("update %d: seen is not %v", n, m.seen[n]))
		}
		m.seen[n] = true
	},
	func(r *rand.Rand, tx *Tx, m *model) {
		e := chat.Event{Update: int64(r.IntN(numbers)), Kind: chat.Typed, Chat: someChat(r), Text: someName(r)}
		tx.HoldEvent(e)
		m.held, m.owed[e.Chat] = append(m.held, e), true
	},
	func(r *rand.Rand, tx *Tx, m *model) {
		if r.IntN(4) > 0 {
			return
		}
		if got := tx.TakeHeld(every); !slices.Equal(got, m.held) {
			panic("the held events are not those that came")
		}
		if got := tx.TakeOwed(every); !slices.Equal(got, slices.Sorted(maps.Keys(m.owed))) {
			panic("the debts are not those that were made")
		}
		m.held, m.owed = nil, map[chat.ID]bool{}
	},
	func(r *rand.Rand, tx *Tx, m *model) {
		id, custom, p := someName(r), someName(r), []string{"", "one", "other"}[r.IntN(3)]
		tx.SetPosition(id, custom, p)
		if m.positions[id] == nil {
			m.positions[id] = map[string]string{}
		}
		if m.positions[id][custom] = p; p == "" {
			delete(m.positions[id], custom)
		}
	},
	func(r *rand.Rand, tx *Tx, m *model) {
		name, at := someName(r), at.Add(time.Duration(r.IntN(1e9)))
		tx.SetStamp(name, at)
		m.stamps[name] = at
	},
}

func post(r *rand.Rand, tx *Tx, m *model) {
	p := chat.Post{Chat: someChat(r), Op: []chat.Op{chat.Send, chat.Edit, chat.Strip}[r.IntN(3)], Handle: handle(r.IntN(handles)),
		Message: chat.Say(someName(r))}
	tx.Post(p)
	for seq, old := range m.outbox {
		if p.Op != chat.Send && old.Chat == p.Chat && old.Op == p.Op && old.Handle == p.Handle {
			delete(m.outbox, seq)
		}
	}
	p.Seq = tx.posts[len(tx.posts)-1].Seq
	m.outbox[p.Seq] = p
}

func (m *model) setPosted(c chat.ID, h chat.Handle, n int) {
	if m.posted[c] == nil {
		m.posted[c] = map[chat.Handle]int{}
	}
	if m.posted[c][h] = n; n == 0 {
		delete(m.posted[c], h)
	}
}

// seedVariable sets the seed of the random test, to play a failure again.
const seedVariable = "BENYOMO_STORE_SEED"

// TestAgainstAModel does thousands of random operations, in parts that succeed, fail and panic, in batches that are committed,
// refused and hit by a failing commit, with the file opened anew in between; after each of them everything that can be read is
// what plain maps hold, and what the courier is told is what the file owes.
func TestAgainstAModel(t *testing.T) {
	seeds := []uint64{1, 2}
	if s := os.Getenv(seedVariable); s != "" {
		n, err := strconv.ParseUint(s, 10, 64)
		require.NoError(t, err)
		seeds = []uint64{n}
	}
	for _, seed := range seeds {
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			defer func() {
				if t.Failed() {
					t.Logf("play it again with %s=%d", seedVariable, seed)
				}
			}()
			playModel(t, rand.New(rand.NewPCG(seed, 1)))
		})
	}
}

func playModel(t *testing.T, r *rand.Rand) {
	dir := t.TempDir()
	s := open(t, dir)
	m := newModel()
	courier := map[uint64]bool{} // what a courier would know
	var failedParts, failedBatches, reopened int
	for range 120 {
		if r.IntN(12) == 0 {
			closeChecked(t, s)
			s = open(t, dir)
			reopened++
		}
		before := m
		m = m.clone()
		refuse := r.IntN(8) == 0
		s.fault = nil
		if !refuse && r.IntN(8) == 0 {
			s.fault = func() error { return errTest }
		}
		var batch *Batch
		err := s.Update(func(b *Batch) error {
			batch = b
			for range 1 + r.IntN(4) {
				part := m.clone()
				fate := r.IntN(6)
				err := b.Try(func(tx *Tx) error {
					for range 1 + r.IntN(12) {
						operations[r.IntN(len(operations))](r, tx, part)
						require.NoError(t, tx.err)
					}
					part.compare(t, tx)
					switch fate {
					case 0:
						return errTest
					case 1:
						panic(errTest)
					}
					return nil
				})
				if fate < 2 {
					require.ErrorContains(t, err, errTest.Error())
					failedParts++
					continue
				}
				require.NoError(t, err)
				m = part
			}
			if refuse {
				return errTest
			}
			return nil
		})
		if refuse || s.fault != nil {
			require.ErrorIs(t, err, errTest)
			m, failedBatches = before, failedBatches+1
		} else {
			require.NoError(t, err)
			for _, seq := range batch.Dropped {
				require.Contains(t, courier, seq, "what it never heard of is not dropped")
				delete(courier, seq)
			}
			for _, p := range batch.Posts {
				courier[p.Seq] = true
				if now, owed := m.outbox[p.Seq]; owed {
					require.Equal(t, now, p)
				}
			}
			maps.DeleteFunc(courier, func(seq uint64, _ bool) bool { return m.settled[seq] })
		}
		require.Equal(t, slices.Sorted(maps.Keys(m.outbox)), slices.Sorted(maps.Keys(courier)), "the courier knows what the file owes")
		read(t, s, func(tx *Tx) { m.compare(t, tx) })
	}
	require.Positive(t, failedParts)
	require.Positive(t, failedBatches)
	require.Positive(t, reopened)
}
