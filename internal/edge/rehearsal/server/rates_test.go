package server

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Sources of the figures: Bot FAQ, "My bot is hitting limits, how do I avoid this?".
func TestRates_Off(t *testing.T) {
	w := started(t, Options{})
	for range 100 {
		w.send()
	}
}

func TestRates_OneChat(t *testing.T) {
	w := started(t, Options{Rates: PublishedRates})
	for range 3 {
		w.send()
	}
	r := w.fails(429, "Too Many Requests: retry after 1", "sendMessage", "chat_id", "501", "text", "x")
	require.Equal(t, "1", string(r.Parameters.RetryAfter))
	require.Equal(t, "1", r.header.Get("Retry-After"))
	w.machine.add(time.Second)
	w.send()
	w.fails(429, "Too Many Requests: retry after 1", "sendMessage", "chat_id", "501", "text", "x")
	w.machine.add(time.Minute)
	for range 3 {
		w.send()
	}
}

func TestRates_Overall(t *testing.T) {
	w := start(t, Options{Rates: PublishedRates})
	for id := int64(1000); id < 1031; id++ {
		w.AddPerson(Person{ID: id})
		w.Say(id, id, "/start")
	}
	for id := 1000; id < 1030; id++ {
		w.ok(nil, "sendMessage", "chat_id", itoa(id), "text", "x")
	}
	w.fails(429, "Too Many Requests: retry after 1", "sendMessage", "chat_id", "1030", "text", "x")
	w.ok(nil, "editMessageText", "chat_id", "1000", "message_id", "2", "text", "an edit does not count")
	w.machine.add(time.Second)
	w.ok(nil, "sendMessage", "chat_id", "1030", "text", "x")
}

func TestRates_Group(t *testing.T) {
	w := start(t, Options{Rates: PublishedRates})
	begin := w.machine.now()
	for range 20 {
		w.ok(nil, "sendMessage", group()...)
		w.machine.add(2 * time.Second)
	}
	r := w.call("sendMessage", group()...)
	require.Equal(t, "Too Many Requests: retry after 20", r.Description)
	require.Equal(t, 40*time.Second, w.machine.now().Sub(begin))
	w.machine.add(20 * time.Second)
	w.ok(nil, "sendMessage", group()...)
}

// An album counts as its messages.
func TestRates_Album(t *testing.T) {
	w := started(t, Options{Rates: PublishedRates})
	id := w.document(t).Document.ID
	media := `[{"type":"document","media":"` + id + `"},{"type":"document","media":"` + id + `"},` +
		`{"type":"document","media":"` + id + `"},{"type":"document","media":"` + id + `"}]`
	w.fails(429, "Too Many Requests: retry after 1", "sendMediaGroup", "chat_id", "501", "media", media)
	w.machine.add(time.Second)
	w.ok(nil, "sendMediaGroup", "chat_id", "501", "media", media)
	w.fails(429, "Too Many Requests: retry after 2", "sendMessage", "chat_id", "501", "text", "x")

	w = start(t, Options{Rates: Rates{GroupPerMinute: 3}})
	doc := newFile(kindDocument, "a", []byte("a"))
	w.mu.Lock()
	w.keep(doc)
	w.mu.Unlock()
	one := `{"type":"document","media":"` + doc.id + `"}`
	w.fails(429, "Too Many Requests: retry after 60", "sendMediaGroup", "chat_id", itoa(int(inbox)),
		"media", "["+one+","+one+","+one+","+one+"]")
}
