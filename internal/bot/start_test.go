package bot_test

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"log/slog"
	"os"
	"os/exec"
	"runtime"
	"runtime/debug"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/bot"
	"benyomo/internal/engine/clock"
	"benyomo/internal/engine/store"
)

// A start is measured in a process of its own, since memory is the process's: this one has written the file. The test binary
// is run once more, with these variables.
const (
	startFolder  = "BENYOMO_START_FOLDER"  // of the data; set, the binary measures one start and no test runs
	startNumber  = "BENYOMO_START_NUMBER"  // the how-manieth it is, from 0
	startStopped = "BENYOMO_START_STOPPED" // how long the program stood still by the machine's clock
)

func TestMain(m *testing.M) {
	if dir := os.Getenv(startFolder); dir != "" {
		testing.Init()
		if err := flag.Set("test.benchtime", "1x"); err != nil { // what was due is due once
			panic(err)
		}
		r := testing.Benchmark(func(b *testing.B) { measureStart(b, dir) })
		if r.N == 0 {
			os.Exit(1)
		}
		return
	}
	os.Exit(m.Run())
}

// started is what one start took.
type started struct {
	Open, Pass float64 // milliseconds: to open the file, and until the first pass is committed
	Memory     memory
}

// memory is what a process has, in MB. Resident is what it has in all; of it, Anon is its own, and File belongs to files, most of
// it to the data file, of which the machine takes back what it needs.
type memory struct{ Heap, Resident, Anon, File float64 }

func measureMemory(b *testing.B) memory {
	debug.FreeOSMemory()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	raw, err := os.ReadFile("/proc/self/status")
	if err != nil {
		b.Skip("the memory of a process is read from /proc, which is not there")
	}
	mb := func(name string) float64 {
		for line := range strings.Lines(string(raw)) {
			if f := strings.Fields(line); len(f) == 3 && f[0] == name+":" {
				kb, err := strconv.ParseFloat(f[1], 64)
				require.NoError(b, err)
				return kb / 1024
			}
		}
		require.Fail(b, "no such line", name)
		return 0
	}
	return memory{float64(m.HeapAlloc) / (1 << 20), mb("VmRSS"), mb("RssAnon"), mb("RssFile")}
}

// begin runs the writer, and returns how to stop it.
func begin(b *testing.B, w *bot.Bot) (stop func()) {
	quit, over := make(chan struct{}), make(chan error, 1)
	go func() { over <- w.Run(context.Background(), quit) }()
	return func() {
		close(quit)
		require.NoError(b, <-over)
	}
}

// measureStart starts the writer once on the folder and writes what it took.
func measureStart(b *testing.B, dir string) {
	number, err := strconv.Atoi(os.Getenv(startNumber))
	require.NoError(b, err)
	stopped, err := time.ParseDuration(os.Getenv(startStopped))
	require.NoError(b, err)
	household := clock.NewManual(windowStart().Add(time.Duration(number)*time.Second + time.Millisecond))
	machine := clock.NewMovable(clock.System{}, time.Now().Add(stopped))
	hear := &listener{household: household}
	thePack(b) // read before: it does not depend on the timers
	debug.FreeOSMemory()

	from := time.Now()
	s, err := store.Open(dir)
	require.NoError(b, err)
	opened := time.Since(from)
	w := writer(b, s, hear, household, machine, slog.New(slog.DiscardHandler))
	stop := begin(b, w)
	require.NoError(b, w.Settled(context.Background()))
	passed := time.Since(from)
	ms := func(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }
	out := started{Open: ms(opened), Pass: ms(passed), Memory: measureMemory(b)}
	if posts, _ := hear.heard(); number < firstStart {
		require.NotEmpty(b, posts, "what was due came")
	}
	stop()
	require.NoError(b, s.Close())
	require.NoError(b, json.NewEncoder(os.Stdout).Encode(out))
}

// starts counts the starts on a folder, so that each has its timer and its time.
var starts = map[string]int{}

// benchmarkStart starts the writer in processes of their own, after a stop that is long enough for presses to be lost, or not.
func benchmarkStart(b *testing.B, dir string, long bool) {
	var sum started
	n := 0.0
	for b.Loop() {
		stopped := time.Duration(0)
		if long {
			stopped = time.Duration(starts[dir]+1) * time.Hour
		}
		got := startOnce(b, dir, starts[dir], stopped)
		starts[dir]++
		n++
		sum.Open += got.Open
		sum.Pass += got.Pass
		sum.Memory.Heap += got.Memory.Heap
		sum.Memory.Resident += got.Memory.Resident
		sum.Memory.Anon += got.Memory.Anon
		sum.Memory.File += got.Memory.File
	}
	b.ReportMetric(sum.Open/n, "open-ms")
	b.ReportMetric(sum.Pass/n, "pass-ms")
	b.ReportMetric(sum.Memory.Heap/n, "heap-MB")
	b.ReportMetric(sum.Memory.Resident/n, "rss-MB")
	b.ReportMetric(sum.Memory.Anon/n, "anon-MB")
	b.ReportMetric(sum.Memory.File/n, "file-MB")
	b.ReportMetric(0, "ns/op")
}

func startOnce(b *testing.B, dir string, number int, stopped time.Duration) (out started) {
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), startFolder+"="+dir, fmt.Sprintf("%s=%d", startNumber, number), startStopped+"="+stopped.String())
	var complaint bytes.Buffer
	cmd.Stderr = &complaint
	raw, err := cmd.Output()
	require.NoError(b, err, "%s%s", raw, complaint.String())
	require.NoError(b, json.Unmarshal(raw, &out), "%s", raw)
	return out
}
