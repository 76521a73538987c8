package server

import (
	"html"
	"slices"
	"strings"
)

// renderHTML is a text with its entities as HTML that a page may show unchecked: text is escaped, and tags are only
// those the Bot API's HTML style allows. Entities that overlap without one being inside the other are cut at the
// border, so that the tags always nest.
func renderHTML(text string, entities []Entity) string {
	var (
		out  strings.Builder
		open []Entity
	)
	starts := slices.Clone(entities)
	sortEntities(starts)
	at := 0
	closeEnded := func() {
		// Everything above the outermost ended entity is closed with it, and opened again when it goes on.
		first := slices.IndexFunc(open, func(e Entity) bool { return e.Offset+e.Length <= at })
		if first < 0 {
			return
		}
		for i := len(open) - 1; i >= first; i-- {
			_, end := tagsOf(open[i])
			out.WriteString(end)
		}
		above := open[first:]
		open = open[:first:first]
		for _, e := range above {
			if e.Offset+e.Length > at {
				begin, _ := tagsOf(e)
				out.WriteString(begin)
				open = append(open, e)
			}
		}
	}
	for _, r := range text {
		closeEnded()
		for len(starts) > 0 && starts[0].Offset <= at {
			e := starts[0]
			starts = starts[1:]
			if e.Length > 0 && e.Offset+e.Length > at {
				begin, _ := tagsOf(e)
				out.WriteString(begin)
				open = append(open, e)
			}
		}
		out.WriteString(html.EscapeString(string(r)))
		at += utf16Size(r)
	}
	for i := len(open) - 1; i >= 0; i-- {
		_, end := tagsOf(open[i])
		out.WriteString(end)
	}
	return out.String()
}

// tagsOf is the start and end tag of an entity, both empty for one that is shown as plain text.
func tagsOf(e Entity) (begin, end string) {
	tag := ""
	switch e.Type {
	case "bold":
		tag = "b"
	case "italic":
		tag = "i"
	case "underline":
		tag = "u"
	case "strikethrough":
		tag = "s"
	case "code":
		tag = "code"
	case "blockquote":
		tag = "blockquote"
	case "expandable_blockquote":
		return "<blockquote expandable>", "</blockquote>"
	case "spoiler":
		return `<span class="tg-spoiler">`, "</span>"
	case "pre":
		if e.Language != "" {
			return `<pre><code class="language-` + html.EscapeString(e.Language) + `">`, "</code></pre>"
		}
		tag = "pre"
	case "text_link":
		link := checkedLink(e.URL)
		if link == "" {
			return "", ""
		}
		return `<a href="` + html.EscapeString(link) + `">`, "</a>"
	default:
		return "", ""
	}
	return "<" + tag + ">", "</" + tag + ">"
}
