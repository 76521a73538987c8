package server

import (
	"encoding/json"
	"errors"
	"io"
	"mime"
	"mime/multipart"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"unicode/utf8"
)

// maxBody is the largest request body in bytes: the API's 50 MB for an upload and room for the rest of the form.
const maxBody = 52 << 20

// upload is one file part of a multipart body.
type upload struct {
	name string
	data []byte
}

// params are a call's parameters, whatever shape they came in: texts by name, and uploaded parts by name.
type params struct {
	values map[string]string
	files  map[string]upload
}

// readParams merges the query string and the body. The body is read to its end in every case, since only then does
// net/http notice that a client has gone.
func readParams(w http.ResponseWriter, r *http.Request) (params, *apiError) {
	p := params{values: map[string]string{}, files: map[string]upload{}}
	for name, v := range r.URL.Query() {
		p.values[name] = v[0]
	}
	body := http.MaxBytesReader(w, r.Body, maxBody)
	kind, attributes, _ := mime.ParseMediaType(r.Header.Get("Content-Type"))
	var err error
	switch {
	case strings.HasPrefix(kind, "multipart/"):
		err = p.readMultipart(multipart.NewReader(body, attributes["boundary"]))
	case kind == "application/json":
		err = p.readJSON(body)
	default:
		err = p.readForm(body)
	}
	if err == nil {
		_, err = io.Copy(io.Discard, body)
	}
	var tooLarge *http.MaxBytesError
	switch {
	case errors.As(err, &tooLarge):
		return params{}, errTooLarge
	case err != nil:
		return params{}, badRequest("can't read the request body")
	}
	for _, v := range p.values {
		if !utf8.ValidString(v) {
			return params{}, badRequest("strings must be encoded in UTF-8")
		}
	}
	return p, nil
}

func (p params) readForm(body io.Reader) error {
	raw, err := io.ReadAll(body)
	if err != nil {
		return err
	}
	form, _ := url.ParseQuery(string(raw)) // what could be parsed counts, the rest is as if it had not been sent
	for name, v := range form {
		p.values[name] = v[0]
	}
	return nil
}

// readJSON takes a text as it is and everything else as its JSON text, so that "chat_id":77 and "chat_id":"77" are the
// same, and so are an object and a text that contains one. A body that is null, broken or no object counts as empty.
func (p params) readJSON(body io.Reader) error {
	raw, err := io.ReadAll(body)
	if err != nil {
		return err
	}
	var fields map[string]json.RawMessage
	if json.Unmarshal(raw, &fields) != nil {
		return nil
	}
	for name, v := range fields {
		var text string
		switch {
		case string(v) == "null":
		case json.Unmarshal(v, &text) == nil:
			p.values[name] = text
		default:
			p.values[name] = string(v)
		}
	}
	return nil
}

func (p params) readMultipart(body *multipart.Reader) error {
	for {
		part, err := body.NextPart()
		if errors.Is(err, io.EOF) || err != nil && strings.Contains(err.Error(), "boundary is empty") {
			return nil // also the end of a body without a single part, which some clients send
		}
		if err != nil {
			return err
		}
		data, err := io.ReadAll(part)
		if err != nil {
			return err
		}
		if name := part.FileName(); name != "" {
			p.files[part.FormName()] = upload{name, data}
		} else {
			p.values[part.FormName()] = string(data)
		}
	}
}

// integer is a parameter as a number; what does not parse is 0.
func (p params) integer(name string) int64 {
	n, _ := strconv.ParseInt(strings.TrimSpace(p.values[name]), 10, 64)
	return n
}

// flag is a parameter as a truth value: "true", "yes" and "1" in any case.
func (p params) flag(name string) bool {
	switch strings.ToLower(p.values[name]) {
	case "true", "yes", "1":
		return true
	}
	return false
}

// json is a parameter that holds a JSON text; "" when it is absent or the literal null.
func (p params) json(name string) string {
	if v := strings.TrimSpace(p.values[name]); v != "null" {
		return v
	}
	return ""
}
