package telegram

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/internal/engine/chat"
)

// Source of what has to be escaped and of the tags: Bot API, "HTML style".
func TestRender(t *testing.T) {
	tests := []struct {
		name   string
		blocks []chat.Block
		want   string
	}{
		{"plain", []chat.Block{{Text: "boil it"}}, "boil it"},
		{"styles", []chat.Block{{Text: "Pot", Style: chat.Heading}, {Text: "first"}, {Text: "said", Style: chat.Quoted}, {Text: "note", Style: chat.Aside}},
			"<b>Pot</b>\n\nfirst\n\n<blockquote>said</blockquote>\n\n<i>note</i>"},
		{"what has a meaning is escaped", []chat.Block{{Text: `a < b > c & "d" &lt; </b><i>`, Style: chat.Heading}},
			`<b>a &lt; b &gt; c &amp; "d" &amp;lt; &lt;/b&gt;&lt;i&gt;</b>`},
		{"empty paragraphs are left out", []chat.Block{{Text: " \n", Style: chat.Heading}, {Text: "x"}, {Text: "", Style: chat.Quoted}}, "x"},
		{"broken encoding is mended", []chat.Block{{Text: "a\xffb"}}, "a\uFFFDb"},
		{"an unknown style is plain", []chat.Block{{Text: "x", Style: "loud"}}, "x"},
		{"hebrew", []chat.Block{{Text: "הגעלה <3", Style: chat.Quoted}}, "<blockquote>הגעלה &lt;3</blockquote>"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			require.Equal(t, tt.want, render(chat.Message{Blocks: tt.blocks}))
		})
	}
}

func TestKeyboard(t *testing.T) {
	require.Empty(t, keyboard(nil))
	require.Empty(t, keyboard([][]chat.Button{{}, {}}), "rows without buttons are no keyboard")
	require.JSONEq(t,
		`{"inline_keyboard":[[{"text":"Yes","callback_data":"y|1"},{"text":"Map","url":"https://example.org/?a=1&b=2"}]]}`,
		keyboard([][]chat.Button{{{Label: "Yes", Data: "y|1"}, {Label: "Map", URL: "https://example.org/?a=1&b=2"}}, {}}))
}

// The longest message that chat.Split lets through, of the characters that grow most in escaping, stays below the 32768
// bytes that were observed to be the most before parsing.
func TestTheLongestMessageFits(t *testing.T) {
	m := chat.Message{}
	m.Add(chat.Heading, strings.Repeat("&", chat.TextLimit))
	parts := chat.Split(m)
	require.Len(t, parts, 1)
	require.Less(t, len(render(parts[0])), 32768)
}
