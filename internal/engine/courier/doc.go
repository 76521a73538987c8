// Package courier delivers what is owed: it takes the rows of the outbox in order, keeps to the messenger's rates, tries
// again what failed for a while, and holds back what cannot or may not be sent now.
//
// What lives here: the order of deliveries, their pace, back-off, the rest gate and the bound on what a crash can repeat.
// What does not: the rows themselves (they are the store's, and leave it only when the writer has recorded a result), the
// messenger (a Sender), and the decision whether it is a time of rest (a function that is asked).
//
// How it is used. The writer commits rows and then tells the courier with Add and Drop. The courier sends a row and hands
// its Result to the writer, which commits it, then calls Hold, Release, Rekey, Add and Drop as the commit demands, and
// Recorded last. Only then does the chat's next row go. A crash in between repeats at most Options.InFlight rows and
// loses none.
package courier
