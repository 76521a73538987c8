package store

import (
	"iter"
	"slices"
	"time"

	"benyomo/internal/engine/chat"
	"benyomo/internal/idea/desk"
	"benyomo/internal/idea/kitchen"
	"benyomo/internal/idea/people"
	"benyomo/internal/idea/plan"
)

const (
	bucketMeta = "meta"
	roles      = "role" // role | person → nothing

	openShaylos = "open-shayla" // number → nothing
	homeShaylos = "home-shayla" // household | number → nothing
)

var (
	persons    = table[people.Person]{"person", 1}
	households = table[people.Household]{"household", 1}
	links      = table[people.Link]{"link", 1}
	items      = table[kitchen.Item]{"item", 1}
	tellings   = table[kitchen.Telling]{"telling", 1}
	shaylos    = table[desk.Shayla]{"shayla", 1}
	screens    = table[chat.Screen]{"screen", 1}
	orders     = table[plan.Order]{"order", 1} // household → what it said for its plan, and the plan
)

var buckets = []string{
	bucketMeta, roles, active, openShaylos, homeShaylos, persons.bucket, households.bucket, links.bucket, items.bucket, tellings.bucket, shaylos.bucket, screens.bucket,
	timers.bucket, timerKeys, outbox.bucket, posted, holds.bucket, updates, quarantines.bucket, held.bucket, owed,
	approvals.bucket, approvedSays.bucket, positions.bucket, audits.bucket, announcements.bucket, chunks.bucket, moved, jobs.bucket, orders.bucket,
}

// Person returns somebody who has written.
func (tx *Tx) Person(id int64) (people.Person, bool) { return persons.get(tx, key(id)) }

// PutPerson stores a person, and keeps the lists of those who hold each role but the member's, and of who was active when.
func (tx *Tx) PutPerson(p people.Person) {
	tx.listActive(p)
	persons.put(tx, key(p.ID), p)
	for _, r := range []people.Role{people.ApprovingRabbi, people.Rabbi, people.Office} {
		var mark []byte
		if slices.Contains(p.Roles, r) {
			mark = []byte{1}
		}
		tx.set(roles, key(string(r)+"|", p.ID), mark)
	}
}

// WithRole lists those who hold a role other than the member's, by id.
func (tx *Tx) WithRole(r people.Role) []people.Person {
	var out []people.Person
	prefix := key(string(r) + "|")
	for k := range tx.rows(roles, prefix) {
		if p, ok := persons.get(tx, k[len(prefix):]); ok {
			out = append(out, p)
		}
	}
	return out
}

// Persons yields everybody, by id.
func (tx *Tx) Persons() iter.Seq[people.Person] { return values(persons.all(tx, nil)) }

// Household returns a household.
func (tx *Tx) Household(id uint64) (people.Household, bool) { return households.get(tx, key(id)) }

// NewHousehold stores a household under a new number.
func (tx *Tx) NewHousehold(h people.Household) people.Household {
	h.ID = tx.next(households.bucket)
	households.put(tx, key(h.ID), h)
	return h
}

// PutHousehold stores a household.
func (tx *Tx) PutHousehold(h people.Household) { households.put(tx, key(h.ID), h) }

// Link returns the link of a token.
func (tx *Tx) Link(token string) (people.Link, bool) { return links.get(tx, key(token)) }

// PutLink stores a link.
func (tx *Tx) PutLink(l people.Link) { links.put(tx, key(l.Token), l) }

// Links yields all links.
func (tx *Tx) Links() iter.Seq[people.Link] { return values(links.all(tx, nil)) }

// Item returns an item of a household.
func (tx *Tx) Item(household, id uint64) (kitchen.Item, bool) {
	return items.get(tx, key(household, id))
}

// NewItem stores an item under a new number.
func (tx *Tx) NewItem(it kitchen.Item) kitchen.Item {
	it.ID = tx.next(items.bucket)
	items.put(tx, key(it.Household, it.ID), it)
	return it
}

// PutItem stores an item.
func (tx *Tx) PutItem(it kitchen.Item) { items.put(tx, key(it.Household, it.ID), it) }

// Items yields a household's items, by number.
func (tx *Tx) Items(household uint64) iter.Seq[kitchen.Item] {
	return values(items.all(tx, key(household)))
}

// AllItems yields the items of every household.
func (tx *Tx) AllItems() iter.Seq[kitchen.Item] { return values(items.all(tx, nil)) }

// NewTelling records what was told.
func (tx *Tx) NewTelling(t kitchen.Telling) kitchen.Telling {
	t.ID = tx.next(tellings.bucket)
	tellings.put(tx, key(t.ID), t)
	return t
}

// Telling returns a record of what was told.
func (tx *Tx) Telling(id uint64) (kitchen.Telling, bool) { return tellings.get(tx, key(id)) }

// NewShayla stores a question for the rabbi under a new number.
func (tx *Tx) NewShayla(s desk.Shayla) desk.Shayla {
	s.ID = tx.next(shaylos.bucket)
	tx.PutShayla(s)
	return s
}

// Shayla returns a question for the rabbi.
func (tx *Tx) Shayla(id uint64) (desk.Shayla, bool) { return shaylos.get(tx, key(id)) }

// PutShayla stores a question for the rabbi, and keeps the lists of the open ones and of each household's.
func (tx *Tx) PutShayla(s desk.Shayla) {
	shaylos.put(tx, key(s.ID), s)
	var mark []byte
	if s.Status == desk.Open {
		mark = []byte{1}
	}
	tx.set(openShaylos, key(s.ID), mark)
	tx.set(homeShaylos, key(s.Household, s.ID), []byte{1})
}

// OpenShaylos yields the open questions, by number.
func (tx *Tx) OpenShaylos() iter.Seq[desk.Shayla] { return tx.listed(openShaylos, nil) }

// ShaylosOf yields a household's questions, by number.
func (tx *Tx) ShaylosOf(household uint64) iter.Seq[desk.Shayla] {
	return tx.listed(homeShaylos, key(household))
}

func (tx *Tx) listed(list string, prefix []byte) iter.Seq[desk.Shayla] {
	return func(yield func(desk.Shayla) bool) {
		for k := range tx.rows(list, prefix) {
			if s, ok := shaylos.get(tx, k[len(prefix):]); !ok || !yield(s) {
				return
			}
		}
	}
}

// Order is what a household said for its plan, with the plan.
func (tx *Tx) Order(household uint64) (plan.Order, bool) { return orders.get(tx, key(household)) }

// PutOrder stores what a household said for its plan.
func (tx *Tx) PutOrder(o plan.Order) { orders.put(tx, key(o.Household), o) }

// Screen returns what a chat shows now.
func (tx *Tx) Screen(id chat.ID) (chat.Screen, bool) { return screens.get(tx, key(id)) }

// PutScreen stores what a chat shows now.
func (tx *Tx) PutScreen(s chat.Screen) { screens.put(tx, key(s.Chat), s) }

// Stamp is when something was last done; zero if never.
func (tx *Tx) Stamp(name string) time.Time {
	if n := tx.number("stamp-" + name); n > 0 {
		return time.Unix(0, int64(n)).UTC()
	}
	return time.Time{}
}

// SetStamp remembers when something was done.
func (tx *Tx) SetStamp(name string, t time.Time) { tx.setNumber("stamp-"+name, uint64(t.UnixNano())) }

// Note is a word that is remembered under a name; "" if none is.
func (tx *Tx) Note(name string) string { return string(tx.raw(bucketMeta, []byte("note-"+name))) }

// SetNote remembers a word under a name.
func (tx *Tx) SetNote(name, word string) { tx.set(bucketMeta, []byte("note-"+name), []byte(word)) }

// LastCommit is the household time of the last commit: a clock behind it was set back.
func (tx *Tx) LastCommit() time.Time { return tx.Stamp("commit") }

// SetLastCommit stamps the commit.
func (tx *Tx) SetLastCommit(t time.Time) { tx.SetStamp("commit", t) }

func values[V any](seq iter.Seq2[[]byte, V]) iter.Seq[V] {
	return func(yield func(V) bool) {
		for _, v := range seq {
			if !yield(v) {
				return
			}
		}
	}
}
