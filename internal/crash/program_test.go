package crash

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
	_ "time/tzdata" // the same zones as the program's

	"github.com/stretchr/testify/require"

	"benyomo/internal/edge/rehearsal/server"
	"benyomo/internal/idea/luach"
	"benyomo/internal/stage"
)

// token is the bot's in these tests. Its second half is looked for in everything that the program writes.
const (
	tokenSecret = "AAcrashTESTsecretXYZ_0123456789abc"
	token       = "123456:" + tokenSecret
)

// binary is the real program, built once for all tests.
var binary string

func TestMain(m *testing.M) {
	os.Exit(func() int {
		dir, err := os.MkdirTemp("", "benyomo-crash-")
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			return 1
		}
		defer os.RemoveAll(dir)
		binary = filepath.Join(dir, "benyomo")
		build := exec.Command("go", "build", "-o", binary, "benyomo/cmd/benyomo")
		if out, err := build.CombinedOutput(); err != nil {
			fmt.Fprintf(os.Stderr, "build the program: %v\n%s", err, out)
			return 1
		}
		flag.Parse()
		if err := flag.Set("test.parallel", "4"); err != nil { // they wait for the messenger's pace, and hardly compute
			fmt.Fprintln(os.Stderr, err)
			return 1
		}
		return m.Run()
	}())
}

// output collects what a process writes. It can be read while the process runs.
type output struct {
	mu      sync.Mutex
	buf     bytes.Buffer
	written chan struct{} // closed at the next write, where somebody waits for it
}

func (o *output) Write(p []byte) (int, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.written != nil {
		close(o.written)
		o.written = nil
	}
	return o.buf.Write(p)
}

// until waits until the output holds the text.
func (o *output) until(ctx context.Context, text string) error {
	for {
		o.mu.Lock()
		found := strings.Contains(o.buf.String(), text)
		if o.written == nil {
			o.written = make(chan struct{})
		}
		written := o.written
		o.mu.Unlock()
		if found {
			return nil
		}
		select {
		case <-written:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}

func (o *output) String() string {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.buf.String()
}

// process is one run of the program.
type process struct {
	cmd    *exec.Cmd
	out    output // what it prints
	log    output // what it logs
	ended  chan struct{}
	result error
}

// start runs `benyomo serve` with an environment of its own: nothing of the tester's reaches it.
func start(t *testing.T, config string, env ...string) *process {
	t.Helper()
	p := &process{cmd: exec.Command(binary, "serve", "--config", config), ended: make(chan struct{})}
	p.cmd.Stdout, p.cmd.Stderr = &p.out, &p.log
	p.cmd.Env = env
	p.cmd.Dir = filepath.Dir(config)
	require.NoError(t, p.cmd.Start())
	go func() {
		p.result = p.cmd.Wait()
		close(p.ended)
	}()
	t.Cleanup(func() { // where a test failed on its way
		_ = p.cmd.Process.Kill()
		<-p.ended
	})
	return p
}

// kill ends the process as a power cut would.
func (p *process) kill(t *testing.T) {
	t.Helper()
	select {
	case <-p.ended:
		require.Failf(t, "the program ended by itself", "%v\n%s", p.result, p.log.String())
	default:
	}
	require.NoError(t, p.cmd.Process.Signal(syscall.SIGKILL))
	<-p.ended
}

// stopWithin is how long a stop may take (a service manager's patience is seldom shorter).
const stopWithin = 10 * time.Second

// stop asks the process to end, and checks that it does so in time and in peace. It returns how long that took.
func (p *process) stop(t *testing.T) time.Duration {
	t.Helper()
	begun := time.Now()
	require.NoError(t, p.cmd.Process.Signal(syscall.SIGTERM))
	code := p.wait(t, stopWithin)
	took := time.Since(begun)
	require.Zero(t, code, p.log.String())
	require.Contains(t, p.out.String(), "Stopped.")
	return took
}

// wait waits for the process to end by itself, and returns its exit code.
func (p *process) wait(t *testing.T, atMost time.Duration) int {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), atMost)
	defer cancel()
	select {
	case <-p.ended:
	case <-ctx.Done():
		_ = p.cmd.Process.Signal(syscall.SIGQUIT) // it says where it stands
		<-p.ended
		require.Failf(t, "the program does not end", "after %s\n%s", atMost, p.log.String())
	}
	if e := (*exec.ExitError)(nil); errors.As(p.result, &e) {
		return e.ExitCode()
	}
	require.NoError(t, p.result)
	return 0
}

// awake finds a place at which no rest begins for as long as possible: the program keeps the real clock, and is silent on
// Shabbos and festivals. Etc/GMT zones count westwards.
func awake(t *testing.T, now time.Time) luach.Place {
	t.Helper()
	var best luach.Place
	var left time.Duration
	for east := -11; east <= 12; east++ {
		zone, err := time.LoadLocation(fmt.Sprintf("Etc/GMT%+d", -east))
		require.NoError(t, err)
		p := luach.Place{Name: "Emek Rimon", Longitude: float64(15 * east), Zone: zone, Israel: true}
		if _, rest := luach.RestAt(p, now); rest {
			continue
		}
		if d := luach.NextRest(p, now).Begins.Sub(now); d > left {
			best, left = p, d
		}
	}
	if left < 20*time.Minute {
		t.Skip("it is Shabbos or a festival everywhere on earth, or will be in a moment: the program rests, and there is no load")
	}
	return best
}

// configure writes the configuration of the invented community, and returns its path.
func configure(t *testing.T, dir string, p luach.Place) string {
	t.Helper()
	path := filepath.Join(dir, "community.yaml")
	require.NoError(t, os.WriteFile(path, fmt.Appendf(nil, `name: Kehillas Emek Rimon
place: {name: %s, latitude: %g, longitude: %g, zone: %s, israel: true}
data: data
admission: anybody
approving-rabbi: %d
office: [%d]
rates: {per-second: 30, chat-per-second: 1}
`, p.Name, p.Latitude, p.Longitude, p.Zone, stage.Rabbi, stage.Office), 0o600))
	return path
}

// environment is what the program needs to find the local server at an address.
func environment(api string) []string {
	return []string{"BENYOMO_TOKEN=" + token, "BENYOMO_API=" + api}
}

// newServer is the messenger, with the rabbi and the office among its people.
func newServer(t *testing.T) *server.Server {
	t.Helper()
	s := server.New(server.Options{Token: token})
	t.Cleanup(func() { _ = s.Close() })
	for id, name := range map[int64]string{stage.Rabbi: "Rabbi", stage.Office: "Office"} {
		s.AddPerson(server.Person{ID: id, FirstName: name, LanguageCode: "en"})
	}
	return s
}
