package page

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"path/filepath"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
)

const (
	// maxFile is what a bot can fetch of a file, in bytes (Bot API, getFile): a larger one would rehearse nothing.
	maxFile = 20 << 20
	// maxPhoto is the Bot API's bound on a photo, in bytes ("Sending files").
	maxPhoto = 10 << 20
	// maxCaption is the Bot API's bound on a caption, in characters.
	maxCaption = 1024
	// maxSeconds bounds a voice note here, in seconds.
	maxSeconds = 3600
)

// upload is a file that a person sends, and the form around it.
type upload struct {
	view, name, caption, seconds string
	data                         []byte
	kind                         string // content type, by its first bytes
}

// receive reads the form of an upload.
func receive(w http.ResponseWriter, r *http.Request) (upload, error) {
	tooLarge := &problem{http.StatusRequestEntityTooLarge, "A file may have up to 20 MB."}
	if kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || kind != "multipart/form-data" {
		return upload{}, &problem{http.StatusUnsupportedMediaType, "Send a form with a file (multipart/form-data)."}
	}
	r.Body = http.MaxBytesReader(w, r.Body, maxFile+maxBody)
	if err := r.ParseMultipartForm(maxFile + maxBody); err != nil {
		if size := (*http.MaxBytesError)(nil); errors.As(err, &size) {
			return upload{}, tooLarge
		}
		return upload{}, bad("The form is not readable.")
	}
	defer func() { _ = r.MultipartForm.RemoveAll() }()
	part, header, err := r.FormFile("file")
	if err != nil {
		return upload{}, bad("Choose a file first.")
	}
	defer func() { _ = part.Close() }()
	data, err := io.ReadAll(part)
	switch {
	case err != nil:
		return upload{}, bad("The file is not readable.")
	case len(data) == 0:
		return upload{}, bad("That file is empty.")
	case len(data) > maxFile:
		return upload{}, tooLarge
	}
	u := upload{
		view: r.FormValue("view"), caption: strings.TrimSpace(r.FormValue("caption")),
		seconds: strings.TrimSpace(r.FormValue("seconds")), name: filepath.Base(header.Filename), data: data,
	}
	u.kind, _, _ = strings.Cut(http.DetectContentType(data), ";")
	if n := utf8.RuneCountInString(u.caption); n > maxCaption {
		return upload{}, bad(fmt.Sprintf("A caption holds %d characters; this one has %d.", maxCaption, n))
	}
	return u, nil
}

// attach receives a file, checks it, and hands it over as the view's person.
func (p *Page) attach(w http.ResponseWriter, r *http.Request, check func(*upload) error, send func(*ledger, upload) int) (any, error) {
	u, err := receive(w, r)
	if err != nil {
		return nil, err
	}
	if err := check(&u); err != nil {
		return nil, err
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	v, err := p.writer(u.view)
	if err != nil {
		return nil, err
	}
	return sent(send(v, u)), nil
}

func (p *Page) photo(w http.ResponseWriter, r *http.Request) (any, error) {
	return p.attach(w, r, func(u *upload) error {
		if !picture(u.kind) {
			return bad("That is not a picture (JPEG, PNG, GIF or WebP). Send it as a document.")
		}
		if len(u.data) > maxPhoto {
			return &problem{http.StatusRequestEntityTooLarge, "A photo may have up to 10 MB. Send it as a document."}
		}
		return nil
	}, func(v *ledger, u upload) int { return p.server.Photo(v.Person, v.Chat, u.name, u.data, u.caption) })
}

func (p *Page) document(w http.ResponseWriter, r *http.Request) (any, error) {
	return p.attach(w, r, func(*upload) error { return nil },
		func(v *ledger, u upload) int { return p.server.Document(v.Person, v.Chat, u.name, u.data, u.caption) })
}

func (p *Page) voice(w http.ResponseWriter, r *http.Request) (any, error) {
	seconds := 0
	return p.attach(w, r, func(u *upload) (err error) {
		if !sound(u.kind, u.data) {
			return bad("That is not a sound file (OGG, MP3, WAV, WebM or MP4 audio).")
		}
		if u.caption != "" {
			return bad("A voice note goes without a caption here. Send the words as a message.")
		}
		seconds, err = length(u)
		return err
	}, func(v *ledger, u upload) int { return p.server.Voice(v.Person, v.Chat, u.data, seconds) })
}

// length is a voice note's length in seconds: as typed, else as an OGG file tells it.
func length(u *upload) (int, error) {
	if u.seconds != "" {
		n, err := strconv.Atoi(u.seconds)
		if err != nil || n < 1 || n > maxSeconds {
			return 0, bad(fmt.Sprintf("A voice note lasts 1 to %d whole seconds.", maxSeconds))
		}
		return n, nil
	}
	if d, ok := oggLength(u.data); ok {
		return min(maxSeconds, max(1, int(d.Round(time.Second)/time.Second))), nil
	}
	return 0, bad("Say how many seconds the voice note lasts; this file does not tell.")
}

// oggLength reads how long an OGG Opus stream plays: the last page's granule position counts samples at 48 kHz whatever
// the input was (RFC 3533, section 6, and RFC 7845, section 4).
func oggLength(data []byte) (time.Duration, bool) {
	const header = 14 // up to and with the granule position
	text := string(data)
	if !strings.HasPrefix(text, "OggS") || !strings.Contains(text[:min(len(text), 512)], "OpusHead") {
		return 0, false
	}
	at := strings.LastIndex(text, "OggS")
	if len(data)-at < header {
		return 0, false
	}
	granule := binary.LittleEndian.Uint64(data[at+6 : at+header])
	if samples := granule / 48000; granule == 0 || samples > maxSeconds {
		return 0, false
	}
	return time.Duration(granule) * time.Second / 48000, true
}

// picture reports whether browsers show a content type as a picture without running anything in it.
func picture(kind string) bool {
	switch kind {
	case "image/jpeg", "image/png", "image/gif", "image/webp":
		return true
	}
	return false
}

// sound reports whether a file is one that a browser plays.
func sound(kind string, data []byte) bool {
	switch kind {
	case "application/ogg", "video/webm", "video/mp4", "audio/mpeg", "audio/wave", "audio/basic", "audio/aiff":
		return true
	}
	return bareMP3(kind, data)
}

// bareMP3 reports whether a file is an MP3 without tags: it begins with a frame's sync word, which the sniffing standard
// leaves out.
func bareMP3(kind string, data []byte) bool {
	return kind == "application/octet-stream" && len(data) > 1 && data[0] == 0xff && data[1]&0xe0 == 0xe0
}

// file serves a file of a message. Pictures and sounds are shown; anything else is only ever offered for saving, so that
// nothing inside a document runs with this page's rights.
func (p *Page) file(w http.ResponseWriter, r *http.Request) {
	name, data, ok := p.server.File(r.PathValue("id"))
	if !ok {
		answer(w, nil, &problem{http.StatusNotFound, "There is no such file."})
		return
	}
	kind, _, _ := strings.Cut(http.DetectContentType(data), ";")
	h := w.Header()
	h.Set("Content-Security-Policy", "default-src 'none'; sandbox")
	disposition := "inline"
	switch {
	case kind == "application/ogg":
		kind = "audio/ogg"
	case bareMP3(kind, data):
		kind = "audio/mpeg"
	case !picture(kind) && !sound(kind, data):
		kind, disposition = "application/octet-stream", "attachment"
	}
	h.Set("Content-Type", kind)
	h.Set("Content-Disposition", mime.FormatMediaType(disposition, map[string]string{"filename": filepath.Base(name)}))
	http.ServeContent(w, r, "", time.Time{}, strings.NewReader(string(data)))
}
