package server

import "slices"

// AddGroup makes a group with the bot and those members in it; the first is its creator. An id of a supergroup
// (-1000000000001 and below) makes a supergroup. The bot is not told: the group was there before the rehearsal began.
// Adding the same id again changes nothing, an id that is not negative is passed over, and so are unknown members.
func (s *Server) AddGroup(id int64, title string, members ...int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if id >= 0 || s.rooms[id] != nil {
		return
	}
	r := &room{id: id, kind: kindGroup, title: title, bot: statusMember}
	if id < supergroupBase {
		r.kind = kindSupergroup
	}
	for _, m := range members {
		if s.people[m] != nil && !r.has(m) {
			r.members = append(r.members, m)
		}
	}
	s.addRoom(r)
	s.advance()
}

// group is a group that still is one, or nil. The mutex is held.
func (s *Server) group(id int64) *room {
	r := s.rooms[id]
	if r == nil || r.kind == kindPrivate || r.moved != 0 {
		return nil
	}
	return r
}

// service writes a service message. The mutex is held.
func (s *Server) service(r *room, by int64, kind string, extra object) {
	s.post(r, &post{from: by, service: kind, extra: extra})
}

// Join adds a person to a group, with the service message new_chat_members.
func (s *Server) Join(group, person int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	r := s.group(group)
	if r == nil || s.people[person] == nil || r.has(person) {
		return
	}
	r.members = append(r.members, person)
	s.service(r, person, "new_chat_members", object{
		"new_chat_members":     []object{s.wireUser(person)},
		"new_chat_participant": s.wireUser(person), "new_chat_member": s.wireUser(person),
	})
}

// Leave takes a person out of a group, with the service message left_chat_member.
func (s *Server) Leave(group, person int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	r := s.group(group)
	if r == nil || !r.has(person) {
		return
	}
	r.members = slices.DeleteFunc(slices.Clone(r.members), func(id int64) bool { return id == person })
	s.service(r, person, "left_chat_member", object{"left_chat_member": s.wireUser(person)})
}

// RemoveBot makes the group's creator throw the bot out: my_chat_member, and 403 from then on.
func (s *Server) RemoveBot(group int64) { s.changeBot(group, statusKicked) }

// AddBot makes the group's creator take the bot in again: my_chat_member and new_chat_members.
func (s *Server) AddBot(group int64) { s.changeBot(group, statusMember) }

func (s *Server) changeBot(group int64, status string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	r := s.group(group)
	if r == nil || r.bot == status {
		return
	}
	by := r.creator()
	s.setBotStatus(r, by, status)
	if status == statusMember {
		s.service(r, by, "new_chat_members", object{"new_chat_members": []object{s.wireBot()}})
	}
	s.advance()
}

// creator is who made a group; 0 when nobody is left in it.
func (r *room) creator() int64 {
	if len(r.members) == 0 {
		return 0
	}
	return r.members[0]
}

// setBotStatus changes the bot's standing in a group and tells it. The mutex is held.
func (s *Server) setBotStatus(r *room, by int64, status string) {
	before := r.bot
	r.bot = status
	s.tellStanding(r, by, before, status)
}

// Migrate makes a supergroup of a group: a service message in each names the other, and calls that name the group are
// refused from then on with migrate_to_chat_id. Messages stay in the group; members move. It returns the supergroup's
// id, also when the group had become one before, or 0 when that is no group.
func (s *Server) Migrate(group int64) (supergroup int64) {
	s.mu.Lock()
	defer s.mu.Unlock()
	r := s.rooms[group]
	if r == nil || r.kind != kindGroup {
		return 0
	}
	if r.moved != 0 {
		return r.moved
	}
	for {
		s.supergroup++
		if supergroup = supergroupBase - s.supergroup; s.rooms[supergroup] == nil {
			break
		}
	}
	to := &room{id: supergroup, kind: kindSupergroup, title: r.title, members: r.members, bot: r.bot}
	s.addRoom(to)
	s.service(r, r.creator(), "migrate_to_chat_id", object{"migrate_to_chat_id": supergroup})
	s.service(to, r.creator(), "migrate_from_chat_id", object{"migrate_from_chat_id": group})
	r.moved = supergroup
	return supergroup
}
