package server

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"image"
	_ "image/gif" // a photo may come in any of the three
	"image/jpeg"
	_ "image/png"
	"mime"
	"path"
	"strings"
)

// Sizes of files in bytes. Source: Bot API, "Sending files" and getFile.
const (
	maxUpload   = 50 << 20
	maxPhoto    = 10 << 20
	maxDownload = 20 << 20
)

// The kinds of file, spelled like the fields that carry them.
const (
	kindPhoto    = "photo"
	kindDocument = "document"
	kindVoice    = "voice"
)

// typeNames are the names of the kinds in error texts.
var typeNames = map[string]string{kindPhoto: "Photo", kindDocument: "Document", kindVoice: "VoiceNote"}

// file is a stored file. Its id is opaque to clients; it is made of the content, so that an id kept from an earlier
// rehearsal names the same content or nothing.
type file struct {
	id, unique string
	kind       string
	name       string
	path       string
	data       []byte
	width      int
	height     int
	seconds    int   // of a voice message
	thumb      *file // of a photo: its small size
}

// newFile makes a file that is not stored yet. The picture's size is 0 when the data is no picture.
func newFile(kind, name string, data []byte) *file {
	f := &file{kind: kind, name: name, data: data}
	if kind == kindPhoto {
		if c, _, err := image.DecodeConfig(bytes.NewReader(data)); err == nil {
			f.width, f.height = c.Width, c.Height
		}
	}
	return f
}

// keep stores a file, gives it its ids and, for a photo, makes the small size.
func (s *Server) keep(f *file) {
	if f.id != "" {
		return
	}
	s.fileNo++
	sum := sha256.Sum256(f.data)
	encode := base64.RawURLEncoding.EncodeToString
	f.id = fmt.Sprintf("%s%s-%d", strings.ToUpper(f.kind[:1]), encode(sum[:24]), s.fileNo)
	f.unique = encode(sum[:9]) + f.kind[:1]
	folder, ending := map[string]string{kindPhoto: "photos", kindDocument: "documents", kindVoice: "voice"}[f.kind],
		path.Ext(f.name)
	if ending == "" || len(ending) > 10 {
		ending = map[string]string{kindPhoto: ".jpg", kindVoice: ".oga"}[f.kind]
	}
	f.path = fmt.Sprintf("%s/file_%d%s", folder, s.fileNo, ending)
	s.files[f.id], s.byPath[f.path] = f, f
	if f.kind == kindPhoto {
		if small := shrink(f.data, f.width, f.height); small != nil {
			f.thumb = newFile(kindPhoto, "small.jpg", small)
			s.keep(f.thumb)
		}
	}
}

// shrink makes the small size of a photo, at most 90 pixels long, or nil when the photo is no bigger or no picture.
func shrink(data []byte, width, height int) []byte {
	const long, most = 90, 40_000_000 // pixels along a side; pixels a rehearsal is willing to decode
	if max(width, height) <= long || width*height > most {
		return nil
	}
	picture, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		return nil
	}
	w, h := max(width*long/max(width, height), 1), max(height*long/max(width, height), 1)
	small := image.NewRGBA(image.Rect(0, 0, w, h))
	from := picture.Bounds()
	for y := range h {
		for x := range w {
			small.Set(x, y, picture.At(from.Min.X+x*width/w, from.Min.Y+y*height/h))
		}
	}
	var out bytes.Buffer
	if jpeg.Encode(&out, small, nil) != nil {
		return nil
	}
	return out.Bytes()
}

// wire is the field of a message that carries the file: sizes of a photo, a Document or a Voice.
func (f *file) wire() any {
	base := object{"file_id": f.id, "file_unique_id": f.unique, "file_size": len(f.data)}
	switch f.kind {
	case kindPhoto:
		base["width"], base["height"] = f.width, f.height
		if f.thumb == nil {
			return []any{base}
		}
		return []any{f.thumb.wire().([]any)[0], base}
	case kindVoice:
		base["duration"], base["mime_type"] = f.seconds, "audio/ogg"
	default:
		base["file_name"], base["mime_type"] = f.name, mimeType(f.name)
	}
	return base
}

func mimeType(name string) string {
	kind, _, err := mime.ParseMediaType(mime.TypeByExtension(path.Ext(name)))
	if err != nil {
		return "application/octet-stream"
	}
	return kind
}

// inputFile resolves a file parameter: an uploaded part of the parameter's own name, "attach://" and the name of a
// part, or the id of a file of the same kind. The file is not stored yet when it is new.
func (s *Server) inputFile(p params, kind, field, value string) (*file, *apiError) {
	part, uploaded := p.files[field]
	if name, attached := strings.CutPrefix(value, "attach://"); attached {
		part, uploaded = p.files[name]
		if !uploaded {
			return nil, badRequest("wrong file identifier/HTTP URL specified")
		}
	}
	switch {
	case uploaded:
		return checkUpload(kind, part)
	case value == "":
		return nil, badRequest("there is no %s in the request", kind)
	case strings.HasPrefix(value, "http://"), strings.HasPrefix(value, "https://"):
		return nil, badRequest("failed to get HTTP URL content")
	}
	f := s.files[value]
	if f == nil {
		return nil, badRequest("wrong file identifier/HTTP URL specified")
	}
	if f.kind != kind {
		return nil, badRequest("can't use file of type %s as %s", typeNames[f.kind], typeNames[kind])
	}
	return f, nil
}

// checkUpload applies the published limits: 50 MB, a photo 10 MB, its width and height together at most 10000 and one
// at most 20 times the other (sendPhoto).
func checkUpload(kind string, part upload) (*file, *apiError) {
	switch {
	case len(part.data) == 0:
		return nil, badRequest("file must be non-empty")
	case len(part.data) > maxUpload:
		return nil, errTooLarge
	}
	f := newFile(kind, part.name, part.data)
	if kind == kindPhoto {
		w, h := f.width, f.height
		switch {
		case len(part.data) > maxPhoto:
			return nil, badRequest("file is too big")
		case w == 0 || h == 0:
			return nil, badRequest("IMAGE_PROCESS_FAILED")
		case w+h > 10000 || w > 20*h || h > 20*w:
			return nil, badRequest("PHOTO_INVALID_DIMENSIONS")
		}
	}
	return f, nil
}

// getFile gives the path under which a file can be fetched from /file/bot<token>/.
func (s *Server) getFile(c *call) (any, *apiError) {
	id := c.values["file_id"]
	if id == "" {
		return nil, badRequest("file_id not specified")
	}
	f := s.files[id]
	if f == nil {
		return nil, badRequest("invalid file_id")
	}
	if len(f.data) > maxDownload {
		return nil, badRequest("file is too big")
	}
	return object{"file_id": f.id, "file_unique_id": f.unique, "file_size": len(f.data), "file_path": f.path}, nil
}

// File returns a stored file's name and a copy of its data; ok is false when no file has that id.
func (s *Server) File(fileID string) (name string, data []byte, ok bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	f := s.files[fileID]
	if f == nil {
		return "", nil, false
	}
	return f.name, bytes.Clone(f.data), true
}
