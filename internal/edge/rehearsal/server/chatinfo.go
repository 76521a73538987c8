package server

// visibleRoom is the chat a call asks about; of a group the bot must be a member.
func (s *Server) visibleRoom(c *call) (*room, *apiError) {
	r, refused := s.lookRoom(c.params, "chat_id")
	if refused != nil {
		return nil, refused
	}
	if r.kind == kindPrivate {
		if !s.people[r.id].started {
			return nil, badRequest("chat not found")
		}
		return r, nil
	}
	return s.writableRoom(c.params)
}

func (s *Server) getChat(c *call) (any, *apiError) {
	r, refused := s.visibleRoom(c)
	if refused != nil {
		return nil, refused
	}
	chat := wireChat(r)
	chat["accent_color_id"] = 0
	chat["max_reaction_count"] = 11
	chat["accepted_gift_types"] = object{"unlimited_gifts": false, "limited_gifts": false, "unique_gifts": false,
		"premium_subscription": false, "gifts_from_channels": false}
	return chat, nil
}

// standing is a user's status in a chat.
func (s *Server) standing(r *room, user int64) string {
	switch {
	case r.kind == kindPrivate && (user == r.id || user == s.bot):
		return statusMember
	case user == s.bot:
		return r.bot
	case len(r.members) > 0 && r.members[0] == user:
		return "creator"
	case r.has(user):
		return statusMember
	}
	return statusLeft
}

func (s *Server) getChatMember(c *call) (any, *apiError) {
	r, refused := s.visibleRoom(c)
	if refused != nil {
		return nil, refused
	}
	user := c.integer("user_id")
	if user != s.bot && s.people[user] == nil {
		return nil, badRequest("PARTICIPANT_ID_INVALID")
	}
	return s.wireMember(user, s.standing(r, user)), nil
}

func (s *Server) getChatMemberCount(c *call) (any, *apiError) {
	r, refused := s.visibleRoom(c)
	if refused != nil {
		return nil, refused
	}
	if r.kind == kindPrivate {
		return 2, nil
	}
	return len(r.members) + 1, nil
}

// getChatAdministrators lists the creator; the rehearsal makes no other administrators.
func (s *Server) getChatAdministrators(c *call) (any, *apiError) {
	r, refused := s.visibleRoom(c)
	if refused != nil {
		return nil, refused
	}
	if r.kind == kindPrivate {
		return nil, badRequest("there are no administrators in the private chat")
	}
	list := []object{}
	if len(r.members) > 0 {
		list = append(list, s.wireMember(r.members[0], "creator"))
	}
	return list, nil
}

func (s *Server) leaveChat(c *call) (any, *apiError) {
	r, refused := s.visibleRoom(c)
	if refused != nil {
		return nil, refused
	}
	if r.kind == kindPrivate {
		return nil, badRequest("chat not found")
	}
	s.setBotStatus(r, s.bot, statusLeft)
	s.record(Entry{Method: c.method, Chat: r.id})
	return true, nil
}
