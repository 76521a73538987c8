package server

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

// htmlTags are the tags of the HTML parse mode and the entity each makes. "span" and "a" depend on their attributes.
// Source: Bot API, "HTML style".
var htmlTags = map[string]string{
	"b": "bold", "strong": "bold",
	"i": "italic", "em": "italic",
	"u": "underline", "ins": "underline",
	"s": "strikethrough", "strike": "strikethrough", "del": "strikethrough",
	"tg-spoiler": "spoiler", "span": "spoiler",
	"a": "text_link", "code": "code", "pre": "pre", "blockquote": "blockquote",
	"tg-emoji": "custom_emoji", "tg-time": "date_time",
}

// openTag is a start tag whose end tag has not come yet.
type openTag struct {
	name     string
	argument string // href, class of code or span, emoji-id, unix
	format   string // of tg-time
	offset   int    // UTF-16 units of text before it
	begin    int    // bytes of text before it
}

// unparsable is the refusal of a text that does not follow its parse mode.
func unparsable(format string, a ...any) *apiError {
	return badRequest("can't parse entities: "+format, a...)
}

// htmlParser walks through a text of the HTML parse mode. Its errors carry byte offsets of the text as it was given.
type htmlParser struct {
	in       string
	at       int
	out      strings.Builder
	offset   int // UTF-16 units in out
	open     []openTag
	entities []Entity
}

// parseHTML turns a text of the HTML parse mode into plain text and entities.
func parseHTML(in string) (string, []Entity, *apiError) {
	p := &htmlParser{in: in}
	for p.at < len(p.in) {
		switch c := p.in[p.at]; c {
		case '<':
			var err *apiError
			if p.peek(1) == '/' {
				err = p.endTag()
			} else {
				err = p.startTag()
			}
			if err != nil {
				return "", nil, err
			}
			continue
		case '&':
			if r, n := htmlEntity(p.in[p.at:]); n > 0 {
				p.at += n
				p.write(r)
				continue
			}
		}
		r, n := utf8.DecodeRuneInString(p.in[p.at:])
		p.at += n
		p.write(r)
	}
	if n := len(p.open); n > 0 {
		return "", nil, unparsable("Can't find end tag corresponding to start tag \"%s\"", p.open[n-1].name)
	}
	for i := range p.entities {
		if p.entities[i].Type == "code" {
			p.entities[i].Language = "" // only a "pre" keeps it
		}
	}
	sortEntities(p.entities)
	return p.out.String(), p.entities, nil
}

func (p *htmlParser) write(r rune) {
	p.out.WriteRune(r)
	p.offset += utf16Size(r)
}

// peek is the byte ahead characters on, 0 behind the end.
func (p *htmlParser) peek(ahead int) byte {
	if p.at+ahead < len(p.in) {
		return p.in[p.at+ahead]
	}
	return 0
}

// skip goes on while the byte is none of stop, and at most to the end of the text.
func (p *htmlParser) skip(stop string) string {
	begin := p.at
	for p.at < len(p.in) && !strings.ContainsRune(stop, rune(p.in[p.at])) {
		p.at++
	}
	return p.in[begin:p.at]
}

const htmlSpace = " \t\r\n\v\x00"

func (p *htmlParser) skipSpace() {
	for p.at < len(p.in) && strings.IndexByte(htmlSpace, p.in[p.at]) >= 0 {
		p.at++
	}
}

func (p *htmlParser) startTag() *apiError {
	begin := p.at
	p.at++
	name := lowerASCII(p.skip(htmlSpace + ">"))
	if p.at == len(p.in) {
		return unparsable("Unclosed start tag at byte offset %d", begin)
	}
	if htmlTags[name] == "" {
		return unparsable("Unsupported start tag \"%s\" at byte offset %d", name, begin)
	}
	tag := openTag{name: name, offset: p.offset, begin: p.out.Len()}
	for {
		p.skipSpace()
		if p.peek(0) == '>' {
			p.at++
			break
		}
		if err := p.attribute(&tag, begin); err != nil {
			return err
		}
	}
	if name == "span" && tag.argument != "spoiler" {
		return unparsable("Tag \"span\" must have class \"tg-spoiler\" at byte offset %d", begin)
	}
	p.open = append(p.open, tag)
	return nil
}

// attribute reads one attribute and keeps it in the tag when it means something there.
func (p *htmlParser) attribute(tag *openTag, begin int) *apiError {
	name := p.skip(htmlSpace + "=>/\"'")
	if name == "" {
		return unparsable("Empty attribute name in the tag \"%s\" at byte offset %d", tag.name, begin)
	}
	p.skipSpace()
	if p.peek(0) != '=' {
		if p.at == len(p.in) {
			return unparsable("Unclosed start tag \"%s\" at byte offset %d", tag.name, begin)
		}
		if tag.name == "blockquote" && name == "expandable" {
			tag.argument = "expandable"
		}
		return nil
	}
	p.at++
	p.skipSpace()
	if p.at == len(p.in) {
		return unparsable("Unclosed start tag \"%s\" at byte offset %d", tag.name, begin)
	}
	value, err := p.attributeValue()
	if err != nil {
		return err
	}
	if p.at == len(p.in) {
		return unparsable("Unclosed start tag at byte offset %d", begin)
	}
	switch tag.name + " " + name {
	case "a href", "tg-emoji emoji-id", "tg-time unix":
		tag.argument = value
	case "tg-time format":
		tag.format = value
	case "code class":
		if language, ok := strings.CutPrefix(value, "language-"); ok {
			tag.argument = language
		}
	case "span class":
		if class, ok := strings.CutPrefix(value, "tg-"); ok {
			tag.argument = class
		}
	case "blockquote expandable":
		tag.argument = "expandable"
	}
	return nil
}

func (p *htmlParser) attributeValue() (string, *apiError) {
	quote := p.in[p.at]
	if quote != '"' && quote != '\'' {
		begin := p.at
		for p.at < len(p.in) && isNameByte(p.in[p.at]) {
			p.at++
		}
		if c := p.peek(0); c != '>' && strings.IndexByte(htmlSpace, c) < 0 {
			return "", unparsable("Unexpected end of name token at byte offset %d", begin)
		}
		return lowerASCII(p.in[begin:p.at]), nil
	}
	p.at++
	var value strings.Builder
	for p.at < len(p.in) && p.in[p.at] != quote {
		if r, n := htmlEntity(p.in[p.at:]); n > 0 {
			value.WriteRune(r)
			p.at += n
			continue
		}
		value.WriteByte(p.in[p.at])
		p.at++
	}
	if p.at < len(p.in) {
		p.at++
	}
	return value.String(), nil
}

func isNameByte(c byte) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '.' || c == '-'
}

func (p *htmlParser) endTag() *apiError {
	begin := p.at
	if len(p.open) == 0 {
		return unparsable("Unexpected end tag at byte offset %d", begin)
	}
	p.at += 2
	name := lowerASCII(p.skip(htmlSpace + ">"))
	p.skipSpace()
	if p.peek(0) != '>' {
		return unparsable("Unclosed end tag at byte offset %d", begin)
	}
	p.at++
	tag := p.open[len(p.open)-1]
	if name != "" && name != tag.name {
		return unparsable("Unmatched end tag at byte offset %d, expected \"</%s>\", found \"</%s>\"", begin, tag.name, name)
	}
	p.open = p.open[:len(p.open)-1]
	if p.offset == tag.offset {
		return nil // an entity without text is left out
	}
	return p.finish(tag)
}

// finish adds the entity of a tag that has just ended.
func (p *htmlParser) finish(tag openTag) *apiError {
	e := Entity{Type: htmlTags[tag.name], Offset: tag.offset, Length: p.offset - tag.offset}
	switch tag.name {
	case "a":
		link := tag.argument
		if link == "" {
			link = p.out.String()[tag.begin:]
		}
		if id := linkedUser(link); id != 0 {
			e.Type, e.UserID = "text_mention", id
		} else if e.URL = checkedLink(link); e.URL == "" {
			return nil // a link that leads nowhere stays plain text
		}
	case "blockquote":
		if tag.argument != "" {
			e.Type = "expandable_blockquote"
		}
	case "tg-emoji":
		if id, err := strconv.ParseInt(tag.argument, 10, 64); err != nil || id == 0 {
			return unparsable("Invalid custom emoji identifier specified")
		}
		e.CustomEmojiID = tag.argument
	case "tg-time":
		n, err := strconv.ParseInt(tag.argument, 10, 64)
		if err != nil {
			return unparsable("Invalid Unix time specified") // the exact text is not known
		}
		e.UnixTime, e.DateTimeFormat = n, tag.format
	case "code", "pre":
		if n := len(p.entities); n > 0 && joinCode(&p.entities[n-1], tag, e) {
			return nil
		}
		if tag.name == "code" {
			e.Language = tag.argument
		}
	}
	p.entities = append(p.entities, e)
	return nil
}

// joinCode makes one "pre" with a language of a code tag and a pre tag around the same text, whichever is inside. It
// tells whether it did.
func joinCode(inner *Entity, tag openTag, e Entity) bool {
	if inner.Offset != e.Offset || inner.Length != e.Length {
		return false
	}
	switch {
	case tag.name == "pre" && inner.Type == "code" && inner.Language != "":
		inner.Type = "pre"
		return true
	case tag.name == "code" && inner.Type == "pre" && tag.argument != "":
		inner.Language = tag.argument
		return true
	}
	return false
}

// htmlEntity reads a character reference at the start of s: the four names the API knows, or a number. The semicolon
// may be missing. n is 0 when there is none; the ampersand is then an ordinary character.
func htmlEntity(s string) (r rune, n int) {
	if len(s) < 3 || s[0] != '&' {
		return 0, 0
	}
	end := 1
	if s[1] == '#' {
		base, digits := 10, "0123456789"
		end = 2
		if s[2] == 'x' {
			base, digits, end = 16, "0123456789abcdefABCDEF", 3
		}
		begin := end
		for end < len(s) && strings.IndexByte(digits, s[end]) >= 0 {
			end++
		}
		code, err := strconv.ParseUint(s[begin:end], base, 32)
		if err != nil || code == 0 || code >= 0x10ffff || end >= 10 || !utf8.ValidRune(rune(code)) {
			return 0, 0
		}
		r = rune(code)
	} else {
		for end < len(s) && (s[end]|0x20) >= 'a' && (s[end]|0x20) <= 'z' {
			end++
		}
		switch s[1:end] {
		case "lt":
			r = '<'
		case "gt":
			r = '>'
		case "amp":
			r = '&'
		case "quot":
			r = '"'
		default:
			return 0, 0
		}
	}
	if end < len(s) && s[end] == ';' {
		end++
	}
	return r, end
}

// lowerASCII lowers A to Z and leaves every other byte as it is.
func lowerASCII(s string) string {
	b := []byte(s)
	for i, c := range b {
		if c >= 'A' && c <= 'Z' {
			b[i] = c + 'a' - 'A'
		}
	}
	return string(b)
}
