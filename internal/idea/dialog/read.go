package dialog

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"regexp"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// maxFile bounds one dialog file, in bytes: a larger one is no dialog.
const maxFile = 1 << 20

// File is a YAML file outside of the dialogs that is read by their rules, such as a kitchen's. It collects its mistakes.
type File struct {
	l    loader
	name string
}

// ReadFile decodes the text of a file strictly, and reports whether it could; the mistakes are in File.Err. Guide is where an
// author reads what may stand in such a file.
func ReadFile(name string, raw []byte, guide string, into any) (*File, bool) {
	f := &File{l: loader{report: &report{lines: map[string][]string{}}, guide: guide}, name: name}
	return f, f.l.text(name, raw, into)
}

// Add reports a mistake at a word of the file.
func (f *File) Add(at Word, what, do string) {
	r := f.l.report // the rules that speak here are those of whoever reads the file
	r.add(f.name, at, what, do)
}

// Err is nil, or all the mistakes of the file.
func (f *File) Err() error { return f.l.report.err() }

func (l *loader) seeGuide() string {
	return "see " + cmp.Or(l.guide, "docs/dialogs.md") + " for what may stand here"
}

// read decodes one file strictly, and reports whether it could. A mistake in the file is reported; only a failure to read it
// is returned.
func (l *loader) read(name string, into any) (bool, error) {
	raw, err := fs.ReadFile(l.fs, name)
	if errors.Is(err, fs.ErrNotExist) {
		l.report.add(name, Word{}, "the file is missing", "add it; docs/dialogs.md says what it holds")
		return false, nil
	}
	if err != nil {
		return false, fmt.Errorf("read %s: %w", name, err)
	}
	return l.text(name, raw, into), nil
}

// text decodes the text of one file strictly, and reports whether it could.
func (l *loader) text(name string, raw []byte, into any) bool {
	if len(raw) > maxFile {
		l.report.add(name, Word{}, fmt.Sprintf("the file has %d bytes", len(raw)), fmt.Sprintf("keep it under %d", maxFile))
		return false
	}
	if !utf8.Valid(raw) {
		l.report.add(name, Word{}, "the file is not UTF-8 text", "save it as UTF-8")
		return false
	}
	text := strings.TrimPrefix(string(raw), "\ufeff") // some editors begin a file with this mark
	l.report.lines[name] = strings.Split(text, "\n")
	f, err := parser.ParseBytes([]byte(text), 0)
	if err != nil {
		at, what := locate(err)
		l.report.add(name, at, what, l.seeGuide())
		return false
	}
	if len(f.Docs) == 0 || f.Docs[0].Body == nil {
		l.report.add(name, Word{}, "the file is empty", "write it, or remove it")
		return false
	}
	if len(f.Docs) > 1 {
		l.report.add(name, placed(f.Docs[1].Start), "a second document begins here", "keep one, without --- in between")
		return false
	}
	return l.decode(name, f.Docs[0].Body, into)
}

func (l *loader) decode(name string, body ast.Node, into any) bool {
	before := len(l.report.list)
	l.plain(name, body, Word{})
	if len(l.report.list) > before {
		return false
	}
	if err := yaml.NodeToValue(body, into, yaml.Strict()); err != nil {
		at, what := locate(err)
		l.report.add(name, at, what, l.seeGuide())
		return false
	}
	return true
}

// plain reports what would decode to something else than what an author sees: a key or a list entry without a value, which
// would be as if it were not there; and tags, anchors and aliases, which no dialog needs.
func (l *loader) plain(name string, n ast.Node, at Word) {
	switch x := n.(type) {
	case *ast.NullNode:
		l.report.add(name, at, "nothing stands here", "write what belongs here, or remove the entry")
	case *ast.TagNode, *ast.AnchorNode, *ast.AliasNode, *ast.MergeKeyNode:
		l.report.add(name, placed(n.GetToken()), "the value is not written out", "write it without !, & or *; put words that begin so in quotes")
	case *ast.MappingNode:
		for _, v := range x.Values {
			at := placed(v.Key.GetToken())
			l.plain(name, v.Key, at)
			l.plain(name, v.Value, at)
		}
	case *ast.SequenceNode:
		for i, v := range x.Values {
			at := placed(v.GetToken())
			if i < len(x.Entries) && x.Entries[i].Start != nil {
				at = placed(x.Entries[i].Start) // the hyphen
			}
			l.plain(name, v, at)
		}
	}
}

// placed is a word without text at the token.
func placed(tk *token.Token) Word {
	if tk == nil || tk.Position == nil {
		return Word{}
	}
	return Word{Line: tk.Position.Line, Col: tk.Position.Column}
}

// typeShape is what the decoder says of a value of the wrong type, in words of the language Go; typeWords says it in the
// author's.
var (
	typeShape = regexp.MustCompile(`^cannot unmarshal (\S+) into .* of type (\S+)$`)
	typeWords = map[string]string{"int": "a whole number", "bool": "true or false"}
)

// firstToken is where a node begins: a block of settings gives the colon of its first one.
func firstToken(n ast.Node) *token.Token {
	if m, ok := n.(*ast.MappingNode); ok && !m.IsFlowStyle && len(m.Values) > 0 {
		tk := *m.GetToken()
		tk.Position = m.Values[0].Key.GetToken().Position
		return &tk
	}
	return n.GetToken()
}

// locate finds the place of a decoding error and its message in one line.
func locate(err error) (Word, string) {
	var shape *shapeError
	if errors.As(err, &shape) {
		return placed(shape.tk), shape.Error()
	}
	var ye yaml.Error
	if errors.As(err, &ye) {
		msg, _, _ := strings.Cut(ye.GetMessage(), "\n")
		if m := typeShape.FindStringSubmatch(msg); m != nil {
			msg = "expected " + cmp.Or(typeWords[m[2]], "something else") + ", found a " + m[1]
		}
		return placed(ye.GetToken()), msg
	}
	msg, _, _ := strings.Cut(err.Error(), "\n")
	return Word{}, msg
}
