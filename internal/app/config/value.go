package config

import (
	"fmt"
	"math"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/goccy/go-yaml/ast"
)

// text takes words of at most limit characters, in one line.
func (r *reader) text(v value, limit int) (string, bool) {
	var s string
	switch n := v.node.(type) {
	case *ast.StringNode:
		s = n.Value
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode:
		r.add(placeOf(n), v.key+" is not words", "put it in quotes")
		return "", false
	default:
		r.add(placeOf(n), v.key+" is not words", "write them in one line after the colon")
		return "", false
	}
	s = strings.TrimSpace(s)
	switch {
	case s == "":
		r.add(placeOf(v.node), v.key+" is empty", "write it, or remove the line")
	case utf8.RuneCountInString(s) > limit:
		r.add(placeOf(v.node), fmt.Sprintf("%s has %d characters", v.key, utf8.RuneCountInString(s)), fmt.Sprintf("shorten it to %d", limit))
	case strings.ContainsFunc(s, func(c rune) bool { return unicode.IsControl(c) || c == utf8.RuneError }):
		r.add(placeOf(v.node), v.key+" holds characters that cannot be shown", "write it in one line of plain words")
	default:
		return s, true
	}
	return "", false
}

// choice takes one of a few words.
func (r *reader) choice(v value, words ...string) (string, bool) {
	n, ok := v.node.(*ast.StringNode)
	if ok && slices.Contains(words, n.Value) {
		return n.Value, true
	}
	what := v.key + " is not one word"
	if ok {
		what = fmt.Sprintf("%s is %q", v.key, n.Value)
	}
	r.add(placeOf(v.node), what, "write "+strings.Join(words, " or "))
	return "", false
}

// file takes a path, which is meant from the folder of the configuration.
func (r *reader) file(v value) (string, bool) {
	s, ok := r.text(v, 1000)
	if ok && !filepath.IsAbs(s) {
		s = filepath.Join(r.dir, s)
	}
	return s, ok
}

// number takes a number between bounds, both included; of says what is counted.
func (r *reader) number(v value, low, high float64, of string) (float64, bool) {
	var x float64
	switch n := v.node.(type) {
	case *ast.FloatNode:
		x = n.Value
	case *ast.IntegerNode:
		switch i := n.Value.(type) {
		case int64:
			x = float64(i)
		case uint64:
			x = float64(i)
		}
	default:
		r.add(placeOf(n), v.key+" is not a number", fmt.Sprintf("write %s, without quotes", of))
		return 0, false
	}
	if !(x >= low && x <= high) {
		r.add(placeOf(v.node), fmt.Sprintf("%s is %v", v.key, x), fmt.Sprintf("write %s from %v to %v", of, low, high))
		return 0, false
	}
	return x, true
}

// whole takes a whole number between bounds, both included.
func (r *reader) whole(v value, low, high int, of string) (int, bool) {
	if _, ok := v.node.(*ast.IntegerNode); !ok {
		r.add(placeOf(v.node), v.key+" is not a whole number", fmt.Sprintf("write %s, without quotes", of))
		return 0, false
	}
	x, ok := r.number(v, float64(low), float64(high), of)
	return int(x), ok
}

// positive takes a rate: more than nothing and no more than high.
func (r *reader) positive(v value, high float64, of string) (float64, bool) {
	x, ok := r.number(v, math.Inf(-1), math.Inf(1), of)
	if ok && !(x > 0 && x <= high) {
		r.add(placeOf(v.node), fmt.Sprintf("%s is %v", v.key, x), fmt.Sprintf("write %s above 0, at most %v: more the messenger refuses", of, high))
		return 0, false
	}
	return x, ok
}

// yes takes true or false.
func (r *reader) yes(v value) bool {
	n, ok := v.node.(*ast.BoolNode)
	if !ok {
		r.add(placeOf(v.node), v.key+" is neither true nor false", "write true or false")
		return false
	}
	return n.Value
}

var clockShape = regexp.MustCompile(`^([01][0-9]|2[0-3]):([0-5][0-9])$`)

// timeOfDay takes a time of day and returns minutes after midnight.
func (r *reader) timeOfDay(v value) (int, bool) {
	if n, ok := v.node.(*ast.StringNode); ok {
		if m := clockShape.FindStringSubmatch(n.Value); m != nil {
			hour, _ := strconv.Atoi(m[1]) // the shape holds digits only
			minute, _ := strconv.Atoi(m[2])
			return hour*60 + minute, true
		}
	}
	r.add(placeOf(v.node), v.key+" is not a time of day", `write it from "00:00" to "23:59", in quotes`)
	return 0, false
}

// maxID bounds the messenger's ids: they have at most 52 significant bits (Bot API, "User").
const maxID = 1<<52 - 1

// id takes the number of a person or, if group is true, of any chat.
func (r *reader) id(key string, n ast.Node, group bool) (int64, bool) {
	i, ok := n.(*ast.IntegerNode)
	if !ok {
		r.add(placeOf(n), key+" is not an id", "write the number that the messenger gives, without quotes")
		return 0, false
	}
	var x int64
	switch v := i.Value.(type) {
	case int64:
		x = v
	case uint64:
		x = int64(min(v, maxID+1))
	}
	switch {
	case x == 0:
		r.add(placeOf(n), key+" is 0", "write the number that the messenger gives, or remove the line")
	case x < 0 && !group:
		r.add(placeOf(n), fmt.Sprintf("%s holds %d, the id of a group", key, x), "write the id of a person: it is positive")
	case x > maxID || x < -maxID:
		r.add(placeOf(n), fmt.Sprintf("%s holds %d, which is too large for an id", key, x), "write the number that the messenger gives")
	default:
		return x, true
	}
	return 0, false
}

// ids takes a list of people.
func (r *reader) ids(v value) []int64 {
	list, ok := v.node.(*ast.SequenceNode)
	if !ok {
		r.add(placeOf(v.node), v.key+" is not a list", "write [id, id], or [] for nobody")
		return nil
	}
	var out []int64
	for _, n := range list.Values {
		x, ok := r.id(v.key, n, false)
		switch {
		case !ok:
		case slices.Contains(out, x):
			r.add(placeOf(n), fmt.Sprintf("%s holds %d twice", v.key, x), "keep one")
		default:
			out = append(out, x)
		}
	}
	return out
}

// block takes settings of their own.
func (r *reader) block(v value, known []setting) {
	m, ok := v.node.(*ast.MappingNode)
	if !ok {
		r.add(placeOf(v.node), v.key+" has no settings of its own", "write them below it, indented")
		return
	}
	r.mapping(m, v.key, v.at, known)
}
