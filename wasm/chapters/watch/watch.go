// Package watch is the first chapter: a healthy water system, then one with a valve
// that lets a little by, and why its pump starts again and again, in six short
// steps. What is told is what the simulation does; nothing is canned.
package watch

import (
	"encoding/json"
	"fmt"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/wasm/chapters/stage"
	"quietpump/wasm/desk"
	"quietpump/wasm/frame"
	"quietpump/wasm/sheet"
)

// The steps, in the order they are read.
const (
	asleep = iota
	opened
	shut
	seeping
	cycling
	costs
	steps
)

// rates are how fast the clock goes at each step.
var rates = [steps]float64{10, 1, 1, 20, 20, 300}

// The chapter's own rig, and what is wrong with it.
const (
	ownRig  = "nosuction"
	ownSeep = "fill valve: 120 mL/min at 45 psi, orifice"
)

// A Chapter is the demo's first, "watch it", as a [desk.Chapter]. The zero Chapter knows
// its key and its name; New makes one that can be shown.
type Chapter struct {
	stage  *stage.Stage
	note   stage.Note
	now    time.Time
	step   int
	mended bool
	seep   network.Seep
	tap    string
}

// New is the chapter at its first step.
func New() (*Chapter, error) {
	s, err := stage.New(ownRig)
	if err != nil {
		return nil, err
	}
	c := &Chapter{stage: s}
	seep, err := seepIn(s.Live.Rig(), ownSeep)
	if err != nil {
		return nil, err
	}
	c.take(seep)
	c.enter(asleep)
	s.Live.Pass(before)
	return c, nil
}

// before is how long the pump has slept when the chapter begins, s: long enough for
// a line on the paper.
const before = 20 * 60

// seepIn reads what lets water by in a rig; empty is what most likely would.
func seepIn(rig *network.Rig, fault string) (network.Seep, error) {
	if fault == "" {
		if s, ok := stage.Likeliest(rig); ok {
			s.Seep.Ref, s.Seep.At = 120*unit.MillilitrePerMinute, 45*unit.PSI
			return s.Seep, nil
		}
	}
	f, err := rig.Fault(fault)
	if err != nil {
		return network.Seep{}, err
	}
	seep, ok := f.(network.Seep)
	if !ok {
		return seep, fmt.Errorf("watch: %q is nothing that lets water by", fault)
	}
	return seep, nil
}

// take takes up the seep, and a tap of the rig that has just been put there.
func (c *Chapter) take(seep network.Seep) {
	c.seep, c.tap = seep, ""
	for _, p := range c.stage.Live.Rig().Parts() {
		if f, ok := p.(network.Fixture); ok && !f.Toilet && (c.tap == "" || p.ID() == "galley cold tap") {
			c.tap = f.Name
		}
	}
}

// Key names the chapter in a link.
func (c *Chapter) Key() string { return "watch" }

// Name is what the reader sees.
func (c *Chapter) Name() string { return "watch it" }

// enter goes to a step and makes the system what it is about.
func (c *Chapter) enter(step int) {
	c.step, c.mended = step, false
	c.note.Anew()
	l := c.stage.Live
	lineup := network.Lineup{}
	if c.tap != "" {
		lineup[c.tap] = network.Shut()
		if step == opened {
			lineup[c.tap] = network.Open(1)
		}
	}
	var faults network.Faults
	if step >= seeping {
		faults = network.Faults{c.seep}
	}
	// Both are parts and faults of this very rig, which has checked them.
	_ = l.Turn(lineup)
	if len(faults) != len(l.Faults()) {
		_ = l.Break(faults)
	}
	l.SetRate(rates[step])
	c.stage.Shown.Faults = faults
	c.stage.Shown.Names = []string{c.tap, c.seep.Part, "pump", "fresh tank"}
}

// Do takes what the reader did with the sheet.
func (c *Chapter) Do(e sheet.Event) {
	c.note.Anew()
	if mine, _ := c.stage.Do(e); mine {
		return
	}
	switch e.Do {
	case "next":
		switch {
		case c.step < costs:
			c.enter(c.step + 1)
		case !c.mended:
			c.mend()
		default:
			c.again()
		}
	case "back":
		if c.step > 0 {
			c.enter(c.step - 1)
		}
	}
}

// mend makes the part tight, and gives the eye time to see it.
func (c *Chapter) mend() {
	if c.stage.Live.Break(nil) == nil {
		c.mended = true
		c.stage.Shown.Faults = nil
		c.stage.Live.SetRate(60)
	}
}

// again begins with the same rig and the same seep.
func (c *Chapter) again() {
	if c.stage.Begin(c.stage.Name, nil) == nil {
		c.enter(asleep)
		c.stage.Live.Pass(before)
	}
}

// Touch takes what was done on the canvas.
func (c *Chapter) Touch(p frame.Pointer) {
	if act := c.stage.Touch(p); act.Turned {
		c.note.Anew()
		_ = c.stage.Live.Turn(network.Lineup{act.Part: act.Set}) // it is of this rig
	}
}

// Advance goes on to now, and reports whether time goes on.
func (c *Chapter) Advance(now time.Time, budget time.Duration) bool {
	c.now = now
	return c.stage.Advance(now, budget)
}

// Draw puts the scene into the frame.
func (c *Chapter) Draw(f *frame.Frame) { c.stage.Draw(f) }

// Effects are none: it asks nothing of the page.
func (c *Chapter) Effects() []desk.Effect { return nil }

// kept is what it keeps.
type kept struct {
	Step   int             `json:"step"`
	Mended bool            `json:"mended,omitempty"`
	Seep   string          `json:"seep"`
	Stage  json.RawMessage `json:"stage"`
}

// Keep is the step, the seep and the system, as JSON.
func (c *Chapter) Keep() ([]byte, error) {
	data, err := c.stage.Keep()
	if err != nil {
		return nil, err
	}
	return json.Marshal(kept{c.step, c.mended, c.seep.String(), data})
}

// Restore takes back what Keep gave; where it cannot, all stays as it was.
func (c *Chapter) Restore(data []byte) error {
	var k kept
	if err := json.Unmarshal(data, &k); err != nil {
		return err
	}
	if k.Step < 0 || k.Step >= steps {
		return fmt.Errorf("watch: there is no step %d", k.Step)
	}
	var seep network.Seep
	check := func(rig *network.Rig) (_ *network.Rig, err error) {
		seep, err = seepIn(rig, k.Seep)
		return rig, err
	}
	if err := c.stage.Restore(k.Stage, check); err != nil {
		return err
	}
	c.take(seep)
	c.step, c.mended = k.Step, k.Mended
	c.note.Anew()
	c.stage.Shown.Faults = c.stage.Live.Faults()
	c.stage.Shown.Names = []string{c.tap, c.seep.Part, "pump", "fresh tank"}
	return nil
}

// Follow opens it with another rig, another seep or another rate: a link with a seep
// opens where the seep is. An error, of a rig or a seep that there is not, leaves all as
// it was.
func (c *Chapter) Follow(l desk.Link) error {
	name, rig, err := c.stage.Linked(l.Rig)
	if err != nil {
		return err
	}
	fault := l.Fault
	if name == ownRig && fault == "" {
		fault = ownSeep
	}
	seep, err := seepIn(rig, fault)
	if err != nil {
		return err
	}
	if err := c.stage.Begin(name, nil); err != nil {
		return err
	}
	c.take(seep)
	step := asleep
	if l.Fault != "" {
		step = seeping
	}
	c.enter(asleep)
	c.stage.Live.Pass(before)
	c.enter(step)
	if l.Rate > 0 {
		c.stage.Live.SetRate(l.Rate)
	}
	return nil
}
