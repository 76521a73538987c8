package crash

import (
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
	"sync/atomic"

	"benyomo/internal/idea/desk"
	"benyomo/internal/idea/kitchen"
)

// did is what a member did about one item, as far as the bot has shown that it took it: it must be in the data.
type did struct {
	kind  string
	facts map[string]string
	state kitchen.State
}

// member asks about one thing after another, as the bot shows what comes next, and keeps a ledger of it.
type member struct {
	phone
	random *rand.Rand
	first  int           // what he does first: among the members everything is done at least once
	desk   chan struct{} // a place for an open question: the rabbi's chat takes one message a second

	items    []did
	words    []string // questions in words that were passed on
	referred int
	looks    int // the number, from 1, of the item that a reminder was asked for last; 0: none
	rounds   int
}

// live joins, then asks until the others have enough, and ends at the menu.
func (m *member) live(enough *atomic.Bool) {
	m.say("/start")
	m.screen("m.lang")
	m.press("m.lang", "en")
	for _, choice := range [][]string{{"purpose", "pesach"}, {"custom", "ashkenazi"}, {"place", "israel"}} {
		m.screen("m.set")
		m.press("m.set", choice...)
	}
	m.wait("the menu", func(c *screenful) bool { _, _, ok := c.button(0, "m.go|words", nil); return ok })
	next := m.first
	for m.rounds == 0 || !enough.Load() {
		switch {
		case next < 2 && m.askRabbi(next):
		case next < 4:
			m.askLater()
		default:
			m.startWait()
		}
		above := m.say("/menu")
		m.wait("the menu once more", func(c *screenful) bool { _, _, ok := c.button(above, "m.go|words", nil); return ok })
		m.rounds++
		next = m.random.IntN(8)
	}
}

// askRabbi asks the rabbi about an item or in words, unless enough questions wait for him.
func (m *member) askRabbi(way int) bool {
	select {
	case m.desk <- struct{}{}:
		defer func() { <-m.desk }()
	default:
		return false
	}
	if way == 0 {
		m.askAboutItem()
	} else {
		m.askInWords()
	}
	return true
}

// begin starts the questions about an item by its name.
func (m *member) begin(name, kind string) {
	m.say(name + " " + m.marker)
	m.wait("the offer of "+kind, func(c *screenful) bool {
		_, d, ok := c.button(0, "m.new|", func(p []string) bool { return newer(1, m.step)(p) && p[2] == kind })
		if ok {
			m.step, _ = strconv.Atoi(strings.Split(d, "|")[1])
		}
		return ok
	})
	m.press("m.new", kind)
	for _, it := range m.items {
		if it.kind != kind {
			continue
		}
		m.wait("the offer of another "+kind, func(c *screenful) bool {
			_, d, ok := c.button(0, "m.new|", func(p []string) bool { return newer(1, m.step)(p) && p[len(p)-1] == "another" })
			if ok {
				m.step, _ = strconv.Atoi(strings.Split(d, "|")[1])
			}
			return ok
		})
		m.press("m.new", kind, "another")
		break
	}
}

// startWait answers the questions about an oven and starts its 24 hours.
func (m *member) startWait() {
	m.begin("oven", "oven")
	facts := map[string]string{}
	for _, a := range [][2]string{{"needed", "yes"}, {"self-clean", "no"}, {"residue", "stain"}, {"top", "middle"}} {
		m.screen("m.ans")
		m.press("m.ans", a[1])
		facts[a[0]] = a[1]
	}
	var start string
	m.wait("what to do", func(c *screenful) (ok bool) { _, start, ok = c.button(0, "m.idle|", newer(1, m.item)); return ok })
	m.item, _ = strconv.Atoi(strings.Split(start, "|")[1])
	m.pressData(start)
	m.screen("m.hot")
	m.press("m.hot", string(kitchen.JustNow))
	m.screen("m.hotok")
	m.press("m.hotok")
	m.wait("the wait", func(c *screenful) bool {
		_, _, ok := c.button(0, "m.used|"+strconv.Itoa(m.item)+"|", nil)
		return ok
	})
	m.items = append(m.items, did{"oven", facts, kitchen.Waiting})
}

// askLater goes to look at a sink, and wants to be reminded.
func (m *member) askLater() {
	m.begin("sink", "sink")
	m.screen("m.ans")
	m.press("m.later")
	m.screen("m.later")
	m.press("m.later", "3")
	m.screen("m.later")
	m.items = append(m.items, did{"sink", nil, kitchen.Asking})
	m.looks = len(m.items)
}

// askAboutItem passes an item on to the rabbi and waits for his answer.
func (m *member) askAboutItem() {
	m.begin("sink", "sink")
	m.screen("m.ans")
	above := m.last()
	m.press("m.ask")
	m.await(above, "The rav's answer")
	m.items = append(m.items, did{"sink", nil, kitchen.Told})
	m.referred++
}

// askInWords passes a question in words on and waits for the answer.
func (m *member) askInWords() {
	words := fmt.Sprintf("Qzqz %s number %d?", m.marker, len(m.words)+1)
	m.say(words)
	m.screen("m.words")
	above := m.last()
	m.press("m.words")
	m.await(above, "The rav's answer")
	m.words = append(m.words, words)
	m.referred++
}

// rabbi answers every question that comes, each in one of three ways, and keeps a ledger of it.
type rabbi struct {
	phone
	answers map[uint64]desk.Answer
}

// live answers until enough is set and no question is open any more.
func (r *rabbi) live(enough func() bool) {
	r.say("/start")
	r.wait("his desk", func(c *screenful) bool { _, _, ok := c.button(0, "r.go|approve", nil); return ok })
	for {
		var id string
		done := false
		r.wait("a question", func(c *screenful) bool {
			_, d, ok := c.button(0, "r.words|", func(p []string) bool {
				n, _ := strconv.ParseUint(p[1], 10, 64)
				_, answered := r.answers[n]
				return !answered
			})
			if ok {
				id = strings.Split(d, "|")[1]
			}
			done = !ok && enough()
			return ok || done
		})
		if done {
			return
		}
		r.answer(id)
	}
}

func (r *rabbi) answer(id string) {
	n, _ := strconv.ParseUint(id, 10, 64)
	words := fmt.Sprintf("Answer %s to question %s.", r.marker, id)
	switch n % 3 {
	case 0:
		r.inWords(id, words)
		r.answers[n] = desk.Answer{Words: words}
	case 1:
		r.byReply(id, words)
		r.answers[n] = desk.Answer{Words: words}
	default:
		r.pressData("r.reply|" + id + "|" + string(desk.BringIt))
		r.pressData("r.replyy|" + id + "|" + string(desk.BringIt))
		r.closed(id)
		r.answers[n] = desk.Answer{Reply: desk.BringIt}
	}
}

// inWords chooses the question and then writes. After it his desk is shown again.
func (r *rabbi) inWords(id, words string) {
	above := r.last()
	r.pressData("r.words|" + id)
	r.wait("the prompt", func(c *screenful) bool { return c.newest(above, isPrompt) > 0 })
	above = r.say(words)
	r.closed(id)
	r.wait("his desk", func(c *screenful) bool { _, _, ok := c.button(above, "r.go|approve", nil); return ok })
}

// byReply replies to the card. Where the program died before it knew the number of the card that he sees, it cannot know what
// he replies to, and shows him his desk: then he does it the other way.
func (r *rabbi) byReply(id, words string) {
	var card int
	r.wait("the card", func(c *screenful) (ok bool) {
		card, _, ok = c.button(0, "r.words|"+id, exactly("r.words|"+id))
		return ok
	})
	r.acts++
	above := r.all.server.Reply(r.id, r.id, card, words)
	understood := false
	r.wait("an answer to his reply", func(c *screenful) bool {
		understood = c.newest(above, func(m *message) bool { return m.text == "Sent." }) > 0
		return understood || c.newest(above, isDesk) > 0
	})
	if !understood {
		r.inWords(id, words)
		return
	}
	r.closed(id)
}

// closed waits until the card is closed: it has no buttons any more. A copy that a crash left behind keeps them.
func (r *rabbi) closed(id string) {
	r.wait("the card's end", func(c *screenful) bool { return c.shows(id) })
}

// shows tells whether some card of the question has lost its buttons.
func (c *screenful) shows(id string) bool {
	cards := map[int]bool{}
	for _, e := range c.entries {
		for _, d := range data(e) {
			if d == "r.words|"+id {
				cards[e.MessageID] = true
			}
		}
	}
	for m := range cards {
		if len(c.messages[m].buttons) == 0 {
			return true
		}
	}
	return false
}

// newest is the newest message above a number that pleases, or 0.
func (c *screenful) newest(above int, pleases func(*message) bool) int {
	for i := len(c.ids) - 1; i >= 0 && c.ids[i] > above; i-- {
		if pleases(c.messages[c.ids[i]]) {
			return c.ids[i]
		}
	}
	return 0
}

func isPrompt(m *message) bool { return len(m.buttons) == 1 && m.buttons[0] == "r.go|home" }
func isDesk(m *message) bool   { return len(m.buttons) > 1 && m.buttons[0] == "r.open" }

func exactly(data string) func([]string) bool {
	return func(parts []string) bool { return strings.Join(parts, "|") == data }
}
