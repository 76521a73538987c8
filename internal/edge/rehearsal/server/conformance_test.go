package server_test

import (
	"bytes"
	"context"
	"image"
	"image/png"
	"io"
	"net/http"
	"net/http/httptest"
	"sync"
	"testing"
	"time"

	"github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"
	"github.com/stretchr/testify/require"

	"benyomo/internal/edge/rehearsal/server"
)

// TestConformance drives the server with a client library that has nothing to do with this project, through what a bot
// does in an ordinary day. That library speaks multipart for everything and decodes into its own models of the API.
func TestConformance(t *testing.T) {
	const rivka = int64(501)
	s := server.New(server.Options{Rates: server.Rates{ChatPerSecond: 1, ChatBurst: 5},
		Machine: func() time.Time { return time.Unix(1_700_000_000, 0) }})
	s.AddPerson(server.Person{ID: rivka, FirstName: "Rivka", LanguageCode: "en"})
	s.AddPerson(server.Person{ID: 502, FirstName: "Dov"})
	s.AddGroup(-7001, "Emek Rimon inbox", rivka)
	web := httptest.NewServer(s)
	client := &http.Client{Transport: &http.Transport{}}
	ctx, cancel := context.WithTimeout(t.Context(), 30*time.Second)
	t.Cleanup(func() {
		cancel()
		require.NoError(t, s.Close())
		client.CloseIdleConnections()
		web.Close()
	})

	updates := make(chan *models.Update, 20)
	b, err := bot.New(server.DefaultToken, bot.WithServerURL(web.URL), bot.WithHTTPClient(20*time.Second, client),
		bot.WithNotAsyncHandlers(), bot.WithWorkers(1), // else the order of updates is lost
		bot.WithDefaultHandler(func(_ context.Context, _ *bot.Bot, u *models.Update) { updates <- u }),
		bot.WithErrorsHandler(func(err error) {
			if ctx.Err() == nil {
				t.Errorf("the library reports: %v", err)
			}
		}))
	require.NoError(t, err)
	me, err := b.GetMe(ctx)
	require.NoError(t, err)
	require.True(t, me.IsBot)
	require.Equal(t, server.DefaultBotName, me.Username)

	// 403 before the person has written.
	_, err = b.SendMessage(ctx, &bot.SendMessageParams{ChatID: rivka, Text: "hello"})
	require.ErrorIs(t, err, bot.ErrorForbidden)
	require.ErrorContains(t, err, "bot can't initiate conversation with a user")

	polling, stop := context.WithCancel(ctx)
	var done sync.WaitGroup
	done.Go(func() { b.Start(polling) })
	t.Cleanup(func() { stop(); done.Wait() })

	s.Say(rivka, rivka, "/start abc")
	u := <-updates
	require.Equal(t, "/start abc", u.Message.Text)
	require.Equal(t, models.MessageEntityTypeBotCommand, u.Message.Entities[0].Type)
	require.Equal(t, models.ChatTypePrivate, u.Message.Chat.Type)
	require.Equal(t, rivka, u.Message.From.ID)

	// A message with a keyboard, a press, the answer, an edit.
	sent, err := b.SendMessage(ctx, &bot.SendMessageParams{
		ChatID: rivka, Text: "<b>Which</b> pot?", ParseMode: models.ParseModeHTML,
		ReplyParameters: &models.ReplyParameters{MessageID: u.Message.ID},
		ReplyMarkup: models.InlineKeyboardMarkup{InlineKeyboard: [][]models.InlineKeyboardButton{
			{{Text: "Iron", CallbackData: "iron"}, {Text: "Read", URL: "https://example.org/"}}}},
	})
	require.NoError(t, err)
	require.Equal(t, "Which pot?", sent.Text)
	require.Equal(t, models.MessageEntityTypeBold, sent.Entities[0].Type)
	require.Equal(t, "/start abc", sent.ReplyToMessage.Text)
	require.Equal(t, "iron", sent.ReplyMarkup.InlineKeyboard[0][0].CallbackData)

	press := s.Press(rivka, rivka, sent.ID, "iron")
	u = <-updates
	require.Equal(t, press, u.CallbackQuery.ID)
	require.Equal(t, "iron", u.CallbackQuery.Data)
	require.Equal(t, models.MaybeInaccessibleMessageTypeMessage, u.CallbackQuery.Message.Type)
	require.Equal(t, sent.ID, u.CallbackQuery.Message.Message.ID)
	ok, err := b.AnswerCallbackQuery(ctx, &bot.AnswerCallbackQueryParams{CallbackQueryID: press, Text: "noted"})
	require.NoError(t, err)
	require.True(t, ok)
	_, err = b.AnswerCallbackQuery(ctx, &bot.AnswerCallbackQueryParams{CallbackQueryID: "1"})
	require.ErrorContains(t, err, "query is too old")

	edit := &bot.EditMessageTextParams{ChatID: rivka, MessageID: sent.ID, Text: "An iron pot."}
	edited, err := b.EditMessageText(ctx, edit)
	require.NoError(t, err)
	require.Equal(t, "An iron pot.", edited.Text)
	require.NotZero(t, edited.EditDate)
	_, err = b.EditMessageText(ctx, edit)
	require.ErrorIs(t, err, bot.ErrorBadRequest)
	require.ErrorContains(t, err, "message is not modified")

	// An old message of which the bot knows no more than its place.
	s.Press(rivka, rivka, 9999, "old")
	u = <-updates
	require.Equal(t, models.MaybeInaccessibleMessageTypeInaccessibleMessage, u.CallbackQuery.Message.Type)

	// Uploads, an album, and a download.
	var chart bytes.Buffer
	require.NoError(t, png.Encode(&chart, image.NewGray(image.Rect(0, 0, 120, 60))))
	photo, err := b.SendPhoto(ctx, &bot.SendPhotoParams{ChatID: rivka, Caption: "chart",
		Photo: &models.InputFileUpload{Filename: "chart.png", Data: bytes.NewReader(chart.Bytes())}})
	require.NoError(t, err)
	require.Len(t, photo.Photo, 2)
	require.Equal(t, 120, photo.Photo[1].Width)
	file, err := b.GetFile(ctx, &bot.GetFileParams{FileID: photo.Photo[1].FileID})
	require.NoError(t, err)
	res, err := client.Get(b.FileDownloadLink(file))
	require.NoError(t, err)
	data, err := io.ReadAll(res.Body)
	require.NoError(t, err)
	require.NoError(t, res.Body.Close())
	require.Equal(t, chart.Bytes(), data)
	document, err := b.SendDocument(ctx, &bot.SendDocumentParams{ChatID: rivka,
		Document: &models.InputFileUpload{Filename: "plan.ics", Data: bytes.NewReader([]byte("BEGIN:VCALENDAR"))}})
	require.NoError(t, err)
	require.Equal(t, "plan.ics", document.Document.FileName)
	album, err := b.SendMediaGroup(ctx, &bot.SendMediaGroupParams{ChatID: int64(-7001), Media: []models.InputMedia{
		&models.InputMediaPhoto{Media: "attach://one.png", MediaAttachment: bytes.NewReader(chart.Bytes()), Caption: "1"},
		&models.InputMediaPhoto{Media: photo.Photo[1].FileID},
	}})
	require.NoError(t, err)
	require.Len(t, album, 2)
	require.Equal(t, album[0].MediaGroupID, album[1].MediaGroupID)

	// The files of people.
	s.Voice(rivka, rivka, []byte("ogg"), 4)
	u = <-updates
	require.Equal(t, 4, u.Message.Voice.Duration)

	// Settings.
	ok, err = b.SetMyCommands(ctx, &bot.SetMyCommandsParams{LanguageCode: "he", Scope: &models.BotCommandScopeDefault{},
		Commands: []models.BotCommand{{Command: "start", Description: "begin"}}})
	require.NoError(t, err)
	require.True(t, ok)
	commands, err := b.GetMyCommands(ctx, &bot.GetMyCommandsParams{LanguageCode: "he"})
	require.NoError(t, err)
	require.Equal(t, []models.BotCommand{{Command: "start", Description: "begin"}}, commands)

	// 429: three messages went to Rivka so far, five are tolerated at once.
	for range 2 {
		_, err = b.SendMessage(ctx, &bot.SendMessageParams{ChatID: rivka, Text: "x"})
		require.NoError(t, err)
	}
	_, err = b.SendMessage(ctx, &bot.SendMessageParams{ChatID: rivka, Text: "x"})
	var limited *bot.TooManyRequestsError
	require.ErrorAs(t, err, &limited)
	require.Equal(t, 1, limited.RetryAfter)

	// A migration.
	super := s.Migrate(-7001)
	require.Equal(t, super, (<-updates).Message.MigrateToChatID)
	require.EqualValues(t, -7001, (<-updates).Message.MigrateFromChatID)
	_, err = b.SendMessage(ctx, &bot.SendMessageParams{ChatID: int64(-7001), Text: "x"})
	var moved *bot.MigrateError
	require.ErrorAs(t, err, &moved)
	require.EqualValues(t, super, moved.MigrateToChatID)

	// 403 after a block.
	s.Block(rivka)
	u = <-updates
	require.Equal(t, models.ChatMemberTypeBanned, u.MyChatMember.NewChatMember.Type)
	_, err = b.SendMessage(ctx, &bot.SendMessageParams{ChatID: rivka, Text: "x"})
	require.ErrorIs(t, err, bot.ErrorForbidden)
	require.ErrorContains(t, err, "bot was blocked by the user")

	require.NoError(t, s.Until(ctx, func() bool { return s.Unconfirmed() == 0 }))
	stop()
	done.Wait()
	var methods []string
	for _, e := range s.Log(0) {
		methods = append(methods, e.Method)
	}
	require.Equal(t, []string{"sendMessage", "answerCallbackQuery", "editMessageText", "sendPhoto", "sendDocument",
		"sendMediaGroup", "sendMediaGroup", "setMyCommands", "sendMessage", "sendMessage"}, methods)
}
