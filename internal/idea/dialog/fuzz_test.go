package dialog

import (
	"errors"
	"path/filepath"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"
)

// FuzzLoad replaces one file of the good pack. Whatever stands in it, Load either lists mistakes, each with a place and with
// what to do, or gives a pack through which every walk leads to an end.
func FuzzLoad(f *testing.F) {
	good := readPack(f, "testdata/good")
	names := sortedKeys(good)
	cases, err := filepath.Glob("testdata/broken/*")
	require.NoError(f, err)
	for i, name := range names {
		f.Add(byte(i), good[name].Data)
		for _, dir := range cases {
			broken, _ := readBroken(f, dir)
			if file := broken[name]; file != nil && string(file.Data) != string(good[name].Data) {
				f.Add(byte(i), file.Data)
			}
		}
	}
	f.Fuzz(func(t *testing.T, which byte, raw []byte) {
		pack := fstest.MapFS{}
		for name, file := range good {
			pack[name] = file
		}
		pack[names[int(which)%len(names)]] = &fstest.MapFile{Data: raw}
		p, err := Load(pack)
		if err != nil {
			requireMistakes(t, err)
			return
		}
		again, err := Load(pack)
		require.NoError(t, err)
		for i, tree := range p.Trees {
			requireEnds(t, tree, tree.Start)
			for _, s := range tree.Steps {
				for _, next := range s.Targets() {
					requireEnds(t, tree, next)
				}
			}
			require.LessOrEqual(t, tree.Longest(tree.Start), len(tree.Steps))
			require.Equal(t, again.Trees[i].Logic(), tree.Logic())
			for _, l := range p.Languages {
				require.Equal(t, again.Trees[i].Words(l.Code.S), tree.Words(l.Code.S))
				require.NotEmpty(t, tree.Name.In(l.Code.S))
			}
		}
	})
}

func requireMistakes(t *testing.T, err error) {
	t.Helper()
	var ms Mistakes
	require.True(t, errors.As(err, &ms), "%v", err)
	require.NotEmpty(t, ms)
	for _, m := range ms {
		require.NotEmpty(t, m.File)
		require.Positive(t, m.Line)
		require.Positive(t, m.Col)
		require.NotEmpty(t, m.What)
		require.NotEmpty(t, m.Do)
	}
}

// requireEnds follows a target: it leads to a step or an outcome that exists, and on to at least one end.
func requireEnds(t *testing.T, tree *Tree, tg Target) {
	t.Helper()
	if tg.End.S != "" {
		require.NotNil(t, tree.Outcome(tg.End.S))
		return
	}
	require.NotNil(t, tree.Step(tg.To.S))
	require.NotEmpty(t, tree.Ends(tg, (*Step).Targets))
}
