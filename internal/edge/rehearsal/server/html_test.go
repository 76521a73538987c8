package server

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// The tags and what they make: Bot API, "HTML style" and MessageEntity.
func TestParseHTML_Entities(t *testing.T) {
	one := func(kind string, offset, length int) []Entity {
		return []Entity{{Type: kind, Offset: offset, Length: length}}
	}
	for in, want := range map[string]struct {
		text     string
		entities []Entity
	}{
		"plain":                                 {"plain", nil},
		"<b>a</b>":                              {"a", one("bold", 0, 1)},
		"<strong>a</strong>":                    {"a", one("bold", 0, 1)},
		"<i>a</i>":                              {"a", one("italic", 0, 1)},
		"<em>a</em>":                            {"a", one("italic", 0, 1)},
		"<u>a</u>":                              {"a", one("underline", 0, 1)},
		"<ins>a</ins>":                          {"a", one("underline", 0, 1)},
		"<s>a</s>":                              {"a", one("strikethrough", 0, 1)},
		"<strike>a</strike>":                    {"a", one("strikethrough", 0, 1)},
		"<del>a</del>":                          {"a", one("strikethrough", 0, 1)},
		"<tg-spoiler>a</tg-spoiler>":            {"a", one("spoiler", 0, 1)},
		`<span class="tg-spoiler">a</span>`:     {"a", one("spoiler", 0, 1)},
		"<code>a</code>":                        {"a", one("code", 0, 1)},
		"<pre>a</pre>":                          {"a", one("pre", 0, 1)},
		"<blockquote>a</blockquote>":            {"a", one("blockquote", 0, 1)},
		"<blockquote expandable>a</blockquote>": {"a", one("expandable_blockquote", 0, 1)},
		"<B>a</b >":                             {"a", one("bold", 0, 1)},
		"<b>a</>":                               {"a", one("bold", 0, 1)},
		"<b></b>a":                              {"a", nil},
		"😀<b>כשר</b>":                           {"😀כשר", one("bold", 2, 3)},
		"a<b>b<i>c</i></b>": {"abc", []Entity{
			{Type: "bold", Offset: 1, Length: 2}, {Type: "italic", Offset: 2, Length: 1}}},
		`<pre><code class="language-go">a</code></pre>`: {"a", []Entity{{Type: "pre", Length: 1, Language: "go"}}},
		`<code class="language-go"><pre>a</pre></code>`: {"a", []Entity{{Type: "pre", Length: 1, Language: "go"}}},
		`<code class="language-go">a</code>`:            {"a", one("code", 0, 1)},
		`<a href="https://example.org/x?a=1&amp;b=2">y</a>`: {"y", []Entity{
			{Type: "text_link", Length: 1, URL: "https://example.org/x?a=1&b=2"}}},
		`<a href='example.org'>y</a>`:       {"y", []Entity{{Type: "text_link", Length: 1, URL: "http://example.org/"}}},
		`<a>example.org</a>`:                {"example.org", []Entity{{Type: "text_link", Length: 11, URL: "http://example.org/"}}},
		`<a href="javascript:x()">y</a>`:    {"y", nil},
		`<a href="http://localhost/">y</a>`: {"y", nil},
		`<a href="tg://user?id=501">y</a>`:  {"y", []Entity{{Type: "text_mention", Length: 1, UserID: 501}}},
		`<tg-emoji emoji-id="5368">x</tg-emoji>`: {"x", []Entity{
			{Type: "custom_emoji", Length: 1, CustomEmojiID: "5368"}}},
		`<tg-time unix="1647531900" format="wDT">x</tg-time>`: {"x", []Entity{
			{Type: "date_time", Length: 1, UnixTime: 1647531900, DateTimeFormat: "wDT"}}},
		"&lt;&gt;&amp;&quot;":           {`<>&"`, nil},
		"&#10;&#65;&#x41;&#X41;":        {"\nAA&#X41;", nil},
		"&nbsp; &apos; & && &;":         {"&nbsp; &apos; & && &;", nil},
		"&lt b &amp":                    {"< b &", nil},
		"&#x1F600;<b>a</b>":             {"😀a", one("bold", 2, 1)},
		"&#0;&#xD800;&#x10FFFF;":        {"&#0;&#xD800;&#x10FFFF;", nil},
		"1 > 0 and <b>2 > 1</b>":        {"1 > 0 and 2 > 1", one("bold", 10, 5)},
		`<b title="x > y">a</b>`:        {"a", one("bold", 0, 1)},
		"<b title=x.y-Z>a</b>":          {"a", one("bold", 0, 1)},
		"<blockquote\nx>a</blockquote>": {"a", one("blockquote", 0, 1)},
	} {
		text, entities, refused := parseHTML(in)
		require.Nil(t, refused, in)
		require.Equal(t, want.text, text, in)
		require.Equal(t, want.entities, entities, in)
	}
}

// The texts of the refusals are those the public API sends (observed, they are not published).
func TestParseHTML_Refusals(t *testing.T) {
	for in, want := range map[string]string{
		"a<br>b":                              `Unsupported start tag "br" at byte offset 1`,
		"a<br/>b":                             `Unsupported start tag "br/" at byte offset 1`,
		"<p>x</p>":                            `Unsupported start tag "p" at byte offset 0`,
		"שלום <3 you":                         `Unsupported start tag "3" at byte offset 9`,
		"a < b":                               `Unsupported start tag "" at byte offset 2`,
		"<!-- x -->":                          `Unsupported start tag "!--" at byte offset 0`,
		"<H1>x</H1>":                          `Unsupported start tag "h1" at byte offset 0`,
		"a <":                                 `Unclosed start tag at byte offset 2`,
		"a <b":                                `Unclosed start tag at byte offset 2`,
		"<a href":                             `Unclosed start tag "a" at byte offset 0`,
		"<a href=":                            `Unclosed start tag "a" at byte offset 0`,
		`<a href="x`:                          `Unclosed start tag at byte offset 0`,
		`<a href="x"`:                         `Unclosed start tag at byte offset 0`,
		"<b ":                                 `Empty attribute name in the tag "b" at byte offset 0`,
		`<b ="x">a</b>`:                       `Empty attribute name in the tag "b" at byte offset 0`,
		"<a href=x/y>a</a>":                   `Unexpected end of name token at byte offset 8`,
		"<span>a</span>":                      `Tag "span" must have class "tg-spoiler" at byte offset 0`,
		`<span class="red">a</span>`:          `Tag "span" must have class "tg-spoiler" at byte offset 0`,
		"a</b>":                               `Unexpected end tag at byte offset 1`,
		"<b>a</b":                             `Unclosed end tag at byte offset 4`,
		"<b>a</b x>":                          `Unclosed end tag at byte offset 4`,
		"<b>a</i>":                            `Unmatched end tag at byte offset 4, expected "</b>", found "</i>"`,
		"<b><i>a</b></i>":                     `Unmatched end tag at byte offset 7, expected "</i>", found "</b>"`,
		"<b>a":                                `Can't find end tag corresponding to start tag "b"`,
		"<b>a<i>b</i>":                        `Can't find end tag corresponding to start tag "b"`,
		`<tg-emoji emoji-id="x">a</tg-emoji>`: `Invalid custom emoji identifier specified`,
	} {
		_, _, refused := parseHTML(in)
		require.NotNil(t, refused, in)
		require.Equal(t, 400, refused.code)
		require.Equal(t, "Bad Request: can't parse entities: "+want, refused.text, in)
	}
}

// Over the wire the whole description arrives, and nothing is sent.
func TestSendMessage_UnparsableHTML(t *testing.T) {
	w := started(t, Options{})
	w.fails(400, `Bad Request: can't parse entities: Unsupported start tag "3" at byte offset 2`,
		"sendMessage", "chat_id", "501", "text", "I <3 you", "parse_mode", "HTML")
	require.Len(t, w.Chat(rivka), 1)
	require.Empty(t, w.Log(0))
}

// Whatever the parser accepts, its rendering is accepted again and means the same.
func TestRenderHTML_RoundTrip(t *testing.T) {
	pieces := []string{"<b>", "</b>", "<i>", "</i>", "<code>", "</code>", "<pre>", "</pre>", "<blockquote>", "</blockquote>",
		`<a href="https://example.org/">`, "</a>", `<span class="tg-spoiler">`, "</span>", "א", "😀", "x", " ", "&lt;", "&", "\""}
	random := rand.New(rand.NewPCG(1, 2))
	accepted := 0
	for range 200_000 {
		var in strings.Builder
		for range 1 + random.IntN(7) {
			in.WriteString(pieces[random.IntN(len(pieces))])
		}
		text, entities, refused := parseHTML(in.String())
		if refused != nil {
			continue
		}
		accepted++
		again, same, refused := parseHTML(renderHTML(text, entities))
		require.Nil(t, refused, in.String())
		require.Equal(t, text, again, in.String())
		require.ElementsMatch(t, entities, same, in.String())
	}
	require.Greater(t, accepted, 5000)
}

func TestRenderHTML(t *testing.T) {
	for _, c := range []struct {
		text     string
		entities []Entity
		want     string
	}{
		{"<script>", nil, "&lt;script&gt;"},
		{"abc", []Entity{{Type: "bold", Offset: 0, Length: 2}, {Type: "italic", Offset: 1, Length: 2}},
			"<b>a<i>b</i></b><i>c</i>"},
		{"a", []Entity{{Type: "text_link", Length: 1, URL: "javascript:alert(1)"}}, "a"},
		{"a", []Entity{{Type: "text_link", Length: 1, URL: `https://example.org/"><script>`}},
			`<a href="https://example.org/%22%3E%3Cscript%3E">a</a>`},
		{"a", []Entity{{Type: "pre", Length: 1, Language: `"><x`}}, `<pre><code class="language-&#34;&gt;&lt;x">a</code></pre>`},
		{"/go", []Entity{{Type: "bot_command", Length: 3}}, "/go"},
		{"😀b", []Entity{{Type: "bold", Offset: 2, Length: 1}}, "😀<b>b</b>"},
		{"a", []Entity{{Type: "bold", Offset: 0, Length: 50}}, "<b>a</b>"},
	} {
		require.Equal(t, c.want, renderHTML(c.text, c.entities))
	}
}

func FuzzParseHTML(f *testing.F) {
	for _, in := range []string{"<b>a</b>", "<a href='x", "&#x41;", "<b><i></b>", "</", "<", "<tg-time unix=1>x</>"} {
		f.Add(in)
	}
	f.Fuzz(func(t *testing.T, in string) {
		text, entities, refused := parseHTML(in)
		if refused != nil {
			return
		}
		for _, e := range entities {
			if e.Offset < 0 || e.Length <= 0 || e.Offset+e.Length > utf16Length(text) {
				t.Fatalf("entity %+v outside of %q", e, text)
			}
		}
		renderHTML(text, entities)
	})
}
