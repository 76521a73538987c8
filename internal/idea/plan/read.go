package plan

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"

	"benyomo/internal/idea/dialog"
)

// MaxFile bounds a file of rows or of a kitchen, in bytes.
const MaxFile = 1 << 20

// word is a scalar of a file that remembers where it stands.
type word struct {
	s         string
	line, col int // 1-based; zero where the word is absent
}

// shape is a value of the wrong shape, with its place.
type shape struct{ tk *token.Token }

func (e *shape) Error() string { return "expected one word or number" }

// UnmarshalYAML takes a scalar as its author wrote it.
func (w *word) UnmarshalYAML(n ast.Node) error {
	tk := n.GetToken()
	w.line, w.col = tk.Position.Line, tk.Position.Column
	switch x := n.(type) {
	case *ast.StringNode:
		w.s = x.Value
	case *ast.LiteralNode:
		w.s = strings.TrimSpace(x.Value.Value)
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode:
		w.s = tk.Value
	default:
		return &shape{tk}
	}
	return nil
}

// there reports whether the word was written.
func (w word) there() bool { return w.line > 0 }

// reader collects the mistakes of one file.
type reader struct {
	name  string
	lines []string
	list  dialog.Mistakes
}

func (r *reader) add(at word, what, do string) {
	line, col := max(at.line, 1), max(at.col, 1)
	src := ""
	if line <= len(r.lines) {
		src = strings.TrimRight(r.lines[line-1], "\r")
	}
	r.list = append(r.list, dialog.Mistake{File: r.name, Line: line, Col: col, Source: src, What: what, Do: do})
}

// err is nil, or all mistakes in the order of the file.
func (r *reader) err() error {
	if len(r.list) == 0 {
		return nil
	}
	slices.SortStableFunc(r.list, func(a, b dialog.Mistake) int {
		if a.Line != b.Line {
			return a.Line - b.Line
		}
		return a.Col - b.Col
	})
	return r.list
}

// decode reads a file strictly, and reports whether it could.
func (r *reader) decode(raw []byte, into any) bool {
	text := strings.TrimPrefix(string(raw), "\ufeff") // some editors begin a file with this mark
	switch {
	case len(raw) > MaxFile:
		r.add(word{}, "the file is larger than 1 MiB", "see that it is the right one")
		return false
	case !utf8.ValidString(text):
		r.add(word{}, "the file is not UTF-8 text", "save it as UTF-8")
		return false
	}
	r.lines = strings.Split(text, "\n")
	f, err := parser.ParseBytes([]byte(text), 0)
	if err != nil {
		at, what := locate(err)
		r.add(at, what, "correct the YAML here")
		return false
	}
	if len(f.Docs) == 0 || f.Docs[0].Body == nil {
		r.add(word{}, "the file is empty", "write it; docs/examples/plan.yaml is an example")
		return false
	}
	if len(f.Docs) > 1 {
		r.add(placed(f.Docs[1].Start), "a second document begins here", "keep one, without --- in between")
		return false
	}
	if r.plain(f.Docs[0].Body, word{}); len(r.list) > 0 {
		return false
	}
	if err := yaml.NodeToValue(f.Docs[0].Body, into, yaml.Strict()); err != nil {
		at, what := locate(err)
		r.add(at, what, "docs/examples/plan.yaml shows what may stand here")
		return false
	}
	return true
}

// plain reports what would decode to something else than an author sees: a key without a value, and tags, anchors and aliases.
func (r *reader) plain(n ast.Node, at word) {
	switch x := n.(type) {
	case *ast.NullNode:
		r.add(at, "nothing stands here", "write what belongs here, or remove the entry")
	case *ast.TagNode, *ast.AnchorNode, *ast.AliasNode, *ast.MergeKeyNode:
		r.add(placed(n.GetToken()), "the value is not written out", "write it without !, & or *")
	case *ast.MappingNode:
		for _, v := range x.Values {
			r.plain(v.Key, placed(v.Key.GetToken()))
			r.plain(v.Value, placed(v.Key.GetToken()))
		}
	case *ast.MappingValueNode:
		r.plain(x.Key, placed(x.Key.GetToken()))
		r.plain(x.Value, placed(x.Key.GetToken()))
	case *ast.SequenceNode:
		for _, v := range x.Values {
			r.plain(v, placed(v.GetToken()))
		}
	}
}

// placed is a word without text at the token.
func placed(tk *token.Token) word {
	if tk == nil || tk.Position == nil {
		return word{}
	}
	return word{line: tk.Position.Line, col: tk.Position.Column}
}

// locate finds the place of an error of the library and its message in one line.
func locate(err error) (word, string) {
	var s *shape
	if errors.As(err, &s) {
		return placed(s.tk), s.Error()
	}
	var ye yaml.Error
	if errors.As(err, &ye) {
		msg, _, _ := strings.Cut(ye.GetMessage(), "\n")
		if strings.HasPrefix(msg, "cannot unmarshal") || strings.Contains(msg, "Go ") || strings.Contains(msg, "go value") {
			msg = "a value of another shape belongs here" // the library speaks of types that no author knows
		}
		return placed(ye.GetToken()), msg
	}
	msg, _, _ := strings.Cut(err.Error(), "\n")
	return word{}, msg
}

// number takes a whole number between bounds, both included; an absent word is otherwise.
func (r *reader) number(w word, key string, otherwise, low, high int) int {
	if !w.there() {
		return otherwise
	}
	n, err := strconv.Atoi(w.s)
	if err != nil {
		r.add(w, fmt.Sprintf("%s is %q", key, w.s), "write a whole number")
		return otherwise
	}
	if n < low || n > high {
		r.add(w, fmt.Sprintf("%s is %d", key, n), fmt.Sprintf("write a number from %d to %d", low, high))
		return otherwise
	}
	return n
}

// yes takes true or false.
func (r *reader) yes(w word, key string) bool {
	switch {
	case !w.there() || w.s == "false":
		return false
	case w.s == "true":
		return true
	}
	r.add(w, fmt.Sprintf("%s is %q", key, w.s), "write true or false")
	return false
}

// choice takes one of a few words; an absent word is "".
func (r *reader) choice(w word, key string, words ...string) string {
	if w.there() && !slices.Contains(words, w.s) {
		r.add(w, fmt.Sprintf("%s is %q", key, w.s), "write "+strings.Join(words, ", "))
		return ""
	}
	return w.s
}
