package page

import (
	"encoding/binary"
	"testing"
	"time"
	_ "time/tzdata" // the zones below must not depend on the machine

	"github.com/stretchr/testify/require"

	"benyomo/internal/edge/rehearsal/server"
)

// Unicode Standard Annex #9, rules P2 and P3: the first character of class L, R or AL decides, and what is inside an
// isolate is skipped. Classes of the characters: Unicode Character Database, DerivedBidiClass.
func TestDirectionIsThatOfTheFirstStrongCharacter(t *testing.T) {
	for text, want := range map[string]string{
		"Wait 24 hours":           leftToRight,
		"יש להמתין 24 שעות":       rightToLeft,
		"24 שעות, then pour":      rightToLeft, // digits are weak
		"12. Pot":                 leftToRight,
		"— 12:30 —":               "",
		"":                        "",
		"(\u200f12":               rightToLeft, // RLM is strong
		"\u200e\u05d0":            leftToRight, // LRM is strong
		"\u2068Dov\u2069 שואל":    rightToLeft, // inside an isolate nothing counts
		"\u2068שרה\u2069 asks":    leftToRight,
		"\u2067\u05d0\u2069 12":   "",
		"مرحبا":                   rightToLeft,
		"\u05b0 a":                leftToRight, // a vowel point alone is a non-spacing mark
		"\u2069\u2069 still left": leftToRight, // a closing mark without an opening one
	} {
		require.Equal(t, want, direction(text), "%q", text)
	}
}

func TestLanguageIsTheWritersInHisScript(t *testing.T) {
	for _, c := range []struct{ text, writer, want string }{
		{"שלום", "en", "he"},
		{"שלום", "yi", "yi"},
		{"shalom", "he", "en"},
		{"bonjour", "fr-BE", "fr"},
		{"12:30", "he", ""},
		{"привет", "en", "ru"},
		{"ქ", "en", ""},
	} {
		require.Equal(t, c.want, language(c.text, c.writer), "%q of %s", c.text, c.writer)
	}
}

// Offsets of entities count UTF-16 units (Bot API, MessageEntity), so the pot's sign before the bold word counts twice.
func TestParagraphsAreCutAtEntitiesInUTF16Units(t *testing.T) {
	text := "🍲 pot\n\nסיר גדול\n12"
	got := blocks(text, []server.Entity{
		{Type: "bold", Offset: 3, Length: 3},
		{Type: "italic", Offset: 12, Length: 4},
		{Type: "bold", Offset: 40, Length: 3}, // outside the text: ignored
	}, rightToLeft, "he", true)
	require.Equal(t, []block{
		{Dir: leftToRight, Lang: "en", Runs: []run{{Text: "🍲 "}, {Text: "pot", Styles: []string{"bold"}}}},
		{Dir: rightToLeft, Lang: "he", Apart: true, Runs: []run{{Text: "סיר "}, {Text: "גדול", Styles: []string{"italic"}}}},
		{Dir: rightToLeft, Runs: []run{{Text: "12"}}}, // no letter: as around it
	}, got)
}

func TestEntitiesOverSeveralParagraphsAndLinks(t *testing.T) {
	got := blocks("one\ntwo /help", []server.Entity{
		{Type: "blockquote", Offset: 0, Length: 7},
		{Type: "text_link", Offset: 0, Length: 3, URL: "https://example.org/a"},
		{Type: "bot_command", Offset: 8, Length: 5},
	}, leftToRight, "en", true)
	require.Equal(t, []block{
		{Dir: leftToRight, Lang: "en", Kind: "quote", Runs: []run{{Text: "one", URL: "https://example.org/a"}}},
		{Dir: leftToRight, Lang: "en", Kind: "quote", Runs: []run{{Text: "two"}, {Text: " "}, {Text: "/help", Say: "/help"}}},
	}, got)
	own := blocks("/help", []server.Entity{{Type: "bot_command", Offset: 0, Length: 5}}, leftToRight, "en", false)
	require.Empty(t, own[0].Runs[0].Say, "a person's own command is not a button")
}

func TestOnlyHarmlessLinksAreFollowed(t *testing.T) {
	for link, want := range map[string][2]string{
		"https://example.org/x?y=1":                 {"https://example.org/x?y=1", ""},
		"mailto:office@example.org":                 {"mailto:office@example.org", ""},
		"javascript:alert(1)":                       {"", ""},
		"data:text/html,x":                          {"", ""},
		"https:":                                    {"", ""},
		"https://t.me/emek_rimon_bot?start=dayslot": {"", "dayslot"},
		"https://example.org/?start=a%20b":          {"https://example.org/?start=a%20b", ""},
	} {
		address, payload := follow(link)
		require.Equal(t, want, [2]string{address, payload}, link)
	}
}

func TestVanishedMessagesKeepTheirNumber(t *testing.T) {
	l := newLedger(View{Key: "a", Person: 7, Chat: 7})
	at := time.Date(2026, 3, 25, 10, 0, 0, 0, time.UTC)
	who := people{7: {ID: 7, FirstName: "Rivka", LanguageCode: "en"}}
	three := []server.Message{
		{ID: 10, From: 7, Text: "a", Time: at}, {ID: 11, Bot: true, Text: "b", Time: at, ReplyTo: 10},
		{ID: 12, From: 7, Text: "c", Time: at.Add(15 * time.Hour)},
	}
	require.True(t, l.update(three, who, time.UTC, 1))
	require.False(t, l.update(three, who, time.UTC, 2), "nothing changed")
	require.True(t, l.update(three[:1:1], who, time.UTC, 3))
	got := l.since(0)
	require.Len(t, got, 3)
	require.Equal(t, []int{1, 2, 3}, []int{got[0].No, got[1].No, got[2].No})
	require.Equal(t, []bool{false, true, true}, []bool{got[0].Gone, got[1].Gone, got[2].Gone})
	require.Equal(t, 1, got[1].AnswerNo)
	require.Equal(t, []string{"Wednesday 25 March 2026", "", "Thursday 26 March 2026"}, []string{got[0].Day, got[1].Day, got[2].Day})
	require.Len(t, l.since(1), 2, "only what changed after revision 1")
}

// Israel puts its clocks forward on the Friday before the last Sunday of March at 02:00 and back on the last Sunday of
// October at 02:00 (IANA time zone database, file asia, rule Zion).
func TestLocalTimesAroundTheChangeOfClocks(t *testing.T) {
	zone, err := time.LoadLocation("Asia/Jerusalem")
	require.NoError(t, err)
	now := time.Date(2026, 3, 1, 12, 0, 0, 0, zone)

	got, remark, err := localTime("2026-03-26T02:30", now, zone)
	require.NoError(t, err)
	require.Empty(t, remark)
	require.Equal(t, "2026-03-26T00:30:00Z", got.UTC().Format(time.RFC3339))

	_, _, err = localTime("2026-03-27T02:30", now, zone)
	require.ErrorContains(t, err, "does not exist in Asia/Jerusalem")

	got, remark, err = localTime("2026-10-25T01:30", now, zone)
	require.NoError(t, err)
	require.Contains(t, remark, "comes twice")
	require.Equal(t, "2026-10-24T22:30:00Z", got.UTC().Format(time.RFC3339), "the first of the two")

	between := time.Date(2026, 10, 24, 22, 45, 0, 0, time.UTC)
	got, _, err = localTime("2026-10-25T01:30", between, zone)
	require.NoError(t, err)
	require.Equal(t, "2026-10-24T23:30:00Z", got.UTC().Format(time.RFC3339), "the one still ahead")

	_, _, err = localTime("2026-03-01T12:00", now, zone)
	require.ErrorContains(t, err, "only moves forward", "the same minute is not ahead")
	_, _, err = localTime("2026-02-30T12:00", now, zone)
	require.ErrorContains(t, err, "Write a date and a time")
}

// RFC 7845, section 4: the granule position of an OGG Opus page counts samples at 48 kHz.
func TestOggLength(t *testing.T) {
	d, ok := oggLength(opus(5 * 48000))
	require.True(t, ok)
	require.Equal(t, 5*time.Second, d)
	_, ok = oggLength([]byte("ID3 something else"))
	require.False(t, ok)
	_, ok = oggLength(append(opus(48000), "OggS"...))
	require.False(t, ok, "cut off inside the last page's header")
}

// opus is the frame of an OGG Opus file that plays that many samples: two page headers without sound in them.
func opus(samples uint64) []byte {
	head := func(granule uint64) []byte {
		b := append([]byte("OggS"), 0, 0)
		b = binary.LittleEndian.AppendUint64(b, granule)
		return append(b, make([]byte, 13)...)
	}
	first := append(head(0), []byte("OpusHead\x01\x01\x00\x00\x80\xbb\x00\x00\x00\x00\x00")...)
	return append(first, head(samples)...)
}
