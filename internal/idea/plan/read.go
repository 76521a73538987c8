package plan

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"benyomo/internal/idea/dialog"
)

// MaxFile bounds a kitchen's file, in bytes.
const MaxFile = 1 << 20

// guide is where an author reads how a kitchen's file is written.
const guide = "docs/examples/plan.yaml"

// reader takes words of a file as values, and reports those that are none.
type reader struct {
	add func(at dialog.Word, what, do string)
}

// there reports whether a word was written.
func there(w dialog.Word) bool { return w.Line > 0 }

// number takes a whole number between bounds, both included; an absent word is otherwise.
func (r *reader) number(w dialog.Word, setting string, otherwise, low, high int) int {
	if !there(w) {
		return otherwise
	}
	n, err := strconv.Atoi(w.S)
	if err != nil {
		r.add(w, fmt.Sprintf("%s is %q", setting, w.S), "write a whole number")
		return otherwise
	}
	if n < low || n > high {
		r.add(w, fmt.Sprintf("%s is %d", setting, n), fmt.Sprintf("write a number from %d to %d", low, high))
		return otherwise
	}
	return n
}

// yes takes true or false.
func (r *reader) yes(w dialog.Word, setting string) bool {
	switch {
	case !there(w) || w.S == "false":
		return false
	case w.S == "true":
		return true
	}
	r.add(w, fmt.Sprintf("%s is %q", setting, w.S), "write true or false")
	return false
}

// choice takes one of a few words; an absent word is "".
func (r *reader) choice(w dialog.Word, setting string, words ...string) string {
	if there(w) && !slices.Contains(words, w.S) {
		r.add(w, fmt.Sprintf("%s is %q", setting, w.S), "write "+strings.Join(words, ", "))
		return ""
	}
	return w.S
}
