package server

import (
	"encoding/json"
	"fmt"
	"regexp"
	"unicode/utf8"
)

// Sizes of the bot's settings in characters. Source: Bot API, setMyCommands, BotCommand, setMyName, setMyDescription,
// setMyShortDescription.
const (
	maxCommands           = 100
	maxCommandDescription = 256
	maxBotName            = 64
	maxDescription        = 512
	maxShortDescription   = 120
)

var (
	commandName  = regexp.MustCompile(`^[a-z0-9_]{1,32}$`)
	languageCode = regexp.MustCompile(`^([a-z]{2})?$`)
)

// botCommand is one BotCommand.
type botCommand struct {
	Command     string `json:"command"`
	Description string `json:"description"`
}

// botName is the bot's first name: what setMyName set, or its username.
func (s *Server) botName() string {
	if name := s.settings["name/"]; name != "" {
		return name
	}
	return s.o.BotName
}

// language reads a language_code.
func language(c *call) (string, *apiError) {
	code := c.values["language_code"]
	if !languageCode.MatchString(code) {
		return "", badRequest("invalid language code specified")
	}
	return code, nil
}

// commandKey is where the commands of a scope and language are kept.
func (s *Server) commandKey(c *call) (string, *apiError) {
	code, refused := language(c)
	if refused != nil {
		return "", refused
	}
	scope := struct {
		Type   string `json:"type"`
		ChatID any    `json:"chat_id"`
		UserID int64  `json:"user_id"`
	}{Type: "default"}
	if raw := c.json("scope"); raw != "" && json.Unmarshal([]byte(raw), &scope) != nil {
		return "", badRequest("can't parse BotCommandScope: Object expected")
	}
	key := "commands/" + scope.Type
	switch scope.Type {
	case "default", "all_private_chats", "all_group_chats", "all_chat_administrators":
	case "chat", "chat_administrators", "chat_member":
		var id int64
		switch v := scope.ChatID.(type) {
		case float64:
			id = int64(v)
		case string:
			_, _ = fmt.Sscan(v, &id) // what is no number stays 0 and finds no chat
		}
		if s.rooms[id] == nil {
			return "", badRequest("chat not found")
		}
		key += fmt.Sprintf("/%d/%d", id, scope.UserID)
	default:
		return "", badRequest("can't parse BotCommandScope: Unsupported type specified")
	}
	return key + "/" + code, nil
}

func (s *Server) setMyCommands(c *call) (any, *apiError) {
	var list []botCommand
	if json.Unmarshal([]byte(c.json("commands")), &list) != nil {
		return nil, badRequest("can't parse commands JSON object")
	}
	key, refused := s.commandKey(c)
	if refused != nil {
		return nil, refused
	}
	if len(list) > maxCommands {
		return nil, badRequest("BOT_COMMANDS_TOO_MUCH") // the exact text is not known
	}
	for i := range list {
		text, _ := tidy(list[i].Description, nil)
		switch n := utf8.RuneCountInString(text); {
		case !commandName.MatchString(list[i].Command):
			return nil, badRequest("BOT_COMMAND_INVALID")
		case n < 1 || n > maxCommandDescription:
			return nil, badRequest("BOT_COMMAND_DESCRIPTION_INVALID")
		}
		list[i].Description = text
	}
	s.settings[key] = string(mustJSON(list))
	s.record(Entry{Method: c.method, Text: s.settings[key]})
	return true, nil
}

func (s *Server) getMyCommands(c *call) (any, *apiError) {
	key, refused := s.commandKey(c)
	if refused != nil {
		return nil, refused
	}
	if list := s.settings[key]; list != "" {
		return json.RawMessage(list), nil
	}
	return []botCommand{}, nil
}

func (s *Server) deleteMyCommands(c *call) (any, *apiError) {
	key, refused := s.commandKey(c)
	if refused != nil {
		return nil, refused
	}
	delete(s.settings, key)
	s.record(Entry{Method: c.method})
	return true, nil
}

// setText stores one of the bot's texts by language; an empty one takes it away.
func (s *Server) setText(c *call, name string, most int) (any, *apiError) {
	code, refused := language(c)
	if refused != nil {
		return nil, refused
	}
	text := c.values[name]
	if utf8.RuneCountInString(text) > most {
		return nil, badRequest("%s is too long", name) // the exact text is not known
	}
	s.settings[name+"/"+code] = text
	s.record(Entry{Method: c.method, Text: text})
	return true, nil
}

// getText gives the text of a language, or the one of all languages.
func (s *Server) getText(c *call, name string) (any, *apiError) {
	code, refused := language(c)
	if refused != nil {
		return nil, refused
	}
	text := s.settings[name+"/"+code]
	if text == "" {
		text = s.settings[name+"/"]
	}
	if text == "" && name == "name" {
		text = s.botName()
	}
	return object{name: text}, nil
}

func (s *Server) setMyName(c *call) (any, *apiError) { return s.setText(c, "name", maxBotName) }
func (s *Server) getMyName(c *call) (any, *apiError) { return s.getText(c, "name") }
func (s *Server) setMyDescription(c *call) (any, *apiError) {
	return s.setText(c, "description", maxDescription)
}
func (s *Server) getMyDescription(c *call) (any, *apiError) { return s.getText(c, "description") }
func (s *Server) setMyShortDescription(c *call) (any, *apiError) {
	return s.setText(c, "short_description", maxShortDescription)
}
func (s *Server) getMyShortDescription(c *call) (any, *apiError) {
	return s.getText(c, "short_description")
}

func (s *Server) setChatMenuButton(c *call) (any, *apiError) {
	raw := c.json("menu_button")
	if raw == "" {
		raw = `{"type":"default"}`
	}
	var button struct {
		Type string `json:"type"`
	}
	if json.Unmarshal([]byte(raw), &button) != nil {
		return nil, badRequest("can't parse menu button: Object expected")
	}
	if button.Type != "commands" && button.Type != "default" && button.Type != "web_app" {
		return nil, badRequest("can't parse menu button: Unsupported type specified")
	}
	s.settings["menu/"+c.values["chat_id"]] = raw
	s.record(Entry{Method: c.method, Chat: c.integer("chat_id"), Text: raw})
	return true, nil
}

func (s *Server) getChatMenuButton(c *call) (any, *apiError) {
	for _, chat := range []string{c.values["chat_id"], ""} {
		if raw := s.settings["menu/"+chat]; raw != "" {
			return json.RawMessage(raw), nil
		}
	}
	return object{"type": "default"}, nil
}
