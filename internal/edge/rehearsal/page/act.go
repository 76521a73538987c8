package page

import (
	"fmt"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"benyomo/internal/edge/rehearsal/server"
)

const (
	// maxText is the Bot API's bound on a message's text, in characters (sendMessage, parameter text).
	maxText = 4096
	// maxData is the Bot API's bound on a button's data, in bytes (InlineKeyboardButton, callback_data).
	maxData = 64
	// maxName bounds a person's name here, in characters; the Bot API gives no figure.
	maxName = 64
	// maxViews bounds how many people one page holds.
	maxViews = 40
)

var (
	// validPayload is what a start link may carry (Bot API, "Deep linking").
	validPayload = regexp.MustCompile(`^[A-Za-z0-9_-]{1,64}$`)
	// validLanguage is the simple form of an IETF language tag.
	validLanguage = regexp.MustCompile(`^[a-z]{2,3}(-[A-Za-z0-9]{2,8})*$`)
)

// who finds the view that a request names. The caller holds p.mu.
func (p *Page) who(key string) (*ledger, error) {
	if key == "" {
		return nil, bad("Say which view this is for.")
	}
	v := p.find(key)
	if v == nil {
		return nil, bad("There is no view “" + key + "”.")
	}
	return v, nil
}

// writer is who, for a person about to send something: one who stopped the bot cannot.
func (p *Page) writer(key string) (*ledger, error) {
	v, err := p.who(key)
	if err != nil {
		return nil, err
	}
	if v.stopped {
		return nil, &problem{http.StatusConflict, v.Label + " has stopped the bot. Allow it again first."}
	}
	return v, nil
}

// say sends a text, an answer to an entry, or a start link.
func (p *Page) say(w http.ResponseWriter, r *http.Request) (any, error) {
	var q struct {
		View    string `json:"view"`
		Text    string `json:"text"`
		ReplyTo int    `json:"replyTo"`
		Start   string `json:"start"`
	}
	if err := decode(w, r, &q); err != nil {
		return nil, err
	}
	text := strings.TrimSpace(q.Text)
	if q.Start != "" {
		if text != "" || q.ReplyTo != 0 {
			return nil, bad("A start link is sent alone, without a text or an answered entry.")
		}
		payload := startPayload(q.Start)
		if !validPayload.MatchString(payload) {
			return nil, bad("A start link carries 1 to 64 of the letters A to Z, digits, _ and -.")
		}
		text = "/start " + payload
	}
	switch n := utf8.RuneCountInString(text); {
	case n == 0:
		return nil, bad("Write something first.")
	case n > maxText:
		return nil, bad(fmt.Sprintf("A message holds %d characters; this one has %d.", maxText, n))
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	v, err := p.writer(q.View)
	if err != nil {
		return nil, err
	}
	if q.ReplyTo == 0 {
		return sent(p.server.Say(v.Person, v.Chat, text)), nil
	}
	if _, err := p.message(v, q.ReplyTo); err != nil {
		return nil, err
	}
	return sent(p.server.Reply(v.Person, v.Chat, q.ReplyTo, text)), nil
}

// startPayload is what a start link carries: all of it, or the value of "start" when it is a whole link.
func startPayload(link string) string {
	link = strings.TrimSpace(link)
	if !strings.Contains(link, "?") {
		return link
	}
	u, err := url.Parse(link)
	if err != nil {
		return ""
	}
	return u.Query().Get("start")
}

// message is a message that the view's chat still shows. The caller holds p.mu.
func (p *Page) message(v *ledger, id int) (server.Message, error) {
	for _, m := range p.server.Chat(v.Chat) {
		if m.ID == id && !m.Deleted {
			return m, nil
		}
	}
	return server.Message{}, bad("That entry is not in this conversation.")
}

// press presses a button. The button need not be there any more: a person can press one that the bot took away while the
// press was under way, and the bot must bear it.
func (p *Page) press(w http.ResponseWriter, r *http.Request) (any, error) {
	var q struct {
		View    string `json:"view"`
		Message int    `json:"message"`
		Data    string `json:"data"`
		Label   string `json:"label"`
	}
	if err := decode(w, r, &q); err != nil {
		return nil, err
	}
	if q.Data == "" || len(q.Data) > maxData {
		return nil, bad(fmt.Sprintf("A button carries 1 to %d bytes of data.", maxData))
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	v, err := p.writer(q.View)
	if err != nil {
		return nil, err
	}
	m, err := p.message(v, q.Message)
	if err != nil {
		return nil, err
	}
	if !m.Bot {
		return nil, bad("Only entries of the bot have buttons.")
	}
	label := labelOf(m, q.Data, q.Label)
	id := p.server.Press(v.Person, v.Chat, q.Message, q.Data)
	p.waiting[id] = &press{v, label}
	v.say("Pressed "+quoted(label)+"; no answer from the bot yet.", false, true)
	p.poke()
	return map[string]string{"callback": id}, nil
}

// labelOf is what the pressed button said: what it says now, else what the browser showed.
func labelOf(m server.Message, data, shown string) string {
	for _, row := range m.Keyboard {
		for _, b := range row {
			if b.Data == data {
				return b.Text
			}
		}
	}
	if shown = strings.TrimSpace(shown); shown != "" && utf8.RuneCountInString(shown) <= maxName {
		return shown
	}
	return "a button"
}

// quoted puts a text of whatever direction into an English sentence, isolated so that it does not turn the sentence
// around (Unicode Standard Annex #9, explicit directional isolates).
func quoted(text string) string { return "“\u2068" + text + "\u2069”" }

func (p *Page) block(w http.ResponseWriter, r *http.Request) (any, error) { return p.stop(w, r, true) }

func (p *Page) unblock(w http.ResponseWriter, r *http.Request) (any, error) {
	return p.stop(w, r, false)
}

// stop makes a person stop the bot or allow it again.
func (p *Page) stop(w http.ResponseWriter, r *http.Request, stopped bool) (any, error) {
	var q struct {
		View string `json:"view"`
	}
	if err := decode(w, r, &q); err != nil {
		return nil, err
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	v, err := p.who(q.View)
	if err != nil {
		return nil, err
	}
	if !v.private() {
		return nil, bad("Only in a private conversation can a person stop the bot.")
	}
	if v.stopped == stopped {
		return nil, &problem{http.StatusConflict, v.Label + map[bool]string{
			true: " has stopped the bot already.", false: " has not stopped the bot.",
		}[stopped]}
	}
	if stopped {
		p.server.Block(v.Person)
	} else {
		p.server.Unblock(v.Person)
	}
	for _, other := range p.views {
		if other.Person == v.Person && other.private() {
			other.stopped = stopped
		}
	}
	p.poke()
	return map[string]bool{"stopped": stopped}, nil
}

// person adds a member.
func (p *Page) person(w http.ResponseWriter, r *http.Request) (any, error) {
	var q struct {
		Name     string `json:"name"`
		Language string `json:"language"`
	}
	if err := decode(w, r, &q); err != nil {
		return nil, err
	}
	name := strings.TrimSpace(q.Name)
	if n := utf8.RuneCountInString(name); n == 0 || n > maxName || strings.ContainsFunc(name, unicode.IsControl) {
		return nil, bad(fmt.Sprintf("A name has 1 to %d characters on one line.", maxName))
	}
	if !validLanguage.MatchString(q.Language) {
		return nil, bad("A language is a tag such as “en” or “he”.")
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if len(p.views) >= maxViews {
		return nil, bad(fmt.Sprintf("This page holds %d views and no more.", maxViews))
	}
	id := int64(1)
	for _, other := range p.server.People() {
		id = max(id, other.ID+1)
	}
	for _, v := range p.views {
		id = max(id, v.Person+1)
	}
	key := fmt.Sprintf("member-%d", id)
	p.server.AddPerson(server.Person{ID: id, FirstName: name, LanguageCode: q.Language})
	p.views = append(p.views, newLedger(View{Key: key, Label: name, Person: id, Chat: id, Role: RoleMember}))
	p.poke()
	return map[string]string{"view": key}, nil
}

// sent is the answer to everything that put a message into a chat.
func sent(id int) any { return map[string]int{"message": id} }
