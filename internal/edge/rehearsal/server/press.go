package server

import (
	"fmt"
	"time"
	"unicode/utf8"
)

// maxAnswerText is the length of an answer to a press in characters. Source: Bot API, answerCallbackQuery.
const maxAnswerText = 200

// press is a button press that can be answered.
type press struct {
	room *room
	born time.Time // machine time
}

// Press presses a button with that data under a message. The message need not show such a button, nor exist any more:
// a client that has not heard of a change still shows the old keyboard. It returns the callback's id, or "" when this
// person can't press anything there.
func (s *Server) Press(from, chat int64, messageID int, data string) (callbackID string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	r := s.speaker(from, chat)
	if r == nil {
		return ""
	}
	now := s.o.Machine()
	for id, old := range s.presses {
		if now.Sub(old.born) >= s.o.AnswerWindow {
			delete(s.presses, id)
		}
	}
	s.pressNo++
	callbackID = fmt.Sprintf("%d%06d", s.bot, s.pressNo)
	s.presses[callbackID] = &press{room: r, born: now}
	message := object{"chat": wireChat(r), "message_id": messageID, "date": 0} // one that the bot can't see any more
	if p := r.find(int64(messageID)); p != nil {
		message = s.wireMessage(p)
	}
	s.advance()
	if r.kind == kindPrivate || r.bot == statusMember {
		s.enqueue("callback_query", chat, object{
			"id": callbackID, "from": s.wireUser(from), "message": message,
			"chat_instance": fmt.Sprintf("%d", chat*7919+1), "data": data,
		})
	}
	return callbackID
}

// answerCallbackQuery ends a press. A second answer within the window is accepted too; whether the public API does so
// is not published.
func (s *Server) answerCallbackQuery(c *call) (any, *apiError) {
	id := c.values["callback_query_id"]
	text := c.values["text"]
	if utf8.RuneCountInString(text) > maxAnswerText {
		return nil, badRequest("MESSAGE_TOO_LONG")
	}
	p := s.presses[id]
	if p == nil || s.o.Machine().Sub(p.born) >= s.o.AnswerWindow {
		return nil, errOldQuery
	}
	s.record(Entry{Method: c.method, Chat: p.room.id, Text: text, CallbackID: id, Alert: c.flag("show_alert")})
	return true, nil
}
