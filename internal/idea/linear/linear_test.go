package linear

import (
	"bytes"
	"compress/gzip"
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

var how = Training{Epochs: 20, Rate: 0.1, Shrink: 1e-4, Least: 1, Slight: 0.01}

func on(names ...string) Input {
	var in Input
	for _, n := range names {
		in.All = append(in.All, Feature{n, 1})
	}
	return in
}

// small has three classes, of which two are pets.
func small() ([]string, []Family, []Example) {
	return []string{"cat", "dog", "car"}, []Family{{"pets", []string{"cat", "dog"}}}, []Example{
		{on("meow", "fur"), []string{"cat"}, 1},
		{on("woof", "fur"), []string{"dog"}, 1},
		{on("wheel", "horn"), []string{"car"}, 1},
		{on("lead", "fur"), []string{"dog"}, 1},
		{on("pet"), []string{"cat", "dog"}, 1},
	}
}

func TestTrain(t *testing.T) {
	classes, families, examples := small()
	m := Train(classes, families, examples, how)
	require.Equal(t, classes, m.Classes())
	for _, e := range examples {
		p := m.Weigh(e.Input)
		sum := 0.0
		for i, x := range p {
			sum += x
			for _, r := range e.Right {
				if classes[i] == r {
					require.Greater(t, x, 0.6/float64(len(e.Right)), "%v", e)
				}
			}
		}
		require.InDelta(t, 1, sum, 1e-9)
	}
	none := m.Weigh(on("never seen"))
	require.InDeltaSlice(t, []float64{1. / 3, 1. / 3, 1. / 3}, none, 1e-9, "nothing is known")
	fur := m.Weigh(on("fur"))
	require.Greater(t, fur[0]+fur[1], 0.7, "a family learns from all of its classes")
}

// What holds between a class and an example has one weight for all classes, also for one that no example had.
func TestOwn(t *testing.T) {
	named := func(class string) Input { return Input{Own: map[string][]Feature{class: {{"named", 1}}}} }
	m := Train([]string{"a", "b", "c"}, nil, []Example{{named("a"), []string{"a"}, 1}, {named("b"), []string{"b"}, 1}}, how)
	require.Greater(t, m.Weigh(named("c"))[2], 0.5)
}

func TestRareFeatures(t *testing.T) {
	classes, families, examples := small()
	least := how
	least.Least = 3
	m := Train(classes, families, examples, least)
	require.Contains(t, m.rows, "fur")
	require.NotContains(t, m.rows, "meow")
}

func TestFile(t *testing.T) {
	classes, families, examples := small()
	examples[0].Own = map[string][]Feature{"cat": {{"named", 1}}}
	m := Train(classes, families, examples, how)
	var a, b bytes.Buffer
	require.NoError(t, m.Write(&a, 0))
	require.NoError(t, Train(classes, families, examples, how).Write(&b, 0))
	require.Equal(t, a.Bytes(), b.Bytes(), "training is always the same")
	read, err := Read(bytes.NewReader(a.Bytes()))
	require.NoError(t, err)
	for _, e := range examples {
		require.InDeltaSlice(t, m.Weigh(e.Input), read.Weigh(e.Input), 0.02, "weights are rounded")
	}
	var again bytes.Buffer
	require.NoError(t, read.Write(&again, 0))
	require.Equal(t, a.Bytes(), again.Bytes())
	var less bytes.Buffer
	require.NoError(t, m.Write(&less, 0.3))
	require.Less(t, less.Len(), a.Len())
	require.ErrorIs(t, m.Write(full{}, 0), errFull)
}

var errFull = errors.New("full")

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errFull }

func packed(text string) *bytes.Buffer {
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	_, _ = z.Write([]byte(text)) // a buffer takes everything
	_ = z.Close()
	return &b
}

func TestFilesThatAreNone(t *testing.T) {
	const good = "classes\ta b\nfamily\tboth\ta b\nown\tnamed\t50\nall\tx\t0 10 2 -5\n"
	m, err := Read(packed(good))
	require.NoError(t, err)
	require.Equal(t, []string{"a", "b"}, m.Classes())
	for name, text := range map[string]string{
		"empty":        "",
		"no weights":   "classes\ta b\n",
		"no classes":   "all\tx\t0 10\n",
		"twice":        good + "classes\ta b\n",
		"late family":  good + "family\tf\ta\n",
		"other line":   good + "some\tx\t1\n",
		"column":       good + "all\ty\t3 1\n",
		"below":        good + "all\ty\t-1 1\n",
		"half":         good + "all\ty\t0\n",
		"no cells":     good + "all\ty\t\n",
		"no number":    good + "all\ty\t0 x\n",
		"two own":      good + "own\ty\t1 2\n",
		"too long":     good + "all\ty\t0 1" + strings.Repeat(" 0 1", longest) + "\n",
		"parts":        good + "all\ty\n",
		"class parts":  "classes\n" + good,
		"other column": "classes\ta\nall\tx\t1 1\n",
	} {
		_, err := Read(packed(text))
		require.ErrorIs(t, err, ErrFile, name)
	}
	_, err = Read(strings.NewReader(good))
	require.ErrorIs(t, err, ErrFile, "not packed")
	_, err = Read(bytes.NewReader(packed(good).Bytes()[:30]))
	require.ErrorIs(t, err, ErrFile, "torn")
}

// The own exponential is as good as the library's.
func TestExp(t *testing.T) {
	for x := 0.0; x > -59; x -= 0.037 {
		require.InEpsilon(t, math.Exp(x), exp(x), 1e-7, "%v", x)
	}
	require.Zero(t, exp(-100))
	require.Equal(t, 1.0, exp(0))
}

func FuzzRead(f *testing.F) {
	f.Add([]byte("classes\ta b\nfamily\tboth\ta b\nown\tnamed\t50\nall\tx\t0 10 2 -5\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		m, err := Read(packed(string(text)))
		if err != nil {
			require.ErrorIs(t, err, ErrFile)
			return
		}
		require.Len(t, m.Weigh(on("x")), len(m.Classes()))
	})
}
