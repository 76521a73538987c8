package server

import (
	"encoding/json"
	"unicode/utf8"
)

// AddPerson makes somebody and his still empty chat with the bot. Adding the same id again changes nothing; an id that
// is not positive or the bot's own is passed over.
func (s *Server) AddPerson(p Person) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if p.ID <= 0 || p.ID == s.bot || s.people[p.ID] != nil {
		return
	}
	s.people[p.ID] = &person{Person: p}
	s.addRoom(&room{id: p.ID, kind: kindPrivate, title: p.FirstName})
	s.advance()
}

func (s *Server) addRoom(r *room) {
	s.rooms[r.id] = r
	s.roomOrder = append(s.roomOrder, r.id)
}

// People lists everybody in the order they were added.
func (s *Server) People() []Person {
	s.mu.Lock()
	defer s.mu.Unlock()
	var list []Person
	for _, id := range s.roomOrder {
		if p := s.people[id]; p != nil {
			list = append(list, p.Person)
		}
	}
	return list
}

// speaker is the chat in which a person can act, or nil: his own with the bot unless he blocked it, or a group he is
// in. The mutex is held.
func (s *Server) speaker(from, chat int64) *room {
	r, who := s.rooms[chat], s.people[from]
	switch {
	case r == nil, who == nil, who.deactivated, r.moved != 0:
		return nil
	case r.kind == kindPrivate && (chat != from || who.blocked):
		return nil
	case r.kind != kindPrivate && !r.has(from):
		return nil
	}
	return r
}

// post stores a person's message and tells the bot of it. The mutex is held.
func (s *Server) post(r *room, p *post) int {
	if p.file != nil {
		s.keep(p.file)
	}
	p.date = s.o.Now()
	r.add(p)
	if r.kind == kindPrivate {
		s.people[p.from].started = true
	}
	s.advance()
	if s.reaches(p) {
		s.enqueue("message", r.id, s.wireMessage(p))
	}
	return p.id
}

// reaches tells whether the bot gets to see a message: in a group only as a member, and in privacy mode only commands,
// replies to its own messages and service messages. Source: Bot API, "Privacy mode".
func (s *Server) reaches(p *post) bool {
	if p.room.kind == kindPrivate {
		return true
	}
	if p.room.bot != statusMember {
		return false
	}
	if !s.o.Privacy || p.service != "" {
		return true
	}
	if target := p.room.find(int64(p.replyTo)); target != nil && target.from == s.bot {
		return true
	}
	for _, e := range p.entities {
		if e.Type == "bot_command" {
			return true
		}
	}
	return false
}

// Say writes a text; in a private chat, chat is the person's own id. Commands and addresses in it are marked as the API
// does. A text beyond 4096 characters goes out in several messages, as the usual clients do it; the last one's id is
// returned. It is 0, and nothing happens, when the text is empty or the person can't write there: unknown, not a member,
// or the bot is blocked.
func (s *Server) Say(from, chat int64, text string) (messageID int) {
	return s.Reply(from, chat, 0, text)
}

// Reply is Say in answer to a message of the same chat; 0 answers none.
func (s *Server) Reply(from, chat int64, replyTo int, text string) (messageID int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	r := s.speaker(from, chat)
	if r == nil {
		return 0
	}
	for _, part := range parts(text) {
		part, _ = tidy(part, nil)
		if isBlank(part) {
			continue
		}
		p := &post{from: from, text: part, entities: detect(part, nil)}
		if r.find(int64(replyTo)) != nil {
			p.replyTo = replyTo
		}
		messageID = s.post(r, p)
	}
	return messageID
}

// parts cuts a text every 4096 characters.
func parts(text string) []string {
	var list []string
	for utf8.RuneCountInString(text) > maxText {
		n := 0
		for i := range text {
			if n == maxText {
				list, text = append(list, text[:i]), text[i:]
				break
			}
			n++
		}
	}
	return append(list, text)
}

// Edit changes the text, or the caption, of a person's own message. It tells whether it could.
func (s *Server) Edit(from, chat int64, messageID int, text string) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	r := s.speaker(from, chat)
	if r == nil {
		return false
	}
	p := r.find(int64(messageID))
	text, _ = tidy(text, nil)
	if p == nil || p.from != from || p.service != "" || p.file == nil && isBlank(text) {
		return false
	}
	p.text, p.entities, p.edited = text, detect(text, nil), s.o.Now()
	s.advance()
	if s.reaches(p) {
		s.enqueue("edited_message", chat, s.wireMessage(p))
	}
	return true
}

// Remove takes a message away as people can: the bot is not told, and can't edit or answer it any more. It tells
// whether there was one.
func (s *Server) Remove(chat int64, messageID int) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	r := s.rooms[chat]
	if r == nil {
		return false
	}
	p := r.find(int64(messageID))
	if p == nil {
		return false
	}
	p.deleted = true
	s.advance()
	return true
}

// Photo sends a photo. Data that is no picture is taken too and gets no size.
func (s *Server) Photo(from, chat int64, name string, data []byte, caption string) (messageID int) {
	return s.sendAs(from, chat, newFile(kindPhoto, name, data), caption)
}

// Voice records a voice message of that many seconds.
func (s *Server) Voice(from, chat int64, data []byte, seconds int) (messageID int) {
	f := newFile(kindVoice, "", data)
	f.seconds = seconds
	return s.sendAs(from, chat, f, "")
}

// Document sends a file.
func (s *Server) Document(from, chat int64, name string, data []byte, caption string) (messageID int) {
	return s.sendAs(from, chat, newFile(kindDocument, name, data), caption)
}

func (s *Server) sendAs(from, chat int64, f *file, caption string) int {
	s.mu.Lock()
	defer s.mu.Unlock()
	r := s.speaker(from, chat)
	if r == nil || len(f.data) == 0 {
		return 0
	}
	f.data = append([]byte(nil), f.data...)
	caption, _ = tidy(caption, nil)
	return s.post(r, &post{from: from, file: f, text: caption, entities: detect(caption, nil)})
}

// Send sends a message of any other kind: content is a JSON object whose fields are put into the message, such as
// {"contact":{…}} or {"location":{…}}; they also replace fields the message would have. It returns 0 when content is no
// object.
func (s *Server) Send(from, chat int64, content json.RawMessage) (messageID int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	r := s.speaker(from, chat)
	var fields map[string]json.RawMessage
	if r == nil || json.Unmarshal(content, &fields) != nil || fields == nil {
		return 0
	}
	p := &post{from: from, extra: object{}}
	for name, v := range fields {
		p.extra[name] = v
	}
	return s.post(r, p)
}

// Block makes a person block the bot, and Unblock ends that. The bot hears of both as my_chat_member.
func (s *Server) Block(from int64) { s.setBlocked(from, true) }

// Unblock ends Block.
func (s *Server) Unblock(from int64) { s.setBlocked(from, false) }

func (s *Server) setBlocked(from int64, blocked bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	who := s.people[from]
	if who == nil || who.blocked == blocked {
		return
	}
	who.blocked = blocked
	before, after := statusMember, statusKicked
	if !blocked {
		before, after = after, before
	}
	s.advance()
	s.tellStanding(s.rooms[from], from, before, after)
}

// tellStanding sends my_chat_member: somebody changed the bot's standing in a chat. The mutex is held.
func (s *Server) tellStanding(r *room, by int64, before, after string) {
	s.enqueue("my_chat_member", r.id, object{
		"chat": wireChat(r), "from": s.wireUser(by), "date": s.o.Now().Unix(),
		"old_chat_member": s.wireMember(s.bot, before),
		"new_chat_member": s.wireMember(s.bot, after),
	})
}

// Deactivate closes a person's account for good: sending to him answers 403, and he can't act any more.
func (s *Server) Deactivate(id int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if who := s.people[id]; who != nil && !who.deactivated {
		who.deactivated = true
		s.advance()
	}
}
