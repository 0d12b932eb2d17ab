//go:build !js

package browsertest

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// sizes are those of the issue: phones both ways up, a tablet, a laptop, a desk.
var sizes = []struct {
	wide, high int
	density    float64
}{{390, 844, 2}, {844, 390, 2}, {768, 1024, 1}, {1440, 900, 1}, {2560, 1440, 1}}

// A state is where a chapter is photographed, and how one gets there from the state
// before it.
type state struct {
	name string
	to   func(p *tab)
}

// states are the chapters' states, by chapter, in the order they are gone through.
var states = []struct {
	chapter, query string
	list           []state
}{
	{"watch", "", []state{
		{"tight", func(*tab) {}},
		{"tap", func(p *tab) { p.next("Open the galley cold tap").next("Shut the tap") }},
		{"seeps", func(p *tab) { p.next("Let the fill valve leak"); p.found(`^At 28 psi the pump started`) }},
		{"cycles", func(p *tab) { p.next("Why does it start?"); p.found(`Again and again\.$`) }},
		{"cost", func(p *tab) { p.next("What does it cost?"); p.found(`starts \d+ times a day`) }},
	}},
	{"change", "", []state{
		{"begins", func(*tab) {}},
		{"below", func(p *tab) { p.do(`document.querySelector("#note").scrollTop = 1e6`) }},
		{"wave", func(p *tab) {
			p.do(button("Open the galley cold tap") + ".click()")
			p.until(button("Flick the galley cold tap shut")).do(button("Flick the galley cold tap shut") + ".click()")
			p.found(`^Up to (.+) so far, `)
		}},
	}},
	{"find", "&seed=7&rate=60", []state{
		{"begins", func(*tab) {}},
		{"below", func(p *tab) { p.do(`document.querySelector("#note").scrollTop = 1e6`) }},
		{"named", func(p *tab) {
			guilty, _, _ := riddleOf(p.t, 7)
			p.do(button(guilty) + ".click()")
			p.until(`document.getElementById("title").textContent.startsWith("It was the ")`)
			p.do(`document.querySelector("#note").scrollTop = 0`)
		}},
	}},
	{"yours", "", []state{
		{"start", func(*tab) {}},
		{"tapped", func(p *tab) { tapAt(p, 0, 95, 189); p.says("gets away") }},
		{"ask", func(p *tab) { p.next("Find out where").says("1 of 10") }},
		{"looks", func(p *tab) { p.do(button("Enough questions") + ".click()"); p.says("Free looks first") }},
		{"answer", func(p *tab) { p.next("Work it out").says("What it rests on") }},
		{"suspects", func(p *tab) {
			p.until(`document.querySelector("#note figure svg")`).do(`document.querySelector("#note figure").scrollIntoView({block: "start"})`)
		}},
		{"step", func(p *tab) { p.do(`document.querySelector("#next button").click()`); p.says("What do you see?") }},
		{"found", func(p *tab) {
			p.do(button("water there") + ".click()")
			p.until(button("The swap, step by step"))
			p.do(`document.querySelector("#note").scrollTop = 0`)
		}},
		{"worksheet", func(p *tab) {
			p.next("The swap, step by step").until(`document.getElementById("title").textContent === "The swap, step by step"`)
		}},
		{"proof", func(p *tab) { p.next("Back to the answer").next("Prove it").says("without a start") }},
		{"gauge", func(p *tab) {
			p.do(button("Back to the answer") + ".click()")
			p.until(button("Put it on the card")).do(button("Put it on the card") + ".click()")
			p.until(button("a gauge at two times")).do(button("a gauge at two times") + ".click()")
			p.says("The gauge is at")
		}},
	}},
}

// next presses a button by what is written on it; of several the one next action.
func (p *tab) next(text string) *tab {
	p.t.Helper()
	quoted, _ := json.Marshal(text)
	own := `document.querySelector("#next button")`
	p.until(`(` + own + `?.textContent === ` + string(quoted) + ` && ` + own + ` || ` + button(text) + `)`)
	p.do(`(` + own + `?.textContent === ` + string(quoted) + ` ? ` + own + ` : ` + button(text) + `).click()`)
	return p
}

// brief keeps to one theme at each size but two, where the machine is slow.
var brief = flag.Bool("brief", false, "fewer pictures: most sizes in light alone")

// TestShots takes pictures of every chapter's states at every size, light and dark.
// One page is opened for all sizes of a density, for opening takes longest.
func TestShots(t *testing.T) {
	if *shots == "" {
		t.Skip("pictures are taken with -shots DIR")
	}
	require.NoError(t, os.MkdirAll(*shots, 0o755))
	for _, c := range states {
		for _, density := range []float64{1, 2} {
			t.Run(fmt.Sprintf("%s/%g", c.chapter, density), func(t *testing.T) {
				p := opened(t, 800, 600, density)
				p.media("prefers-color-scheme", "light")
				p.visit("?chapter=" + c.chapter + c.query)
				p.until(`document.documentElement.dataset.chapter === "` + c.chapter + `"`)
				for _, s := range c.list {
					p.resize(400, 300, density) // few pixels: what happens goes by frames
					s.to(p)
					for _, size := range sizes {
						if size.density != density {
							continue
						}
						for _, theme := range []string{"light", "dark"} {
							if *brief && theme == "dark" && size.wide != 390 && size.wide != 1440 {
								continue
							}
							p.media("prefers-color-scheme", theme)
							p.resize(size.wide, size.high, size.density)
							p.drawn()
							name := fmt.Sprintf("%s-%s-%dx%d-%s.png", c.chapter, s.name, size.wide, size.high, theme)
							require.NoError(t, os.WriteFile(filepath.Join(*shots, name), p.picture(), 0o644))
						}
					}
				}
				p.clean()
				p.leave()
			})
		}
	}
}

// drawn waits until the canvas has the size of the window, and as many frames more as
// a page where nothing moves may take to look up.
func (p *tab) drawn() {
	p.t.Helper()
	p.until(`document.querySelector("canvas").width === Math.ceil(innerWidth * devicePixelRatio)`)
	eval[bool](p, `new Promise((done) => { let n = 8; const frame = () => --n ? requestAnimationFrame(frame) : done(true); frame(); })`)
}
