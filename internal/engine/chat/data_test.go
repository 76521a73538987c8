package chat_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/internal/engine/chat"
)

func TestData(t *testing.T) {
	for _, c := range []struct {
		verb string
		args []any
		want string
	}{
		{"menu", nil, "menu"},
		{"m.ans", []any{uint64(12), "yes"}, "m.ans|12|yes"},
		{"m.x", []any{int64(-5), chat.ID(-100), ""}, "m.x|-5|-100|"},
		{"m.he", []any{"תנור"}, "m.he|תנור"},
	} {
		data := chat.Data(c.verb, c.args...)
		require.Equal(t, c.want, data)
		verb, args := chat.ParseData(data)
		require.Equal(t, c.verb, verb)
		require.Len(t, args, len(c.args))
	}
	verb, args := chat.ParseData("")
	require.Empty(t, verb)
	require.Empty(t, args)
	verb, args = chat.ParseData("|a||b")
	require.Empty(t, verb)
	require.Equal(t, []string{"a", "", "b"}, args)
}

// A button's data has at most 64 bytes (Bot API, InlineKeyboardButton.callback_data): bytes, not characters.
func TestDataLimits(t *testing.T) {
	require.NotPanics(t, func() { require.Len(t, chat.Data("v", strings.Repeat("x", 62)), 64) })
	require.Panics(t, func() { chat.Data("v", strings.Repeat("x", 63)) })
	require.Panics(t, func() { chat.Data(strings.Repeat("v", 65)) })
	require.NotPanics(t, func() { chat.Data("v", strings.Repeat("א", 31)) })
	require.Panics(t, func() { chat.Data("v", strings.Repeat("א", 32)) })
	require.Panics(t, func() { chat.Data("v", "a|b") })
	require.Panics(t, func() { chat.Data("v|w", "a") })
}

// What is built is taken apart again, argument by argument.
func FuzzData(f *testing.F) {
	f.Add("m.ans", "12", "yes")
	f.Add("", "", "")
	f.Add("m|x", "|", "א")
	f.Fuzz(func(t *testing.T, verb, a, b string) {
		if strings.Contains(verb+a+b, "|") || len(verb)+len(a)+len(b)+2 > chat.DataLimit {
			require.Panics(t, func() { chat.Data(verb, a, b) })
			return
		}
		v, args := chat.ParseData(chat.Data(verb, a, b))
		require.Equal(t, verb, v)
		require.Equal(t, []string{a, b}, args)
	})
}
