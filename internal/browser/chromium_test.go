package browser

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// program is the Chromium to drive: the one that the environment names, else the first on the path.
func program(t *testing.T) string {
	t.Helper()
	if named := os.Getenv("CHROMIUM"); named != "" {
		path, err := exec.LookPath(named)
		require.NoError(t, err, "CHROMIUM names no program")
		return path
	}
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	const why = "there is no Chromium on the path; install one, or name one by the variable CHROMIUM"
	if os.Getenv("CI") == "true" {
		require.Fail(t, why)
	}
	t.Skip(why)
	return ""
}

// chromium starts a browser with a profile of its own. At the end of the test it is closed, and nothing of it may be left.
func chromium(t *testing.T) context.Context {
	t.Helper()
	profile := t.TempDir()
	options := []chromedp.ExecAllocatorOption{chromedp.ExecPath(program(t)), chromedp.UserDataDir(profile),
		chromedp.Env("XDG_CONFIG_HOME="+profile, "XDG_CACHE_HOME="+profile)} // some builds keep crash reports there
	for _, flag := range []string{"headless", "no-sandbox", "disable-gpu", "disable-quic", "no-first-run",
		"disable-background-networking", "disable-component-update", "disable-sync", "hide-scrollbars"} {
		options = append(options, chromedp.Flag(flag, true))
	}
	options = append(options, chromedp.Flag("force-color-profile", "srgb"), chromedp.Flag("lang", "en-US"))
	all, done := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, _ := chromedp.NewContext(all) // ended by Cancel
	t.Cleanup(func() {
		family := descendants(t, os.Getpid())
		bounded, cancel := context.WithTimeout(ctx, 10*time.Second)
		defer cancel()
		err := chromedp.Cancel(bounded)
		done()
		require.NoError(t, err)
		if runtime.GOOS != "linux" {
			return // no /proc to look into
		}
		require.NotEmpty(t, family, "the browser ran")
		require.Eventually(t, func() bool { return len(alive(family, profile)) == 0 }, 10*time.Second, 20*time.Millisecond,
			"processes of the browser are left")
	})
	require.NoError(t, chromedp.Do(ctx))
	return ctx
}

// process is a running process. Its start tells it from a later one with the same number.
type process struct {
	id, parent int
	start      string
}

// read finds a process in Linux's /proc (proc(5): /proc/pid/stat, fields 3, 4 and 22). A zombie is over.
func read(id int) (process, bool) {
	raw, err := os.ReadFile(filepath.Join("/proc", strconv.Itoa(id), "stat"))
	if err != nil {
		return process{}, false
	}
	_, rest, _ := strings.Cut(string(raw), ") ")
	f := strings.Fields(rest)
	if len(f) < 20 || f[0] == "Z" {
		return process{}, false
	}
	parent, _ := strconv.Atoi(f[1])
	return process{id, parent, f[19]}, true
}

// running lists all processes of the machine.
func running(t *testing.T) []process {
	t.Helper()
	names, err := filepath.Glob("/proc/[0-9]*")
	require.NoError(t, err)
	var all []process
	for _, name := range names {
		id, _ := strconv.Atoi(filepath.Base(name))
		if p, ok := read(id); ok {
			all = append(all, p)
		}
	}
	return all
}

// descendants lists the processes below one.
func descendants(t *testing.T, of int) []process {
	t.Helper()
	all := running(t)
	var out []process
	for below := map[int]bool{of: true}; ; {
		grown := false
		for _, p := range all {
			if below[p.parent] && !below[p.id] {
				below[p.id], grown = true, true
				out = append(out, p)
			}
		}
		if !grown {
			return out
		}
	}
}

// alive are those of the family that still run, and whatever else uses the browser's profile: helpers that it let go of.
func alive(family []process, profile string) []int {
	var out []int
	for _, p := range family {
		if now, ok := read(p.id); ok && now.start == p.start {
			out = append(out, p.id)
		}
	}
	names, _ := filepath.Glob("/proc/[0-9]*/cmdline")
	for _, name := range names {
		if line, err := os.ReadFile(name); err == nil && strings.Contains(string(line), profile) {
			id, _ := strconv.Atoi(filepath.Base(filepath.Dir(name)))
			out = append(out, id)
		}
	}
	return out
}
