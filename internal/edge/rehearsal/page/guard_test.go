package page

import (
	"io/fs"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/internal/edge/rehearsal/server"
)

func TestRequestsOfOtherSitesAreRefused(t *testing.T) {
	b := newBench(t)
	for name, c := range map[string]struct {
		method, path, host string
		header             map[string]string
		status             int
	}{
		"own page":                  {"GET", "/", "127.0.0.1:8080", map[string]string{"Sec-Fetch-Site": "none"}, 200},
		"own page, IPv6":            {"GET", "/", "[::1]:8080", nil, 200},
		"a program":                 {"GET", "/api/state?wait=0", "localhost", nil, 200},
		"a foreign name":            {"GET", "/", "rebound.example:8080", nil, 403},
		"a name that looks local":   {"GET", "/", "localhost.example", nil, 403},
		"an address of the network": {"GET", "/", "192.168.1.5:8080", nil, 403},
		"a foreign origin":          {"POST", "/api/say", "localhost:8080", map[string]string{"Origin": "https://site.example"}, 403},
		"a hidden origin":           {"POST", "/api/say", "localhost:8080", map[string]string{"Origin": "null"}, 403},
		"another port":              {"POST", "/api/say", "localhost:8080", map[string]string{"Origin": "http://localhost:9090"}, 403},
		"a foreign reader":          {"GET", "/api/state?wait=0", "localhost:8080", map[string]string{"Sec-Fetch-Site": "cross-site"}, 403},
		"another local port reads":  {"GET", "/api/file/x", "localhost:8080", map[string]string{"Sec-Fetch-Site": "same-site"}, 403},
		"a link to the page": {"GET", "/", "localhost:8080",
			map[string]string{"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate"}, 200},
		"a link to an endpoint": {"GET", "/api/state?wait=0", "localhost:8080",
			map[string]string{"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate"}, 403},
		"a form on no site in particular": {"POST", "/api/say", "localhost:8080", map[string]string{"Content-Type": "text/plain"}, 415},
	} {
		t.Run(name, func(t *testing.T) {
			r := httptest.NewRequest(c.method, c.path, strings.NewReader(`{"view":"rivka","text":"a"}`))
			r.Host = c.host
			for k, v := range c.header {
				r.Header.Set(k, v)
			}
			w := httptest.NewRecorder()
			b.page.ServeHTTP(w, r)
			require.Equal(t, c.status, w.Code, w.Body.String())
			if c.status != 200 {
				require.Contains(t, w.Body.String(), `"error":"`)
			}
		})
	}
	require.Empty(t, b.server.Chat(1))
}

func TestThePageIsSelfContained(t *testing.T) {
	b := newBench(t)
	w := b.do(http.MethodGet, "/", "", nil)
	require.Equal(t, "text/html; charset=utf-8", w.Header().Get("Content-Type"))
	csp := w.Header().Get("Content-Security-Policy")
	for _, part := range []string{"default-src 'none'", "script-src 'self'", "frame-ancestors 'none'", "base-uri 'none'", "form-action 'none'"} {
		require.Contains(t, csp, part)
	}
	require.NotContains(t, csp, "unsafe")
	require.Equal(t, "nosniff", w.Header().Get("X-Content-Type-Options"))
	require.Equal(t, 404, b.do(http.MethodGet, "/assets/none.js", "", nil).Code)
	require.Equal(t, 405, b.do(http.MethodGet, "/api/say", "", nil).Code)

	files, err := fs.Glob(web, "web/*")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, name := range files {
		content, err := web.ReadFile(name)
		require.NoError(t, err)
		require.NotRegexp(t, `https?://|//[a-z]+\.|@import|url\(`, string(content), "%s fetches something from elsewhere", name)
		require.NotRegexp(t, `innerHTML|outerHTML|insertAdjacentHTML|document\.write|\beval\b| style="| on[a-z]+="`, string(content),
			"%s makes markup out of strings or breaks the policy", name)
		if base := strings.TrimPrefix(name, "web/"); base != "index.html" {
			require.Equal(t, 200, b.do(http.MethodGet, "/assets/"+base, "", nil).Code)
		}
	}
}

func TestNewRefusesWhatCannotWork(t *testing.T) {
	require.Panics(t, func() { New(Options{}) })
	s := server.New(server.Options{Token: token})
	defer func() { require.NoError(t, s.Close()) }()
	twice := []View{{Key: "a"}, {Key: "a"}}
	require.Panics(t, func() { New(Options{Server: s, Clock: &handClock{}, Views: twice}) })
}
