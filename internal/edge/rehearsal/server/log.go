package server

// record adds an accepted effect of the bot to the log. The mutex is held.
func (s *Server) record(e Entry) {
	e.N = len(s.log) + 1
	e.Time = s.o.Now()
	s.log = append(s.log, e)
	s.advance()
}

// recordPost is record for a call that made or changed a message.
func (s *Server) recordPost(method string, p *post) {
	e := Entry{Method: method, Chat: p.room.id, MessageID: p.id, Text: p.text, Keyboard: p.markup.buttons()}
	if p.file != nil {
		e.FileKind, e.FileID = p.file.kind, p.file.id
	}
	s.record(e)
}

// Log lists the accepted effects of the bot with numbers beyond after, in order. Calls that only ask, such as getMe and
// getUpdates, are not in it, nor are refused ones.
func (s *Server) Log(after int) []Entry {
	s.mu.Lock()
	defer s.mu.Unlock()
	after = min(max(after, 0), len(s.log))
	return append([]Entry(nil), s.log[after:]...)
}
