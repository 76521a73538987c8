package server

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// What the API takes out of texts is observed, not published.
func TestTidy(t *testing.T) {
	for in, want := range map[string]string{
		"  a \n b \n ":          "a \n b",
		"a\r\nb\tc\x01":         "a\nb c",
		"a\u202bb\u202cc\u202e": "abc",
		"a\u200eb":              "a\u200eb",
		"a\u200e\u200f\u200eb":  "a\u200c\u200c\u200eb",
		"\u2067כשר\u2069":       "\u2067כשר\u2069",
		"\n \n":                 "",
	} {
		got, _ := tidy(in, nil)
		require.Equal(t, want, got, "%q", in)
	}
}

func TestTidy_EntitiesFollow(t *testing.T) {
	text, entities := tidy(" \r😀\r ab ", []Entity{
		{Type: "bold", Offset: 0, Length: 2},   // the part that is cut off
		{Type: "italic", Offset: 2, Length: 2}, // the emoji
		{Type: "code", Offset: 6, Length: 9},   // beyond the end
	})
	require.Equal(t, "😀 ab", text)
	require.Equal(t, []Entity{{Type: "italic", Offset: 0, Length: 2}, {Type: "code", Offset: 3, Length: 2}}, entities)
}

func TestIsBlank(t *testing.T) {
	for _, blank := range []string{"", " \n", "\u200b\u200f", "\u00a0\ufeff", "\u2003"} {
		require.True(t, isBlank(blank), "%q", blank)
	}
	for _, shown := range []string{"a", " . ", "א"} {
		require.False(t, isBlank(shown), "%q", shown)
	}
}

// Offsets are UTF-16 units: Bot API, MessageEntity.
func TestDetect(t *testing.T) {
	for text, want := range map[string][]Entity{
		"/start payload":              {{Type: "bot_command", Offset: 0, Length: 6}},
		"/stop@emek_rimon_bot now":    {{Type: "bot_command", Offset: 0, Length: 20}},
		"😀 /help, /me":                {{Type: "bot_command", Offset: 3, Length: 5}, {Type: "bot_command", Offset: 10, Length: 3}},
		"and/or 1/2 a//b /כלי":        nil,
		"/helpא":                      nil,
		"see https://example.org/a.":  {{Type: "url", Offset: 4, Length: 21}},
		"http://localhost/":           nil,
		"no slash":                    nil,
		"/" + strings.Repeat("a", 65): nil,
	} {
		require.Equal(t, want, detect(text, nil), text)
	}
	code := []Entity{{Type: "code", Offset: 0, Length: 6}}
	require.Equal(t, code, detect("/start", code))
	bold := []Entity{{Type: "bold", Offset: 0, Length: 6}}
	require.Len(t, detect("/start", bold), 2)
}
