package change

import (
	"context"
	"math"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
	"quietpump/sim/chart"
	"quietpump/sim/waves"
	"quietpump/wasm/chapters/stage"
	"quietpump/wasm/desk"
	"quietpump/wasm/frame"
	"quietpump/wasm/scene"
	"quietpump/wasm/sheet"
)

// A wall is a clock that the test turns.
type wall struct{ t time.Time }

func newWall() *wall { return &wall{time.Date(2024, 6, 1, 12, 0, 0, 0, time.UTC)} }

// play lets a chapter go on for so many of the reader's seconds.
func (w *wall) play(c *Chapter, s float64) {
	for end := w.t.Add(time.Duration(s * 1e9)); w.t.Before(end); w.t = w.t.Add(time.Second / 30) {
		c.Advance(w.t, 0)
	}
}

func begin(t require.TestingT) *Chapter {
	c, err := New()
	require.NoError(t, err)
	return c
}

func do(c *Chapter, what, arg string) { c.Do(sheet.Event{Do: what, Arg: arg}) }

func found(c *Chapter) string {
	_, finding := c.finding(unit.US)
	return finding
}

// Whatever was set, the cycle it tells of is the library's own of the rig and the
// faults that were set.
func TestSaysWhatTheLibrarySays(t *testing.T) {
	for _, tt := range []struct {
		name string
		do   func(c *Chapter)
	}{
		{"as it opens", func(*Chapter) {}},
		{"another part", func(c *Chapter) { do(c, "seep", "toilet valve") }},
		{"more", func(c *Chapter) { do(c, "size", "0.8") }},
		{"a larger accumulator", func(c *Chapter) { do(c, "bottle", "0.8") }},
		{"none", func(c *Chapter) { do(c, "bottle", "0") }},
		{"its air lost", func(c *Chapter) { do(c, "air", "half") }},
		{"a trailer", func(c *Chapter) { do(c, "rig", "nosuction") }},
		{"a camper given an accumulator", func(c *Chapter) { do(c, "rig", "camper"); do(c, "bottle", "0.6") }},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c, w := begin(t), newWall()
			w.play(c, 0.2)
			tt.do(c)
			w.play(c, 0.5)
			require.Empty(t, c.problem)
			do(c, "rate", "1")
			h := c.stage.Live.Habit()
			for h.Cycles < 3 {
				w.play(c, 1)
				h = c.stage.Live.Habit()
				require.Less(t, h.Since, 1e6)
			}
			rig, err := stage.Rig(c.stage.Name)
			require.NoError(t, err)
			rig, err = c.set.fitted(rig)
			require.NoError(t, err)
			m, err := sim.Compile(rig)
			require.NoError(t, err)
			rec, err := m.Simulate(context.Background(), nil, c.set.faults(rig), sim.Options{Until: time.Duration(4 * (h.Rest + h.Run) * 1e9)})
			require.NoError(t, err)
			var rest, stopped float64
			for _, e := range rec.Events {
				switch {
				case e.What == sim.PumpStops:
					stopped = e.At
				case e.What == sim.PumpStarts && stopped > 0:
					rest = e.At - stopped
				}
			}
			assert.InEpsilon(t, rest, h.Rest, 0.01)
			assert.Contains(t, found(c), "Quiet for "+scene.Span(h.Rest))
		})
	}
}

func TestTheHose(t *testing.T) {
	c, w := begin(t), newWall()
	w.play(c, 0.2)
	do(c, "source", "hose")
	do(c, "size", "1")
	do(c, "rate", "1")
	w.play(c, 5)
	assert.Contains(t, found(c), "In the tank: ")
	was := c.stage.Live.Account().Tanks
	w.play(c, 10)
	assert.Greater(t, c.stage.Live.Account().Tanks, was+5*unit.Litre, "on the hose the seep fills the tank")
	do(c, "fill", "0.99")
	w.play(c, 20)
	title, _ := c.finding(unit.US)
	assert.Equal(t, "The tank runs over", title)
}

// What the needle is dragged to is where the pump goes on from.
func TestTheNeedle(t *testing.T) {
	c, w := begin(t), newWall()
	w.play(c, 0.2)
	do(c, "rate", "0")
	do(c, "press", "0.6")
	require.Empty(t, c.problem)
	l := c.stage.Live
	_, stops := l.Switch()
	p, _ := l.Sample().Pressure(l.Gauge())
	assert.InEpsilon(t, 0.6*1.45*float64(stops), float64(p), 1e-6)
	do(c, "press", "0.1")
	w.play(c, 0.5)
	pump, _ := l.Pump()
	assert.True(t, l.Running(pump.Name), "so low the pump starts")
}

func TestTheWave(t *testing.T) {
	c, w := begin(t), newWall()
	w.play(c, 0.2)
	do(c, "wave", "")
	assert.Nil(t, c.wave, "no tap is open")
	do(c, "rate", "0")
	do(c, "turn", "galley cold tap")
	w.play(c, 3)
	do(c, "wave", "")
	require.NotNil(t, c.wave)
	at := c.stage.Live.Time()
	w.play(c, 1)
	assert.InDelta(t, at, c.stage.Live.Time(), 1e-9, "all else stands still")
	s := c.Sheet(frame.Look{})
	assert.Equal(t, "The galley cold tap is flicked shut: it knocks", s.Title)
	f := &frame.Frame{Paper: frame.Box{X1: 900, Y1: 700}, Free: frame.Box{X1: 900, Y1: 700}, Now: w.t}
	c.Draw(f)
	do(c, "next", "")
	assert.Nil(t, c.wave)
	assert.Equal(t, network.Shut(), c.stage.Live.Lineup()["galley cold tap"])
}

// What is shown of the wave is the library's own run from where the system stood, and
// what is drawn is what it has come to: the trace at the tap, and the ink in the tubes.
func TestTheWaveIsTheLibrarys(t *testing.T) {
	c, w := begin(t), newWall()
	w.play(c, 0.2)
	do(c, "rate", "0")
	do(c, "turn", "galley cold tap")
	w.play(c, 3)
	model, lineup, faults, from := c.stage.Live.Model(), c.stage.Live.Lineup(), c.stage.Live.Faults(), *c.stage.Live.Sample()
	do(c, "wave", "")
	require.NotNil(t, c.wave)
	want, err := waves.Simulate(context.Background(), model, lineup, faults, waves.Options{From: &from, Until: shownFor, Watch: []string{"galley cold"},
		Moves: []waves.Move{{Over: flick, Lineup: network.Lineup{"galley cold tap": network.Shut()}}}})
	require.NoError(t, err)
	w.play(c, shownFor.Seconds()*slower/2)
	half := len(c.wave.trace)
	assert.InDelta(t, shownFor.Seconds()/2, c.wave.run.Time(), 0.002, "half of it has been shown")
	w.play(c, shownFor.Seconds()*slower/2+1)
	require.Len(t, c.wave.trace, len(want.Traces[0].At))
	assert.InDelta(t, len(c.wave.trace)/2, half, 12)
	for i, x := range c.wave.trace {
		require.InDelta(t, float64(want.Traces[0].Pressure[i]), float64(x.p), 1e-6)
	}
	assert.Equal(t, want.Highest.Pressure, c.wave.highest.Pressure)
	// Joukowsky's rise is a·v of that water, and the wave, shut in 10 ms, comes near it.
	top := c.wave.rest
	for _, x := range c.wave.trace {
		top = max(top, x.p)
	}
	assert.InDelta(t, float64(c.wave.rise), float64(top-c.wave.rest), 0.4*float64(c.wave.rise))
	assert.InEpsilon(t, 998.2*float64(c.wave.speed)*float64(c.wave.flow), float64(c.wave.rise), 1e-3)
}

// On every rig of the house, from every tap that runs, the wave is drawn within its
// strip at every moment; where nothing shall move all of it is there soon.
func TestWavesAreDrawn(t *testing.T) {
	for _, rig := range systems {
		for _, calm := range []bool{false, true} {
			c, w := begin(t), newWall()
			do(c, "rig", rig.Arg)
			w.play(c, 0.2)
			for _, p := range c.stage.Live.Rig().Parts() {
				if p.Kind() == "fixture" {
					do(c, "turn", p.ID())
				}
			}
			w.play(c, 2)
			if c.running() == "" {
				continue // the hand pump's spout
			}
			do(c, "wave", "")
			require.NotNil(t, c.wave, rig.Arg)
			f := &frame.Frame{Paper: frame.Box{X1: 900, Y1: 700}, Free: frame.Box{X0: 300, X1: 900, Y1: 700}, Look: frame.Look{Calm: calm}}
			for range 8 {
				f.Now, f.Moving.Marks = w.t, f.Moving.Marks[:0]
				c.Draw(f)
				strip := c.stage.Scene.Strip()
				n := len(f.Moving.Marks)
				f.Moving.Marks = f.Moving.Marks[:0]
				if strip.Wide() > 100 {
					c.wave.draw(&f.Moving, strip, f.Look)
					assert.NotEmpty(t, f.Moving.Marks)
				}
				for _, m := range f.Moving.Marks {
					if s, ok := m.(chart.Shape); ok {
						for _, q := range s.Points {
							if math.IsNaN(q.X+q.Y) || q.X < strip.X0-1 || q.X > strip.X1+2 || q.Y < strip.Y0-1 || q.Y > strip.Y1+2 {
								t.Fatalf("%s: a line goes to %v of %v (%d marks)", rig.Arg, q, strip, n)
							}
						}
					}
				}
				w.play(c, 1)
			}
			assert.NotEmpty(t, c.Sheet(frame.Look{}).Blocks)
			if calm {
				assert.InDelta(t, c.wave.end(), c.wave.run.Time(), 1e-3)
			}
		}
	}
}

func TestKeepsItsPlace(t *testing.T) {
	c, w := begin(t), newWall()
	w.play(c, 0.2)
	do(c, "rig", "nosuction")
	do(c, "seep", "toilet valve")
	do(c, "size", "0.7")
	do(c, "bottle", "0.9")
	w.play(c, 0.5)
	do(c, "turn", "galley hot tap")
	w.play(c, 1)
	data, err := c.Keep()
	require.NoError(t, err)
	again := begin(t)
	require.NoError(t, again.Restore(data))
	assert.Equal(t, c.set, again.set)
	assert.Equal(t, texts(c.stage.Live.Faults()), texts(again.stage.Live.Faults()))
	assert.Equal(t, c.stage.Live.Lineup(), again.stage.Live.Lineup())
	a, _ := bottle(c.stage.Live.Rig())
	b, _ := bottle(again.stage.Live.Rig())
	assert.Equal(t, a, b)
	assert.InDelta(t, c.stage.Live.Time(), again.stage.Live.Time(), 1)
	for _, bad := range []string{`{`, `{"set":{"size":7},"stage":{"rig":"camper"}}`, `{"set":{"size":"1e-6 m3/s","bottle":3},"stage":{"rig":"camper"}}`, `{"stage":{"rig":"yacht"}}`} {
		assert.Error(t, again.Restore([]byte(bad)), bad)
		assert.Equal(t, "nosuction", again.stage.Name)
	}
}

func TestLinks(t *testing.T) {
	c := begin(t)
	require.NoError(t, c.Follow(desk.Link{Rig: "twopath", Fault: "galley cold tap: 90 mL/min at 45 psi", Rate: 60}))
	assert.Equal(t, "galley cold tap", c.set.Seep)
	assert.InEpsilon(t, 90.0, c.set.Size.MillilitresPerMinute(), 1e-9)
	assert.Equal(t, 60.0, c.stage.Live.Rate())
	for _, bad := range []desk.Link{{Rig: "yacht"}, {Fault: "roof: 3 gpm"}, {Fault: "accumulator: precharge 0 psi"}} {
		assert.Error(t, c.Follow(bad))
		assert.Equal(t, "galley cold tap", c.set.Seep)
	}
}

// Whatever hands do in whatever order, on whatever rig: it goes on, or says why not.
func TestAnythingGoes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, w := begin(t), newWall()
		w.play(c, 0.1)
		for range rapid.IntRange(1, 5).Draw(t, "deeds") {
			var deeds []sheet.Event
			for _, b := range c.Sheet(frame.Look{}).Blocks {
				switch b := b.(type) {
				case sheet.Choice:
					for _, a := range b.Answers {
						deeds = append(deeds, sheet.Event{Do: b.Do, Arg: a.Arg})
					}
				case sheet.Slide:
					deeds = append(deeds, sheet.Event{Do: b.Do, Arg: strconv.FormatFloat(rapid.Float64Range(0, 1).Draw(t, "slide"), 'g', -1, 64)})
				case sheet.Buttons:
					for _, a := range b.List {
						deeds = append(deeds, sheet.Event{Do: a.Do, Arg: a.Arg})
					}
				case sheet.Button:
					deeds = append(deeds, sheet.Event{Do: b.Do, Arg: b.Arg})
				}
			}
			deeds = append(deeds, sheet.Event{Do: "next"}, sheet.Event{Do: "size", Arg: "many"}, sheet.Event{Do: "bottle", Arg: "NaN"})
			e := rapid.SampledFrom(deeds).Draw(t, "deed")
			c.Do(e)
			w.play(c, 0.2)
			if c.problem != "" {
				t.Fatalf("%v: %s", e, c.problem)
			}
		}
	})
}
