package dialog

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Mistake is one thing that is wrong in a dialog file, and what to do about it.
type Mistake struct {
	File      string
	Line, Col int    // 1-based
	Source    string // the line itself
	What      string
	Do        string
}

// Error reads like a compiler's message: file:line:column, what is wrong, what to do, and the line itself.
func (m Mistake) Error() string {
	s := fmt.Sprintf("%s:%d:%d: %s: %s", m.File, m.Line, m.Col, m.What, m.Do)
	if m.Source != "" {
		s += "\n    " + m.Source
	}
	return s
}

// Mistakes are all the mistakes of a pack, in the order of files and lines.
type Mistakes []Mistake

func (ms Mistakes) Error() string {
	lines := make([]string, len(ms))
	for i, m := range ms {
		lines[i] = m.Error()
	}
	return strings.Join(lines, "\n")
}

// Sorted is the list in the order of files, lines and columns, each mistake once: a shared part is read once for each tree that
// uses it, and its mistakes are found as often.
func (ms Mistakes) Sorted() Mistakes {
	out := slices.Clone(ms)
	slices.SortStableFunc(out, func(a, b Mistake) int {
		return cmp.Or(strings.Compare(a.File, b.File), a.Line-b.Line, a.Col-b.Col)
	})
	return slices.Compact(out)
}

// report collects mistakes while a pack is read.
type report struct {
	list  Mistakes
	lines map[string][]string // file → its lines, for quoting
	heard func()              // tests learn here which rule spoke; else nil
}

func (r *report) add(file string, at Word, what, do string) {
	if at.file != "" {
		file = at.file
	}
	line, col := max(at.Line, 1), max(at.Col, 1)
	src := ""
	if ls := r.lines[file]; line <= len(ls) {
		src = strings.TrimRight(ls[line-1], "\r")
	}
	if r.heard != nil {
		r.heard()
	}
	r.list = append(r.list, Mistake{File: file, Line: line, Col: col, Source: src, What: what, Do: do})
}

func (r *report) err() error {
	if len(r.list) == 0 {
		return nil
	}
	return r.list.Sorted()
}

// Mistake is something that a later check finds wrong with a tree, at a word of it.
func (p *Pack) Mistake(t *Tree, at Word, what, do string) Mistake {
	return p.MistakeIn(t.File, at, what, do)
}

// MistakeIn is something that a later check finds wrong in a file of the folder, at a word of it.
func (p *Pack) MistakeIn(file string, at Word, what, do string) Mistake {
	r := report{lines: p.lines}
	r.add(file, at, what, do)
	return r.list[0]
}
