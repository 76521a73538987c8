package chart

import (
	"bytes"
	"fmt"
	"image/png"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/idea/plan"
)

func TestPicture(t *testing.T) {
	for _, e := range []example{three(t), tight(t)} {
		for _, lang := range []string{"en", "he"} {
			a, err := Picture(e.plan, e.words(t, lang), e.opts)
			require.NoError(t, err)
			b, err := Picture(e.plan, e.words(t, lang), e.opts)
			require.NoError(t, err)
			require.Equal(t, a, b, "equal plans give equal bytes")
			for i, raw := range a {
				c, err := png.DecodeConfig(bytes.NewReader(raw))
				require.NoError(t, err)
				require.Equal(t, 1080, c.Width)
				require.Equal(t, e.drawn(t, lang)[i].H, c.Height)
				require.Less(t, len(raw), 300_000, "small enough for a slow line")
			}
		}
	}
	e := three(t)
	e.opts.Place.Zone = nil
	_, err := Picture(e.plan, e.words(t, "en"), e.opts)
	require.ErrorContains(t, err, "place of the plan")
}

// Whatever the plan, even one that no kitchen has, the picture and the calendar are sound.
func TestAnyPlan(t *testing.T) {
	for seed := range uint64(100) {
		e := anyPlan(t, rng(seed))
		if seed%10 == 0 {
			e.plan.Finish, e.plan.Ready = plan.Moment{}, plan.Moment{}
		}
		if seed%10 == 1 {
			e.opts.Now = e.plan.Finish.At.AddDate(0, 0, 40)
		}
		lang := []string{"en", "he"}[seed%2]
		all, err := sheets(&e.plan, e.words(t, lang), e.opts)
		if len(e.plan.Unfit) == 0 && !slices.ContainsFunc(e.plan.Items, func(it plan.ItemPlan) bool { return len(it.Steps) > 0 || it.LastUse != nil }) {
			require.ErrorIs(t, err, ErrNothing, "seed %d", seed)
			continue
		}
		require.NoError(t, err, "seed %d", seed)
		sound(t, all)
		_, err = Calendar(e.plan, e.words(t, lang), e.file())
		if err != nil {
			require.ErrorIs(t, err, ErrNothing, "seed %d", seed)
		}
	}
}

// Very many things in one round, all names as long as can be, and two hundred that do not fit.
func TestALargeKitchen(t *testing.T) {
	e := three(t)
	at := e.plan.Made.Truncate(time.Hour)
	e.plan.Items, e.plan.Unfit = nil, nil
	words := e.words(t, "he")
	words.Item = func(id string) string { return strings.Repeat("סיר גדול ", 4) + id }
	for i := range 200 {
		id := fmt.Sprint(i)
		e.plan.Items = append(e.plan.Items, plan.ItemPlan{ID: id, Kind: "pot", Steps: []plan.Step{
			{Name: "scrub", Attended: true, Begins: at, Ends: at.Add(time.Hour)},
			{Name: "boil", Attended: true, Begins: at.Add(30 * time.Hour), Ends: at.Add(31 * time.Hour), In: "round-meat-1"},
		}})
		e.plan.Unfit = append(e.plan.Unfit, plan.Unfit{Item: id + "x", Why: "crowded", Away: "lock-away"})
	}
	all, err := sheets(&e.plan, words, e.opts)
	require.NoError(t, err)
	sound(t, all)
}

func TestSentencesAreTheSameInBothLanguages(t *testing.T) {
	all, err := sentences()
	require.NoError(t, err)
	require.Len(t, all, 2)
	for key, en := range all["en"] {
		he := all["he"][key]
		require.NotEmpty(t, he, key)
		for _, part := range strings.Split(en, "{")[1:] {
			place, _, _ := strings.Cut(part, "}")
			require.Contains(t, he, "{"+place+"}", key)
		}
	}
	require.Len(t, all["he"], len(all["en"]))
	say, err := Sentences("xx")
	require.NoError(t, err)
	require.Equal(t, "Night", say("night"))
	require.Equal(t, "no-such", say("no-such"))
}

func benchmarkPicture(b *testing.B, e example) {
	words := e.words(b, "he")
	for b.Loop() {
		if _, err := Picture(e.plan, words, e.opts); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPicture(b *testing.B) {
	b.Run("12", func(b *testing.B) { benchmarkPicture(b, twelve(b)) })
	b.Run("40", func(b *testing.B) { benchmarkPicture(b, forty(b)) })
}
