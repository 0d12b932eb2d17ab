// Package change is the second chapter: a water system in which everything can be
// changed while it runs: where water gets away and how much, how much the
// accumulator holds, where the water comes from, the taps, the clock.
package change

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/wasm/chapters/stage"
	"quietpump/wasm/desk"
	"quietpump/wasm/frame"
	"quietpump/wasm/scene"
	"quietpump/wasm/sheet"
)

const ownRig = "twopath"

// A Chapter is the demo's second, "change it", as a [desk.Chapter]. The zero Chapter knows
// its key and its name; New makes one that can be shown.
type Chapter struct {
	stage   *stage.Stage
	note    stage.Note
	set     setting
	problem string
	refit   bool // the accumulator is to be changed once the hand rests
	touched time.Time
	now     time.Time
	wave    *wave     // that is shown; nil: none
	waved   time.Time // when it began
	calm    bool      // nothing shall move

	suspected *network.Rig // whose suspects they are
	suspect   []network.Suspect
}

// New is the chapter with a rig of the house and a small seep in it.
func New() (*Chapter, error) {
	s, err := stage.New(ownRig)
	if err != nil {
		return nil, err
	}
	c := &Chapter{stage: s}
	s.Live.SetRate(20)
	return c, c.begin(ownRig, setting{Seep: likeliest(s.Live.Rig()), Size: 60 * unit.MillilitrePerMinute})
}

// Key names the chapter in a link.
func (c *Chapter) Key() string { return "change" }

// Name is what the reader sees.
func (c *Chapter) Name() string { return "change it" }

// begin puts a rig of the house in place of the present one.
func (c *Chapter) begin(rig string, set setting) error {
	if err := c.stage.Begin(rig, nil); err != nil {
		return err
	}
	c.set, c.wave = set, nil
	c.note.Anew()
	c.pick("")
	if err := c.fit(); err != nil {
		return err
	}
	c.stage.Live.Pass(before)
	return nil
}

// before is how long it has gone on when it is first seen, s: long enough for a line
// on the paper.
const before = 20 * 60

// fit changes the rig's accumulator to the one that is set, and breaks what is set.
func (c *Chapter) fit() error {
	c.refit = false
	l := c.stage.Live
	house, err := stage.Rig(c.stage.Name)
	if err != nil {
		return err
	}
	rig, err := c.set.fitted(house)
	if err != nil {
		return err
	}
	if a, ok := bottle(l.Rig()); ok || c.set.Bottle != 0 {
		b, still := bottle(rig)
		if ok != still || a.Volume != b.Volume {
			// What is gone cannot have lost its charge.
			if err := l.Break(nil); err != nil {
				return err
			}
			if err := l.Refit(rig); err != nil {
				return err
			}
		}
	}
	return c.apply()
}

// apply makes wrong what the setting says, from now on.
func (c *Chapter) apply() error {
	fs := c.set.faults(c.stage.Live.Rig())
	c.stage.Shown.Faults = fs
	if texts(fs) == texts(c.stage.Live.Faults()) {
		return nil
	}
	return c.stage.Live.Break(fs)
}

func texts(fs network.Faults) string {
	all := ""
	for _, f := range fs {
		all += f.String() + "\n"
	}
	return all
}

// suspects are what could let water by; they are worked out once for a rig.
func (c *Chapter) suspects() []network.Suspect {
	if rig := c.stage.Live.Rig(); rig != c.suspected {
		c.suspected, c.suspect = rig, rig.Suspects(nil)
	}
	return c.suspect
}

// pick rings a part in ink.
func (c *Chapter) pick(part string) { c.stage.Shown.Picked = part }

// Do takes what the reader did with the sheet.
func (c *Chapter) Do(e sheet.Event) {
	c.problem = ""
	c.note.Anew()
	c.trouble(c.do(e))
}

func (c *Chapter) trouble(err error) {
	if err != nil {
		c.problem = "That cannot be here: " + err.Error()
	}
}

func (c *Chapter) do(e sheet.Event) error {
	if mine, err := c.stage.Do(e); mine {
		if e.Do == "turn" {
			c.pick(e.Arg)
		}
		return err
	}
	x, err := strconv.ParseFloat(e.Arg, 64)
	number := err == nil && !math.IsNaN(x)
	x = math.Min(math.Max(x, 0), 1)
	l := c.stage.Live
	switch e.Do {
	case "rig":
		rig, err := stage.Rig(e.Arg)
		if err != nil {
			return err
		}
		return c.begin(e.Arg, setting{Seep: likeliest(rig), Size: c.set.Size})
	case "seep":
		c.set.Seep = e.Arg
		if e.Arg == "nothing" {
			c.set.Seep = ""
		}
		c.pick("")
		return c.apply()
	case "size":
		if number {
			c.set.Size = slideTo(x, leastSeep, mostSeep)
			return c.apply()
		}
	case "bottle":
		if number {
			c.set.Bottle = -1
			if x > noBottle {
				c.set.Bottle = float64(slideTo((x-noBottle)/(1-noBottle), leastBottle, mostBottle))
			}
			c.refit, c.touched = true, c.now
		}
	case "air":
		c.set.Air = e.Arg
		if e.Arg == "all" {
			c.set.Air = ""
		}
		return c.apply()
	case "source":
		return c.source(e.Arg)
	case "fill":
		if t, ok := firstOf[network.Tank](l.Rig()); ok && number {
			return l.Fill(t.Name, t.Capacity*unit.Volume(x))
		}
	case "press":
		if _, stops := l.Switch(); number && stops > 0 {
			return l.Press(gaugeTo * stops * unit.Pressure(x))
		}
	case "wave":
		if w, ok := waveAt(l, c.spring(), c.running()); ok {
			c.wave, c.waved = w, c.now
			return l.Turn(network.Lineup{w.tap: network.Shut()})
		}
	case "next":
		if c.wave != nil {
			c.wave = nil
			return nil
		}
		_, rate := c.faster()
		l.SetRate(rate)
	}
	return nil
}

// faster is the one next action where nothing is asked for: to let time pass.
func (c *Chapter) faster() (words string, rate float64) {
	switch rate := c.stage.Live.Rate(); {
	case rate < 59:
		return "Let an hour pass in a minute", 60
	case rate < 599:
		return "Let an hour pass in 6 s", 600
	}
	return "Back to life's own pace", 1
}

// source chooses where the water comes from.
func (c *Chapter) source(from string) error {
	set := network.Lineup{}
	for _, p := range c.stage.Live.Rig().Parts() {
		on := p.Kind() == "pump" && from == "pump" || p.Kind() == "hookup" && from == "hose"
		if p.Kind() == "pump" || p.Kind() == "hookup" {
			set[p.ID()] = network.Off()
			if on {
				set[p.ID()] = network.On()
			}
		}
	}
	return c.stage.Live.Turn(set)
}

// sources are where the water comes from: "pump", "hose" or, where it is both or
// neither, "".
func (c *Chapter) sources() (from string, hookup bool) {
	on := map[string]bool{}
	for _, p := range c.stage.Live.Rig().Parts() {
		hookup = hookup || p.Kind() == "hookup"
		on[p.Kind()] = on[p.Kind()] || c.stage.Live.Lineup().Of(p) == network.On()
	}
	switch {
	case on["pump"] && !on["hookup"]:
		return "pump", hookup
	case on["hookup"] && !on["pump"]:
		return "hose", hookup
	}
	return "", hookup
}

// spring is the joint from which the water comes.
func (c *Chapter) spring() string {
	from, _ := c.sources()
	if h, ok := firstOf[network.Hookup](c.stage.Live.Rig()); ok && from == "hose" {
		return h.At
	}
	p, _ := c.stage.Live.Pump()
	return p.To
}

// running is the tap from which most water runs; empty: none.
func (c *Chapter) running() string {
	name, most := "", unit.Flow(trickle)
	for _, p := range c.stage.Live.Rig().Parts() {
		if p.Kind() != "fixture" || c.stage.Live.Lineup().Of(p).Opening() == 0 {
			continue
		}
		if q, ok := c.stage.Live.Sample().Flow(p.ID()); ok && q > most {
			name, most = p.ID(), q
		}
	}
	return name
}

// Touch takes what was done on the canvas: a handle is turned, a tank's water moved,
// and the note speaks of what was touched last.
func (c *Chapter) Touch(p frame.Pointer) {
	act := c.stage.Touch(p)
	if act != (scene.Act{}) {
		c.note.Anew()
	}
	switch {
	case act.Filled:
		if t, ok := firstOf[network.Tank](c.stage.Live.Rig()); ok {
			c.trouble(c.stage.Live.Fill(act.Part, t.Capacity*unit.Volume(act.Fill)))
		}
	case act.Needle:
		c.trouble(c.stage.Live.Press(act.Press))
	case act.Part != "":
		c.problem = ""
		c.pick(act.Part)
		if act.Turned {
			c.trouble(c.stage.Live.Turn(network.Lineup{act.Part: act.Set}))
		}
	}
}

// rests is how long a hand rests on the accumulator's slide before the rig is
// changed, for that is dear.
const rests = 150 * time.Millisecond

// Advance goes on to now. While the fast wave is shown all else stands still.
func (c *Chapter) Advance(now time.Time, budget time.Duration) bool {
	c.now = now
	if c.refit && (c.touched.IsZero() || now.Sub(c.touched) >= rests) {
		c.trouble(c.fit())
	}
	if c.wave != nil {
		if c.waved.IsZero() {
			c.waved = now
		}
		c.wave.to(c.waveTime(now))
		return now.Sub(c.waved).Seconds() < c.wave.end()*slower+1
	}
	return c.stage.Advance(now, budget)
}

// waveTime is how far the wave has come by the reader's clock, s; where nothing shall
// move it is all there at once.
func (c *Chapter) waveTime(now time.Time) float64 {
	if c.calm {
		return c.wave.end()
	}
	return now.Sub(c.waved).Seconds() / slower
}

// Draw puts the scene into the frame, and the wave where the paper was.
func (c *Chapter) Draw(f *frame.Frame) {
	c.stage.Shown.Off, c.calm = c.wave != nil, f.Look.Calm
	c.stage.Draw(f)
	if strip := c.stage.Scene.Strip(); c.wave != nil && strip.Wide() > 100 {
		c.wave.draw(&f.Moving, strip, f.Look)
	}
}

// Effects are none: it asks nothing of the page.
func (c *Chapter) Effects() []desk.Effect { return nil }

// kept is what it keeps.
type kept struct {
	Set   setting         `json:"set"`
	Stage json.RawMessage `json:"stage"`
}

// Keep is the settings and the system, as JSON.
func (c *Chapter) Keep() ([]byte, error) {
	data, err := c.stage.Keep()
	if err != nil {
		return nil, err
	}
	return json.Marshal(kept{c.set, data})
}

// Restore takes back what Keep gave.
func (c *Chapter) Restore(data []byte) error {
	var k kept
	if err := json.Unmarshal(data, &k); err != nil {
		return err
	}
	if err := k.Set.check(); err != nil {
		return err
	}
	if err := c.stage.Restore(k.Stage, k.Set.fitted); err != nil {
		return err
	}
	c.set, c.wave = k.Set, nil
	c.note.Anew()
	c.pick("")
	return c.apply()
}

// Follow opens it with another rig, seep or rate. An error is of a rig there is not, or
// of a fault that lets no water by.
func (c *Chapter) Follow(l desk.Link) error {
	name, rig, err := c.stage.Linked(l.Rig)
	if err != nil {
		return err
	}
	set := setting{Seep: likeliest(rig), Size: c.set.Size}
	if l.Fault != "" {
		f, err := rig.Fault(l.Fault)
		if err != nil {
			return err
		}
		seep, ok := f.(network.Seep)
		if !ok {
			return fmt.Errorf("change: %q is nothing that lets water by", l.Fault)
		}
		set.Seep, set.Size = mark(seep), seep.Flow(45*unit.PSI)
	}
	if err := c.begin(name, set); err != nil {
		return err
	}
	if l.Rate > 0 {
		c.stage.Live.SetRate(l.Rate)
	}
	return nil
}
