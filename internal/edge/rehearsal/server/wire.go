package server

// The Bot API's objects as they go over the wire. Field names and which of them are always there follow the published
// types User, Chat, Message, MessageEntity, PhotoSize, Document and Voice.

func (s *Server) wireBot() object {
	return object{"id": s.bot, "is_bot": true, "first_name": s.botName(), "username": s.o.BotName}
}

func (s *Server) wireUser(id int64) object {
	if id == s.bot {
		return s.wireBot()
	}
	u := object{"id": id, "is_bot": false, "first_name": ""}
	if p := s.people[id]; p != nil {
		u["first_name"] = p.FirstName
		if p.LanguageCode != "" {
			u["language_code"] = p.LanguageCode
		}
	}
	return u
}

func wireChat(r *room) object {
	if r.kind == kindPrivate {
		return object{"id": r.id, "type": r.kind, "first_name": r.title}
	}
	c := object{"id": r.id, "type": r.kind, "title": r.title}
	if r.kind == kindGroup {
		c["all_members_are_administrators"] = false
	}
	return c
}

// wireMessage is a message as calls return it and updates carry it. The message it replies to is inside it, but not
// the one that one replies to.
func (s *Server) wireMessage(p *post) object { return s.wirePost(p, true) }

func (s *Server) wirePost(p *post, withReply bool) object {
	m := object{
		"message_id": p.id,
		"from":       s.wireUser(p.from),
		"chat":       wireChat(p.room),
		"date":       p.date.Unix(),
	}
	if !p.edited.IsZero() {
		m["edit_date"] = p.edited.Unix()
	}
	if withReply && p.replyTo != 0 {
		if target := p.room.find(int64(p.replyTo)); target != nil {
			m["reply_to_message"] = s.wirePost(target, false)
		}
	}
	if p.origin != nil {
		m["forward_origin"] = object{
			"type": "user", "sender_user": s.wireUser(p.origin.from), "date": p.origin.date.Unix(),
		}
		m["forward_from"] = s.wireUser(p.origin.from)
		m["forward_date"] = p.origin.date.Unix()
	}
	if p.album != "" {
		m["media_group_id"] = p.album
	}
	if p.guarded {
		m["has_protected_content"] = true
	}
	if p.file != nil {
		m[p.file.kind] = p.file.wire()
		if p.text != "" {
			m["caption"] = p.text
		}
		if len(p.entities) > 0 {
			m["caption_entities"] = s.wireEntities(p.entities)
		}
	} else if p.text != "" {
		m["text"] = p.text
		if len(p.entities) > 0 {
			m["entities"] = s.wireEntities(p.entities)
		}
	}
	if len(p.markup.inline) > 0 {
		m["reply_markup"] = object{"inline_keyboard": p.markup.inline}
	}
	for name, v := range p.extra {
		m[name] = v
	}
	return m
}

// wireEntities adds the user to those entities that name one.
func (s *Server) wireEntities(entities []Entity) []any {
	list := make([]any, 0, len(entities))
	for _, e := range entities {
		if e.UserID == 0 {
			list = append(list, e)
			continue
		}
		list = append(list, object{
			"type": e.Type, "offset": e.Offset, "length": e.Length, "user": s.wireUser(e.UserID),
		})
	}
	return list
}

// wireMember is somebody's standing in a chat, a ChatMember.
func (s *Server) wireMember(user int64, status string) object {
	m := object{"status": status, "user": s.wireUser(user)}
	switch status {
	case statusKicked:
		m["until_date"] = 0
	case "creator":
		m["is_anonymous"] = false
	}
	return m
}
