package dialog

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"
)

// Word is a text of a dialog file that remembers where it stands.
type Word struct {
	S         string
	Line, Col int    // 1-based; zero where the word is absent
	file      string // where it stands, if that is not the file being checked
}

// Shared is the file of the shared part in which the word stands, or "" where it stands in the file that holds it.
func (w Word) Shared() string { return w.file }

// UnmarshalYAML takes a scalar. A number or a bare yes/no is taken as the author wrote it.
func (w *Word) UnmarshalYAML(n ast.Node) error {
	tk := n.GetToken()
	w.Line, w.Col = tk.Position.Line, tk.Position.Column
	switch x := n.(type) {
	case *ast.StringNode:
		w.S = x.Value
	case *ast.LiteralNode:
		w.S = x.Value.Value
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode:
		w.S = tk.Value
	default:
		return &shapeError{tk: tk, want: "a word"}
	}
	return nil
}

// Text is a sentence in every language, by language code.
type Text map[string]Word

// In returns the words in the language, or "" where there are none. A block of several lines ends with one that is no part
// of them.
func (t Text) In(lang string) string { return strings.TrimSpace(t[lang].S) }

// Outcomes are the ends of a tree in the order of the file.
type Outcomes struct {
	List []*Outcome
	byID map[string]*Outcome
}

// shapeError is a value of the wrong shape, with its place.
type shapeError struct {
	tk   *token.Token
	want string
}

func (e *shapeError) Error() string {
	found := fmt.Sprintf("%q", e.tk.Value)
	switch e.tk.Type {
	case token.SequenceStartType, token.SequenceEntryType:
		found = "a list"
	case token.MappingStartType, token.MappingValueType:
		found = "settings"
	}
	return fmt.Sprintf("expected %s, found %s", e.want, found)
}

func sortedKeys[K cmp.Ordered, V any](m map[K]V) []K {
	keys := make([]K, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
