package turn

import (
	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/store"
	"benyomo/internal/idea/luach"
	"benyomo/internal/idea/people"
)

// PlaceOf is where a household is: the place that it chose, or the community's, also where the one that it chose is no
// longer listed. A household that keeps two days of a festival keeps them in Israel too: where two could be meant, the
// stricter holds.
func (c Community) PlaceOf(h people.Household) luach.Place {
	p := c.Place
	for _, other := range c.Places {
		if h.Town != "" && other.Name == h.Town {
			p = other
		}
	}
	if h.Place == people.Abroad {
		p.Israel = false
	}
	return p
}

// Calendars are all those by which somebody here may rest, each once, the community's own first.
func (c Community) Calendars() []luach.Place {
	var out []luach.Place
	for _, p := range append([]luach.Place{c.Place}, c.Places...) {
		out = append(out, p)
		if p.Israel {
			p.Israel = false
			out = append(out, p)
		}
	}
	return out
}

// CalendarsOf are those by which a chat rests. A member's is his household's. Groups, and those who have no household, rest by
// the community's, and so does whoever answers or announces there: if he has a household elsewhere, he rests by both.
func (c Community) CalendarsOf(tx *store.Tx, to chat.ID) []luach.Place {
	p, ok := tx.Person(int64(to))
	if !ok || p.Household == 0 {
		return []luach.Place{c.Place}
	}
	h, _ := tx.Household(p.Household)
	home := c.PlaceOf(h)
	if home != c.Place && (p.Is(people.Rabbi) || p.Is(people.Office)) {
		return []luach.Place{c.Place, home}
	}
	return []luach.Place{home}
}

// Place is where the household of whoever acts is, or the community where he has none.
func (t *Turn) Place() luach.Place {
	if t.Who.Household == 0 {
		return t.Community.Place
	}
	h, _ := t.Tx.Household(t.Who.Household)
	return t.Community.PlaceOf(h)
}
