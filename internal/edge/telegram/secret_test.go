package telegram

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestASecretIsNotPrinted(t *testing.T) {
	options := Options{Token: testToken, Endpoint: "http://127.0.0.1:1"}
	var out bytes.Buffer
	for _, verb := range []string{"%v", "%+v", "%#v", "%s", "%q", "%x", "%X", "%d", "%08b", "%t"} {
		fmt.Fprintf(&out, verb, testToken)
		fmt.Fprintf(&out, verb, options)
		fmt.Fprintf(&out, verb, []any{options, map[Secret]Secret{testToken: testToken}})
		fmt.Fprintf(&out, verb, &options)
	}
	fmt.Fprintln(&out, testToken, &options, fmt.Errorf("wrapped: %v", testToken))
	for _, handler := range []slog.Handler{slog.NewTextHandler(&out, nil), slog.NewJSONHandler(&out, nil)} {
		slog.New(handler).Info("started", "token", testToken, "options", struct{ Token Secret }{testToken})
	}
	raw, err := json.Marshal(map[string]any{"token": testToken, "list": []Secret{testToken}})
	require.NoError(t, err)
	out.Write(raw)
	require.NotContains(t, out.String(), "not-a-real-token")
	require.NotContains(t, out.String(), fmt.Sprintf("%x", "not-a-real-token"))
	require.Contains(t, out.String(), masked)
	require.Equal(t, "123456:not-a-real-token_0", string(testToken), "a conversion reveals it")
}

func TestTheFormOfATokenIsChecked(t *testing.T) {
	for _, token := range []Secret{"", "123456", "123456:", ":abc", "12x:abc", "1:a/b", "1:a b", "1:a\n", "1:%61"} {
		_, err := prepare(Options{Token: token})
		require.ErrorIs(t, err, ErrUnauthorized, "%q", string(token))
	}
	for _, endpoint := range []string{"127.0.0.1:8081", "ftp://x", "http://", "http://x?y=1", "http://[::1", "x"} {
		_, err := prepare(Options{Token: testToken, Endpoint: endpoint})
		require.Error(t, err, endpoint)
		require.False(t, errors.Is(err, ErrUnauthorized), endpoint)
	}
	bot, err := prepare(Options{Token: testToken})
	require.NoError(t, err)
	require.Equal(t, DefaultEndpoint, bot.o.Endpoint)
	require.Equal(t, DefaultPollTimeout, bot.o.PollTimeout)
	bot.Close()
}
