package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestLearn(t *testing.T) {
	dir := t.TempDir()
	texts, weights := filepath.Join(dir, "texts.tsv"), filepath.Join(dir, "weights.gz")
	require.NoError(t, os.WriteFile(texts, []byte("# a comment\nmy cup\tcup\t-\ten\nthe cup\tcup\t-\ten\nwhat time is mincha\t-\t-\ten\n"), 0o600))
	wrong := filepath.Join(dir, "wrong.tsv")
	require.NoError(t, os.WriteFile(wrong, []byte("my jug\tjug\n"), 0o600))
	const few = " --dialogs ../../internal/idea/dialog/testdata/good" // of one kind: quick to learn
	for _, c := range []struct {
		args string
		code int
		out  string
	}{
		{"learn -o " + weights + " " + texts, fine, ""},
		{"learn --cross 3 " + texts, fine, "about kinds       2: right first 100.0 %, in the first three 100.0 %\nabout others      1: wrongly matched 100.0 %\n"},
		{"learn " + texts, misuse, ""},
		{"learn -o " + weights, misuse, ""},
		{"learn --cross 1 " + texts, misuse, ""},
		{"learn --cross 3 -o " + weights + " " + texts, misuse, ""},
		{"learn -o " + weights + " " + texts + "-missing", failed, ""},
		{"learn -o " + weights + " " + wrong, failed, ""},
		{"learn -o " + filepath.Join(dir, "none", "weights.gz") + " " + texts, failed, ""},
	} {
		var out, errs bytes.Buffer
		require.Equal(t, c.code, run(t.Context(), strings.Fields(c.args+few), &out, &errs), c.args)
		require.Equal(t, c.out, out.String(), c.args)
		require.Equal(t, c.code == fine, errs.Len() == 0, c.args)
	}
	written, err := os.ReadFile(weights)
	require.NoError(t, err)
	require.Equal(t, []byte{0x1f, 0x8b}, written[:2], "gzip's mark (RFC 1952, 2.3.1)")
}
