package telegram

import (
	"bytes"
	"context"
	"crypto/tls"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"net/http"
	"net/url"
	"strings"
	"time"

	tgbotapi "github.com/go-telegram-bot-api/telegram-bot-api/v5"
)

// Doer makes an HTTP request; *http.Client does.
type Doer interface {
	Do(*http.Request) (*http.Response, error)
}

// maxAnswer is the longest answer that is read, in bytes. A batch of updates is cut by the messenger near 4 MB.
const maxAnswer = 32 << 20

// newClient makes the HTTP client. It keeps to HTTP/1.1, where a connection that hangs concerns one request only, and
// follows no redirect, which would carry the token elsewhere. Time-outs of whole requests are the contexts'.
func newClient() *http.Client {
	return &http.Client{
		Transport: &http.Transport{
			Proxy:               http.ProxyFromEnvironment,
			DialContext:         (&net.Dialer{Timeout: 10 * time.Second, KeepAlive: 15 * time.Second}).DialContext,
			TLSHandshakeTimeout: 10 * time.Second,
			TLSNextProto:        map[string]func(string, *tls.Conn) http.RoundTripper{},
			MaxIdleConnsPerHost: 40, // the courier's sends, some toasts and the poll
			IdleConnTimeout:     90 * time.Second,
		},
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
	}
}

// hook is the client that the library is given for one call: it brings the context that the library lacks, and reads the
// whole answer so that the connection can be used again.
type hook struct {
	ctx  context.Context
	http Doer
}

// Do makes the request.
func (h hook) Do(r *http.Request) (*http.Response, error) {
	resp, err := h.http.Do(r.WithContext(h.ctx))
	if err != nil {
		return nil, err
	}
	defer func() { _ = resp.Body.Close() }()
	body, err := io.ReadAll(io.LimitReader(resp.Body, maxAnswer))
	if err != nil {
		return nil, fmt.Errorf("reading the answer: %w", err)
	}
	if !json.Valid(body) {
		return nil, fmt.Errorf("the answer with HTTP status %d is not JSON", resp.StatusCode)
	}
	resp.Body = io.NopCloser(bytes.NewReader(body))
	return resp, nil
}

// bare takes the address away from an error of the HTTP client.
func bare(err error) error {
	if e := (*url.Error)(nil); errors.As(err, &e) {
		return e.Err
	}
	return err
}

// call makes one call, within the timeout. Every error it returns is a *failure.
func (t *Telegram) call(ctx context.Context, timeout time.Duration, method string, params tgbotapi.Params) (json.RawMessage, error) {
	ctx, cancel := context.WithTimeout(ctx, timeout)
	defer cancel()
	resp, err := t.api(ctx).MakeRequest(method, params)
	if err != nil {
		return nil, t.failed(method, err)
	}
	return resp.Result, nil
}

// upload makes one call that carries files, by the names of their fields, within the timeout. Every error it returns is a
// *failure.
func (t *Telegram) upload(ctx context.Context, timeout time.Duration, method string, params tgbotapi.Params, fields []string, files []File) (json.RawMessage, error) {
	ctx, cancel := context.WithTimeout(ctx, timeout)
	defer cancel()
	parts := make([]tgbotapi.RequestFile, len(files))
	for i, f := range files {
		parts[i] = tgbotapi.RequestFile{Name: fields[i], Data: tgbotapi.FileBytes{Name: f.Name, Bytes: f.Data}}
	}
	resp, err := t.api(ctx).UploadFiles(method, params, parts)
	if err != nil {
		return nil, t.failed(method, err)
	}
	return resp.Result, nil
}

// api is the library's client for one request, bound to its context.
func (t *Telegram) api(ctx context.Context) *tgbotapi.BotAPI {
	api := &tgbotapi.BotAPI{Token: string(t.o.Token), Client: hook{ctx, t.http}}
	api.SetAPIEndpoint(strings.ReplaceAll(t.o.Endpoint, "%", "%%") + "/bot%s/%s")
	return api
}

// The back-off of polling and of Dial.
const (
	shortest = time.Second
	longest  = 30 * time.Second
)

// backOff is the wait after so many failures in a row: it doubles, and half of it is left to chance.
func backOff(tries int) time.Duration {
	whole := longest
	if tries < 5 {
		whole = 2 * shortest << (tries - 1)
	}
	return whole/2 + rand.N(whole/2+1)
}

// sleep waits, and tells whether the context still lives.
func sleep(ctx context.Context, wait time.Duration) bool {
	timer := time.NewTimer(wait)
	defer timer.Stop()
	select {
	case <-timer.C:
		return ctx.Err() == nil
	case <-ctx.Done():
		return false
	}
}
