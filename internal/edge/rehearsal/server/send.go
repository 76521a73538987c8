package server

import (
	"encoding/json"
	"slices"
	"unicode/utf8"
)

// draft starts a message of the bot with what all sending methods have in common. Call it after the content was
// checked: the API checks text, markup, chat and reply target in this order.
func (s *Server) draft(c *call) (*room, *post, *apiError) {
	m, refused := parseMarkup(c.json("reply_markup"))
	if refused != nil {
		return nil, nil, refused
	}
	r, refused := s.writableRoom(c.params)
	if refused != nil {
		return nil, nil, refused
	}
	replyTo, refused := replyTarget(c.params, r)
	if refused != nil {
		return nil, nil, refused
	}
	p := &post{from: s.bot, date: s.o.Now(), markup: m, replyTo: replyTo, guarded: c.flag("protect_content")}
	if thread := c.integer("message_thread_id"); thread != 0 {
		p.extra = object{"message_thread_id": thread}
	}
	return r, p, nil
}

// replyTarget reads reply_parameters or their older form. The message must exist, unless sending without is allowed.
func replyTarget(p params, r *room) (int, *apiError) {
	id, without := p.integer("reply_to_message_id"), p.flag("allow_sending_without_reply")
	if raw := p.json("reply_parameters"); raw != "" {
		var reply struct {
			MessageID int64 `json:"message_id"`
			Without   bool  `json:"allow_sending_without_reply"`
		}
		if json.Unmarshal([]byte(raw), &reply) != nil {
			return 0, badRequest("can't parse reply parameters JSON object")
		}
		id, without = reply.MessageID, reply.Without
	}
	switch {
	case id == 0:
		return 0, nil
	case r.find(id) != nil:
		return int(id), nil
	case without:
		return 0, nil
	}
	return 0, badRequest("message to be replied not found")
}

// deliver applies the rate rules and stores a finished message.
func (s *Server) deliver(method string, r *room, p *post) *apiError {
	if refused := s.take(r, 1); refused != nil {
		return refused
	}
	s.store(method, r, p)
	return nil
}

func (s *Server) store(method string, r *room, p *post) {
	if p.file != nil {
		s.keep(p.file)
	}
	r.add(p)
	s.recordPost(method, p)
}

// messageText reads and checks the text of sendMessage and editMessageText.
func messageText(p params) (string, []Entity, *apiError) {
	if p.values["text"] == "" {
		return "", nil, badRequest("message text is empty")
	}
	text, entities, refused := formatted(p, "text", "parse_mode", "entities")
	switch {
	case refused != nil:
		return "", nil, refused
	case isBlank(text):
		return "", nil, badRequest("text must be non-empty")
	case utf8.RuneCountInString(text) > maxText:
		return "", nil, badRequest("message is too long")
	}
	return text, entities, nil
}

func (s *Server) sendMessage(c *call) (any, *apiError) {
	text, entities, refused := messageText(c.params)
	if refused != nil {
		return nil, refused
	}
	r, p, refused := s.draft(c)
	if refused != nil {
		return nil, refused
	}
	p.text, p.entities = text, entities
	if refused := s.deliver(c.method, r, p); refused != nil {
		return nil, refused
	}
	return s.wireMessage(p), nil
}

// copyMessage sends the content of another message again, without saying from where.
func (s *Server) copyMessage(c *call) (any, *apiError) {
	source, refused := s.source(c, "copy")
	if refused != nil {
		return nil, refused
	}
	text, entities := source.text, source.entities
	if _, given := c.values["caption"]; given && source.file != nil {
		if text, entities, refused = messageCaption(c.params); refused != nil {
			return nil, refused
		}
	}
	r, p, refused := s.draft(c)
	if refused != nil {
		return nil, refused
	}
	p.text, p.entities, p.file = text, slices.Clone(entities), source.file
	for name, v := range source.extra {
		if name != "message_thread_id" {
			if p.extra == nil {
				p.extra = object{}
			}
			p.extra[name] = v
		}
	}
	if refused := s.deliver(c.method, r, p); refused != nil {
		return nil, refused
	}
	return object{"message_id": p.id}, nil
}

// forwardMessage sends another message again and names its sender.
func (s *Server) forwardMessage(c *call) (any, *apiError) {
	source, refused := s.source(c, "forward")
	if refused != nil {
		return nil, refused
	}
	r, p, refused := s.draft(c)
	if refused != nil {
		return nil, refused
	}
	p.text, p.entities, p.file, p.extra = source.text, slices.Clone(source.entities), source.file, source.extra
	p.markup, p.replyTo = markup{}, 0
	p.origin = source.origin
	if p.origin == nil {
		p.origin = &origin{from: source.from, date: source.date}
	}
	if refused := s.deliver(c.method, r, p); refused != nil {
		return nil, refused
	}
	return s.wireMessage(p), nil
}

// source is the message a call of copyMessage or forwardMessage names.
func (s *Server) source(c *call, verb string) (*post, *apiError) {
	from, refused := s.lookRoom(c.params, "from_chat_id")
	if refused != nil {
		return nil, refused
	}
	p := from.find(c.integer("message_id"))
	switch {
	case p == nil:
		return nil, badRequest("message to %s not found", verb)
	case p.service != "", p.guarded && verb == "forward":
		return nil, badRequest("message can't be %s", map[string]string{"copy": "copied", "forward": "forwarded"}[verb])
	}
	return p, nil
}

// chatActions are what sendChatAction takes. Source: Bot API, sendChatAction.
var chatActions = []string{"typing", "upload_photo", "record_video", "upload_video", "record_voice", "upload_voice",
	"upload_document", "choose_sticker", "find_location", "record_video_note", "upload_video_note"}

func (s *Server) sendChatAction(c *call) (any, *apiError) {
	action := lowerASCII(c.values["action"])
	if !slices.Contains(chatActions, action) {
		return nil, badRequest("wrong parameter action in request")
	}
	r, refused := s.writableRoom(c.params)
	if refused != nil {
		return nil, refused
	}
	s.record(Entry{Method: c.method, Chat: r.id, Text: action})
	return true, nil
}
