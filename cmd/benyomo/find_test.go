package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestFind(t *testing.T) {
	texts := filepath.Join(t.TempDir(), "texts")
	require.NoError(t, os.WriteFile(texts, []byte("my oven\n\nthe sink and the oven\nwhat time is mincha\n"), 0o600))
	for _, c := range []struct {
		args string
		code int
		out  string
	}{
		{"find sink", fine, "sink\t0\\.99\\d\n"},
		{"find mincha", fine, ""},
		{"find --lines " + texts, fine, "oven\n-\n(oven sink|sink oven)\n-\n"},
		{"find --lines " + texts + "-missing", failed, ""},
		{"find", misuse, ""},
		{"find sink --lines " + texts, misuse, ""},
		{"find --dialogs " + texts + " sink", failed, ""},
	} {
		var out, errs bytes.Buffer
		require.Equal(t, c.code, run(t.Context(), strings.Fields(c.args), &out, &errs), c.args)
		require.Regexp(t, "^"+c.out+"$", out.String(), c.args)
		require.Equal(t, c.code == fine, errs.Len() == 0, c.args)
	}
}
