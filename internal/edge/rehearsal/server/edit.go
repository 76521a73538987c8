package server

import (
	"encoding/json"
	"slices"
	"time"
)

// deleteWindow is how old a message may be for the bot to delete it. Source: Bot API, deleteMessage.
const deleteWindow = 48 * time.Hour

// editable finds the message an edit names, after the content and the new markup were checked.
func (s *Server) editable(c *call) (*post, markup, *apiError) {
	m, refused := parseMarkup(c.json("reply_markup"))
	if refused != nil {
		return nil, markup{}, refused
	}
	if m.other {
		return nil, markup{}, badRequest("inline keyboard expected")
	}
	if c.values["chat_id"] == "" && c.values["inline_message_id"] != "" {
		return nil, markup{}, badRequest("MESSAGE_ID_INVALID") // no inline mode, so there is no such message
	}
	r, refused := s.writableRoom(c.params)
	if refused != nil {
		return nil, markup{}, refused
	}
	id := c.integer("message_id")
	if id == 0 {
		return nil, markup{}, badRequest("message identifier is not specified")
	}
	p := r.find(id)
	switch {
	case p == nil:
		return nil, markup{}, badRequest("message to edit not found")
	case p.from != s.bot || p.service != "" || p.markup.other || p.origin != nil:
		return nil, markup{}, badRequest("message can't be edited")
	}
	return p, m, nil
}

// edited stamps and logs a change.
func (s *Server) edited(c *call, p *post) (any, *apiError) {
	p.edited = s.o.Now()
	s.recordPost(c.method, p)
	return s.wireMessage(p), nil
}

// editMessageText replaces the text. A reply_markup left out takes the keyboard away.
func (s *Server) editMessageText(c *call) (any, *apiError) {
	text, entities, refused := messageText(c.params)
	if refused != nil {
		return nil, refused
	}
	p, m, refused := s.editable(c)
	switch {
	case refused != nil:
		return nil, refused
	case p.file != nil:
		return nil, badRequest("there is no text in the message to edit")
	case p.text == text && slices.Equal(p.entities, entities) && p.markup.equal(m):
		return nil, errNotModified
	}
	p.text, p.entities, p.markup = text, entities, m
	return s.edited(c, p)
}

func (s *Server) editMessageCaption(c *call) (any, *apiError) {
	text, entities, refused := messageCaption(c.params)
	if refused != nil {
		return nil, refused
	}
	p, m, refused := s.editable(c)
	switch {
	case refused != nil:
		return nil, refused
	case p.file == nil:
		return nil, badRequest("there is no caption in the message to edit")
	case p.text == text && slices.Equal(p.entities, entities) && p.markup.equal(m):
		return nil, errNotModified
	}
	p.text, p.entities, p.markup = text, entities, m
	return s.edited(c, p)
}

// editMessageMedia replaces the file and the caption; a text message becomes a media message.
func (s *Server) editMessageMedia(c *call) (any, *apiError) {
	var media inputMedia
	if json.Unmarshal([]byte(c.json("media")), &media) != nil {
		return nil, badRequest("can't parse input media JSON object")
	}
	f, text, entities, refused := s.resolve(c, media)
	if refused != nil {
		return nil, refused
	}
	p, m, refused := s.editable(c)
	switch {
	case refused != nil:
		return nil, refused
	case p.file != nil && (p.file.kind == kindVoice || p.album != "" && p.file.kind != f.kind):
		return nil, badRequest("message can't be edited")
	case p.file == f && p.text == text && slices.Equal(p.entities, entities) && p.markup.equal(m):
		return nil, errNotModified
	}
	s.keep(f)
	p.file, p.text, p.entities, p.markup = f, text, entities, m
	return s.edited(c, p)
}

func (s *Server) editMessageReplyMarkup(c *call) (any, *apiError) {
	p, m, refused := s.editable(c)
	switch {
	case refused != nil:
		return nil, refused
	case p.markup.equal(m):
		return nil, errNotModified
	}
	p.markup = m
	return s.edited(c, p)
}

// deletable tells whether the bot may delete a message: not older than 48 hours, its own, or anybody's in a private
// chat. In groups the bot is no administrator.
func (s *Server) deletable(p *post) bool {
	return s.o.Now().Sub(p.date) < deleteWindow && (p.from == s.bot || p.room.kind == kindPrivate)
}

// presentRoom is lookRoom for calls that do not send: a blocked bot may still delete, one that left may not.
func (s *Server) presentRoom(c *call) (*room, *apiError) {
	r, refused := s.lookRoom(c.params, "chat_id")
	if refused == nil && r.kind != kindPrivate && r.bot != statusMember {
		return s.writableRoom(c.params)
	}
	return r, refused
}

func (s *Server) deleteMessage(c *call) (any, *apiError) {
	r, refused := s.presentRoom(c)
	if refused != nil {
		return nil, refused
	}
	id := c.integer("message_id")
	if id == 0 {
		return nil, badRequest("message identifier is not specified")
	}
	p := r.find(id)
	switch {
	case p == nil:
		return nil, badRequest("message to delete not found")
	case !s.deletable(p):
		return nil, badRequest("message can't be deleted")
	}
	p.deleted = true
	s.record(Entry{Method: c.method, Chat: r.id, MessageID: p.id})
	return true, nil
}

// deleteMessages deletes 1 to 100 messages. Those that are not there are passed over; one that the bot may not delete
// makes it refuse all.
func (s *Server) deleteMessages(c *call) (any, *apiError) {
	var ids []int64
	if json.Unmarshal([]byte(c.json("message_ids")), &ids) != nil {
		return nil, badRequest("can't parse message identifiers JSON array")
	}
	switch {
	case len(ids) == 0:
		return nil, badRequest("message identifiers are not specified")
	case len(ids) > 100:
		return nil, badRequest("too many message identifiers specified")
	}
	r, refused := s.presentRoom(c)
	if refused != nil {
		return nil, refused
	}
	var found []*post
	for _, id := range ids {
		if p := r.find(id); p != nil {
			if !s.deletable(p) {
				return nil, badRequest("message can't be deleted")
			}
			found = append(found, p)
		}
	}
	for _, p := range found {
		p.deleted = true
		s.record(Entry{Method: c.method, Chat: r.id, MessageID: p.id})
	}
	return true, nil
}

// setMessageReaction sets the bot's reaction, at most one, or takes it away.
func (s *Server) setMessageReaction(c *call) (any, *apiError) {
	var list []struct {
		Type  string `json:"type"`
		Emoji string `json:"emoji"`
	}
	if raw := c.json("reaction"); raw != "" && json.Unmarshal([]byte(raw), &list) != nil {
		return nil, badRequest("can't parse reaction types JSON object")
	}
	r, refused := s.writableRoom(c.params)
	if refused != nil {
		return nil, refused
	}
	p := r.find(c.integer("message_id"))
	if p == nil {
		return nil, badRequest("message to react not found")
	}
	emoji := ""
	switch {
	case len(list) > 1:
		return nil, badRequest("REACTIONS_TOO_MANY")
	case len(list) == 1:
		if emoji = list[0].Emoji; list[0].Type != "emoji" || !slices.Contains(reactions, emoji) || p.service != "" {
			return nil, badRequest("REACTION_INVALID")
		}
	}
	p.reaction = emoji
	s.record(Entry{Method: c.method, Chat: r.id, MessageID: p.id, Text: emoji})
	return true, nil
}
