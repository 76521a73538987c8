package server

import (
	"encoding/json"
	"fmt"
	"strings"
	"unicode/utf8"
)

// messageCaption reads and checks a caption.
func messageCaption(p params) (string, []Entity, *apiError) {
	text, entities, refused := formatted(p, "caption", "parse_mode", "caption_entities")
	switch {
	case refused != nil:
		return "", nil, refused
	case utf8.RuneCountInString(text) > maxCaption:
		return "", nil, badRequest("message caption is too long")
	}
	return text, entities, nil
}

func (s *Server) sendPhoto(c *call) (any, *apiError)    { return s.sendFile(c, kindPhoto) }
func (s *Server) sendDocument(c *call) (any, *apiError) { return s.sendFile(c, kindDocument) }
func (s *Server) sendVoice(c *call) (any, *apiError)    { return s.sendFile(c, kindVoice) }

func (s *Server) sendFile(c *call, kind string) (any, *apiError) {
	f, refused := s.inputFile(c.params, kind, kind, c.values[kind])
	if refused != nil {
		return nil, refused
	}
	text, entities, refused := messageCaption(c.params)
	if refused != nil {
		return nil, refused
	}
	r, p, refused := s.draft(c)
	if refused != nil {
		return nil, refused
	}
	if kind == kindVoice && f.id == "" {
		f.seconds = int(c.integer("duration"))
	}
	p.text, p.entities, p.file = text, entities, f
	if refused := s.deliver(c.method, r, p); refused != nil {
		return nil, refused
	}
	return s.wireMessage(p), nil
}

// inputMedia is one InputMedia of a call.
type inputMedia struct {
	Type            string          `json:"type"`
	Media           string          `json:"media"`
	Caption         string          `json:"caption"`
	ParseMode       string          `json:"parse_mode"`
	CaptionEntities json.RawMessage `json:"caption_entities"`
}

// resolve checks an InputMedia and finds its file and caption.
func (s *Server) resolve(c *call, m inputMedia) (*file, string, []Entity, *apiError) {
	kind := lowerASCII(m.Type)
	if kind != kindPhoto && kind != kindDocument {
		return nil, "", nil, badRequest("can't parse InputMedia: type %q can't be used", m.Type)
	}
	f, refused := s.inputFile(params{files: c.files}, kind, "", m.Media)
	if refused != nil {
		return nil, "", nil, refused
	}
	text, entities, refused := messageCaption(params{values: map[string]string{
		"caption": m.Caption, "parse_mode": m.ParseMode, "caption_entities": string(m.CaptionEntities),
	}})
	return f, text, entities, refused
}

// sendMediaGroup sends 2 to 10 photos, or 2 to 10 documents, as one album.
func (s *Server) sendMediaGroup(c *call) (any, *apiError) {
	var media []inputMedia
	if err := json.Unmarshal([]byte(c.json("media")), &media); err != nil {
		return nil, badRequest("can't parse media JSON object")
	}
	if len(media) < 2 || len(media) > 10 {
		return nil, badRequest("album must contain from 2 to 10 messages") // the exact text is not known
	}
	var posts []*post
	for _, m := range media {
		f, text, entities, refused := s.resolve(c, m)
		if refused != nil {
			return nil, refused
		}
		if len(posts) > 0 && posts[0].file.kind != f.kind {
			return nil, badRequest("can't use the media of the specified type in the album")
		}
		posts = append(posts, &post{text: text, entities: entities, file: f})
	}
	r, first, refused := s.draft(c)
	if refused != nil {
		return nil, refused
	}
	if refused := s.take(r, len(posts)); refused != nil {
		return nil, refused
	}
	s.albumNo++
	var result []object
	for _, p := range posts {
		p.from, p.date, p.replyTo, p.guarded, p.extra = first.from, first.date, first.replyTo, first.guarded, first.extra
		p.album = fmt.Sprintf("album%d", s.albumNo)
		s.store(c.method, r, p)
		result = append(result, s.wireMessage(p))
	}
	return result, nil
}

// reactions are the emoji a bot can react with. Source: Bot API, ReactionTypeEmoji.
var reactions = strings.Fields("❤ 👍 👎 🔥 🥰 👏 😁 🤔 🤯 😱 🤬 😢 🎉 🤩 🤮 💩 🙏 👌 🕊 🤡 🥱 🥴 😍 🐳 ❤‍🔥 🌚 🌭 💯 🤣 ⚡ 🍌 🏆 💔 🤨 😐 🍓 🍾 💋 " +
	"🖕 😈 😴 😭 🤓 👻 👨‍💻 👀 🎃 🙈 😇 😨 🤝 ✍ 🤗 🫡 🎅 🎄 ☃ 💅 🤪 🗿 🆒 💘 🙉 🦄 😘 💊 🙊 😎 👾 🤷‍♂ 🤷 🤷‍♀ 😡")
