package luach_test

import (
	"testing"
	"time"

	"benyomo/internal/idea/luach"
)

// The program asks RestAt for each event and timer: tens of microseconds would
// already be too much.

func BenchmarkFromCivil(b *testing.B) {
	for n := 0; b.Loop(); n++ {
		luach.FromCivil(2027, time.January, n%5000)
	}
}

func BenchmarkSunset(b *testing.B) {
	p := newYork(b)
	for n := 0; b.Loop(); n++ {
		luach.Sunset(p, 2027, time.January, n%5000)
	}
}

func benchmarkAt(b *testing.B, p luach.Place, f func(luach.Place, time.Time)) {
	now := time.Date(2027, time.January, 1, 0, 0, 0, 0, time.UTC)
	for b.Loop() {
		f(p, now)
		now = now.Add(97 * time.Minute)
	}
}

func BenchmarkRestAt(b *testing.B) {
	benchmarkAt(b, newYork(b), func(p luach.Place, now time.Time) { luach.RestAt(p, now) })
}

func BenchmarkRestAtPolar(b *testing.B) {
	benchmarkAt(b, tromso(b), func(p luach.Place, now time.Time) { luach.RestAt(p, now) })
}

func BenchmarkNextRest(b *testing.B) {
	benchmarkAt(b, jerusalem(b), func(p luach.Place, now time.Time) { luach.NextRest(p, now) })
}

func BenchmarkPhaseAt(b *testing.B) {
	benchmarkAt(b, newYork(b), func(p luach.Place, now time.Time) { luach.PhaseAt(p, now) })
}
