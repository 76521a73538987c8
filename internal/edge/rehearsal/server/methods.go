package server

// call is one method call while it is done. The mutex is held throughout.
type call struct {
	params
	method string // in its documented spelling
}

// method is a row of the table below; run is nil for getUpdates, which may wait.
type method struct {
	name string
	run  func(*Server, *call) (any, *apiError)
}

// methods is keyed by the name in lower case, since the API does not look at case.
var methods = methodTable(
	method{"getUpdates", nil},
	method{"setWebhook", (*Server).setWebhook},
	method{"deleteWebhook", (*Server).deleteWebhook},
	method{"getWebhookInfo", (*Server).getWebhookInfo},
	method{"getMe", (*Server).getMe},
	method{"logOut", (*Server).accept},
	method{"close", (*Server).accept},

	method{"sendMessage", (*Server).sendMessage},
	method{"sendPhoto", (*Server).sendPhoto},
	method{"sendDocument", (*Server).sendDocument},
	method{"sendVoice", (*Server).sendVoice},
	method{"sendMediaGroup", (*Server).sendMediaGroup},
	method{"sendChatAction", (*Server).sendChatAction},
	method{"copyMessage", (*Server).copyMessage},
	method{"forwardMessage", (*Server).forwardMessage},
	method{"setMessageReaction", (*Server).setMessageReaction},

	method{"editMessageText", (*Server).editMessageText},
	method{"editMessageCaption", (*Server).editMessageCaption},
	method{"editMessageMedia", (*Server).editMessageMedia},
	method{"editMessageReplyMarkup", (*Server).editMessageReplyMarkup},
	method{"deleteMessage", (*Server).deleteMessage},
	method{"deleteMessages", (*Server).deleteMessages},

	method{"answerCallbackQuery", (*Server).answerCallbackQuery},
	method{"getFile", (*Server).getFile},

	method{"getChat", (*Server).getChat},
	method{"getChatMember", (*Server).getChatMember},
	method{"getChatMemberCount", (*Server).getChatMemberCount},
	method{"getChatMembersCount", (*Server).getChatMemberCount},
	method{"getChatAdministrators", (*Server).getChatAdministrators},
	method{"leaveChat", (*Server).leaveChat},

	method{"setMyCommands", (*Server).setMyCommands},
	method{"getMyCommands", (*Server).getMyCommands},
	method{"deleteMyCommands", (*Server).deleteMyCommands},
	method{"setMyName", (*Server).setMyName},
	method{"getMyName", (*Server).getMyName},
	method{"setMyDescription", (*Server).setMyDescription},
	method{"getMyDescription", (*Server).getMyDescription},
	method{"setMyShortDescription", (*Server).setMyShortDescription},
	method{"getMyShortDescription", (*Server).getMyShortDescription},
	method{"setChatMenuButton", (*Server).setChatMenuButton},
	method{"getChatMenuButton", (*Server).getChatMenuButton},
)

func methodTable(rows ...method) map[string]method {
	table := make(map[string]method, len(rows))
	for _, m := range rows {
		table[lowerASCII(m.name)] = m
	}
	return table
}

func (s *Server) getMe(*call) (any, *apiError) {
	me := s.wireBot()
	me["can_join_groups"] = true
	me["can_read_all_group_messages"] = !s.o.Privacy
	me["supports_inline_queries"] = false
	return me, nil
}

// accept does nothing: logging out of a server that is the only one there is.
func (s *Server) accept(*call) (any, *apiError) { return true, nil }
