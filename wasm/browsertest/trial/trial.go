// Package trial is a chapter that holds one of everything a sheet can have, and
// tells in words what was done with it. The tests of the page play it.
package trial

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"time"

	"quietpump/sim/chart"
	"quietpump/wasm/desk"
	"quietpump/wasm/frame"
	"quietpump/wasm/sheet"
)

// A Chapter of trials.
type Chapter struct {
	key     string
	state   state
	touched []string
	effects []desk.Effect
	files   map[string]string
	look    frame.Look
	clock   time.Time
	drawn   frame.Frame
}

// state is what it keeps.
type state struct {
	Presses []int64 // ms since 1970
	Name    string
	Hose    string
	Slide   float64
	Pressed int
	Ends    time.Time // of the countdown
}

// New is a chapter with a key of its own, so that there can be two.
func New(key string) *Chapter { return &Chapter{key: key, files: map[string]string{}} }

// Key is the one it was made with.
func (c *Chapter) Key() string { return c.key }

// Name is what the reader sees.
func (c *Chapter) Name() string { return c.key + " it" }

// Sheet has one of each kind of block.
func (c *Chapter) Sheet(l frame.Look) sheet.Sheet {
	c.look = l
	picture := chart.Drawing{Width: 60, Height: 60, Title: "The pump", Words: "seen from its end"}
	picture.Silhouette("pump", 6, 6, 48)
	var b bytes.Buffer
	_ = picture.SVG(&b, chart.Auto, "pump") // a buffer takes everything
	s := sheet.Sheet{Title: "A trial of " + c.key, Next: &sheet.Button{Do: "next", Text: "Go on"}, Say: fmt.Sprintf("Pressed %d times.", c.state.Pressed)}
	s.Add(
		sheet.Words{Text: fmt.Sprintf("Pressed %d times; hose %s; name %q; slid to %.2f.", c.state.Pressed, c.state.Hose, c.state.Name, c.state.Slide)},
		sheet.Choice{Do: "hose", Ask: "Hose on or off?", Chosen: c.state.Hose, Picture: b.String(), Answers: []sheet.Answer{{Arg: "on", Text: "on"}, {Arg: "off", Text: "off"}}},
		sheet.Tap{Do: "start", Text: "TAP WHEN IT STARTS"},
		sheet.Words{Text: fmt.Sprintf("%d presses", len(c.state.Presses)), Style: sheet.Finding},
		sheet.Buttons{List: []sheet.Button{{Do: "save", Text: "Save"}, {Do: "copy", Text: "Copy"}, {Do: "share", Text: "Share"}, {Do: "print", Text: "Print"},
			{Do: "awake", Text: "Stay awake"}, {Do: "never", Text: "Not now", Off: true}}},
		sheet.Field{Do: "name", Ask: "What is it called?", Value: c.state.Name, Hint: "Old Bess"},
		sheet.Slide{Do: "slide", Ask: "How fast", At: c.state.Slide, Shows: fmt.Sprintf("%.0f ×", 600*c.state.Slide)},
		sheet.Open{Do: "open", Text: "Open a file"},
		sheet.Countdown{Until: c.state.Ends, Text: "until the pump has been quiet long enough", Done: "It held."},
		sheet.Rows{Cells: [][]string{{"start", "after"}, {"1", "95 s"}, {"2", "97 s"}}},
		sheet.Words{Text: "Heater off on gas and electric.", Style: sheet.Caution},
		sheet.Picture{SVG: b.String()},
	)
	for _, t := range c.touched {
		s.Add(sheet.Words{Text: t, Style: sheet.Item})
	}
	for name, text := range c.files {
		s.Add(sheet.Words{Text: name + ": " + text, Style: sheet.Small})
	}
	return s
}

// report is what it prints: a style and a script, which the page must leave out.
const report = `<!doctype html><html><head><style>p{color:red}</style></head><body><h1>What was found</h1><p style="color:red" onclick="alert(1)">A seep.</p>` +
	`<script>document.title = "taken over"</script><svg viewBox="0 0 9 9"><path class="l-cold" d="M0,0L9,9" onload="alert(1)"/></svg></body></html>`

// Do counts and keeps what was done, and hands on to the page what the buttons ask for.
func (c *Chapter) Do(e sheet.Event) {
	switch e.Do {
	case "start":
		c.state.Presses = append(c.state.Presses, e.At.UnixMilli())
	case "name":
		c.state.Name = e.Arg
	case "hose":
		c.state.Hose = e.Arg
	case "slide":
		_, _ = fmt.Sscan(e.Arg, &c.state.Slide) // what is no number leaves it
	case "next":
		c.state.Pressed++
		c.state.Ends = e.At.Add(90 * time.Second)
	case "open", "file":
		text, err := os.ReadFile(e.Arg)
		if err != nil {
			text = []byte(err.Error())
		}
		c.files[e.Arg] = string(text)
	case "save":
		c.effects = append(c.effects, desk.Effect{Do: "save", Name: "trial.txt", Data: []byte("2.5°é水")})
	case "copy", "share":
		c.effects = append(c.effects, desk.Effect{Do: e.Do, Data: []byte("words to hand on")})
	case "print":
		c.effects = append(c.effects, desk.Effect{Do: "print", Name: "report.html", Data: []byte(report)})
	case "awake":
		c.effects = append(c.effects, desk.Effect{Do: "awake", Name: "on"})
	}
}

// Touch writes down what was done on the canvas.
func (c *Chapter) Touch(p frame.Pointer) {
	if p.Down || p.Up {
		c.touched = append(c.touched, fmt.Sprintf("down %t up %t at %.0f, %.0f", p.Down, p.Up, p.X, p.Y))
	}
}

// Advance has nothing to compute; something moves unless motion is reduced.
func (c *Chapter) Advance(now time.Time, _ time.Duration) bool {
	c.clock = now
	return !c.look.Calm
}

// Draw puts down a frame, some silhouettes and a hand that goes round.
func (c *Chapter) Draw(f *frame.Frame) {
	box := f.Free.Inset(20)
	if f.Paper != c.drawn.Paper || f.Free != c.drawn.Free || f.Look != c.drawn.Look {
		c.drawn, f.Changed = *f, true
		f.Still.Marks = nil
		f.Still.Add(chart.Shape{Points: []chart.Point{{X: box.X0, Y: box.Y0}, {X: box.X1, Y: box.Y0}, {X: box.X1, Y: box.Y1}, {X: box.X0, Y: box.Y1}}, Closed: true, Line: chart.Body, Width: 1.5})
		for i, kind := range []string{"pump", "shutoff", "check", "fixture"} {
			x := box.X0 + 20 + 70*float64(i)
			f.Still.Silhouette(kind, x, box.Y0+30, 60)
			f.Still.Add(chart.Label{At: chart.Point{X: x + 30, Y: box.Y0 + 110}, Text: kind, Size: 13, Ink: chart.Body, Side: chart.Middle, Halo: true})
		}
	}
	if f.Look.Calm {
		return
	}
	x := box.X0 + float64(f.Now.UnixMilli()%4000)/4000*box.Wide()
	f.Moving.Add(chart.Shape{Points: []chart.Point{{X: box.X0, Y: box.Y1 - 30}, {X: x, Y: box.Y1 - 30}}, Line: chart.Cold, Width: 6, Dash: 12})
}

// Keep is its state as JSON.
func (c *Chapter) Keep() ([]byte, error) { return json.Marshal(c.state) }

// Restore takes the state back.
func (c *Chapter) Restore(data []byte) error { return json.Unmarshal(data, &c.state) }

// Follow asks nothing of a link.
func (c *Chapter) Follow(desk.Link) error { return nil }

// Effects are what it asked of the page.
func (c *Chapter) Effects() []desk.Effect {
	e := c.effects
	c.effects = nil
	return e
}
