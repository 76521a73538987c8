package telegram

import (
	"encoding/json"
	"strings"

	"benyomo/internal/engine/chat"
)

// escaper makes plain text of the API's HTML: these three characters, and no others, have a meaning in it outside of tags
// (Bot API, "HTML style").
var escaper = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;")

var tags = map[chat.Style]string{chat.Heading: "b", chat.Aside: "i", chat.Quoted: "blockquote"}

// render writes a message's paragraphs in the API's HTML, with an empty line between them.
func render(m chat.Message) string {
	var b strings.Builder
	for _, block := range m.Blocks {
		text := strings.TrimSpace(strings.ToValidUTF8(block.Text, "\uFFFD"))
		if text == "" {
			continue
		}
		if b.Len() > 0 {
			b.WriteString("\n\n")
		}
		tag := tags[block.Style]
		if tag != "" {
			b.WriteString("<" + tag + ">")
		}
		_, _ = escaper.WriteString(&b, text)
		if tag != "" {
			b.WriteString("</" + tag + ">")
		}
	}
	return b.String()
}

// plain is the message without markup.
func plain(m chat.Message) string { return strings.ToValidUTF8(m.Plain(), "\uFFFD") }

// button is an inline keyboard button on the wire.
type button struct {
	Text string `json:"text"`
	Data string `json:"callback_data,omitempty"`
	URL  string `json:"url,omitempty"`
}

// keyboard is the inline keyboard on the wire, "" when there is none.
func keyboard(rows [][]chat.Button) string {
	var out [][]button
	for _, row := range rows {
		var line []button
		for _, b := range row {
			line = append(line, button{Text: b.Label, Data: b.Data, URL: b.URL})
		}
		if len(line) > 0 {
			out = append(out, line)
		}
	}
	if len(out) == 0 {
		return ""
	}
	raw, err := json.Marshal(map[string]any{"inline_keyboard": out})
	if err != nil {
		panic(err) // strings always have a JSON form
	}
	return string(raw)
}
