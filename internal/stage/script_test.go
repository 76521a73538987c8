package stage_test

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io/fs"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/dialogs"
	"benyomo/internal/app/config"
	"benyomo/internal/edge/rehearsal/server"
	"benyomo/internal/engine/clock"
	"benyomo/internal/engine/courier"
	"benyomo/internal/engine/store"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/find"
	"benyomo/internal/idea/wording"
	"benyomo/internal/stage"
)

// A conversation file reads like a conversation. A line that is not indented is something that happens; the indented lines
// under it are everything that the bot did about it, taken from the local server's log. docs/conversations.md lists the
// lines that may stand there.

// actor is somebody in a conversation.
type actor struct {
	name string
	id   int64
	chat int64 // where he writes: his own chat, or a group
}

// play runs one conversation.
type play struct {
	t         *testing.T
	stage     *stage.Stage
	household *clock.Manual
	machine   *clock.Movable
	options   stage.Options
	zone      *time.Location
	actors    map[string]actor
	order     []int64 // chats, in the order in which they appeared
	names     map[int64]string
	seen      int                    // log entries that were told
	buttons   map[int64][]keyboard   // everything that ever was on a message
	token     string                 // of the last link
	numbers   map[int64]map[int]int  // chat → the server's message number → ours, from 1
	changes   []func(*config.Config) // before the start
	started   bool
	now       string // the line that is played
}

type keyboard struct {
	message int
	rows    [][]server.Button
}

var pack = func() *dialog.Pack {
	p, err := dialog.Load(dialogs.FS)
	if err != nil {
		panic(err)
	}
	return p
}()

var finder = find.New(pack)

func newPlay(t *testing.T) *play {
	place := stage.Place()
	start := time.Date(2027, 4, 11, 10, 0, 0, 0, place.Zone)
	p := &play{
		t: t, zone: place.Zone, household: clock.NewManual(start), machine: clock.NewMovable(clock.System{}, clock.System{}.Now()),
		actors: map[string]actor{}, names: map[int64]string{}, buttons: map[int64][]keyboard{}, numbers: map[int64]map[int]int{},
	}
	rates := courier.Unlimited()
	p.options = stage.Options{Data: t.TempDir(), Pack: pack, Finder: finder, Household: p.household, Machine: p.machine, Poll: time.Second, Rates: &rates, Version: "test"}
	return p
}

// begin sets the stage at the first line that needs it.
func (p *play) begin() {
	if p.started {
		return
	}
	p.started = true
	p.options.Change = func(c *config.Config) {
		for _, change := range p.changes {
			change(c)
		}
	}
	s, err := stage.Set(p.options)
	require.NoError(p.t, err)
	p.stage = s
	p.t.Cleanup(func() {
		ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
		defer cancel()
		require.NoError(p.t, s.Close(ctx))
		st, err := store.Open(p.options.Data)
		require.NoError(p.t, err)
		require.NoError(p.t, st.Check(), "the file is consistent")
		require.NoError(p.t, st.Close())
	})
	p.add("Rav", stage.Rabbi, "en")
	p.add("Office", stage.Office, "en")
	p.add("Dina", stage.Member, "en")
	for _, n := range []string{"Rav", "Office"} {
		if n == "Office" || s.Config.ApprovingRabbi != 0 {
			p.stage.Server.Say(p.actors[n].id, p.actors[n].id, "/start")
		}
	}
	p.up()
	p.settle()
	p.told() // the greetings of the rabbi and the office are part of the set
}

func (p *play) add(name string, id int64, lang string) {
	p.stage.Server.AddPerson(server.Person{ID: id, FirstName: name, LanguageCode: lang})
	p.actors[name] = actor{name: name, id: id, chat: id}
	p.names[id] = name
	p.order = append(p.order, id)
}

func (p *play) up() {
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	require.NoError(p.t, p.stage.Begin(ctx))
}

func (p *play) settle() {
	if p.stage.App == nil {
		return
	}
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
	defer cancel()
	require.NoError(p.t, p.stage.Settled(ctx))
}

// fleeting are texts that may be replaced before they are sent: whether they are is a race, and no part of a conversation.
var fleeting = func() (out []string) {
	for _, l := range pack.Languages {
		out = append(out, wording.In(pack, l.Code.S, time.UTC).Say("planning-being-made"))
	}
	return out
}()

// told renders what the bot did since it was last asked.
func (p *play) told() []string {
	entries := p.stage.Server.Log(p.seen)
	if len(entries) > 0 {
		p.seen = entries[len(entries)-1].N
	}
	entries = slices.DeleteFunc(entries, func(e server.Entry) bool { return slices.Contains(fleeting, e.Text) })
	// Deliveries to different chats overtake each other, and the answer to a press goes out beside the messages: the file's
	// order is by chat, and in each the messages first.
	slices.SortStableFunc(entries, func(a, b server.Entry) int {
		if by := slices.Index(p.order, a.Chat) - slices.Index(p.order, b.Chat); by != 0 {
			return by
		}
		if passing(a) != passing(b) {
			if passing(a) {
				return 1
			}
			return -1
		}
		if passing(a) {
			return strings.Compare(a.Text, b.Text)
		}
		return 0
	})
	var out []string
	for _, e := range entries {
		out = append(out, p.entry(e)...)
	}
	return out
}

// passing reports whether an entry is the answer to a press and no message.
func passing(e server.Entry) bool { return e.Method == "answerCallbackQuery" }

var (
	linkToken  = regexp.MustCompile(`\?start=([A-Za-z0-9_-]+)`)
	startToken = regexp.MustCompile(`/start ([A-Za-z0-9_-]{8,})`)
	version    = regexp.MustCompile(`\b[0-9a-f]{16}\b`) // of a dialog: it changes with every word of it
)

func (p *play) entry(e server.Entry) []string {
	who := p.names[e.Chat]
	if m := linkToken.FindStringSubmatch(e.Text); m != nil {
		p.token = m[1]
	}
	text := startToken.ReplaceAllString(linkToken.ReplaceAllString(e.Text, "?start=TOKEN"), "/start TOKEN")
	text = version.ReplaceAllString(text, "VERSION")
	n := 0
	if e.MessageID != 0 { // an answer to a press is no message
		n = p.number(e.Chat, e.MessageID)
	}
	if len(e.Keyboard) > 0 {
		p.buttons[e.Chat] = append(p.buttons[e.Chat], keyboard{e.MessageID, e.Keyboard})
	}
	var head string
	switch {
	case e.Method == "setMyCommands":
		return nil
	case passing(e):
		if e.Text == "" {
			return nil
		}
		return []string{fmt.Sprintf("to %s, in passing: %s", who, text)}
	case e.Method == "editMessageReplyMarkup":
		return []string{fmt.Sprintf("to %s, message %d loses its buttons", who, n)}
	case strings.HasPrefix(e.Method, "edit"):
		head = fmt.Sprintf("to %s, message %d becomes:", who, n)
	case e.FileKind != "":
		return []string{fmt.Sprintf("to %s, message %d: a %s", who, n, e.FileKind)}
	default:
		head = fmt.Sprintf("to %s, message %d:", who, n)
	}
	out := []string{head}
	for _, l := range strings.Split(text, "\n") {
		out = append(out, strings.TrimRight("  | "+l, " "))
	}
	for _, row := range e.Keyboard {
		var b []string
		for _, x := range row {
			b = append(b, "["+x.Text+"]")
		}
		out = append(out, "  "+strings.Join(b, " "))
	}
	return out
}

// number counts the bot's messages of a chat from 1.
func (p *play) number(chat int64, message int) int {
	if p.numbers[chat] == nil {
		p.numbers[chat] = map[int]int{}
	}
	if p.numbers[chat][message] == 0 {
		p.numbers[chat][message] = len(p.numbers[chat]) + 1
	}
	return p.numbers[chat][message]
}

// find looks a button up by its label: on the newest message that has it now, or on one that had it once.
func (p *play) find(chat int64, label string, on int) (int, string) {
	all := p.buttons[chat]
	for i := len(all) - 1; i >= 0; i-- {
		k := all[i]
		if on != 0 && p.number(chat, k.message) != on {
			continue
		}
		for _, row := range k.rows {
			for _, b := range row {
				if b.Text == label {
					return k.message, b.Data
				}
			}
		}
	}
	require.Failf(p.t, "no such button", "%q in the chat of %s, at line: %s", label, p.names[chat], p.now)
	return 0, ""
}

// message is the server's number of our n-th message in a chat.
func (p *play) message(chat int64, n int) int {
	for id, k := range p.numbers[chat] {
		if k == n {
			return id
		}
	}
	require.Failf(p.t, "no such message", "%d in the chat of %s", n, p.names[chat])
	return 0
}

// line plays one line of a conversation.
func (p *play) line(s string) {
	p.now = s
	for _, a := range actions {
		if m := a.shape.FindStringSubmatch(s); m != nil {
			if !a.before {
				p.begin()
			}
			a.play(p, m[1:])
			return
		}
	}
	require.Failf(p.t, "not understood", "%q", s)
}

type action struct {
	shape  *regexp.Regexp
	before bool // it stands before the start
	play   func(*play, []string)
}

func (p *play) who(name string) actor {
	a, ok := p.actors[name]
	require.True(p.t, ok, "there is nobody called %q", name)
	return a
}

func atoi(s string) int { n, _ := strconv.Atoi(s); return n }

var picture = []byte("\x89PNG\r\n\x1a\n invented")

// actions are the lines of a conversation, in the order in which they are tried.
var actions = []action{
	{regexp.MustCompile(`^begin (\d{4}-\d\d-\d\d \d\d:\d\d)$`), true, func(p *play, a []string) {
		at, err := time.ParseInLocation("2006-01-02 15:04", a[0], p.zone)
		require.NoError(p.t, err)
		p.household = clock.NewManual(at)
		p.options.Household = p.household
	}},
	{regexp.MustCompile(`^nothing is approved$`), true, func(p *play, _ []string) { p.options.Unapproved = true }},
	{regexp.MustCompile(`^the place lies (\d+) metres high$`), true, func(p *play, a []string) {
		metres, err := strconv.ParseFloat(a[0], 64)
		require.NoError(p.t, err)
		p.changes = append(p.changes, func(c *config.Config) { c.Place.Elevation = metres })
	}},
	{regexp.MustCompile(`^the door is closed$`), true, func(p *play, _ []string) {
		p.changes = append(p.changes, func(c *config.Config) { c.Admission = config.ByLink })
	}},
	{regexp.MustCompile(`^no rav is connected$`), true, func(p *play, _ []string) {
		p.changes = append(p.changes, func(c *config.Config) { c.ApprovingRabbi = 0 })
	}},
	{regexp.MustCompile(`^the inbox is the group (\S+)$`), true, func(p *play, a []string) {
		const id = -300000001
		p.changes = append(p.changes, func(c *config.Config) { c.Inbox = id; c.Rabbis = []int64{300000009} })
		p.names[id] = a[0]
	}},
	{regexp.MustCompile(`^the group (\S+) has (\S+) and a second rav (\S+)$`), false, func(p *play, a []string) {
		const id = -300000001
		p.add(a[2], 300000009, "en")
		p.stage.Server.AddGroup(id, a[0], p.who(a[1]).id, p.who(a[2]).id)
		p.order = append(p.order, id)
		for _, n := range []string{a[1], a[2]} {
			x := p.actors[n]
			p.actors[n+" in "+a[0]] = actor{name: n, id: x.id, chat: id}
		}
	}},
	{regexp.MustCompile(`^(\S+) comes, with a phone in (\w+)$`), false, func(p *play, a []string) {
		p.add(a[0], 400000000+int64(len(p.order)), a[1])
	}},
	{regexp.MustCompile(`^(\S+) is at home: ([a-z-]+), (\w+), (israel|abroad), in (en|he)$`), false, func(p *play, a []string) {
		w := p.who(a[0])
		p.stage.Server.Say(w.id, w.chat, "/start")
		p.settle()
		for i, choice := range []string{"language", "profile-purpose-" + a[1], "profile-custom-" + a[2], "profile-place-" + a[3]} {
			p.told()
			label := pack.Sentences[a[4]][choice]
			if i == 0 {
				label = map[string]string{"en": "English", "he": "עברית"}[a[4]]
			}
			m, data := p.find(w.chat, label, 0)
			p.stage.Server.Press(w.id, w.chat, m, data)
			p.settle()
		}
	}},
	{regexp.MustCompile(`^(\S+) opens the printed link$`), false, func(p *play, a []string) {
		w := p.who(a[0])
		require.Len(p.t, p.stage.App.Links(), 1)
		p.stage.Server.Say(w.id, w.chat, "/start "+p.stage.App.Links()[0].Token)
	}},
	{regexp.MustCompile(`^(\S+) opens the link$`), false, func(p *play, a []string) {
		w := p.who(a[0])
		p.stage.Server.Say(w.id, w.chat, "/start "+p.token)
	}},
	{regexp.MustCompile(`^(\S+(?: in \S+)?) presses \[(.+)\]( twice)?$`), false, func(p *play, a []string) {
		w := p.who(a[0])
		m, data := p.find(w.chat, a[1], 0)
		p.stage.Server.Press(w.id, w.chat, m, data)
		if a[2] != "" {
			p.stage.Server.Press(w.id, w.chat, m, data)
		}
	}},
	{regexp.MustCompile(`^(\S+(?: in \S+)?) presses \[(.+)\] on message (\d+)$`), false, func(p *play, a []string) {
		w := p.who(a[0])
		m, data := p.find(w.chat, a[1], atoi(a[2]))
		p.stage.Server.Press(w.id, w.chat, m, data)
	}},
	{regexp.MustCompile(`^(\S+(?: in \S+)?) answers message (\d+): (.+)$`), false, func(p *play, a []string) {
		w := p.who(a[0])
		p.stage.Server.Reply(w.id, w.chat, p.message(w.chat, atoi(a[1])), a[2])
	}},
	{regexp.MustCompile(`^(\S+(?: in \S+)?) writes (\d+) times: (.+)$`), false, func(p *play, a []string) {
		w := p.who(a[0])
		p.stage.Server.Say(w.id, w.chat, strings.TrimSpace(strings.Repeat(a[2]+" ", atoi(a[1]))))
	}},
	{regexp.MustCompile(`^(\S+) sends a photo$`), false, func(p *play, a []string) {
		w := p.who(a[0])
		p.stage.Server.Photo(w.id, w.chat, "photo.png", picture, "")
	}},
	{regexp.MustCompile(`^(\S+) sends a voice note$`), false, func(p *play, a []string) {
		w := p.who(a[0])
		p.stage.Server.Voice(w.id, w.chat, []byte("OggS invented"), 3)
	}},
	{regexp.MustCompile(`^(\S+) stops the bot$`), false, func(p *play, a []string) { p.stage.Server.Block(p.who(a[0]).id) }},
	{regexp.MustCompile(`^(\S+) allows the bot$`), false, func(p *play, a []string) { p.stage.Server.Unblock(p.who(a[0]).id) }},
	{regexp.MustCompile(`^the group (\S+) becomes a supergroup$`), false, func(p *play, a []string) {
		const id = -300000001
		now := p.stage.Server.Migrate(id)
		p.names[now] = a[0]
		p.order = append(p.order, now)
		for n, x := range p.actors {
			if x.chat == id {
				x.chat = now
				p.actors[n] = x
			}
		}
	}},
	{regexp.MustCompile(`^(\d+)(h|m|d) pass$`), false, func(p *play, a []string) {
		unit := map[string]time.Duration{"h": time.Hour, "m": time.Minute, "d": 24 * time.Hour}[a[1]]
		p.household.Advance(time.Duration(atoi(a[0])) * unit)
	}},
	{regexp.MustCompile(`^it is (\d{4}-\d\d-\d\d \d\d:\d\d)$`), false, func(p *play, a []string) {
		at, err := time.ParseInLocation("2006-01-02 15:04", a[0], p.zone)
		require.NoError(p.t, err)
		require.NoError(p.t, p.household.AdvanceTo(at))
	}},
	{regexp.MustCompile(`^the program is restarted$`), false, func(p *play, _ []string) {
		require.NoError(p.t, p.stage.End())
		p.up()
	}},
	{regexp.MustCompile(`^in the dialogs "(.+)" becomes "(.+)", and the program is restarted$`), false, func(p *play, a []string) {
		changed := fstest.MapFS{}
		require.NoError(p.t, fs.WalkDir(dialogs.FS, ".", func(name string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			raw, err := dialogs.FS.ReadFile(name)
			changed[name] = &fstest.MapFile{Data: bytes.ReplaceAll(raw, []byte(a[0]), []byte(a[1]))}
			return err
		}))
		upgraded, err := dialog.Load(changed)
		require.NoError(p.t, err)
		require.NoError(p.t, p.stage.End())
		p.stage.Upgrade(upgraded)
		p.up()
	}},
	{regexp.MustCompile(`^the program stops$`), false, func(p *play, _ []string) { require.NoError(p.t, p.stage.End()) }},
	{regexp.MustCompile(`^the program starts (\d+)m later$`), false, func(p *play, a []string) {
		p.household.Advance(time.Duration(atoi(a[0])) * time.Minute)
		p.machine.Advance(time.Duration(atoi(a[0])) * time.Minute)
		p.up()
	}},
	{regexp.MustCompile(`^the next (\d+) (\S+) fail with ([a-z-]+)$`), false, func(p *play, a []string) {
		p.stage.Server.Fail(server.Fault{Kind: a[2], Method: a[1], Count: atoi(a[0]), RetryAfter: 1})
	}},
	{regexp.MustCompile(`^updates come twice$`), false, func(p *play, _ []string) { p.stage.Server.Fail(server.Fault{Kind: "twice"}) }},
	{regexp.MustCompile(`^(\S+(?: in \S+)?): (.+)$`), false, func(p *play, a []string) {
		w := p.who(a[0])
		p.stage.Server.Say(w.id, w.chat, a[1])
	}},
}

// script is a conversation file: what happens, each with what the bot did.
type script struct {
	comments []string // before the first action
	parts    []part
}

type part struct {
	action string
	want   []string
	after  []string // comments and blank lines behind it
}

func readScript(t *testing.T, file string) script {
	f, err := os.Open(file)
	require.NoError(t, err)
	defer f.Close()
	var s script
	lines := bufio.NewScanner(f)
	for lines.Scan() {
		l := lines.Text()
		switch {
		case strings.TrimSpace(l) == "" || strings.HasPrefix(l, "#"):
			if n := len(s.parts); n > 0 {
				s.parts[n-1].after = append(s.parts[n-1].after, l)
			} else {
				s.comments = append(s.comments, l)
			}
		case strings.HasPrefix(l, "    "):
			n := len(s.parts)
			require.Positive(t, n, "%s begins with an answer", file)
			s.parts[n-1].want = append(s.parts[n-1].want, strings.TrimPrefix(l, "    "))
		default:
			s.parts = append(s.parts, part{action: l})
		}
	}
	require.NoError(t, lines.Err())
	return s
}

func (s script) String() string {
	var b strings.Builder
	put := func(ls []string, indent string) {
		for _, l := range ls {
			b.WriteString(strings.TrimRight(indent+l, " ") + "\n")
		}
	}
	put(s.comments, "")
	for _, p := range s.parts {
		put([]string{p.action}, "")
		put(p.want, "    ")
		put(p.after, "")
	}
	return b.String()
}
