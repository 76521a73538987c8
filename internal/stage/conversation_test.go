package stage_test

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "rewrite the conversations with what the bot does now")

const conversations = "../../testdata/conversations"

// TestConversations plays every conversation against the whole program through the local server. What the bot did is taken
// from the server's log, all of it: a message that the file does not hold fails as one that is missing does.
func TestConversations(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(conversations, "*.txt"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".txt"), func(t *testing.T) {
			t.Parallel()
			s := readScript(t, file)
			p := newPlay(t)
			if *update {
				defer func() { require.NoError(t, os.WriteFile(file, []byte(s.String()), 0o644)) }()
			}
			for i := range s.parts {
				p.line(s.parts[i].action)
				if !p.started {
					continue
				}
				p.settle()
				got := p.told()
				if *update {
					s.parts[i].want = got
					continue
				}
				require.Equal(t, strings.Join(s.parts[i].want, "\n"), strings.Join(got, "\n"), "after %q", s.parts[i].action)
			}
		})
	}
}
