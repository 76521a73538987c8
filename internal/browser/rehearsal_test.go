package browser

import (
	"context"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"benyomo/dialogs"
	"benyomo/internal/engine/clock"
	"benyomo/internal/engine/courier"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/find"
	"benyomo/internal/idea/wording"
	"benyomo/internal/stage"
)

// The people of the page.
const (
	member = "Member"
	rabbi  = "Rabbi"
	office = "Office"
)

// asked is the kind of the item about which the rabbi is asked.
const asked = "range-hood"

// story is the rehearsal that is played: a screen, and the words of the language in which everybody speaks.
type story struct {
	*screen
	wording.Words
	pack  *dialog.Pack
	lang  dialog.Language
	zone  *time.Location
	clock *clock.Manual
}

// TestRehearsal plays the page in every language: at a desk until everybody has something before him, then on a phone to the end.
func TestRehearsal(t *testing.T) {
	pack, err := dialog.Load(dialogs.FS)
	require.NoError(t, err)
	browser, finder := chromium(t), find.New(pack)
	for _, lang := range pack.Languages {
		t.Run(lang.Code.S, func(t *testing.T) {
			p := begin(t, browser, pack, finder, lang)
			p.chooseLanguage()
			p.startOven()
			p.badInput()
			p.askTheRav()
			p.writeAnnouncement()
			p.fits()
			p.shoot(map[bool]string{true: "rehearsal.png", false: "rehearsal-" + lang.Code.S + ".png"}[lang.Code.S == "en"])

			p.resize(360, 740)
			answer := p.answer()
			p.sendAnnouncement()
			p.readBoth(answer)
			p.finishOven()
		})
	}
}

// begin starts a rehearsal at a fixed moment, a Sunday ten days before Pesach of 5787, and opens its page.
func begin(t *testing.T, browser context.Context, pack *dialog.Pack, finder *find.Finder, lang dialog.Language) *story {
	t.Helper()
	place := stage.Place()
	p := &story{pack: pack, lang: lang, zone: place.Zone, clock: clock.NewManual(time.Date(2027, 4, 11, 10, 0, 0, 0, place.Zone))}
	rates := courier.Unlimited()
	s, err := stage.Rehearse(t.Context(), stage.Options{Data: t.TempDir(), Pack: pack, Finder: finder, Poll: time.Second, Rates: &rates,
		Version: "test"}, p.clock)
	require.NoError(t, err)
	t.Cleanup(func() {
		ctx, cancel := context.WithTimeout(context.Background(), 10*time.Second)
		defer cancel()
		require.NoError(t, s.Close(ctx))
	})
	p.Words = wording.In(pack, lang.Code.S, place.Zone)
	p.screen = open(t, browser, s.URL())
	for _, who := range []string{member, rabbi, office} {
		p.waits("hand.reads(%s)", who)
	}
	return p
}

func (p *story) tree(kind string) *dialog.Tree { return p.pack.Tree(kind) }

// in is a text of the dialogs in the language of the story.
func (p *story) in(t dialog.Text) string { return t.In(p.lang.Code.S) }

// label is an answer as its button has it.
func (p *story) label(kind, question, answer string) string {
	return p.in(p.tree(kind).Step(question).Answer(answer).Label)
}

// name is what an item is called when it is the first of its kind.
func (p *story) name(kind string) string { return p.in(p.tree(kind).Name) }

// presses lets somebody press buttons of the program, one after the other, by the keys of their labels.
func (p *story) presses(who string, keys ...string) {
	p.Helper()
	for _, key := range keys {
		p.press(who, p.Say(key))
	}
}

// item goes from the menu by the group of a kind to the kind.
func (p *story) item(kind string) {
	p.Helper()
	group := ""
	for _, g := range p.pack.Groups {
		if g.ID.S == p.tree(kind).Group.S {
			group = p.in(g.Name)
		}
	}
	p.press(member, group)
	p.press(member, p.name(kind))
}

// chooseLanguage lets the member choose on his first screen, and the rabbi and the office where they do not have it already.
func (p *story) chooseLanguage() {
	p.press(member, p.lang.Name.S)
	for who, home := range map[string]string{rabbi: "rav-home", office: "office-home"} {
		community := "Kehillas Emek Rimon"
		if p.lang.Code.S != p.pack.Languages[0].Code.S {
			p.write(who, "/language", true)
			p.press(who, p.lang.Name.S)
		}
		p.reads(who, p.Say(home, "community", community))
	}
}

// startOven is one oven from the first start to the running wait.
func (p *story) startOven() {
	p.presses(member, "profile-purpose-pesach", "profile-custom-ashkenazi", "profile-place-abroad")
	p.item("oven")
	p.press(member, p.label("oven", "needed", "yes"))
	p.press(member, p.label("oven", "self-clean", "no"))
	p.press(member, p.label("oven", "residue", "stain"))
	p.press(member, p.label("oven", "top", "middle"))
	p.reads(member, p.Say("answer-approved"), p.Say("outcome-stop"))
	p.presses(member, "btn-start-idle", "hot-now", "btn-right")
	p.reads(member, p.Say("standing-waiting", "when", p.Near(p.clock.Now().Add(24*time.Hour), p.clock.Now())))
	p.direction(member)
}

// direction checks that the newest that the bot says to somebody runs the way of the language.
func (p *story) direction(who string) {
	p.Helper()
	require.Empty(p, look[[]string](p.screen, "hand.turned(%s, %s)", who, p.lang.Direction.S), "these run the other way")
}

// badInput is what goes wrong in front of the page: each is said, and none changes anything.
func (p *story) badInput() {
	before := look[string](p.screen, "hand.reads(%s)", member)
	p.write(member, "  ", true)
	p.waits("hand.error(%s) === %s", member, "Write something first.")
	p.write(member, "", false)
	p.waits("hand.error(%s) === %s", member, "Write something first.")

	p.press(member, p.Say("btn-start-idle")) // it has done its work, and stays where it was told what to do
	p.waits("hand.note(%s) === %s", member, p.Say("old-button"))

	p.click("hand.tool('Move the clock')")
	look[string](p.screen, "document.getElementById('at').value = %s", p.clock.Now().Add(-time.Minute).Format("2006-01-02T15:04"))
	p.click("hand.tool('Move to it')")
	p.waits("document.getElementById('clock-error').textContent === %s",
		"Household time only moves forward: Sunday 11 April 2027, 09:59 is not after Sunday 11 April 2027, 10:00.")
	p.click("hand.tool('Move the clock')")
	p.waits("!hand.tool('+1 hour')")
	require.Equal(p, before, look[string](p.screen, "hand.reads(%s)", member), "nothing was changed")
}

// askTheRav passes a question about a range hood on, and shows that it lies before the rabbi.
func (p *story) askTheRav() {
	p.presses(member, "btn-kitchen", "btn-add")
	p.item(asked)
	p.reads(member, p.in(p.tree(asked).Step("drips").Text))
	p.presses(member, "btn-ask-rav")
	p.reads(member, p.Say("referred"), p.Say("referred-asked"))
	p.reads(rabbi, p.name(asked), p.Say("card-asked"))
	p.presses(member, "btn-kitchen")
	p.reads(member, p.name(asked)+" – "+p.Say("standing-referred"))
	p.direction(rabbi)
}

// announcement is the office's.
func (p *story) announcement() string {
	return map[string]string{
		"en": "The kashering day is on Sunday at 10:00, in the hall <north door> & yard.",
		"he": "יום ההכשרה יהיה ביום ראשון בשעה 10:00, באולם <דלת צפון> ובחצר.",
	}[p.lang.Code.S]
}

// writeAnnouncement is the office's announcement up to its preview.
func (p *story) writeAnnouncement() {
	require.NotEmpty(p, p.announcement(), "write an announcement in the new language")
	p.presses(office, "btn-announce")
	p.reads(office, p.Say("announce-write"))
	p.write(office, p.announcement(), true)
	p.reads(office, p.Say("announce-preview", "n", 2), p.announcement()) // one of them is elsewhere
	p.waits("!hand.reads(%s).includes(%s)", member, p.announcement())
	p.direction(office)
}

// answer lets the rabbi tap an outcome, look at it whole, and send it; it returns its headline.
func (p *story) answer() string {
	p.choose(rabbi)
	p.fits()
	p.shootOnPhone(rabbi, "he")
	begun := strings.TrimSuffix(look[string](p.screen, "hand.first(%s).textContent", rabbi), "…")
	headline := p.headline(begun)
	p.pressOn(rabbi, "hand.first(%s)", rabbi)
	p.reads(rabbi, headline, p.Say("outcome-stop"))
	p.fits()
	p.presses(rabbi, "btn-send")
	p.reads(rabbi, p.Say("card-closed", "answer", headline))
	p.waits("hand.note(%s) === %s", rabbi, p.Say("sent"))
	return headline
}

// headline is that of the one outcome about a range hood which begins so.
func (p *story) headline(begun string) string {
	p.Helper()
	found := map[string]bool{}
	for _, o := range p.tree(asked).Outcomes.List {
		if h := p.in(o.Headline); strings.HasPrefix(h, strings.TrimSpace(begun)) {
			found[h] = true
		}
	}
	require.Len(p, found, 1, "outcomes that begin with %q", begun)
	for h := range found {
		return h
	}
	return ""
}

// sendAnnouncement sends what was looked at.
func (p *story) sendAnnouncement() {
	p.choose(office)
	p.fits()
	p.press(office, p.Say("btn-send-to", "n", 2))
	p.reads(office, p.Say("announce-done", "done", 2, "refused", 0))
	p.shootOnPhone(office, "en")
}

// readBoth is what the member finds: the rabbi's answer, and the announcement.
func (p *story) readBoth(answer string) {
	p.choose(member)
	p.fits()
	p.reads(member, p.Say("answer-of-rav"), answer, p.announcement(), p.Say("announcement-stop"))
}

// finishOven moves the clock on the page to the end of the wait, of the heating and of the cooling.
func (p *story) finishOven() {
	oven := p.name("oven")
	p.forward("+24 hours", 24*time.Hour)
	p.reads(member, p.Say("idle-over", "item", oven))
	p.presses(member, "btn-start-now", "btn-conditions-met")
	ends := p.clock.Now().Add(85 * time.Minute)
	p.reads(member, p.Say("standing-heating", "when", p.Near(ends, p.clock.Now())))
	p.forward("+1 hour", time.Hour)
	p.forward("+1 hour", time.Hour)
	p.reads(member, p.Say("heat-over", "item", oven, "when", p.Near(ends, p.clock.Now())))
	p.forward("+1 hour", time.Hour)
	p.reads(member, p.Say("cool-now", "item", oven))
	p.presses(member, "btn-done")
	p.reads(member, oven+" – "+p.Say("standing-done"))
	p.fits()
	p.direction(member)
	p.shootOnPhone(member, "en", "he")
	p.presses(member, "btn-kitchen")
	p.waits("hand.key(%s, %s)", member, oven+" – "+p.Say("state-done"))
}

// forward moves the clock with a button of the page.
func (p *story) forward(label string, by time.Duration) {
	p.Helper()
	want := p.clock.Now().Add(by)
	p.click("hand.tool('Move the clock')")
	p.click("hand.tool(%s)", label)
	p.waits("document.getElementById('said').textContent.startsWith(%s)", "Household time is now "+want.Format("Monday 2 January 2006, 15:04"))
	require.Equal(p, want, p.clock.Now())
	p.click("hand.tool('Move the clock')")
	p.waits("!hand.tool('+1 hour')")
}

// shootOnPhone takes a picture of a person's view on the phone, for the languages in which it is kept.
func (p *story) shootOnPhone(who string, langs ...string) {
	p.Helper()
	for _, lang := range langs {
		if lang == p.lang.Code.S {
			p.shoot(strings.ToLower(who) + "-" + lang + "-360.png")
		}
	}
}
