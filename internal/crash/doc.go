// Package crash holds tests that break the real program: the binary, built for the purpose, is killed at any moment under
// load, stopped, started twice, and led through failures of the messenger, and everything that it had confirmed must be there.
//
// What lives here: tests, and the people, the process and the messenger that they need. The messenger is the local Bot API
// server, which runs in the test's own process and so outlives every kill. What does not live here: anything of the program.
package crash
