package chat

import (
	"strings"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"
)

// Limits of messages. A text is measured in UTF-16 units and split well below the messenger's 4096 characters.
const (
	TextLimit = 4000
	DataLimit = 64 // bytes of a button's data
	ToastText = 190
)

// Style says how a block looks.
type Style string

const (
	Plain   Style = "plain"
	Heading Style = "heading" // stands out
	Aside   Style = "aside"   // less than the rest
	Quoted  Style = "quoted"  // somebody's own words
)

// Block is one paragraph of a message.
type Block struct {
	Text  string `json:"t"`
	Style Style  `json:"s,omitempty"`
}

// Button is one button under a message. Exactly one of Data and URL is set.
type Button struct {
	Label string `json:"l"`
	Data  string `json:"d,omitempty"`
	URL   string `json:"u,omitempty"`
}

// Message is what is said: paragraphs with buttons, or photos.
type Message struct {
	Blocks   []Block    `json:"b,omitempty"`
	Keyboard [][]Button `json:"k,omitempty"`
	Photos   []string   `json:"p,omitempty"` // file ids; a message of photos holds nothing else
	File     string     `json:"f,omitempty"` // a reference to a file or picture that is made when it is sent, such as "handbook|en"
	Quiet    bool       `json:"q,omitempty"` // arrives without a sound
}

// Handle is our own name for a message in a chat, such as "shayla-12". An edit names the handle, never the messenger's number.
type Handle string

// Say is a message of one paragraph.
func Say(text string) Message { return Message{Blocks: []Block{{Text: text}}} }

// Add appends a paragraph; an empty one is left out.
func (m *Message) Add(style Style, text string) {
	if strings.TrimSpace(text) != "" {
		m.Blocks = append(m.Blocks, Block{Text: text, Style: style})
	}
}

// Row appends a row of buttons; an empty one is left out.
func (m *Message) Row(b ...Button) {
	if len(b) > 0 {
		m.Keyboard = append(m.Keyboard, b)
	}
}

// Plain returns the message's words without styles, a paragraph a line group.
func (m Message) Plain() string {
	parts := make([]string, len(m.Blocks))
	for i, b := range m.Blocks {
		parts[i] = b.Text
	}
	return strings.Join(parts, "\n\n")
}

// Units counts UTF-16 units.
func Units(s string) int {
	n := 0
	for _, r := range s {
		n += utf16.RuneLen(r)
	}
	return n
}

// Split cuts a message that is too long into several, between paragraphs where it can and between words where it must. The
// buttons stay under the last one.
func Split(m Message) []Message {
	if Units(m.Plain()) <= TextLimit {
		return []Message{m}
	}
	var out []Message
	cur, size := Message{Quiet: m.Quiet}, 0
	flush := func() {
		if len(cur.Blocks) > 0 {
			out = append(out, cur)
		}
		cur, size = Message{Quiet: m.Quiet}, 0
	}
	for _, b := range m.Blocks {
		for _, piece := range cut(b.Text, TextLimit) {
			if strings.TrimSpace(piece) == "" {
				continue // between two cuts there may be nothing but spaces
			}
			n := Units(piece) + 2
			if size+n > TextLimit {
				flush()
			}
			cur.Blocks = append(cur.Blocks, Block{Text: piece, Style: b.Style})
			size += n
		}
	}
	if flush(); len(out) == 0 {
		return []Message{{Keyboard: m.Keyboard, Quiet: m.Quiet}} // it said nothing
	}
	out[len(out)-1].Keyboard = m.Keyboard
	return out
}

// cut divides a text into pieces of at most limit units, after a space where there is one in the last quarter. A character
// keeps its marks, unless there are more of them than a piece holds.
func cut(s string, limit int) []string {
	var out []string
	for Units(s) > limit {
		end := fit(s, limit)
		out = append(out, strings.TrimSpace(s[:end]))
		s = s[end:]
	}
	return append(out, s)
}

// fit is the length in bytes of the first piece of a text that is too long: at least one character, however small the limit.
func fit(s string, limit int) int {
	n, whole, marked, space := 0, 0, 0, 0 // the last ends of: any character, one with its marks, a word
	prev := rune(0)
	for i := 0; i < len(s); {
		r, size := utf8.DecodeRuneInString(s[i:])
		if i > 0 && !joins(prev, r) {
			marked = i
			if prev == ' ' || prev == '\n' {
				space = i
			}
		}
		if n += utf16.RuneLen(r); n > limit {
			break
		}
		i += size
		whole, prev = i, r
	}
	switch {
	case space > marked*3/4:
		return space
	case marked > 0:
		return marked
	case whole > 0:
		return whole
	}
	_, size := utf8.DecodeRuneInString(s)
	return size
}

const zeroWidthJoiner = '\u200d'

// joins reports whether the second character is shown as one with the first: a point or accent, a variant, a skin tone, or
// a part of a composed picture.
func joins(first, second rune) bool {
	return first == zeroWidthJoiner || second == zeroWidthJoiner || unicode.Is(unicode.M, second) || unicode.Is(unicode.Sk, second) && second > 0x1f3fa
}

// Clip shortens a text to n UTF-16 units, with an ellipsis where something was cut.
func Clip(s string, n int) string {
	if Units(s) <= n {
		return s
	}
	head := cut(s, n-1)[0]
	if Units(head) > n-1 {
		head = "" // not even one character fits
	}
	return head + "…"
}

// Isolate wraps words of unknown direction, such as a person's own, so that they do not turn the sentence around them.
func Isolate(s string) string { return "\u2068" + s + "\u2069" }
