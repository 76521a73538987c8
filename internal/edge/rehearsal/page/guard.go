package page

import (
	"encoding/json"
	"errors"
	"io"
	"mime"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"strings"
)

// policy is the Content-Security-Policy: everything comes from this page's own origin, nothing inline, nobody frames it,
// and no script may turn a string into markup.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; media-src 'self'; " +
	"connect-src 'self'; form-action 'none'; base-uri 'none'; frame-ancestors 'none'; " +
	"require-trusted-types-for 'script'; trusted-types 'none'"

// protect sets the headers that every answer carries.
func protect(h http.Header) {
	h.Set("Content-Security-Policy", policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cache-Control", "no-store")
}

// guard refuses what another site's page could have sent. Three signs are looked at, because each covers what the others
// miss: the Host (a foreign name that resolves to this machine), the Origin (sent with every cross-site POST), and
// Sec-Fetch-Site (sent with reads as well). A program without a browser sends the first only and is let in.
func guard(r *http.Request) error {
	refuse := func(sentence string) error { return &problem{http.StatusForbidden, sentence} }
	if !loopback(r.Host) {
		return refuse("This page answers only on this machine's own address, such as localhost.")
	}
	if origin := r.Header.Get("Origin"); origin != "" {
		u, err := url.Parse(origin)
		if err != nil || !strings.EqualFold(u.Host, r.Host) || (u.Scheme != "http" && u.Scheme != "https") {
			return refuse("This request came from another site and was refused.")
		}
	}
	switch r.Header.Get("Sec-Fetch-Site") {
	case "", "same-origin", "none":
		return nil
	}
	// A link on another site may open the page itself: it can neither read it nor frame it.
	if r.Method == http.MethodGet && r.URL.Path == "/" && r.Header.Get("Sec-Fetch-Mode") == "navigate" {
		return nil
	}
	return refuse("This request came from another site and was refused.")
}

// loopback reports whether a Host header names this machine only.
func loopback(hostport string) bool {
	host := hostport
	if h, _, err := net.SplitHostPort(hostport); err == nil {
		host = h
	}
	host = strings.Trim(host, "[]")
	if strings.EqualFold(host, "localhost") {
		return true
	}
	addr, err := netip.ParseAddr(host)
	return err == nil && addr.Unmap().IsLoopback()
}

// maxBody bounds a JSON request, in bytes; the longest text of 4096 characters fits several times.
const maxBody = 64 << 10

// decode reads a JSON request into v. Unknown fields are refused, so that a misspelt one is not silently nothing. The
// content type must be JSON: a form on another site cannot send that without asking first.
func decode(w http.ResponseWriter, r *http.Request, v any) error {
	kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil || kind != "application/json" {
		return &problem{http.StatusUnsupportedMediaType, "Send JSON, with the content type application/json."}
	}
	d := json.NewDecoder(http.MaxBytesReader(w, r.Body, maxBody))
	d.DisallowUnknownFields()
	if err := d.Decode(v); err != nil {
		return unreadable(err)
	}
	if err := d.Decode(new(json.RawMessage)); !errors.Is(err, io.EOF) {
		return bad("Send one JSON object and nothing after it.")
	}
	return nil
}

// unreadable turns a decoding error into a sentence.
func unreadable(err error) error {
	var size *http.MaxBytesError
	if errors.As(err, &size) {
		return &problem{http.StatusRequestEntityTooLarge, "That is too much for one request."}
	}
	var kind *json.UnmarshalTypeError
	if errors.As(err, &kind) {
		return bad("The field “" + kind.Field + "” must not be a " + kind.Value + ".")
	}
	if field, ok := strings.CutPrefix(err.Error(), "json: unknown field "); ok {
		return bad("There is no field " + field + " here.")
	}
	return bad("That is not readable as JSON.")
}
