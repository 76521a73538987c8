package server

import (
	"bytes"
	"encoding/json"
)

// Sizes of an inline keyboard. The 64 bytes are published (InlineKeyboardButton.callback_data); that longer rows and
// larger keyboards are cut without a word is observed.
const (
	maxCallbackData = 64 // bytes
	maxRow          = 12
	maxButtons      = 300
)

// markup is what came in a reply_markup parameter. The zero value is none.
type markup struct {
	inline [][]json.RawMessage // the inline keyboard's buttons in a fixed form
	other  bool                // a reply keyboard or a forced reply: the message can't be edited afterwards
}

// parseMarkup reads a reply_markup parameter. What it refuses is refused whether or not the chat exists.
func parseMarkup(raw string) (markup, *apiError) {
	if raw == "" {
		return markup{}, nil
	}
	var fields map[string]json.RawMessage
	if json.Unmarshal([]byte(raw), &fields) != nil {
		var other json.RawMessage
		if json.Unmarshal([]byte(raw), &other) != nil {
			return markup{}, badRequest("can't parse reply keyboard markup JSON object")
		}
		return markup{}, badRequest("object expected as reply markup")
	}
	for _, name := range []string{"keyboard", "force_reply", "remove_keyboard"} {
		if _, ok := fields[name]; ok {
			return markup{other: name != "remove_keyboard"}, nil
		}
	}
	var rows [][]map[string]any
	if v := fields["inline_keyboard"]; len(v) > 0 {
		decoder := json.NewDecoder(bytes.NewReader(v))
		decoder.UseNumber()
		if decoder.Decode(&rows) != nil {
			return markup{}, badRequest("field \"inline_keyboard\" of the InlineKeyboardMarkup must be an Array of Arrays")
		}
	}
	var m markup
	total := 0
	for _, row := range rows {
		var buttons []json.RawMessage
		for _, b := range row {
			if refused := checkButton(b); refused != nil {
				return markup{}, refused
			}
			if len(buttons) == maxRow || total == maxButtons {
				continue
			}
			fixed, err := json.Marshal(b)
			if err != nil {
				return markup{}, badRequest("can't parse inline keyboard button")
			}
			buttons = append(buttons, fixed)
			total++
		}
		if len(buttons) > 0 {
			m.inline = append(m.inline, buttons)
		}
	}
	return m, nil
}

// buttonKinds are the fields of which a button of an inline keyboard has exactly one.
var buttonKinds = []string{"url", "callback_data", "web_app", "login_url", "switch_inline_query",
	"switch_inline_query_current_chat", "switch_inline_query_chosen_chat", "copy_text", "callback_game", "pay"}

func checkButton(b map[string]any) *apiError {
	text, ok := b["text"].(string)
	if !ok {
		return badRequest("can't parse inline keyboard button: Can't find field \"text\"")
	}
	if isBlank(text) {
		return badRequest("BUTTON_TEXT_INVALID") // the exact text is not known
	}
	kind := ""
	for _, name := range buttonKinds {
		switch v := b[name].(type) {
		case nil:
			delete(b, name)
			continue
		case string:
			if v == "" && (name == "callback_data" || name == "url") {
				continue // counts as a button without a kind
			}
		}
		kind = name
		break
	}
	switch kind {
	case "":
		return badRequest("can't parse inline keyboard button: Text buttons are unallowed in the inline keyboard")
	case "callback_data":
		data, ok := b[kind].(string)
		if !ok {
			return badRequest("can't parse inline keyboard button: Field \"callback_data\" must be of type String")
		}
		if len(data) > maxCallbackData {
			return badRequest("BUTTON_DATA_INVALID")
		}
	case "url":
		link, _ := b[kind].(string)
		checked := checkedLink(link)
		if checked == "" {
			return badRequest("inline keyboard button URL '%s' is invalid: Wrong HTTP URL", link)
		}
		b[kind] = checked
	}
	return nil
}

// buttons is the keyboard as the rehearsal shows it.
func (m markup) buttons() [][]Button {
	var rows [][]Button
	for _, row := range m.inline {
		var buttons []Button
		for _, raw := range row {
			var b struct {
				Text string `json:"text"`
				Data string `json:"callback_data"`
				URL  string `json:"url"`
			}
			if json.Unmarshal(raw, &b) == nil {
				buttons = append(buttons, Button{Text: b.Text, Data: b.Data, URL: b.URL})
			}
		}
		rows = append(rows, buttons)
	}
	return rows
}

// equal tells whether two markups show the same inline keyboard.
func (m markup) equal(other markup) bool {
	a, errA := json.Marshal(m.inline)
	b, errB := json.Marshal(other.inline)
	return errA == nil && errB == nil && bytes.Equal(a, b)
}
