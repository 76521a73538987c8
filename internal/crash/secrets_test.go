package crash

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/internal/edge/rehearsal/server"
	"benyomo/internal/stage"
)

const (
	marker  = "MARKERxWORDS" // in everything that the member types
	name    = "NAMExOFxSOMEBODY"
	private = 400000001
)

// clean checks that nothing that a process printed or logged holds what nobody may read there.
func (p *process) clean(t *testing.T) {
	t.Helper()
	for _, text := range []string{p.out.String(), p.log.String()} {
		for _, secret := range []string{tokenSecret, tokenSecret[8:], marker, strings.ToLower(marker), name} {
			require.NotContains(t, text, secret)
		}
	}
}

// TestNoSecretComesOut leads the program through many failures: no line of its log and nothing that it prints holds the
// token, a person's words or a person's name.
func TestNoSecretComesOut(t *testing.T) {
	t.Parallel()
	s := newServer(t)
	s.AddPerson(server.Person{ID: private, FirstName: name, LanguageCode: "en"})
	config := configure(t, t.TempDir(), awake(t, time.Now()))
	env := environment(serve(t, s))
	p := start(t, config, env...)
	ctx := within(t, 100*time.Second)
	all := newPhones(s)
	go all.follow(ctx)
	who := phone{all: all, id: private}
	settled := func(what string) {
		t.Helper()
		require.NoError(t, s.Until(ctx, func() bool { return len(s.Faults()) == 0 && s.Unconfirmed() == 0 }), "%s\n%s", what, p.log.String())
	}
	// say types words and waits for the bot's next message.
	say := func(text string) {
		t.Helper()
		above := who.say(text)
		require.NotZero(t, above)
		who.wait("an answer to "+text, func(c *screenful) bool { return c.newest(above, func(*message) bool { return true }) > 0 })
	}
	say("/start " + marker)
	who.screen("m.lang")
	who.press("m.lang", "en")
	for _, choice := range [][]string{{"purpose", "pesach"}, {"custom", "ashkenazi"}, {"place", "israel"}} {
		who.screen("m.set")
		who.press("m.set", choice...)
	}
	say("/menu " + marker)

	// The messenger fails in every way that it knows, towards calls of every kind.
	for _, f := range []server.Fault{
		{Kind: server.FaultUnauthorized, Method: "sendMessage"},
		{Kind: server.FaultRateLimit, Method: "sendMessage", RetryAfter: 1},
		{Kind: server.FaultServerError, Method: "sendMessage"},
		{Kind: server.FaultRefused, Method: "sendMessage"},
		{Kind: server.FaultAnswerLost, Method: "sendMessage"},
		{Kind: server.FaultServerError, Method: "answerCallbackQuery"},
		{Kind: server.FaultRefused, Method: "answerCallbackQuery"},
		{Kind: server.FaultServerError, Method: "getUpdates"},
		{Kind: server.FaultRateLimit, Method: "getUpdates", RetryAfter: 1},
		{Kind: server.FaultConflict, Method: "getUpdates"},
	} {
		f.Count = 1
		s.Fail(f)
		if f.Method == "answerCallbackQuery" {
			require.NotEmpty(t, s.Press(private, private, 1, "m.item|"+marker))
		} else {
			say(fmt.Sprintf("%s qzqz after %s of %s", marker, f.Kind, f.Method))
		}
		settled(f.Kind + " of " + f.Method)
	}

	// Buttons that nobody was shown, and updates that are not as they should be.
	for _, data := range []string{marker, "|", "m.ans", "m.ans|" + marker, "m.set|1|" + marker, "m.new|x|" + marker, "m.item|" + marker + "|1",
		"m.way|1|1|" + marker, "m.go|" + marker, "r.reply|1|" + marker, "r.yes|*|" + marker, "r.out|" + marker, "o.send|" + marker, "o.go|announce"} {
		require.NotEmpty(t, s.Press(private, private, 1, data))
	}
	quoted, err := json.Marshal(marker)
	require.NoError(t, err)
	for _, raw := range []string{
		`{"message": ` + string(quoted) + `}`, `{"message": {"text": ` + string(quoted) + `}}`, `{"message": {"chat": ` + string(quoted) + `}}`,
		`{"message": {"message_id": "x", "chat": {"id": ` + fmt.Sprint(private) + `, "type": "private"}, "text": ` + string(quoted) + `}}`,
		`{"message": {"message_id": 1, "from": {"id": 1e400}, "text": ` + string(quoted) + `}}`,
		`{"callback_query": {"id": 5, "data": ` + string(quoted) + `}}`, `{"callback_query": ` + string(quoted) + `}`, `{"my_chat_member": [` + string(quoted) + `]}`,
		`{"unheard_of": ` + string(quoted) + `}`, `[` + string(quoted) + `]`, string(quoted), `{}`, `null`, `7`,
	} {
		if id := s.Inject(json.RawMessage(raw)); id == 0 {
			require.Failf(t, "not taken", "%s", raw)
		}
	}
	say("qzqz " + marker + " after what was broken") // they poison nothing

	// The rabbi's chat is closed while the bot speaks; the office hears of it. The member stops the bot, and comes back.
	office, rabbi := phone{all: all, id: stage.Office}, phone{all: all, id: stage.Rabbi}
	for _, one := range []*phone{&office, &rabbi} {
		above := one.say("/start " + marker)
		one.wait("a greeting", func(c *screenful) bool { return c.newest(above, func(*message) bool { return true }) > 0 })
	}
	s.Fail(server.Fault{Kind: server.FaultBlocked, Method: "sendMessage", Chat: stage.Rabbi, Count: 1})
	above := office.last()
	require.NotZero(t, rabbi.say(marker))
	office.wait("a warning", func(c *screenful) bool { return c.newest(above, func(*message) bool { return true }) > 0 })
	above = rabbi.say(marker + " is back")
	rabbi.wait("his desk", func(c *screenful) bool { return c.newest(above, isDesk) > 0 })
	s.Block(private)
	settled("blocked by the person")
	s.Unblock(private)
	say("/menu " + marker)

	// A token that is withdrawn ends the program.
	s.Fail(server.Fault{Kind: server.FaultUnauthorized, Method: "getUpdates", Count: 1})
	require.Equal(t, 1, p.wait(t, 20*time.Second))
	require.Contains(t, p.log.String(), "the messenger does not accept the bot's token")

	for _, trace := range []string{"polling failed", "another program polls with this token"} {
		require.Contains(t, p.log.String(), trace, "the failures were met")
	}
	p.clean(t)
	for _, q := range quarantined(t, config) {
		require.NotContains(t, q, marker)
		require.NotContains(t, q, tokenSecret)
	}
	raw, err := os.ReadFile(filepath.Join(filepath.Dir(config), "data", "benyomo.db"))
	require.NoError(t, err)
	require.NotContains(t, string(raw), tokenSecret, "the token is not in the data")
	require.NotContains(t, string(raw), name, "nor is anybody's name")
	t.Logf("%d lines of log through %d effects", strings.Count(p.log.String(), "\n"), len(s.Log(0)))
}

// TestNoSecretComesOutAtTheStart: nor when the program cannot begin.
func TestNoSecretComesOutAtTheStart(t *testing.T) {
	t.Parallel()
	s := newServer(t)
	address := serve(t, s)
	config := configure(t, t.TempDir(), awake(t, time.Now()))
	broken := filepath.Join(t.TempDir(), "community.yaml")
	require.NoError(t, os.WriteFile(broken, []byte("name: x\ntoken: "+token+"\n"+token+": x\n"), 0o600))
	for _, tt := range []struct {
		what, config, says string
		env                []string
	}{
		{"another token", config, "the messenger does not accept the bot's token", []string{"BENYOMO_TOKEN=" + token + "x", "BENYOMO_API=" + address}},
		{"a token of another form", config, "the token is not of the form digits:letters", []string{"BENYOMO_TOKEN=" + tokenSecret + " ? " + token, "BENYOMO_API=" + address}},
		{"an address with the token", config, "seems to hold the token", []string{"BENYOMO_TOKEN=" + token, "BENYOMO_API=" + address + "/bot" + token}},
		{"a file with the token", broken, "token", environment(address)},
		{"no token", config, "there is no token", []string{"BENYOMO_API=" + address}},
	} {
		t.Run(tt.what, func(t *testing.T) {
			p := start(t, tt.config, tt.env...)
			require.Equal(t, 1, p.wait(t, 20*time.Second))
			require.Contains(t, p.log.String(), tt.says)
			p.clean(t)
		})
	}
	t.Run("nobody answers", func(t *testing.T) {
		nobody := newServer(t)
		dead := serve(t, nobody)
		require.NoError(t, nobody.Close()) // answers 502 to everything
		p := start(t, config, environment(dead)...)
		require.NoError(t, p.log.until(within(t, 20*time.Second), "the messenger cannot be reached"))
		require.NoError(t, p.cmd.Process.Signal(os.Interrupt))
		p.wait(t, stopWithin)
		p.clean(t)
	})
	t.Run("nobody is there", func(t *testing.T) {
		p := start(t, config, environment("http://127.0.0.1:1")...)
		require.NoError(t, p.log.until(within(t, 20*time.Second), "the messenger cannot be reached"))
		require.NoError(t, p.cmd.Process.Signal(os.Interrupt))
		p.wait(t, stopWithin)
		p.clean(t)
	})
}
