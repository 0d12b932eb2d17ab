package scene_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim"
	"quietpump/sim/chart"
	"quietpump/testdata/rigs"
	"quietpump/wasm/frame"
	"quietpump/wasm/live"
	"quietpump/wasm/scene"
)

// The sizes of the issue, and the box that the notes leave free.
var sizes = []struct {
	name        string
	paper, free frame.Box
}{
	{"390x844", frame.Box{X1: 390, Y1: 844}, frame.Box{X1: 390, Y1: 388}},
	{"844x390", frame.Box{X1: 844, Y1: 390}, frame.Box{X0: 300, X1: 844, Y1: 390}},
	{"768x1024", frame.Box{X1: 768, Y1: 1024}, frame.Box{X1: 768, Y1: 471}},
	{"1440x900", frame.Box{X1: 1440, Y1: 900}, frame.Box{X0: 389, X1: 1440, Y1: 900}},
	{"2560x1440", frame.Box{X1: 2560, Y1: 1440}, frame.Box{X0: 400, X1: 2560, Y1: 1440}},
}

func house(tb testing.TB, name, fault string) *live.Live {
	tb.Helper()
	data, err := rigs.Files.ReadFile(name + ".rig.toml")
	require.NoError(tb, err)
	rig, err := rigfile.Parse(name, data)
	require.NoError(tb, err)
	var faults network.Faults
	if fault != "" {
		f, err := rig.Fault(fault)
		require.NoError(tb, err)
		faults = network.Faults{f}
	}
	l, err := live.New(rig, nil, faults, sim.Options{})
	require.NoError(tb, err)
	tb.Cleanup(l.Close)
	return l
}

// A player shows frames of a thirtieth of a second.
type player struct {
	l     *live.Live
	s     *scene.Scene
	f     *frame.Frame
	now   time.Time
	shown scene.Shown
}

func play(l *live.Live, paper, free frame.Box, look frame.Look) *player {
	return &player{l: l, s: scene.New(l), now: time.Date(2024, 6, 1, 12, 0, 0, 0, time.UTC),
		f: &frame.Frame{Paper: paper, Free: free, Look: look}, shown: scene.Shown{Faults: l.Faults()}}
}

func (p *player) frames(n int) {
	for range n {
		p.now = p.now.Add(time.Second / 30)
		p.l.Advance(p.now, 0)
		p.draw()
	}
}

func (p *player) draw() {
	p.f.Changed, p.f.Now = false, p.now
	p.f.Moving.Marks = p.f.Moving.Marks[:0]
	p.s.Draw(p.f, p.shown)
}

func (p *player) labels() map[string]chart.Label {
	all := map[string]chart.Label{}
	for _, marks := range [][]chart.Mark{p.f.Still.Marks, p.f.Moving.Marks} {
		for _, m := range marks {
			if t, ok := m.(chart.Label); ok {
				all[t.Text] = t
			}
		}
	}
	return all
}

// box is the place a label takes.
func box(t chart.Label) frame.Box {
	w := chart.Wide(t.Text, t.Size, t.Bold)
	x := t.At.X
	switch t.Side {
	case chart.Middle:
		x -= w / 2
	case chart.End:
		x -= w
	}
	return frame.Box{X0: x, Y0: t.At.Y - 0.75*t.Size, X1: x + w, Y1: t.At.Y + 0.2*t.Size}
}

func TestEverySizeCanBeRead(t *testing.T) {
	for _, size := range sizes {
		for _, sys := range []unit.System{unit.US, unit.Metric} {
			l := house(t, "nosuction", "fill valve: 120 mL/min at 45 psi")
			p := play(l, size.paper, size.free, frame.Look{Units: sys})
			l.SetRate(20)
			p.frames(30 * 20)
			if size.paper.Wide() < size.paper.High() {
				assert.GreaterOrEqual(t, p.s.Strip().Y0-size.free.Y0, 220.0, "the drawing is never under 220 px high")
			}
			starts, stops := l.Switch()
			labels := p.labels()
			assert.Contains(t, labels, "starts at "+sys.Format(starts, 2), size.name)
			assert.Contains(t, labels, "stops at "+sys.Format(stops, 2), size.name)
			assert.Contains(t, labels, "now", size.name)
			var instrument []chart.Label
			for _, m := range p.f.Moving.Marks {
				if t, ok := m.(chart.Label); ok && t.At.Y > p.s.Strip().Y0 {
					instrument = append(instrument, t)
				}
			}
			for i, a := range instrument {
				assert.GreaterOrEqual(t, a.Size, 12.0, a.Text)
				b := box(a)
				assert.True(t, b.X0 >= size.free.X0-0.5 && b.X1 <= size.free.X1+0.5 && b.Y1 <= size.free.Y1+0.5, "%s: %q at %v runs off the sheet", size.name, a.Text, b)
				for _, c := range instrument[:i] {
					if o := box(c); b.X0 < o.X1 && o.X0 < b.X1 && b.Y0 < o.Y1 && o.Y0 < b.Y1 {
						// What is printed on the paper and what moves on it may meet at its far end.
						assert.True(t, a.Halo || c.Halo, "%s: %q lies over %q", size.name, a.Text, c.Text)
					}
				}
			}
		}
	}
}

// The pen stands at the pressure of the library, and the roll below the pump.
func TestPenStandsAtThePressure(t *testing.T) {
	l := house(t, "nosuction", "fill valve: 120 mL/min at 45 psi")
	p := play(l, sizes[3].paper, sizes[3].free, frame.Look{})
	l.SetRate(20)
	p.frames(120)
	at, ok := l.Sample().Pressure(l.Gauge())
	require.True(t, ok)
	curve := p.curve(t)
	low, high := p.printed("starts at 28 psi")-14, p.printed("stops at 42 psi")+5
	want := low + (at.PSI()-28)/(42-28)*(high-low)
	assert.InDelta(t, want, curve.Points[0].Y, 0.6, "%v", at)
}

// printed is the height of a label.
func (p *player) printed(text string) float64 { return p.labels()[text].At.Y }

// curve is the pressure's line.
func (p *player) curve(t *testing.T) chart.Shape {
	t.Helper()
	best := chart.Shape{}
	for _, m := range p.f.Moving.Marks {
		if s, ok := m.(chart.Shape); ok && s.Line == chart.Cold && s.Width == 2 && !s.Closed && len(s.Points) > 1 && s.Points[0].Y > p.s.Strip().Y0 {
			if len(s.Points) > len(best.Points) {
				best = s
			}
		}
	}
	require.NotEmpty(t, best.Points)
	return best
}

func TestNeverTwiceTheSameWork(t *testing.T) {
	l := house(t, "twopath", "fill valve: 60 mL/min at 45 psi")
	p := play(l, sizes[3].paper, sizes[3].free, frame.Look{})
	p.frames(1)
	assert.True(t, p.f.Changed)
	for range 60 {
		p.frames(1)
		assert.False(t, p.f.Changed, "what stands still is drawn once")
	}
	p.f.Look.Dark = true
	p.frames(1)
	assert.True(t, p.f.Changed)
	require.NoError(t, l.Turn(network.Lineup{"galley cold tap": network.Open(1)}))
	p.frames(1)
	assert.True(t, p.f.Changed, "a lever has been turned")
}

func TestSameClockSamePicture(t *testing.T) {
	var before []chart.Mark
	for range 2 {
		l := house(t, "nosuction", "fill valve: 120 mL/min at 45 psi")
		p := play(l, sizes[0].paper, sizes[0].free, frame.Look{Units: unit.Metric})
		l.SetRate(60)
		p.frames(200)
		if before != nil {
			assert.Equal(t, before, p.f.Moving.Marks)
		}
		before = p.f.Moving.Marks
	}
}

// Under reduced motion what is on the paper stays where it is from one second to the
// next.
func TestCalm(t *testing.T) {
	l := house(t, "nosuction", "fill valve: 120 mL/min at 45 psi")
	p := play(l, sizes[1].paper, sizes[1].free, frame.Look{Calm: true})
	l.SetRate(20)
	p.frames(90)
	moved := 0
	last := p.curve(t).Points[0]
	for range 60 {
		p.frames(1)
		if at := p.curve(t).Points[0]; math.Abs(at.Y-last.Y) > 0.05 { // thinning the roll moves it by less
			moved++
			last = at
		}
	}
	assert.LessOrEqual(t, moved, 2)
	assert.GreaterOrEqual(t, moved, 1)
}

func (p *player) touch(x0, y0, x1, y1 float64) scene.Act {
	p.s.Touch(frame.Pointer{X: x0, Y: y0, Down: true, Held: true})
	act := scene.Act{}
	if x0 != x1 || y0 != y1 {
		act = p.s.Touch(frame.Pointer{X: x1, Y: y1, Held: true})
	}
	if up := p.s.Touch(frame.Pointer{X: x1, Y: y1, Up: true}); up != (scene.Act{}) {
		act = up
	}
	return act
}

// find looks for a part by touching the drawing all over.
func (p *player) find(t *testing.T, part string, free frame.Box) (x, y float64) {
	t.Helper()
	for y := free.Y0 + 4; y < p.s.Strip().Y0-6; y += 9 {
		for x := free.X0 + 4; x < free.X1; x += 9 {
			if p.touch(x, y, x, y).Part == part {
				return x, y
			}
		}
	}
	require.Fail(t, "nowhere in the drawing", part)
	return 0, 0
}

func TestThingsAreTurned(t *testing.T) {
	for _, size := range sizes {
		l := house(t, "nosuction", "")
		p := play(l, size.paper, size.free, frame.Look{})
		p.frames(2)
		for part, want := range map[string]network.Setting{"galley cold tap": network.Open(1), "fill valve": network.Open(1), "pump": network.Off(), "hookup": network.On()} {
			x, y := p.find(t, part, size.free)
			act := p.touch(x, y, x, y)
			assert.True(t, act.Turned, "%s at %s", part, size.name)
			assert.Equal(t, want, act.Set, part)
		}
		x, y := p.find(t, "inlet check", size.free)
		assert.False(t, p.touch(x, y, x, y).Turned, "no hand turns a check valve")
		// A finger that slips has not pressed, and one that the browser takes away neither.
		assert.Equal(t, scene.Act{}, p.touch(x, y, x+60, y))
		p.s.Touch(frame.Pointer{X: x, Y: y, Down: true, Held: true})
		assert.Equal(t, scene.Act{}, p.s.Touch(frame.Pointer{X: -1, Y: -1, Up: true}))
		// The float in the tank.
		x, y = p.find(t, "fresh tank", size.free)
		act := p.touch(x, y, x, y-12)
		assert.True(t, act.Filled)
		assert.Equal(t, "fresh tank", act.Part)
	}
}

// The gauge's needle goes where it is dragged, a tap opens as far as it is pulled.
func TestThingsArePulled(t *testing.T) {
	for _, size := range sizes {
		l := house(t, "nosuction", "")
		p := play(l, size.paper, size.free, frame.Look{})
		p.frames(2)
		x, y, r := p.dial(t)
		act := p.touch(x+0.5*r, y, x, y-20) // straight up: half of the scale
		require.True(t, act.Needle, size.name)
		_, stops := l.Switch()
		assert.InEpsilon(t, 1.45*float64(stops)/2, float64(act.Press), 1e-6)
		require.NoError(t, l.Press(act.Press))
		p.frames(20) // the pen's figure is written four times a second, and the gauge's where there is room
		assert.Contains(t, p.labels(), unit.US.Format(act.Press, 2), "the needle stands there")
		// Round to the left and below its beginning it stands at nothing, to the right at its end.
		assert.Zero(t, p.touch(x, y-10, x-11, y+18).Press)
		assert.InEpsilon(t, 1.45*float64(stops), float64(p.touch(x, y-10, x+11, y+18).Press), 1e-6)
		assert.False(t, p.touch(x, y-9, x, y-9).Needle, "a touch moves nothing")

		x, y = p.find(t, "galley cold tap", size.free)
		p.s.Touch(frame.Pointer{X: x, Y: y, Down: true, Held: true})
		act = p.s.Touch(frame.Pointer{X: x, Y: y - 32, Held: true})
		assert.Equal(t, scene.Act{Part: "galley cold tap", Set: network.Open(0.5), Turned: true, Pulled: true}, act, size.name)
		require.NoError(t, l.Turn(network.Lineup{act.Part: act.Set}))
		assert.Equal(t, scene.Act{}, p.s.Touch(frame.Pointer{X: x, Y: y - 33, Held: true}), "not each pixel is a step")
		assert.Equal(t, network.Open(1), p.s.Touch(frame.Pointer{X: x, Y: y - 90, Held: true}).Set)
		assert.Equal(t, network.Shut(), p.s.Touch(frame.Pointer{X: x, Y: y + 40, Held: true}).Set)
		assert.Equal(t, scene.Act{}, p.s.Touch(frame.Pointer{X: x, Y: y + 40, Up: true}), "and stays where it was let go")
	}
}

// dial is where the gauge is: the largest ring whose middle is its own.
func (p *player) dial(t *testing.T) (x, y, r float64) {
	t.Helper()
	for _, m := range p.f.Moving.Marks {
		s, ok := m.(chart.Shape)
		if !ok || !s.Closed || s.Fill != chart.Paper || s.Line != chart.Body || len(s.Points) != 30 || s.Points[0].Y > p.s.Strip().Y0 {
			continue
		}
		x0, x1, y0, y1 := s.Points[0].X, s.Points[0].X, s.Points[0].Y, s.Points[0].Y
		for _, q := range s.Points {
			x0, x1, y0, y1 = min(x0, q.X), max(x1, q.X), min(y0, q.Y), max(y1, q.Y)
		}
		if x1-x0 > 2*r {
			x, y, r = (x0+x1)/2, (y0+y1)/2, (x1-x0)/2
		}
	}
	require.Positive(t, r)
	return x, y, r
}

// crown looks for it right of the pen or left of the paper.
func (p *player) crown(t *testing.T, free frame.Box) (x, y float64) {
	t.Helper()
	for y := p.s.Strip().Y0; y < free.Y1; y += 8 {
		for x := free.X0; x < free.X1; x += 8 {
			if p.touch(x, y, x, y).Rate > 0 {
				return x, y
			}
		}
	}
	require.Fail(t, "the watch has no crown")
	return 0, 0
}

func TestTheCrownSetsTheRate(t *testing.T) {
	for _, size := range sizes {
		l := house(t, "nosuction", "")
		p := play(l, size.paper, size.free, frame.Look{})
		p.frames(2)
		x, y := p.crown(t, size.free)
		for _, want := range []float64{10, 60, 200, 600, 1} {
			act := p.touch(x+8, y+8, x+8, y+8)
			assert.Equal(t, want, act.Rate, size.name)
			l.SetRate(act.Rate)
		}
		assert.Equal(t, 600.0, p.touch(x, y, x, y-300).Rate, "pulled up")
		assert.Equal(t, 1.0, p.touch(x, y, x, y+300).Rate, "and down")
		assert.Greater(t, p.s.Touch(frame.Pointer{X: x, Y: y, Wheel: 1}).Rate, 1.0)
	}
}

func TestTheRollIsPulledBack(t *testing.T) {
	l := house(t, "nosuction", "fill valve: 120 mL/min at 45 psi")
	p := play(l, sizes[3].paper, sizes[3].free, frame.Look{})
	l.SetRate(60)
	p.frames(30 * 30)
	strip := p.s.Strip()
	y := (strip.Y0 + strip.Y1) / 2
	assert.False(t, p.s.Pulled())
	p.touch(strip.X0+100, y, strip.X0+300, y)
	assert.True(t, p.s.Pulled())
	p.frames(1)
	assert.NotContains(t, p.labels(), "now")
	p.frames(60)
	assert.True(t, p.s.Pulled(), "it stays while the clock goes on")
	p.touch(strip.X0+100, y, strip.X0+100, y)
	assert.False(t, p.s.Pulled(), "a touch lets it go")
	p.s.Back(0.5)
	assert.True(t, p.s.Pulled())
	p.s.Back(-1e9)
	assert.False(t, p.s.Pulled())
	p.s.Back(1e9)
	p.frames(2) // to the very beginning, and no further
	assert.True(t, p.s.Pulled())
}

// Whatever the window, nothing breaks and every place is a number.
func TestAnyWindow(t *testing.T) {
	l := house(t, "twopath", "fill valve: 600 mL/min at 45 psi")
	l.SetRate(600)
	p := play(l, frame.Box{}, frame.Box{}, frame.Look{})
	rapid.Check(t, func(t *rapid.T) {
		free := frame.Box{X0: rapid.Float64Range(0, 500).Draw(t, "x"), Y0: 0}
		free.X1 = free.X0 + rapid.Float64Range(0, 900).Draw(t, "w")
		free.Y1 = rapid.Float64Range(0, 700).Draw(t, "h")
		p.f.Paper, p.f.Free = frame.Box{X1: free.X1, Y1: free.Y1}, free
		p.frames(2)
		p.s.Touch(frame.Pointer{X: rapid.Float64Range(0, 900).Draw(t, "px"), Y: rapid.Float64Range(0, 700).Draw(t, "py"), Down: true, Held: true})
		for _, m := range p.f.Moving.Marks {
			if s, ok := m.(chart.Shape); ok {
				for _, q := range s.Points {
					if math.IsNaN(q.X) || math.IsInf(q.X, 0) || math.IsNaN(q.Y) || math.IsInf(q.Y, 0) {
						t.Fatalf("a point at %v", q)
					}
				}
			}
		}
	})
}

func TestSpan(t *testing.T) {
	for s, want := range map[float64]string{0: "0 s", 3.21: "3.2 s", 95: "95 s", 119.4: "119 s", 150: "2.5 min", 725: "12 min", 7300: "2 h", 200000: "2.3 days"} {
		assert.Equal(t, want, scene.Span(s))
	}
}

func TestPace(t *testing.T) {
	for rate, want := range map[float64]string{1: "1×, as in life", 20: "20×, 20 s a second", 60: "60×, a minute a second", 600: "600×, 10 min a second"} {
		times, words := scene.Pace(rate)
		assert.Equal(t, want, times+", "+words)
	}
}

// BenchmarkFrame is the work of a frame in Go but for putting it on the screen.
func BenchmarkFrame(b *testing.B) {
	for _, rate := range []float64{20, 600} {
		b.Run(map[float64]string{20: "rate=20", 600: "rate=600"}[rate], func(b *testing.B) {
			l := house(b, "bench30", "fill valve: 55 mL/min at 45 psi")
			p := play(l, sizes[3].paper, sizes[3].free, frame.Look{})
			l.SetRate(rate)
			p.frames(30 * 60)
			b.ReportAllocs()
			for b.Loop() {
				p.frames(1)
			}
			b.ReportMetric(float64(len(p.f.Moving.Marks)), "marks")
		})
	}
}
