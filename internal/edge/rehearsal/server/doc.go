// Package server is a local server that speaks the Telegram Bot API over HTTP to a bot, and a Go interface by which
// tests and the rehearsal page play the people at the other end.
//
// Here live: the transport, the parameters in every shape clients send them, the checks and error texts of the public
// API, the update queue with its offsets and its forgetting, the conversations, and faults on demand. Everything is
// kept in memory and nothing is written anywhere; no message text, name or token is ever logged.
//
// Not here: the page that shows the conversations, and anything of the bot itself. The package imports the standard
// library only. It is written from the public documentation of the Bot API (core.telegram.org/bots/api) and the observed
// texts of its errors; figures that are not published are marked where they stand.
//
// Left out on purpose: inline mode, payments, stickers, games, polls and business accounts; delivery to webhooks (a
// webhook can be set and then makes getUpdates answer 409, as it should); the Markdown parse modes, which are refused;
// and fetching files by URL, since a rehearsal makes no connection to the outside.
package server
