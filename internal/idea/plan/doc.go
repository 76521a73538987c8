// Package plan makes the schedule of a whole kitchen's kashering, back from its finish line: the one last hot meal, the last
// use of every other thing, and when each is scrubbed, waits, is kashered, cools and is covered.
//
// What each kind of thing takes, and what comes before what, is data: dialogs/plan.yaml, of which every duration is an estimate.
// [Make] plans a [Kitchen]; a kitchen that does not fit gets a plan of what does, with what does not, what would help, and a
// minimal kitchen. [Diff] compares two plans, so that one who plans again is told only what changed. [Parse] reads a kitchen's
// file; [Household] makes one of what people say in a conversation. Nothing here rules on anything: whether a thing can be
// kashered, and how, is decided elsewhere, and how a plan is said in words by the package wording.
//
// # What is as late as possible
//
// First the last hot meal; then, with that meal, the other last uses in sum. Both are counted on a grid of five minutes, as
// far as somebody is awake then, and the meal, if the household named some, as one of those. Everything is over by the finish
// line less the slack. A thing in hot use on Sabbath begins its 24 hours after the last rest span of the plan.
//
// Steps that follow at once upon each other are one task, in one piece. What is boiled is first put together into rounds, and
// work that is done for each of several is divided where it is longer than any time of work; the search takes these as given.
//
// # Why the search is exhaustive
//
// Time runs backwards, from the end of the plan, so that late becomes small. A task has a position, before which it may not
// be: the positions of those to which it is bound, plus lags. All that counts only grows when a position does.
//
//  1. Some best schedule is one in which no task could have a lesser position while the others stay, for moving one there
//     breaks nothing and makes nothing worse, and it ends.
//  2. Take the tasks of such a schedule in the order of their positions. Each is at the first position that is free, not less
//     than that of the one before it. For if it could be at a lesser one p as far as those before it go, some later task k
//     would hinder that. But what a task takes never grows from its first position on (rows that would are refused), so that
//     at and after k's position, which is not less than its own, it would take no more at p than where it is. And the work of
//     a window, which may be bounded, lies in the window of the first position: k's is either the task's own or a later one.
//     So k hinders nothing. Hence it is enough to try, again and again, each task that may come next at its first position.
//  3. A task that takes nothing of which there could be too little hinders nobody, and is placed as soon as it may be.
//  4. A task need not come next if another would be over before it could begin: that other can be moved there in any schedule
//     that follows, since all that follows begins later, unless both are in a window whose work is bounded ([exact.skips]).
//  5. Of two parts of a schedule with the same tasks, the one is enough if whatever can follow upon the other can follow upon
//     it, at the same positions, and costs no less there ([exact.beats]): its links and the calendar let each open task begin
//     no later than the other's bounds do; it takes no more, at each position from which on something can begin; its windows
//     hold no more work; and its uses cost no more, whatever follows.
//  6. Things that differ in nothing are tried in one order only ([exact.twins]).
//  7. A part is left if a bound shows that it leads to nothing better than the best schedule known: each open task at its first
//     position as if alone; and all open work as if it could be divided at will among all hands (hands.go).
//
// The search goes by layers of parts with equally many tasks. It is exhaustive for kitchens of up to twelve items, as long as it
// does not make more than 150 000 parts; [Plan.Proven] says whether it was. Larger kitchens are planned by lists of tasks that
// are changed for the better (greedy.go), and by the same layers with only their best parts kept.
package plan
