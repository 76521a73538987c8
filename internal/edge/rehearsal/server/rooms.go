package server

import (
	"encoding/json"
	"slices"
	"strconv"
	"strings"
	"time"
)

// The kinds of chat and the bot's standing in a group, as the Bot API spells them.
const (
	kindPrivate    = "private"
	kindGroup      = "group"
	kindSupergroup = "supergroup"

	statusMember = "member"
	statusKicked = "kicked"
	statusLeft   = "left"
)

// supergroupBase is where the ids of supergroups begin, downwards.
const supergroupBase = -1_000_000_000_000

// person is somebody with what the bot's chat with him remembers.
type person struct {
	Person
	started     bool // has written to the bot: only then may the bot write to him
	blocked     bool
	deactivated bool
}

// room is one chat: a person's with the bot, or a group.
type room struct {
	id      int64
	kind    string
	title   string
	members []int64 // of a group, the creator first
	bot     string  // the bot's standing in a group
	moved   int64   // the supergroup a group became; 0: none
	posts   []*post // message ids count from 1 in each chat, so posts[id-1]
}

// post is a message as the server keeps it.
type post struct {
	id       int
	room     *room
	from     int64
	date     time.Time
	edited   time.Time // zero: never
	text     string    // a media message's text is its caption
	entities []Entity
	file     *file
	replyTo  int
	album    string
	markup   markup
	origin   *origin // of a forwarded message
	service  string
	extra    object // further fields of the wire form: service messages, contacts, thread ids
	guarded  bool   // protect_content
	reaction string
	deleted  bool
}

// origin is where a forwarded message came from.
type origin struct {
	from int64
	date time.Time
}

// find is the message of that id that still exists, or nil.
func (r *room) find(id int64) *post {
	if id < 1 || id > int64(len(r.posts)) || r.posts[id-1].deleted {
		return nil
	}
	return r.posts[id-1]
}

// add numbers a message and stores it.
func (r *room) add(p *post) *post {
	p.room = r
	p.id = len(r.posts) + 1
	r.posts = append(r.posts, p)
	return p
}

func (r *room) has(person int64) bool { return slices.Contains(r.members, person) }

// lookRoom resolves the chat_id of a call (or another parameter of that sense) to a chat the bot knows of.
func (s *Server) lookRoom(p params, name string) (*room, *apiError) {
	raw := strings.TrimSpace(p.values[name])
	if raw == "" {
		return nil, badRequest("chat_id is empty")
	}
	id, err := strconv.ParseInt(raw, 10, 64)
	r := s.rooms[id]
	if err != nil || r == nil {
		return nil, badRequest("chat not found")
	}
	if r.moved != 0 {
		refused := badRequest("group chat was upgraded to a supergroup chat")
		refused.migrateTo = r.moved
		return nil, refused
	}
	return r, nil
}

// writableRoom resolves chat_id to a chat to which the bot may send. Edits use it too: whether the public API refuses
// an edit after a block is not published, and refusing is what a bot must be able to bear.
func (s *Server) writableRoom(p params) (*room, *apiError) {
	r, refused := s.lookRoom(p, "chat_id")
	if refused != nil {
		return nil, refused
	}
	if r.kind == kindPrivate {
		who := s.people[r.id]
		switch {
		case who.deactivated:
			return nil, errDeactivated
		case who.blocked:
			return nil, errBlocked
		case !who.started:
			return nil, errNotStarted
		}
		return r, nil
	}
	switch r.bot {
	case statusKicked:
		return nil, forbidden("bot was kicked from the " + r.kind + " chat")
	case statusLeft:
		return nil, forbidden("bot is not a member of the " + r.kind + " chat")
	}
	return r, nil
}

// chatOf is the chat a call concerns, for faults: its chat_id, or that of the button press it answers; 0 for none.
func (s *Server) chatOf(p params) int64 {
	if id := p.integer("chat_id"); id != 0 {
		return id
	}
	if press := s.presses[p.values["callback_query_id"]]; press != nil {
		return press.room.id
	}
	return 0
}

// Chats lists all chats: everybody's chat with the bot and the groups, in the order they were added.
func (s *Server) Chats() []ChatInfo {
	s.mu.Lock()
	defer s.mu.Unlock()
	list := make([]ChatInfo, 0, len(s.roomOrder))
	for _, id := range s.roomOrder {
		r := s.rooms[id]
		list = append(list, ChatInfo{ID: r.id, Kind: r.kind, Title: r.title})
	}
	return list
}

// Chat lists what a chat shows now, oldest first, as copies. Deleted messages stay in the list, marked and without
// their content. An unknown chat is empty.
func (s *Server) Chat(chat int64) []Message {
	s.mu.Lock()
	defer s.mu.Unlock()
	r := s.rooms[chat]
	if r == nil {
		return nil
	}
	list := make([]Message, 0, len(r.posts))
	for _, p := range r.posts {
		list = append(list, s.message(p))
	}
	return list
}

// message is the exported copy of a post.
func (s *Server) message(p *post) Message {
	m := Message{ID: p.id, Chat: p.room.id, From: p.from, Bot: p.from == s.bot, Time: p.date}
	if p.deleted {
		m.Deleted = true
		return m
	}
	m.Edited = !p.edited.IsZero()
	m.Entities = slices.Clone(p.entities)
	m.HTML = renderHTML(p.text, p.entities)
	m.Text = p.text
	if p.file != nil {
		m.Text, m.Caption = "", p.text
		m.FileID, m.FileKind, m.FileName = p.file.id, p.file.kind, p.file.name
	}
	m.ReplyTo, m.Album = p.replyTo, p.album
	m.Keyboard = p.markup.buttons()
	m.Service, m.Reaction = p.service, p.reaction
	return m
}

// object is a JSON object on its way out.
type object = map[string]any

// mustJSON is the JSON text of a value built by this package, which always has one.
func mustJSON(v any) json.RawMessage {
	raw, err := json.Marshal(v)
	if err != nil {
		panic(err)
	}
	return raw
}
