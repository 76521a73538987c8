package browser

import (
	"testing"

	"github.com/stretchr/testify/require"

	"benyomo/dialogs"
	"benyomo/internal/idea/dialog"
	"benyomo/internal/idea/find"
	"benyomo/internal/idea/plan"
)

// TestPlan lets a household plan its kitchen on a phone, in every language: asked page by page, shown, as pictures, and planned
// again after something was used hot.
func TestPlan(t *testing.T) {
	pack, err := dialog.Load(dialogs.FS)
	require.NoError(t, err)
	rows, err := plan.Read(pack)
	require.NoError(t, err)
	browser, finder := chromium(t), find.New(pack)
	for _, lang := range pack.Languages {
		t.Run(lang.Code.S, func(t *testing.T) {
			p := begin(t, browser, pack, finder, lang)
			p.chooseLanguage()
			p.resize(360, 740)
			p.choose(member)
			p.presses(member, "profile-purpose-pesach", "profile-custom-ashkenazi", "profile-place-abroad", "btn-kitchen", "btn-plan", "btn-plan-begin")
			for _, row := range []string{"oven", "grates", "kashering-pot", "pot", "counter", "sink", "hot-plate", "covers"} {
				p.press(member, p.in(rows.Name(row)))
				p.waits("hand.key(%s, %s)", member, "✓ "+p.in(rows.Name(row)))
			}
			p.fits()
			p.shootPlan("plan-things")
			for _, page := range []string{"more", "counts", "sabbath", "finish", "meals", "times", "people"} {
				p.click("hand.key(%s, %s)", member, p.Say("btn-plan-next")) // the page's note is the same each time
				p.reads(member, p.Say("planning-ask-"+page))
				p.fits()
				switch page {
				case "counts":
					p.press(member, "+")
					p.waits("hand.key(%s, %s)", member, p.Say("plan-sided", "name", p.in(rows.Name("pot")), "side", p.Say("plan-side-meat"))+": 2")
				case "times":
					p.shootPlan("plan-times")
				}
			}
			p.presses(member, "btn-plan-make")
			p.reads(member, p.Say("planning-estimates"))
			p.fits()
			p.direction(member)
			p.shootPlan("plan")
			p.presses(member, "btn-plan-picture")
			p.reads(member, p.Say("planning-file-picture"))
			p.waits("hand.pictures(%s) > 1", member)
			p.presses(member, "btn-plan-hot")
			p.press(member, p.in(rows.Name("hot-plate")))
			p.reads(member, p.Say("planning-changed"))
		})
	}
}

// shootPlan keeps a picture in every language.
func (p *story) shootPlan(name string) {
	p.Helper()
	p.shoot(name + "-" + p.lang.Code.S + "-360.png")
}
