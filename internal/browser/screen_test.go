package browser

import (
	"bytes"
	"context"
	_ "embed"
	"encoding/json"
	"fmt"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/require"
)

//go:embed hand.js
var handJS string

// patience bounds one look or move in the browser; hand.js gives up earlier, and says what it saw.
const patience = 25 * time.Second

// Screenshots are kept in the test's own folder, or in the repository's when this variable is "1".
const (
	keepVariable = "BENYOMO_SCREENSHOTS"
	keepFolder   = "../../docs/screenshots"
	maxPicture   = 300_000 // bytes of one
)

// screen is the rehearsal's page in a tab of the browser, with somebody in front of it.
type screen struct {
	*testing.T
	tab      context.Context
	folder   string // of the screenshots
	width    int
	mu       sync.Mutex
	troubles []string // what the page complained of in the console
}

// open opens the page in a tab that shares nothing with others, at the width of a desk.
func open(t *testing.T, browser context.Context, url string) *screen {
	t.Helper()
	tab, end := chromedp.NewContext(browser, chromedp.WithNewBrowserContext())
	s := &screen{T: t, tab: tab, folder: t.TempDir()}
	if os.Getenv(keepVariable) == "1" {
		s.folder = keepFolder
		require.NoError(t, os.MkdirAll(s.folder, 0o755))
	}
	t.Cleanup(end)
	require.NoError(t, chromedp.Do(tab))
	messages := chromedp.Console(tab)
	var listening sync.WaitGroup
	listening.Go(func() {
		for m, err := range messages {
			if err != nil {
				return
			}
			s.hear(m)
		}
	})
	t.Cleanup(func() { // before the tab is closed
		end()
		listening.Wait()
		require.Empty(t, s.troubles, "the page complained")
	})
	s.resize(1280, 900)
	s.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{
			{Name: "prefers-color-scheme", Value: "light"}, {Name: "prefers-reduced-motion", Value: "reduce"}}})
		return err
	}))
	s.do(chromedp.Navigate(url))
	s.do(chromedp.Evaluate[chromedp.Void](handJS))
	return s
}

// hear notes what the console says. A refused request is noted there by the browser itself: the tests of bad input make such.
func (s *screen) hear(m chromedp.ConsoleMessage) {
	if m.Source == "network" && strings.Contains(m.Text, "400 (Bad Request)") {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.troubles = append(s.troubles, m.String()+" "+m.URL)
}

// do moves the hand.
func (s *screen) do(action chromedp.Action[chromedp.Void]) {
	s.Helper()
	ctx, cancel := context.WithTimeout(s.tab, patience)
	defer cancel()
	require.NoError(s, chromedp.Do(ctx, action))
}

// look asks the eye: the value of a script, of which each verb becomes an argument, as JSON.
func look[T any](s *screen, script string, args ...any) T {
	s.Helper()
	ctx, cancel := context.WithTimeout(s.tab, patience)
	defer cancel()
	for i, a := range args {
		raw, err := json.Marshal(a)
		require.NoError(s, err)
		args[i] = string(raw)
	}
	got, err := chromedp.Run(ctx, chromedp.Evaluate[T](fmt.Sprintf(script, args...), chromedp.EvalAwaitPromise))
	require.NoError(s, err, script)
	return got
}

// resize makes the window as wide as a desk or a phone is.
func (s *screen) resize(width, height int64) {
	s.Helper()
	s.width = int(width)
	s.do(chromedp.EmulateViewport(width, height))
	s.frames()
}

// click finds a control by a script, waits until it stands still with nothing over it, and clicks on it.
func (s *screen) click(script string, args ...any) {
	s.Helper()
	at := look[[]float64](s, "hand.until(() => hand.place("+script+"))", args...)
	require.Len(s, at, 2, "nothing to click on: "+script+"\n%v\n%s", args, look[string](s, "document.body.innerText"))
	s.do(chromedp.MouseClickXY(at[0], at[1]))
	require.Empty(s, look[string](s, "hand.missed()"))
}

// press clicks on the newest button with this label in a person's view, and waits for the bot's answer under the entries: it
// is another than before, for no two presses of one person in a row are alike.
func (s *screen) press(who, label string) {
	s.Helper()
	s.pressOn(who, "hand.key(%s, %s)", who, label)
}

// pressOn is press for a button that a script finds.
func (s *screen) pressOn(who, script string, args ...any) {
	s.Helper()
	before := look[string](s, "hand.note(%s)", who)
	s.click(script, args...)
	s.waits("hand.answered(%s, %s)", who, before)
}

// write types a message as a person, and sends it with Enter, or with the button.
func (s *screen) write(who, text string, enter bool) {
	s.Helper()
	s.click("hand.field(%s)", who)
	s.do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, input.InsertText, input.InsertTextParams{Text: text})
		return err
	}))
	if enter {
		s.do(chromedp.KeyEvent(kb.Enter))
	} else {
		s.click("hand.send(%s)", who)
	}
}

// waits until a script is true.
func (s *screen) waits(script string, args ...any) {
	s.Helper()
	shown := append([]any(nil), args...)
	if !look[bool](s, "hand.until(() => "+script+").then(Boolean)", args...) {
		require.Fail(s, "it does not come: "+script, "%v\n%s", shown, look[string](s, "document.body.innerText"))
	}
}

// reads waits until a person's view says all of this.
func (s *screen) reads(who string, texts ...string) {
	s.Helper()
	for _, text := range texts {
		s.waits("hand.reads(%s).includes(%s)", who, text)
	}
}

// choose brings a person's view to the screen of a phone.
func (s *screen) choose(who string) {
	s.Helper()
	s.click("hand.chooser(%s)", who)
	s.waits("hand.view(%s)", who)
}

// fits checks that nothing reaches over the edge of the screen.
func (s *screen) fits() {
	s.Helper()
	require.Empty(s, look[[]string](s, "hand.wide()"), "%d px are too narrow", s.width)
}

// frames waits until the page has drawn itself anew.
func (s *screen) frames() {
	s.Helper()
	look[chromedp.Void](s, "document.fonts.ready.then(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))))")
}

// shoot takes a screenshot of the end of the page when everything has arrived in it, with the focus and the mouse nowhere: no
// caret blinks in it, and it is the same each time.
func (s *screen) shoot(name string) {
	s.Helper()
	s.waits("hand.current()")
	look[chromedp.Void](s, "document.activeElement?.blur()")
	for _, hidden := range []bool{true, false} { // what stays from frames before would be drawn by fractions of a pixel elsewhere
		look[chromedp.Void](s, "document.body.hidden = %v", hidden)
		s.frames()
	}
	look[chromedp.Void](s, "scrollTo(0, document.documentElement.scrollHeight)")
	s.do(chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, 0, 0))
	s.frames()
	ctx, cancel := context.WithTimeout(s.tab, patience)
	defer cancel()
	raw, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
	require.NoError(s, err)
	picture, err := png.DecodeConfig(bytes.NewReader(raw))
	require.NoError(s, err)
	require.Equal(s, s.width, picture.Width)
	require.Less(s, len(raw), maxPicture, name)
	require.NoError(s, os.WriteFile(filepath.Join(s.folder, name), raw, 0o644))
}
