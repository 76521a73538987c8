package server

import (
	"cmp"
	"encoding/json"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Limits of texts. Source: Bot API, sendMessage and sendDocument ("1-4096", "0-1024 characters after entities
// parsing"); characters are Unicode code points. The limit in bytes is observed, not published.
const (
	maxText    = 4096
	maxCaption = 1024
	maxRaw     = 32768 // bytes before parsing
)

func utf16Size(r rune) int {
	if r > 0xffff {
		return 2
	}
	return 1
}

// utf16Length is the length of s in UTF-16 units.
func utf16Length(s string) (n int) {
	for _, r := range s {
		n += utf16Size(r)
	}
	return n
}

// sortEntities puts outer entities before those inside them.
func sortEntities(entities []Entity) {
	slices.SortStableFunc(entities, func(a, b Entity) int {
		return cmp.Or(cmp.Compare(a.Offset, b.Offset), cmp.Compare(b.Length, a.Length))
	})
}

// formatted reads a text with its parse mode or its explicit entities, cleaned and trimmed as the API does it. An empty
// result is no error here, since a caption may be empty.
func formatted(p params, textName, modeName, entitiesName string) (string, []Entity, *apiError) {
	text := p.values[textName]
	if len(text) > maxRaw {
		return "", nil, badRequest("text is too long")
	}
	var entities []Entity
	switch mode := strings.ToLower(p.values[modeName]); mode {
	case "html":
		var refused *apiError
		if text, entities, refused = parseHTML(text); refused != nil {
			return "", nil, refused
		}
	case "", "none":
		if raw := p.json(entitiesName); raw != "" {
			var given []struct {
				Entity
				User struct {
					ID int64 `json:"id"`
				} `json:"user"`
			}
			if json.Unmarshal([]byte(raw), &given) != nil {
				return "", nil, badRequest("can't parse MessageEntity: expected an Array of MessageEntity")
			}
			for _, e := range given {
				e.UserID = e.User.ID
				entities = append(entities, e.Entity)
			}
			sortEntities(entities)
		}
	default:
		return "", nil, badRequest("unsupported parse_mode")
	}
	text, entities = tidy(text, entities)
	return text, detect(text, entities), nil
}

// tidy cleans a text as the API does before it counts and compares: carriage returns, line and paragraph separators
// and the bidirectional embeddings and overrides go, other control characters become spaces, of a run of direction
// marks only the last stays, and both ends are trimmed. Entities follow; those left without text go.
func tidy(text string, entities []Entity) (string, []Entity) {
	in := []rune(text)
	out := make([]rune, 0, len(in))
	moved := make([]int, 0, len(text)+1) // by old UTF-16 offset: the new one
	at := 0
	for i, r := range in {
		for range utf16Size(r) {
			moved = append(moved, at)
		}
		switch {
		case r == '\r', r >= 0x2028 && r <= 0x202e, r == 0x333, r == 0x33f, r == 0x30a:
			continue
		case r < ' ' && r != '\n':
			r = ' '
		case isDirectionMark(r) && i+1 < len(in) && isDirectionMark(in[i+1]):
			r = 0x200c
		}
		out = append(out, r)
		at += utf16Size(r)
	}
	moved = append(moved, at)

	cleaned := string(out)
	trimmed := strings.TrimLeft(cleaned, " \n")
	lead := utf16Length(cleaned) - utf16Length(trimmed)
	trimmed = strings.TrimRight(trimmed, " \n")
	end := utf16Length(trimmed)
	place := func(old int) int {
		return min(max(moved[min(max(old, 0), len(moved)-1)]-lead, 0), end)
	}
	var kept []Entity
	for _, e := range entities {
		from, to := place(e.Offset), place(e.Offset+e.Length)
		if e.Offset, e.Length = from, to-from; e.Length > 0 {
			kept = append(kept, e)
		}
	}
	return trimmed, kept
}

func isDirectionMark(r rune) bool { return r == 0x200e || r == 0x200f }

// isBlank tells whether a text shows nothing: only spaces, zero-width characters and marks.
func isBlank(text string) bool {
	return strings.IndexFunc(text, func(r rune) bool {
		return !(r == ' ' || r == '\n' || r == 0xa0 || r >= 0x2000 && r <= 0x200f || r == 0x202f || r == 0x205f ||
			r == 0x2800 || r == 0x3000 || r == 0xfeff)
	}) < 0
}

var (
	commandPattern = regexp.MustCompile(`/[A-Za-z0-9_]{1,64}(@[A-Za-z0-9_]{3,32})?`)
	urlPattern     = regexp.MustCompile(`https?://[^\s<>"]+`)
)

// detect adds what the API finds by itself in every text, people's and the bot's: commands and addresses. Where an
// entity that allows nothing inside itself lies already, nothing is added.
func detect(text string, entities []Entity) []Entity {
	if !strings.Contains(text, "/") {
		return entities
	}
	found := slices.Clone(entities)
	add := func(kind string, from, to int) {
		e := Entity{Type: kind, Offset: utf16Length(text[:from]), Length: utf16Length(text[from:to])}
		for _, other := range found {
			if other.Offset < e.Offset+e.Length && e.Offset < other.Offset+other.Length && isClosed(other.Type) {
				return
			}
		}
		found = append(found, e)
	}
	for _, m := range urlPattern.FindAllStringIndex(text, -1) {
		from, to := m[0], m[0]+len(strings.TrimRight(text[m[0]:m[1]], ".,;:!?)'"))
		if checkedLink(text[from:to]) != "" {
			add("url", from, to)
		}
	}
	for _, m := range commandPattern.FindAllStringIndex(text, -1) {
		before, _ := utf8.DecodeLastRuneInString(text[:m[0]])
		after, _ := utf8.DecodeRuneInString(text[m[1]:])
		if (m[0] == 0 || !adjoins(before)) && (m[1] == len(text) || !adjoins(after)) {
			add("bot_command", m[0], m[1])
		}
	}
	sortEntities(found)
	return found
}

// adjoins tells whether a character next to what looks like a command makes it no command.
func adjoins(r rune) bool {
	return r == '_' || r == '/' || r == '<' || r == '>' || unicode.IsLetter(r) || unicode.IsDigit(r)
}

// isClosed tells whether an entity admits no detected one in its place.
func isClosed(kind string) bool {
	switch kind {
	case "code", "pre", "text_link", "text_mention", "url", "bot_command", "custom_emoji", "date_time":
		return true
	}
	return false
}

// linkedUser is the user id of a "tg://user?id=…" link, 0 for every other.
func linkedUser(link string) int64 {
	u, err := url.Parse(link)
	if err != nil || u.Scheme != "tg" || u.Host != "user" {
		return 0
	}
	id, _ := strconv.ParseInt(u.Query().Get("id"), 10, 64)
	return max(id, 0)
}

// checkedLink is a link in the form the API gives back, with a scheme and a path; "" when it is none. A host without a
// dot, such as localhost, is refused as the public API refuses it.
func checkedLink(link string) string {
	link = strings.TrimSpace(link)
	if scheme, rest, ok := strings.Cut(link, "://"); ok && strings.EqualFold(scheme, "tg") && rest != "" {
		return link
	}
	if !strings.Contains(link, "://") {
		link = "http://" + link
	}
	u, err := url.Parse(link)
	if err != nil || u.Scheme != "http" && u.Scheme != "https" {
		return ""
	}
	if host := u.Hostname(); !strings.Contains(strings.Trim(host, "."), ".") || strings.ContainsAny(host, " _") {
		return ""
	}
	u.Host = strings.ToLower(u.Host)
	if u.Path == "" {
		u.Path = "/"
	}
	return u.String()
}
