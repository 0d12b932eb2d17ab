//go:build !js

package browsertest

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/browser"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/sim/diagnose"
	"quietpump/sim/diagnose/jobcard"
	"quietpump/sim/report"
)

// An owner taps two starts, the phone asleep between them and the page opened again
// with no network after them; answers, looks, and gets the library's answer.
func TestYoursByTouch(t *testing.T) {
	t.Parallel()
	p := opened(t, 390, 844, 1).touchable().visit("?chapter=yours").until(`document.documentElement.dataset.offline === "1"`)
	tap := button("TAP WHEN IT STARTS")
	// Half the screen, and nothing to set up first.
	p.until(tap + ` !== undefined`)
	assert.GreaterOrEqual(t, eval[float64](p, tap+`.getBoundingClientRect().height`), 422.0)
	p.clock(0)
	p.press(byTouch, tap)
	p.says("The first is noted").kept(`kept.kept.yours.ear.taps.length === 1`)
	p.asleep()
	p.clock(95)
	p.press(byTouch, tap)
	p.says("It starts every 95 s").says("gets away. Assumed, not known")
	p.clock(97)
	p.press(byTouch, tap)
	p.says("It starts every 49 s").says("gets away. Assumed, not known")
	p.press(byTouch, button("Undo"))
	p.says("It starts every 95 s").kept(`kept.kept.yours.ear.taps.length === 2`)
	p.clean()

	p.server.CloseClientConnections()
	p.server.Close()
	p.reload().says("It starts every 95 s")
	p.press(byTouch, button("Find out where"))
	for i, answer := range []string{"yes", "no", "yes", "yes", "no", "yes", "can't see", "yes", "no", "no"} {
		p.says(fmt.Sprintf("%d of 10", i+1))
		p.press(byTouch, button(answer))
	}
	p.says("Free looks first")
	p.press(byTouch, `document.querySelector('[data-do="look toilet valve"] .row').children[1]`)
	p.press(byTouch, `document.querySelector('[data-do="fact frozen"] .row').children[0]`)
	p.press(byTouch, button("Work it out"))
	p.answered()
	// The step that is advised is a look, as so often; what is seen moves the answer.
	if next := eval[string](p, `document.getElementById("next").textContent`); strings.HasPrefix(next, "Look at") {
		p.press(byTouch, button(next))
		p.press(byTouch, `document.querySelector('[data-do="did"] .row').children[1]`)
		p.answered()
	}
}

// clock sets the page's clock to so many seconds after it first was.
func (p *tab) clock(s float64) {
	p.do(fmt.Sprintf(`window.begun ??= Date.now(); Date.now = () => window.begun + %g`, 1000*s))
}

// hear presses the large button as the pump starts, and so many seconds later again.
func (p *tab) hear(how way, after float64) {
	for i := range 2 {
		p.clock(after * float64(i))
		p.press(how, button("TAP WHEN IT STARTS"))
		p.kept(fmt.Sprintf(`kept.kept.yours.ear.taps.length > %d`, i))
	}
}

// By mouse to the answer, and on to what is seen at the step that it advises.
func TestYoursByMouse(t *testing.T) {
	t.Parallel()
	p := opened(t, 800, 500, 1).visit("?chapter=yours")
	p.hear(byMouse, 240)
	p.says("It starts every 4 min")
	p.press(byMouse, button("Find out where"))
	p.says("1 of 10")
	p.press(byMouse, button("no"))
	p.says("2 of 10")
	p.press(byMouse, button("Enough questions"))
	p.says("Free looks first")
	p.press(byMouse, `document.querySelector('[data-do^="look "] .row').children[1]`)
	p.press(byMouse, button("Work it out"))
	p.answered()
	before := eval[string](p, `JSON.parse(localStorage["quietpump.kept"]).kept.yours.card`)
	p.press(byMouse, `document.querySelector("#next button")`)
	p.says("What do you see?")
	p.press(byMouse, `document.querySelector('[data-do="did"] .row').children[1]`)
	p.answered()
	assert.NotEqual(t, before, eval[string](p, `JSON.parse(localStorage["quietpump.kept"]).kept.yours.card`), "what was seen is on the card")
	p.clean()
}

// By keys alone to the answer, the card out as a file and in again.
func TestYoursByKeysAndFiles(t *testing.T) {
	t.Parallel()
	p := opened(t, 800, 500, 1)
	dir := t.TempDir()
	_, err := chromedp.CallBrowser(p.ctx, browser.SetDownloadBehavior, browser.SetDownloadBehaviorParams{
		Behavior: browser.SetDownloadBehaviorBehaviorAllow, DownloadPath: dir, BrowserContextID: chromedp.FromContext(p.ctx).BrowserContextID, EventsEnabled: new(true)})
	require.NoError(t, err)
	p.visit("?chapter=yours")
	p.hear(byKeys, 120)
	p.says("It starts every 2 min")
	p.press(byKeys, button("Find out where"))
	p.says("1 of 10")
	p.press(byKeys, button("Enough questions"))
	p.says("Free looks first")
	p.press(byKeys, button("Work it out"))
	want := p.answered()
	p.press(byKeys, button("Save the job card"))
	saved := filepath.Join(dir, "water-system.card.toml")
	assert.Equal(t, eval[string](p, `JSON.parse(localStorage["quietpump.kept"]).kept.yours.card`), waitFor(t, saved))
	p.press(byKeys, button("What is on the card"))
	p.press(byKeys, button("Begin with another"))
	p.says("Every tap is shut. What happens?")

	bad := filepath.Join(dir, "bad.rig.toml")
	require.NoError(t, os.WriteFile(bad, []byte("rig.name = \"x\"\n[[pump]]\nname = \"pump\"\nfrom = \"a\"\nto = \"b\"\ncut_in = \"50\"\nlenght = \"2 ft\"\n"), 0o600))
	require.NoError(t, chromedp.Do(p.ctx, chromedp.SetUploadFiles(chromedp.CSS(".open input"), []string{bad})))
	p.says("missing unit").says("lenght").says("Every tap is shut. What happens?")
	require.NoError(t, chromedp.Do(p.ctx, chromedp.SetUploadFiles(chromedp.CSS(".open input"), []string{saved})))
	p.until(`document.getElementById("title").textContent !== "Every tap is shut. What happens?"`)
	assert.Equal(t, want, p.answered(), "the card comes back with its answer")
	p.clean()
}

// answered waits for the answer and compares it with the library's own to the card
// that the page keeps.
func (p *tab) answered() (title string) {
	p.t.Helper()
	p.until(`document.getElementById("title").textContent !== "Working it out" && document.querySelector("#note figure svg")`)
	p.kept(`kept.kept.yours.page === "answer"`)
	card, err := jobcard.Parse("kept.card.toml", []byte(eval[string](p, `JSON.parse(localStorage["quietpump.kept"]).kept.yours.card`)), nil)
	require.NoError(p.t, err)
	belief, err := diagnose.From(p.t.Context(), card.Case, diagnose.Options{})
	require.NoError(p.t, err)
	want, _, err := report.Sections(&report.Report{Case: card.Case, Belief: belief}, unit.US)
	require.NoError(p.t, err)
	p.until(`document.getElementById("title").textContent === ` + fmt.Sprintf("%q", want))
	require.NotEmpty(p.t, belief.Next)
	words := strings.ReplaceAll(belief.Next[0].Words, "seep", "leak")
	p.says(strings.TrimSuffix(words, "."))
	return want
}

// tapAt presses the big button at so many seconds of the page's clock, which is put on.
func tapAt(p *tab, seconds ...float64) {
	p.t.Helper()
	p.do(`window.clock ??= {real: Date.now, begun: Date.now()}`)
	for _, s := range seconds {
		p.do(fmt.Sprintf(`Date.now = () => window.clock.begun + %g * 1000 + (window.clock.real() - window.clock.begun) %% 50`, s))
		p.until(`document.querySelector(".tap") !== null`)
		p.do(`document.querySelector(".tap").dispatchEvent(new PointerEvent("pointerdown", {isPrimary: true, button: 0, bubbles: true}))`)
	}
}
