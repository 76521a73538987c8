package crash

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"

	"benyomo/internal/edge/rehearsal/server"
)

// phones show what the bot did in every chat, from the server's log. The people of these tests act on nothing else.
type phones struct {
	server *server.Server

	mu    sync.Mutex
	news  *sync.Cond
	over  error
	read  int // log entries
	chats map[int64]*screenful
}

// screenful is one chat: the bot's messages as they stand now.
type screenful struct {
	messages map[int]*message
	ids      []int // in ascending order
	entries  []server.Entry
}

type message struct {
	text    string
	buttons []string // data, in order
}

func newPhones(s *server.Server) *phones {
	p := &phones{server: s, chats: map[int64]*screenful{}}
	p.news = sync.NewCond(&p.mu)
	return p
}

// follow brings the phones up to date until the context ends.
func (p *phones) follow(ctx context.Context) {
	for {
		seq := p.server.Seq()
		p.catchUp()
		if err := p.server.Wait(ctx, seq); err != nil {
			p.mu.Lock()
			p.over = err
			p.mu.Unlock()
			p.news.Broadcast()
			return
		}
	}
}

func (p *phones) catchUp() {
	p.mu.Lock()
	defer p.mu.Unlock()
	entries := p.server.Log(p.read)
	for _, e := range entries {
		p.read = e.N
		if e.Method == "answerCallbackQuery" || e.Chat == 0 {
			continue
		}
		p.chat(e.Chat).take(e)
	}
	if len(entries) > 0 {
		p.news.Broadcast()
	}
}

// chat finds or makes a chat. The mutex is held.
func (p *phones) chat(id int64) *screenful {
	c := p.chats[id]
	if c == nil {
		c = &screenful{messages: map[int]*message{}}
		p.chats[id] = c
	}
	return c
}

func (c *screenful) take(e server.Entry) {
	c.entries = append(c.entries, e)
	m := c.messages[e.MessageID]
	if m == nil {
		m = &message{}
		c.messages[e.MessageID] = m
		at, _ := slices.BinarySearch(c.ids, e.MessageID)
		c.ids = slices.Insert(c.ids, at, e.MessageID)
	}
	if e.Method != "editMessageReplyMarkup" {
		m.text = e.Text
	}
	m.buttons = data(e)
}

// data are the data of an entry's buttons.
func data(e server.Entry) (out []string) {
	for _, row := range e.Keyboard {
		for _, b := range row {
			out = append(out, b.Data)
		}
	}
	return out
}

// stuck is what a person waits for in vain.
type stuck struct{ err error }

// phone is one person's. Its methods panic with stuck when the phones end: the person's goroutine reports it.
type phone struct {
	all    *phones
	id     int64
	step   int // the newest step that a screen had
	item   int // the newest item
	acts   int // what this person did
	doing  string
	marker string // stands in everything that this person types
}

// wait waits until the chat satisfies a condition.
func (p *phone) wait(what string, ok func(*screenful) bool) {
	p.all.mu.Lock()
	defer p.all.mu.Unlock()
	p.doing = what
	for !ok(p.all.chat(p.id)) {
		if p.all.over != nil {
			panic(stuck{fmt.Errorf("%d waits for %s: %w", p.id, what, p.all.over)})
		}
		p.all.news.Wait()
	}
}

// button finds the newest message above a number with a button whose data begins so and pleases.
func (c *screenful) button(above int, prefix string, pleases func([]string) bool) (message int, data string, ok bool) {
	for i := len(c.ids) - 1; i >= 0 && c.ids[i] > above; i-- {
		for _, d := range c.messages[c.ids[i]].buttons {
			if strings.HasPrefix(d, prefix) && (pleases == nil || pleases(strings.Split(d, "|"))) {
				return c.ids[i], d, true
			}
		}
	}
	return 0, "", false
}

// newer tells whether the number at the place is above n.
func newer(place, n int) func([]string) bool {
	return func(parts []string) bool {
		x, err := strconv.Atoi(parts[place])
		return err == nil && x > n
	}
}

// screen waits for a new screen with a button of the verb, and notes its step.
func (p *phone) screen(verb string) {
	p.wait("a screen with "+verb, func(c *screenful) bool {
		_, d, ok := c.button(0, verb+"|", newer(1, p.step))
		if ok {
			p.step, _ = strconv.Atoi(strings.Split(d, "|")[1])
		}
		return ok
	})
}

// press presses the button of the present screen whose data is the verb, the step, and the rest.
func (p *phone) press(verb string, rest ...string) {
	p.pressData(strings.Join(append([]string{verb, strconv.Itoa(p.step)}, rest...), "|"))
}

// pressData presses the newest button of that data.
func (p *phone) pressData(data string) {
	var message int
	p.wait("the button "+data, func(c *screenful) (ok bool) {
		message, _, ok = c.button(0, data, func(parts []string) bool { return strings.Join(parts, "|") == data })
		return ok
	})
	p.acts++
	p.all.server.Press(p.id, p.id, message, data)
}

// say types words and returns the message's number.
func (p *phone) say(text string) int {
	p.acts++
	return p.all.server.Say(p.id, p.id, text)
}

// await waits for a message above a number that holds the text.
func (p *phone) await(above int, text string) {
	p.wait("a message with "+text, func(c *screenful) bool {
		for i := len(c.ids) - 1; i >= 0 && c.ids[i] > above; i-- {
			if strings.Contains(c.messages[c.ids[i]].text, text) {
				return true
			}
		}
		return false
	})
}

// last is the number of the chat's newest message of the bot.
func (p *phone) last() (id int) {
	p.wait("a message", func(c *screenful) bool {
		if len(c.ids) > 0 {
			id = c.ids[len(c.ids)-1]
		}
		return true
	})
	return id
}
