package bot_test

import (
	"context"
	"fmt"
	"log/slog"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/dialogs"
	"benyomo/internal/bot"
	"benyomo/internal/engine/chat"
	"benyomo/internal/engine/clock"
	"benyomo/internal/engine/store"
	"benyomo/internal/engine/turn"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/stage"
)

// silent is a courier that forgets what it is given: what is measured is the writer.
type silent struct{}

func (silent) Load([]chat.Post)                    {}
func (silent) Add([]chat.Post)                     {}
func (silent) Drop([]uint64)                       {}
func (silent) Recorded(uint64)                     {}
func (silent) Hold(chat.ID)                        {}
func (silent) Release(chat.ID)                     {}
func (silent) Rekey(_, _ chat.ID)                  {}
func (silent) Toast(chat.ID, string, string, bool) {}
func (silent) Wake()                               {}

// BenchmarkCommit measures one exchange of members through the writer to the disk, each commit synced: the update, its effects,
// and the answer in the outbox. The batch is how many updates one poll brought.
func BenchmarkCommit(b *testing.B) {
	for _, size := range []int{1, 16, 100} {
		b.Run(fmt.Sprintf("batch-%d", size), func(b *testing.B) {
			p, err := dialog.Load(dialogs.FS)
			require.NoError(b, err)
			s, err := store.Open(b.TempDir())
			require.NoError(b, err)
			place := stage.Place()
			household := clock.NewManual(time.Date(2027, time.April, 11, 10, 0, 0, 0, place.Zone))
			env := &turn.Env{Pack: p, Token: func() string { return "token" }, BotName: "bot", Version: "bench",
				Community: turn.Community{Name: "Kehillas Emek Rimon (invented)", Lang: "en", Place: place, Bedtime: 23 * 60, Inbox: 1}}
			w := bot.New(bot.Options{Store: s, Env: env, Courier: silent{}, Household: household, Machine: clock.System{}, Log: slog.New(slog.DiscardHandler)})
			quit, over := make(chan struct{}), make(chan error, 1)
			go func() { over <- w.Run(context.Background(), quit) }()
			ctx := context.Background()
			update := int64(0)
			for b.Loop() {
				events := make([]chat.Event, size)
				for i := range events {
					update++
					user := 1000 + update%500
					events[i] = chat.Event{Update: update, Kind: chat.Typed, Chat: chat.ID(user), User: user, Text: "/menu", Command: "menu"}
				}
				require.NoError(b, w.Handle(ctx, events))
			}
			b.ReportMetric(float64(size)*float64(b.N)/b.Elapsed().Seconds(), "updates/s")
			close(quit)
			require.NoError(b, <-over)
			require.NoError(b, s.Close())
		})
	}
}
