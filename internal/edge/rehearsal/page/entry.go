package page

import (
	"net/url"
	"slices"
	"strings"
	"unicode/utf16"

	"benyomo/internal/edge/rehearsal/server"
)

// entry is one message as the page shows it: a numbered line of a ledger.
type entry struct {
	ID       int       `json:"id"`
	No       int       `json:"no"`
	Who      string    `json:"who"` // own, bot or other
	Name     string    `json:"name"`
	Time     string    `json:"time"`          // household time, hours and minutes
	Day      string    `json:"day,omitempty"` // set on the first entry of a day
	Edited   bool      `json:"edited,omitempty"`
	Gone     bool      `json:"gone,omitempty"`
	AnswerTo int       `json:"answerTo,omitempty"` // id of the entry answered
	AnswerNo int       `json:"answerNo,omitempty"` // and its number
	Album    bool      `json:"album,omitempty"`    // belongs with the entry before
	Service  string    `json:"service,omitempty"`
	Reaction string    `json:"reaction,omitempty"`
	Dir      string    `json:"dir"`
	Lang     string    `json:"lang,omitempty"`
	Blocks   []block   `json:"blocks"`
	File     *attached `json:"file,omitempty"`
	Rows     [][]key   `json:"rows"`
}

// block is one paragraph. Paragraphs are apart because each has its own reading direction.
type block struct {
	Dir   string `json:"dir"`
	Lang  string `json:"lang,omitempty"`
	Kind  string `json:"kind,omitempty"` // "", quote or pre
	Apart bool   `json:"apart,omitempty"`
	Runs  []run  `json:"runs"`
}

// run is a piece of a paragraph with one look. At most one of URL, Start and Say is set.
type run struct {
	Text   string   `json:"text"`
	Styles []string `json:"styles,omitempty"` // names of entity types
	URL    string   `json:"url,omitempty"`
	Start  string   `json:"start,omitempty"` // payload of a link that opens a bot
	Say    string   `json:"say,omitempty"`   // a command that pressing sends
}

// key is one button under an entry. Exactly one of Data, URL and Start is set on a button that does something.
type key struct {
	Text  string `json:"text"`
	Dir   string `json:"dir"`
	Lang  string `json:"lang,omitempty"`
	Data  string `json:"data,omitempty"`
	URL   string `json:"url,omitempty"`
	Start string `json:"start,omitempty"`
}

// attached is a message's file.
type attached struct {
	Kind string `json:"kind"` // photo, voice or document
	Name string `json:"name"`
	URL  string `json:"url"`
	Alt  string `json:"alt"`
}

// compose turns a message into an entry for the view of person, whose language is spoken. Its number, its day and the
// number it answers depend on the messages around it and are filled in by the ledger.
func compose(m server.Message, person int64, name, spoken string) entry {
	e := entry{
		ID: m.ID, Name: name, Edited: m.Edited, Gone: m.Deleted, AnswerTo: m.ReplyTo, Service: m.Service,
		Reaction: m.Reaction, Album: m.Album != "", Blocks: []block{}, Rows: [][]key{},
	}
	switch {
	case m.Bot:
		e.Who = "bot"
	case m.From == person:
		e.Who = "own"
	default:
		e.Who = "other"
	}
	text := m.Text
	if text == "" {
		text = m.Caption
	}
	if e.Dir = direction(text); e.Dir == "" {
		e.Dir = leftToRight
	}
	e.Lang = language(text, spoken)
	if m.Deleted {
		return e
	}
	e.Blocks = blocks(text, m.Entities, e.Dir, spoken, m.Bot)
	if m.FileID != "" {
		e.File = &attached{
			Kind: m.FileKind, Name: m.FileName, URL: "api/file/" + url.PathEscape(m.FileID), Alt: alternative(m, name),
		}
	}
	for _, row := range m.Keyboard {
		keys := make([]key, 0, len(row))
		for _, b := range row {
			keys = append(keys, button(b, e.Dir, spoken))
		}
		e.Rows = append(e.Rows, keys)
	}
	return e
}

// alternative is the text that stands for a picture. The caption's first line says best what it shows; without one the
// sender is all that is known.
func alternative(m server.Message, name string) string {
	if first, _, _ := strings.Cut(strings.TrimSpace(m.Caption), "\n"); first != "" {
		return "Photo: " + first
	}
	return "Photo without a caption, from " + name
}

func button(b server.Button, around, spoken string) key {
	k := key{Text: b.Text, Data: b.Data, Dir: direction(b.Text), Lang: language(b.Text, spoken)}
	if k.Dir == "" {
		k.Dir = around
	}
	if b.URL != "" {
		k.URL, k.Start = follow(b.URL)
	}
	return k
}

// follow sorts a link: payload for one that opens a bot with a start payload (the page can play that itself), address for
// one that a browser may open, neither for anything else.
func follow(link string) (address, payload string) {
	u, err := url.Parse(link)
	if err != nil {
		return "", ""
	}
	if p := startPayload(link); p != "" && validPayload.MatchString(p) {
		return "", p
	}
	switch strings.ToLower(u.Scheme) {
	case "http", "https":
		if u.Host != "" {
			return link, ""
		}
	case "mailto", "tel":
		return link, ""
	}
	return "", ""
}

// span is a server.Entity brought inside the text's bounds.
type span struct {
	from, to int // UTF-16 units
	server.Entity
}

// blocks cuts text into paragraphs and each paragraph into runs of one look. Entities count in UTF-16 units, and so does
// everything here. around is the direction of a paragraph without letters.
func blocks(text string, entities []server.Entity, around, spoken string, bot bool) []block {
	units := utf16.Encode([]rune(text))
	spans := make([]span, 0, len(entities))
	for _, e := range entities {
		from, to := max(0, e.Offset), min(len(units), e.Offset+e.Length)
		if from < to {
			spans = append(spans, span{from, to, e})
		}
	}
	out := []block{}
	apart := false
	for from := 0; from <= len(units); {
		to := from
		for to < len(units) && units[to] != '\n' {
			to++
		}
		if line := string(utf16.Decode(units[from:to])); strings.TrimSpace(line) == "" {
			apart = len(out) > 0
		} else {
			b := block{Dir: direction(line), Lang: language(line, spoken), Apart: apart}
			if b.Dir == "" {
				b.Dir = around
			}
			b.Kind, b.Runs = runs(units, from, to, spans, bot)
			out = append(out, b)
			apart = false
		}
		from = to + 1
	}
	return out
}

// runs cuts units[from:to], one paragraph, wherever an entity begins or ends.
func runs(units []uint16, from, to int, spans []span, bot bool) (kind string, out []run) {
	cuts := []int{from, to}
	for _, s := range spans {
		for _, at := range []int{s.from, s.to} {
			if at > from && at < to {
				cuts = append(cuts, at)
			}
		}
	}
	slices.Sort(cuts)
	cuts = slices.Compact(cuts)
	for i := 0; i+1 < len(cuts); i++ {
		r := run{Text: string(utf16.Decode(units[cuts[i]:cuts[i+1]]))}
		for _, s := range spans {
			if s.from > cuts[i] || s.to < cuts[i+1] {
				continue
			}
			switch s.Type {
			case "blockquote", "expandable_blockquote":
				kind = "quote"
			case "pre":
				kind = "pre"
			case "text_link":
				r.URL, r.Start = follow(s.URL)
			case "url":
				r.URL, r.Start = follow(r.Text)
			case "bot_command":
				if bot {
					r.Say = r.Text
				}
			default:
				r.Styles = append(r.Styles, s.Type)
			}
		}
		out = append(out, r)
	}
	return kind, out
}
