package chart

import (
	"embed"
	"fmt"
	"strings"
	"sync"
	"time"

	"github.com/goccy/go-yaml"
)

// The sentences of this package, one file a language.
//
//go:embed words/*.yaml
var wordFiles embed.FS

var sentences = sync.OnceValues(func() (map[string]map[string]string, error) {
	out := map[string]map[string]string{}
	files, err := wordFiles.ReadDir("words")
	if err != nil {
		return nil, fmt.Errorf("list the sentences of plans on paper: %w", err)
	}
	for _, f := range files {
		raw, err := wordFiles.ReadFile("words/" + f.Name())
		if err != nil {
			return nil, fmt.Errorf("read the sentences of plans on paper: %w", err)
		}
		m := map[string]string{}
		if err := yaml.UnmarshalWithOptions(raw, &m, yaml.Strict()); err != nil {
			return nil, fmt.Errorf("read the sentences of plans on paper, %s: %w", f.Name(), err)
		}
		out[strings.TrimSuffix(f.Name(), ".yaml")] = m
	}
	return out, nil
})

// Sentences says the sentences of this package in a language, for [Words]. A language without them speaks English.
func Sentences(lang string) (func(key string, pairs ...any) string, error) {
	all, err := sentences()
	if err != nil {
		return nil, err
	}
	m, ok := all[lang]
	if !ok {
		m = all["en"]
	}
	return func(key string, pairs ...any) string {
		s, ok := m[key]
		if !ok {
			return key
		}
		fill := make([]string, 0, len(pairs))
		for i := 0; i+1 < len(pairs); i += 2 {
			fill = append(fill, "{"+fmt.Sprint(pairs[i])+"}", fmt.Sprint(pairs[i+1]))
		}
		return strings.NewReplacer(fill...).Replace(s)
	}, nil
}

// clock is the time of day, and day the date; moment is both.
func (c *chart) clock(t time.Time) string { return t.In(c.opts.Place.Zone).Format("15:04") }

func (c *chart) day(t time.Time) string { return c.words.day(t.In(c.opts.Place.Zone)) }

func (w Words) day(t time.Time) string {
	return w.Say("day", "weekday", w.weekday(t), "day", t.Day(), "month", w.Say(fmt.Sprintf("month-%d", t.Month())))
}

func (w Words) weekday(t time.Time) string { return w.Say(fmt.Sprintf("weekday-%d", t.Weekday())) }

func (c *chart) moment(t time.Time) string {
	return c.words.Say("moment", "day", c.day(t), "time", c.clock(t))
}

// soon is a moment within days of another: the time of day, with the day of the week where it is another day.
func (c *chart) soon(t, from time.Time) string {
	a, b := t.In(c.opts.Place.Zone), from.In(c.opts.Place.Zone)
	if a.YearDay() == b.YearDay() && a.Year() == b.Year() {
		return c.clock(t)
	}
	return c.words.Say("moment", "day", c.words.weekday(a), "time", c.clock(t))
}
