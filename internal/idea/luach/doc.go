// Package luach knows the calendar and the sun: Hebrew dates both ways,
// sunrise, sunset and nightfall at a place, the spans of Sabbath and festivals
// in which the program rests, the deadlines on the eve of Pesach by two
// reckonings, and the part of the year that decides which kashering is still
// possible.
//
// Everything here is a pure function of a [Place] and an instant or a civil
// date. The package reads no clock, no file and no configuration, and it rules
// on nothing: how many minutes before sunset candles are lit, how far below the
// horizon the sun is at nightfall and which reckoning of hours a community
// follows are fields of Place. It does not embed time-zone data either; the
// program that loads zones does that.
//
// # Conventions
//
// A civil date is given as year, month and day of the proleptic Gregorian
// calendar in the place's own time zone. A Hebrew date belongs to the daylight
// hours of a civil date; [DateAt] alone lets the date change at sunset.
// Times are instants, rounded to the nearest whole second and shown in the
// place's zone. The formulas are good to about 5 seconds below latitude 62
// degrees and to about 20 seconds beyond it; the weather bends the light of a
// low sun by more than that.
//
// # Where the sun does not rise or set
//
// No function passes off a zero time as an answer, nor an endless span, nor a
// number that is not one. A single event that does not happen says so in
// [Event.Happens] and why in [Event.Why]. A rest span always has two ends: where an event that would
// bound it does not happen, the span is widened to the outer edge of the
// conventions described at [RestAt], and [Span.Why] says which.
package luach
