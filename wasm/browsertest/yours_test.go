//go:build !js

package browsertest

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// Pictures of the pages of the chapter yours, each at every size.
func TestShotsOfYours(t *testing.T) {
	if *shots == "" {
		t.Skip("pictures are taken with -shots DIR")
	}
	require.NoError(t, os.MkdirAll(*shots, 0o755))
	for _, size := range sizes {
		for _, dark := range []string{"light", "dark"} {
			t.Run(fmt.Sprintf("%dx%d-%s", size.wide, size.high, dark), func(t *testing.T) {
				p := opened(t, size.wide, size.high, size.density)
				p.media("prefers-color-scheme", dark)
				shot := func(name string) {
					path := filepath.Join(*shots, fmt.Sprintf("yours-%s-%dx%d-%s.png", name, size.wide, size.high, dark))
					require.NoError(t, os.WriteFile(path, p.picture(), 0o644))
				}
				p.visit("?chapter=yours").says("Every tap is shut. What happens?")
				shot("start")
				tapAt(p, 0, 95, 189)
				p.says("is getting away")
				shot("tapped")
				p.press(byMouse, button("Find out where"))
				p.says("1 of 10")
				shot("ask")
				p.press(byMouse, button("Enough questions"))
				p.says("Free looks first")
				shot("looks")
				p.press(byMouse, button("Work it out"))
				p.says("What it rests on")
				shot("answer")
				p.press(byMouse, button("Prove it"))
				p.says("without a start")
				shot("proof")
				p.press(byMouse, button("Back to the answer"))
				p.press(byMouse, button("Put it on the card"))
				p.press(byMouse, button("a gauge at two times"))
				p.says("The gauge is at")
				shot("gauge")
				require.NoError(t, chromedp.Cancel(p.ctx))
			})
		}
	}
}

// tapAt presses the big button at so many seconds of the page's clock, which is put on.
func tapAt(p *tab, seconds ...float64) {
	p.t.Helper()
	p.do(`window.clock ??= {real: Date.now, begun: Date.now()}`)
	for _, s := range seconds {
		p.do(fmt.Sprintf(`Date.now = () => window.clock.begun + %g * 1000 + (window.clock.real() - window.clock.begun) %% 50`, s))
		p.do(`document.querySelector(".tap").dispatchEvent(new PointerEvent("pointerdown", {isPrimary: true, button: 0, bubbles: true}))`)
	}
}
