package find_test

import (
	"bytes"
	"compress/gzip"
	"io"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/require"

	"benyomo/dialogs"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/find"
	"benyomo/internal/idea/linear"
)

// learnedFrom are the files of examples that the built-in weights come from.
var learnedFrom = []string{"develop.tsv", "develop2.tsv", "develop3.tsv", "develop4.tsv", "develop5.tsv", "develop6.tsv", "develop6.tsv",
	"develop7.tsv", "develop7.tsv"}

func unpacked(t *testing.T, raw []byte) string {
	t.Helper()
	z, err := gzip.NewReader(bytes.NewReader(raw))
	require.NoError(t, err)
	text, err := io.ReadAll(z)
	require.NoError(t, err)
	return string(text)
}

// The built-in weights are what the trainer makes of the examples, the names and the words. Where they are not, write them anew:
//
//	cd testdata/find && benyomo learn -o ../../dialogs/find.weights.gz develop.tsv develop2.tsv develop3.tsv develop4.tsv develop5.tsv \
//	    develop6.tsv develop6.tsv develop7.tsv develop7.tsv
func TestWeightsAreWhatTheTrainerMakes(t *testing.T) {
	f := find.New(builtIn(t))
	var examples []find.Example
	for _, name := range learnedFrom {
		file, err := os.Open("../../../testdata/find/" + name)
		require.NoError(t, err)
		more, err := f.ReadExamples(file)
		require.NoError(t, err)
		require.NoError(t, file.Close())
		examples = append(examples, more...)
	}
	var made bytes.Buffer
	require.NoError(t, f.Save(examples, &made))
	committed, err := dialogs.FS.ReadFile("find.weights.gz")
	require.NoError(t, err)
	require.True(t, unpacked(t, committed) == unpacked(t, made.Bytes()), "dialogs/find.weights.gz is not what benyomo learn makes: write it anew")
}

// No text that is only for measuring is among the examples.
func TestNothingMeasuredIsLearned(t *testing.T) {
	learned := map[string]bool{}
	for _, name := range learnedFrom {
		for _, l := range read(t, name) {
			learned[plainWords(l.text)] = true
		}
	}
	for _, name := range []string{"measure.tsv", "measure2.tsv"} {
		n := 0
		for _, l := range read(t, name) {
			if learned[plainWords(l.text)] {
				n++
			}
		}
		require.Zero(t, n, name)
	}
}

func TestReadExamples(t *testing.T) {
	f := find.New(shelf(t))
	got, err := f.ReadExamples(strings.NewReader("# comment\n\nmy oven\toven rack\tpesach\ten\nhello\t-\n"))
	require.NoError(t, err)
	require.Equal(t, []find.Example{{Text: "my oven", Kinds: []string{"oven", "rack"}}, {Text: "hello"}}, got)
	for _, text := range []string{"my oven\n", "my oven\t\n", "my jug\tjug\n"} {
		_, err := f.ReadExamples(strings.NewReader(text))
		require.ErrorIs(t, err, find.ErrExample, text)
		require.ErrorContains(t, err, "line 1")
	}
}

// What is learned reaches the finder through the folder of the dialogs: here a word that stands in no list, a text that is about
// something else, and a kind that the weights do not know.
func TestLearned(t *testing.T) {
	f := find.New(shelf(t))
	var examples []find.Example
	for range 3 { // what is seen once is not learned
		examples = append(examples, find.Example{Text: "the bakebox", Kinds: []string{"oven"}}, find.Example{Text: "bakebox please", Kinds: []string{"oven"}},
			find.Example{Text: "somebody sells a pot cheaply"}, find.Example{Text: "cheaply sells"}, find.Example{Text: "a pot", Kinds: []string{"pot"}})
	}
	require.Empty(t, f.Find("our bakebox").Names())
	require.Equal(t, []string{"pot"}, f.Find("she sells a pot cheaply").Names())
	taught := find.New(with(t, f.Learn(examples)))
	require.Equal(t, "oven", taught.Find("our bakebox").Names()[0])
	require.Empty(t, taught.Find("she sells a pot cheaply").Names())
	require.Equal(t, []string{"pot"}, taught.Find("a pot").Names())

	crossed := f.Cross(examples, 3)
	require.Len(t, crossed, len(examples))
	require.Equal(t, "oven", crossed[0].Names()[0], "two of three parts have told")

	without := linear.Train([]string{dialog.Outside, "oven"}, nil, []linear.Example{{Right: []string{"oven"}, Weight: 1}}, linear.Training{Epochs: 1, Rate: 0.1})
	newer := find.New(with(t, without))
	require.Contains(t, newer.Find("a pot").Names(), "pot", "a kind that is newer than the weights")
}

// with is the shelf with weights.
func with(t *testing.T, m *linear.Model) *dialog.Pack {
	t.Helper()
	p := shelf(t)
	p.Finding.Learned = m
	return p
}

// The trainer's own file is read with the folder.
func TestWeightsOfAFolder(t *testing.T) {
	f := find.New(shelf(t))
	var b bytes.Buffer
	require.NoError(t, f.Save([]find.Example{{Text: "the bakebox", Kinds: []string{"oven"}}, {Text: "bakebox", Kinds: []string{"oven"}}}, &b))
	fsys := shelfFiles()
	fsys["find.weights.gz"] = &fstest.MapFile{Data: b.Bytes()}
	p, err := dialog.Load(fsys)
	require.NoError(t, err)
	require.Equal(t, []string{"-", "oven", "pot", "rack"}, p.Finding.Learned.Classes())
	require.Equal(t, "oven", find.New(p).Find("our bakebox").Names()[0])
}
