//go:build !js

package browsertest

import (
	"context"
	"encoding/json"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
	"quietpump/wasm/chapters/find"
	"quietpump/wasm/chapters/stage"
	"quietpump/wasm/desk"
	"quietpump/wasm/frame"
	"quietpump/wasm/live"
	"quietpump/wasm/scene"
	"quietpump/wasm/sheet"
)

// place is where a part of a rig of the house stands on the canvas: where a scene of
// the same rig in the same box has it.
func (p *tab) place(rig *network.Rig, part string) (x, y float64) {
	p.t.Helper()
	return p.scan(rig, part, func(s *scene.Scene, x, y float64) bool {
		return s.Touch(frame.Pointer{X: x, Y: y, Up: true}).Part == part
	})
}

// scan is where a finger that was put down on the canvas has hold of something.
func (p *tab) scan(rig *network.Rig, what string, holds func(s *scene.Scene, x, y float64) bool) (x, y float64) {
	p.t.Helper()
	box := eval[[6]float64](p, `(() => { const r = document.getElementById("note").getBoundingClientRect(), w = document.body.clientWidth, h = document.body.clientHeight;
		return r.width < 0.9 * w ? [w, h, r.right, 0, w, h] : [w, h, 0, 0, w, r.top]; })()`)
	l, err := live.New(rig, nil, nil, sim.Options{})
	require.NoError(p.t, err)
	defer l.Close()
	s := scene.New(l)
	f := &frame.Frame{Paper: frame.Box{X1: box[0], Y1: box[1]}, Free: frame.Box{X0: box[2], Y0: box[3], X1: box[4], Y1: box[5]}, Now: time.Now()}
	s.Draw(f, scene.Shown{})
	for y := f.Free.Y0 + 4; y < s.Strip().Y0-6; y += 7 {
		for x := f.Free.X0 + 4; x < f.Free.X1; x += 7 {
			s.Touch(frame.Pointer{X: x, Y: y, Down: true, Held: true})
			if holds(s, x, y) {
				return x + 3, y + 3
			}
			s.Touch(frame.Pointer{X: -1, Y: -1, Up: true})
		}
	}
	require.Fail(p.t, "nowhere in the drawing", what)
	return 0, 0
}

// at presses a place on the canvas.
func (p *tab) at(how way, x, y float64) {
	p.t.Helper()
	if how == byTouch {
		p.touch(x, y)
		return
	}
	require.NoError(p.t, chromedp.Do(p.ctx, chromedp.MouseClickXY(x, y)))
}

// found waits for an answer in the note that matches, and is what stands in its
// brackets.
func (p *tab) found(pattern string) []string {
	p.t.Helper()
	quoted, _ := json.Marshal(pattern)
	const words = `(document.querySelector(".finding")?.textContent ?? "").replaceAll("\u00a0", " ")`
	p.until(`new RegExp(` + string(quoted) + `).test(` + words + `)`)
	return regexp.MustCompile(pattern).FindStringSubmatch(eval[string](p, words))
}

// cycle is what the library says of a rig: how long its pump rests and runs.
func cycle(t *testing.T, rig *network.Rig, faults ...network.Fault) (rest, run float64) {
	t.Helper()
	m, err := sim.Compile(rig)
	require.NoError(t, err)
	rec, err := m.Simulate(context.Background(), nil, faults, sim.Options{Until: 4 * time.Hour})
	require.NoError(t, err)
	var started, stopped float64
	for _, e := range rec.Events {
		switch {
		case e.What == sim.PumpStarts:
			if stopped > 0 {
				rest = e.At - stopped
			}
			started = e.At
		case e.What == sim.PumpStops:
			run, stopped = e.At-started, e.At
		}
	}
	require.Positive(t, rest)
	return rest, run
}

func houseRig(t *testing.T, name string) *network.Rig {
	t.Helper()
	rig, err := stage.Rig(name)
	require.NoError(t, err)
	return rig
}

// Watch it, from the first step to the pump that sleeps again. What it says of the
// cycle is what the library says.
func TestWatchIt(t *testing.T) {
	t.Parallel()
	rig := houseRig(t, "nosuction")
	seep, err := rig.Fault("fill valve: 120 mL/min at 45 psi, orifice")
	require.NoError(t, err)
	rest, run := cycle(t, rig, seep)
	p := opened(t, 390, 844, 1).touchable().visit("?chapter=watch")
	for _, how := range []way{byMouse, byTouch, byKeys} {
		p.found(`^Quiet for \S+ min, at 42 psi\.$`)
		if how == byKeys {
			p.press(how, `document.querySelector("#next button")`)
		} else { // the tap itself
			x, y := p.place(rig, "galley cold tap")
			p.at(how, x, y)
			p.until(button("Shut the galley cold tap"))
			p.at(how, x, y)
			p.until(button("Open the galley cold tap"))
			p.press(how, `document.querySelector("#next button")`)
		}
		p.until(`document.getElementById("title").textContent === "Water leaves, and the pressure sinks"`)
		p.found(`^The pump runs, because water is leaving: `)
		p.press(how, button("Shut the tap"))
		p.found(`It stays so: nothing leaves\.$`)
		p.press(how, button("Let the fill valve leak"))
		p.found(`^At 28 psi the pump started, by itself\.$`)
		p.press(how, button("Why does it start?"))
		said := p.found(`^Quiet for (.+), then it runs for (.+)\. Again and again\.$`)
		assert.Equal(t, scene.Span(rest), said[1])
		assert.Equal(t, scene.Span(run), said[2])
		if how == byMouse {
			p.reload() // it opens where it was left
			p.until(`document.getElementById("title").textContent === "The switch cannot tell a leak from a tap"`)
			p.found(`^Quiet for (.+), then it runs for (.+)\. Again and again\.$`)
		}
		p.press(how, button("What does it cost?"))
		p.found(`^The pump starts \d+ times a day, and no tap was opened\.$`)
		p.press(how, button("Mend it"))
		p.until(`document.getElementById("title").textContent === "Tight again, and the pump sleeps"`)
		p.found(`^Quiet for .+ min\.$`)
		p.clean()
		p.press(how, button("Watch it from the beginning"))
	}
}

// Change it: another part leaks, by another amount, and the cycle it tells of is the
// library's of that rig with that seep.
func TestChangeIt(t *testing.T) {
	t.Parallel()
	rig := houseRig(t, "twopath")
	p := opened(t, 844, 390, 1).touchable().visit("?chapter=change")
	for _, how := range []way{byMouse, byTouch, byKeys} {
		p.press(how, button("nothing"))
		p.kept(`kept.kept.change && !kept.kept.change.set.seep`)
		if how == byKeys {
			p.press(how, button("toilet valve"))
		} else { // picked in the drawing, where it is opened and shut again
			x, y := p.place(rig, "toilet valve")
			p.at(how, x, y)
			p.until(button("Shut the toilet valve"))
			p.at(how, x, y)
			p.press(how, button("Let the toilet valve leak"))
		}
		p.kept(`kept.kept.change?.set.seep === "toilet valve"`)
		// Another amount, by the keys of the slide or where a finger comes down on it.
		slide := `document.querySelector("[data-do=size] input")`
		size := p.size()
		if how == byKeys {
			p.do(slide + ".focus()")
			for range 5 {
				require.NoError(t, chromedp.Do(p.ctx, chromedp.KeyEvent(kb.ArrowLeft)))
			}
		} else {
			x, y := p.middle(slide)
			wide := eval[float64](p, slide+".getBoundingClientRect().width")
			p.at(how, x+map[way]float64{byMouse: 0.1, byTouch: 0.15}[how]*wide, y)
		}
		p.until(`JSON.parse(localStorage["quietpump.kept"]).kept.change.set.size !== ` + size)
		if how != byKeys { // once more, and it would go at life's own pace
			p.press(how, `document.querySelector("#next button")`)
		}
		said := p.found(`^Quiet for (.+), then it runs for (.+): (\d+) starts a day\.$`)
		var q unit.Flow
		require.NoError(t, json.Unmarshal([]byte(p.size()), &q))
		seep := network.Seep{Part: "toilet valve", Seep: hydraulics.Seep{Ref: q, At: 45 * unit.PSI}}
		rest, run := cycle(t, rig, seep)
		assert.Equal(t, scene.Span(rest), said[1])
		assert.Equal(t, scene.Span(run), said[2])
		p.clean()
	}
	p.reload()
	p.until(button("toilet valve") + `.getAttribute("aria-pressed") === "true"`)
	p.clean()
}

// The gauge's needle is dragged, and a tap is pulled half open.
func TestThingsArePulled(t *testing.T) {
	t.Parallel()
	rig := houseRig(t, "nosuction")
	p := opened(t, 844, 390, 1).visit("?chapter=change&rig=nosuction&rate=1")
	held := func(kind input.DispatchMouseEventType, x, y float64) {
		t.Helper()
		_, err := chromedp.Call(p.ctx, input.DispatchMouseEvent, input.DispatchMouseEventParams{Type: kind, X: x, Y: y, Button: input.MouseButtonLeft, Buttons: 1, ClickCount: 1})
		require.NoError(t, err)
		eval[bool](p, `new Promise((done) => { let n = 3; const frame = () => --n ? requestAnimationFrame(frame) : done(true); frame(); })`)
	}
	x, y := p.scan(rig, "the gauge", func(s *scene.Scene, x, y float64) bool {
		return s.Touch(frame.Pointer{X: x, Y: y + 60, Held: true}).Needle
	})
	held(input.DispatchMouseEventTypeMousePressed, x, y)
	held(input.DispatchMouseEventTypeMouseMoved, x-60, y) // to the left, where it is low: as long as it is held there the pump runs
	p.until(`document.getElementById("title").textContent === "The pump runs"`)
	held(input.DispatchMouseEventTypeMouseReleased, x-60, y)

	x, y = p.place(rig, "galley cold tap")
	held(input.DispatchMouseEventTypeMousePressed, x, y)
	held(input.DispatchMouseEventTypeMouseMoved, x, y-32)
	p.until(button("Shut the galley cold tap"))
	held(input.DispatchMouseEventTypeMouseReleased, x, y-32)
	p.kept(`kept.kept.change.stage.lineup?.includes("galley cold tap=half")`)
	p.clean()
}

// size is what is kept of the seep's, as JSON.
func (p *tab) size() string {
	p.t.Helper()
	p.kept(`kept.kept.change?.set.size`)
	return eval[string](p, `JSON.stringify(JSON.parse(localStorage["quietpump.kept"]).kept.change.set.size)`)
}

// The knock of a tap, from the tap that is opened to the roll that runs on.
func TestTheKnockOfATap(t *testing.T) {
	t.Parallel()
	p := opened(t, 1000, 640, 1).visit("?chapter=change&rig=nosuction&rate=1")
	p.press(byMouse, button("Open the galley cold tap"))
	p.press(byMouse, button("Flick the galley cold tap shut"))
	said := p.found(`^Up to (.+) so far, .+; it was (.+)\.$`)
	assert.Regexp(t, `^\d+ psi$`, said[1])
	assert.Regexp(t, `^\d+ psi$`, said[2])
	p.press(byMouse, button("Back to the roll"))
	p.until(button("Flick a tap shut") + `.getAttribute("aria-disabled") === "true"`)
	p.clean()
}

// A link opens a chapter with a rig, a seep and a clock rate.
func TestLinksOpenARigASeepAndARate(t *testing.T) {
	t.Parallel()
	p := opened(t, 844, 390, 1).visit("?chapter=change&rig=bypass&fault=cold+drain:+90+mL/min+at+45+psi&rate=60")
	p.until(button("cold drain") + `.getAttribute("aria-pressed") === "true"`)
	assert.True(t, strings.HasPrefix(eval[string](p, `document.querySelector("[data-do=rate] output").textContent`), "60×"))
	rig := houseRig(t, "bypass")
	f, err := rig.Fault("cold drain: 90 mL/min at 45 psi")
	require.NoError(t, err)
	rest, _ := cycle(t, rig, f)
	said := p.found(`^Quiet for (.+), then it runs for .+$`)
	assert.Equal(t, scene.Span(rest), said[1])
	p.clean()
}

// Find it: taps at the pump's starts, a look, a sound part and then the guilty one;
// the bill of the search that is advised is the library's own.
func TestFindIt(t *testing.T) { // alone, for the search goes by frames
	guilty, sound, together := riddleOf(t, 7)
	p := opened(t, 390, 844, 0.5).touchable().visit("?chapter=find&seed=7&rate=60") // few pixels: the search goes by frames
	for _, how := range []way{byMouse, byTouch, byKeys} {
		p.until(`document.getElementById("title").textContent === "One part lets a little by. Which?"`)
		tap := button("TAP WHEN IT STARTS")
		p.press(how, tap)
		p.until(button("Undo the last tap"))
		p.press(how, tap)
		p.until(`[...document.querySelectorAll("#note p")].some((x) => x.textContent.startsWith("From start to start: "))`)
		p.press(how, button("Draw a cup slowly"))
		p.until(`[...document.querySelectorAll("#note *")].some((x) => x.textContent.startsWith("As it was found: "))`)
		p.press(how, button(sound))
		p.until(button(sound + ": sound"))
		p.kept(`kept.kept.find?.named?.length === 1`)
		if how == byMouse {
			p.reload() // and goes on where it was
			p.until(button(sound + ": sound"))
		}
		p.press(how, button(guilty))
		p.until(`document.getElementById("title").textContent.startsWith("It was the ")`)
		p.until(`[...document.querySelectorAll("#note td")].some((x) => x.textContent === "` + together + `")`)
		p.clean()
		p.press(how, button("The same once more"))
	}
	p.press(byKeys, button("Another riddle"))
	p.until(`document.querySelector("#note").textContent.includes("Riddle 8")`)
	p.clean()
}

// riddleOf plays a riddle without a browser: the names on the buttons of the guilty
// part and of a sound one, and what the search that is advised costs.
func riddleOf(t *testing.T, seed uint64) (guilty, sound, together string) {
	t.Helper()
	c, err := find.New()
	require.NoError(t, err)
	require.NoError(t, c.Follow(desk.Link{Chapter: "find", Seed: seed}))
	for _, b := range c.Sheet(frame.Look{}).Blocks {
		row, _ := b.(sheet.Buttons)
		for _, b := range row.List {
			if b.Do != "name" || guilty != "" && sound != "" {
				continue
			}
			c.Do(sheet.Event{Do: b.Do, Arg: b.Arg})
			if strings.HasPrefix(c.Sheet(frame.Look{}).Title, "It was the ") {
				guilty = b.Text
				c.Do(sheet.Event{Do: "again"})
			} else {
				sound = b.Text
			}
		}
	}
	require.NotEmpty(t, guilty)
	for now := time.Now(); ; now = now.Add(time.Second / 60) {
		c.Advance(now, 0)
		for _, b := range c.Sheet(frame.Look{}).Blocks {
			if row, _ := b.(sheet.Buttons); len(row.List) > 0 && row.List[0].Do == "name" {
				for _, b := range row.List {
					if b.Text == guilty {
						c.Do(sheet.Event{Do: b.Do, Arg: b.Arg})
					}
				}
			}
			if rows, ok := b.(sheet.Rows); ok {
				return guilty, sound, rows.Cells[len(rows.Cells)-1][2]
			}
		}
	}
}
