package config

import (
	"errors"
	"fmt"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"

	"benyomo/internal/idea/dialog"
)

// Parse reads a configuration from raw; name is the file's path, from which relative paths are meant. It opens nothing but
// the time zone database. Every mistake is in the error, which is then dialog.Mistakes.
func Parse(name string, raw []byte) (*Config, error) {
	dir := filepath.Dir(name)
	r := &reader{name: name, dir: dir, cfg: defaults(dir)}
	if root := r.root(raw); root != nil {
		r.mapping(root, "the file", place{1, 1}, settings())
		r.together()
	}
	if len(r.list) > 0 {
		slices.SortStableFunc(r.list, func(a, b dialog.Mistake) int {
			if a.Line != b.Line {
				return a.Line - b.Line
			}
			return a.Col - b.Col
		})
		return nil, r.list
	}
	return r.cfg, nil
}

// reader collects the configuration and the mistakes of one file.
type reader struct {
	name, dir string
	lines     []string
	list      dialog.Mistakes
	cfg       *Config
	rabbisAt  place
	placesAt  []place // of the places of cfg
}

// place is where something stands in the file, 1-based.
type place struct{ line, col int }

// value is what stands after a key.
type value struct {
	key  string
	at   place // of the key
	node ast.Node
}

// setting is what a key means.
type setting struct {
	name     string
	required bool
	set      func(*reader, value)
}

// secrets are what a bot's token and a password in an address look like. Mistakes quote the file, and a secret that was
// written into it by mistake must not come out in a log.
var secrets = []*regexp.Regexp{regexp.MustCompile(`[0-9]{5,}:[A-Za-z0-9_-]{16,}`), regexp.MustCompile(`[^/@\s"']+@`)}

// maxQuote bounds the line that a mistake quotes, in characters.
const maxQuote = 160

func quote(s string) string {
	s = secrets[0].ReplaceAllString(s, "<secret>")
	s = secrets[1].ReplaceAllString(s, "<secret>@")
	if utf8.RuneCountInString(s) > maxQuote {
		s = string([]rune(s)[:maxQuote]) + "…"
	}
	return s
}

func (r *reader) add(at place, what, do string) {
	at.line, at.col = max(at.line, 1), max(at.col, 1)
	src := ""
	if at.line <= len(r.lines) {
		src = quote(strings.TrimRight(r.lines[at.line-1], "\r"))
	}
	r.list = append(r.list, dialog.Mistake{File: r.name, Line: at.line, Col: at.col, Source: src, What: quote(what), Do: do})
}

// root parses the file and returns its one mapping, or nil where there is none.
func (r *reader) root(raw []byte) *ast.MappingNode {
	text := strings.TrimPrefix(string(raw), "\ufeff") // some editors begin a file with this mark
	switch {
	case len(raw) > MaxBytes:
		r.add(place{}, "the file is larger than 1 MiB", "see that it is the configuration")
		return nil
	case !utf8.ValidString(text):
		r.add(place{}, "the file is not UTF-8 text", "save it as UTF-8")
		return nil
	}
	r.lines = strings.Split(text, "\n")
	f, err := parser.ParseBytes([]byte(text), 0, parser.AllowDuplicateMapKey())
	if err != nil {
		at, what := locate(err)
		r.add(at, what, "correct the YAML here")
		return nil
	}
	if len(f.Docs) > 1 {
		r.add(tokenPlace(f.Docs[1].Start), "the file holds a second document", "keep one, without --- in between")
	}
	if len(f.Docs) == 0 || f.Docs[0].Body == nil {
		r.add(place{}, "the file is empty", "`benyomo init` writes an example")
		return nil
	}
	m, ok := f.Docs[0].Body.(*ast.MappingNode)
	if !ok {
		r.add(placeOf(f.Docs[0].Body), "the file is not a list of settings", "write `name: …` and so on; `benyomo init` writes an example")
		return nil
	}
	return m
}

// mapping hands each setting of a mapping to its meaning, and reports those that are unknown, doubled or missing.
func (r *reader) mapping(m *ast.MappingNode, where string, at place, known []setting) {
	seen := map[string]bool{}
	for _, pair := range m.Values {
		key, ok := pair.Key.(*ast.StringNode)
		if !ok {
			r.add(placeOf(pair.Key), "this is not a plain setting", "write `setting: value`")
			continue
		}
		v := value{key: key.Value, at: placeOf(key), node: pair.Value}
		i := slices.IndexFunc(known, func(s setting) bool { return s.name == v.key })
		switch {
		case i < 0:
			r.add(v.at, fmt.Sprintf("there is no setting %q here", v.key), advice(v.key, known))
		case seen[v.key]:
			r.add(v.at, fmt.Sprintf("%s stands twice", v.key), "keep one")
		case r.filled(v):
			known[i].set(r, v)
		}
		seen[v.key] = true
	}
	for _, s := range known {
		if s.required && !seen[s.name] {
			r.add(at, fmt.Sprintf("%s lacks %s", where, s.name), "add it; `benyomo init` writes an example")
		}
	}
}

// filled reports whether a value stands after the key, written out where it is used.
func (r *reader) filled(v value) bool {
	switch v.node.(type) {
	case nil, *ast.NullNode:
		r.add(v.at, v.key+" has no value", "write one, or remove the line")
		return false
	case *ast.AnchorNode, *ast.AliasNode, *ast.TagNode:
		r.add(placeOf(v.node), v.key+" is not written out", "write the value itself, without &, * or !")
		return false
	}
	return true
}

func advice(key string, known []setting) string {
	if key == "token" {
		return "put the token into a file of its own and name it as token-file"
	}
	names := make([]string, len(known))
	for i, s := range known {
		names[i] = s.name
	}
	return "take one of " + strings.Join(names, ", ")
}

func placeOf(n ast.Node) place {
	if m, ok := n.(*ast.MappingNode); ok && len(m.Values) > 0 && !m.IsFlowStyle {
		return placeOf(m.Values[0].Key) // a block mapping's own token is its first colon
	}
	return tokenPlace(n.GetToken())
}

func tokenPlace(t *token.Token) place {
	if t == nil || t.Position == nil {
		return place{}
	}
	return place{t.Position.Line, t.Position.Column}
}

// locate finds the place of a syntax error and its message in one line.
func locate(err error) (place, string) {
	var ye yaml.Error
	if !errors.As(err, &ye) {
		msg, _, _ := strings.Cut(err.Error(), "\n")
		return place{}, msg
	}
	msg, _, _ := strings.Cut(ye.GetMessage(), "\n")
	return tokenPlace(ye.GetToken()), msg
}
