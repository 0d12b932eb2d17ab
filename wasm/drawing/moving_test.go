package drawing

import (
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
	"quietpump/sim/chart"
	"quietpump/wasm/frame"
)

// noon is when every picture is taken.
var noon = time.Date(2026, 6, 1, 12, 0, 0, 0, time.UTC)

// state is a rig as it stands after a while.
func state(t testing.TB, rig *network.Rig, lineup, fault string, after time.Duration) View {
	m, err := sim.Compile(rig)
	require.NoError(t, err)
	l, err := rig.Lineup(lineup)
	require.NoError(t, err)
	v := View{Lineup: l, Running: map[string]bool{}}
	if fault != "" {
		f, err := rig.Fault(fault)
		require.NoError(t, err)
		v.Faults = network.Faults{f}
	}
	run, err := m.Begin(l, v.Faults, sim.Options{Until: time.Hour})
	require.NoError(t, err)
	defer run.Close()
	_, err = run.AdvanceTo(after, 1e6)
	require.NoError(t, err)
	s, err := run.Now()
	require.NoError(t, err)
	v.Sample = &s
	for _, p := range rig.Parts() {
		if p.Kind() == "pump" {
			v.Running[p.ID()] = run.Running(p.ID())
		}
	}
	return v
}

const fillSeeps = "fill valve: 55 mL/min at 45 psi, orifice"

func laid(t testing.TB, name string) (*Plan, *network.Rig) {
	rig := house(t)[name]
	require.NotNil(t, rig)
	p, err := Lay(rig)
	require.NoError(t, err)
	return p, rig
}

// Water that slips back through the fill valve drifts from the fill tee to the
// tank, against the way the fill tube is written down.
func TestRipplesDriftWithTheFlow(t *testing.T) {
	p, rig := laid(t, "twopath.rig.toml")
	in := boxes["desk"]
	v := state(t, rig, "", fillSeeps, 4*time.Second)
	streaks := func(now time.Time) []chart.Shape {
		var d chart.Drawing
		p.Moving(&d, in, frame.Look{}, now, v)
		var out []chart.Shape
		for _, m := range d.Marks {
			if s, ok := m.(chart.Shape); ok && s.Fill == chart.Paper && s.Line == chart.None && len(s.Points) == 4 {
				s.Points = slices.Clone(s.Points)
				out = append(out, s)
			}
		}
		return out
	}
	tank, _ := p.Where("fresh tank", in)
	fill, _ := p.Where("fill valve", in)
	between := func(s chart.Shape) bool { // in the fill tube
		q := s.Points[2]
		return q.X > tank.X1 && q.X < fill.X0 && q.Y < (tank.Y0+tank.Y1)/2 && math.Abs(q.Y-s.Points[0].Y) < 0.1
	}
	first := streaks(noon)
	then := streaks(noon.Add(50 * time.Millisecond))
	seen := 0
	for i, s := range first {
		if !between(s) || i >= len(then) {
			continue
		}
		seen++
		assert.Less(t, s.Points[2].X, s.Points[0].X, "the thick end leads, toward the tank")
		// The nearest streak of the later frame lies nearer the tank.
		best := math.Inf(1)
		for _, o := range then {
			if dx := o.Points[2].X - s.Points[2].X; between(o) && math.Abs(dx) < math.Abs(best) {
				best = dx
			}
		}
		assert.Less(t, best, 0.0)
		assert.Greater(t, best, -3.0)
	}
	assert.Greater(t, seen, 2)
}

func TestCalmStandsStill(t *testing.T) {
	for name, rig := range house(t) {
		p, err := Lay(rig)
		require.NoError(t, err)
		v := state(t, rig, "", "", 3*time.Second)
		for pump := range v.Running {
			v.Running[pump] = true
		}
		var a, b chart.Drawing
		calm := frame.Look{Calm: true}
		p.Moving(&a, boxes["desk"], calm, noon, v)
		marks := copied(a.Marks)
		p.Moving(&b, boxes["desk"], calm, noon.Add(730*time.Millisecond), v)
		assert.Equal(t, marks, b.Marks, name)
	}
}

// copied keeps marks beyond the next frame.
func copied(marks []chart.Mark) []chart.Mark {
	out := make([]chart.Mark, len(marks))
	for i, m := range marks {
		if s, ok := m.(chart.Shape); ok {
			s.Points = slices.Clone(s.Points)
			m = s
		}
		out[i] = m
	}
	return out
}

func TestSlowFlowsAreShownFasterAndSaySo(t *testing.T) {
	for _, tt := range []struct {
		flow unit.Flow
		want string
	}{
		{1.5 * unit.GPM, "×1"},
		{100 * unit.MillilitrePerMinute, "×10"}, // 1.2 px/s of its own
		{10 * unit.MillilitrePerMinute, "×100"},
		{5 * unit.MillilitrePerMinute, "×200"},
		{0.5 * unit.MillilitrePerMinute, "×2000"},
	} {
		x := exaggeration(float64(tt.flow))
		assert.Equal(t, tt.want, times(x), "%v", tt.flow)
		drift := honest(float64(tt.flow)) * x
		assert.GreaterOrEqual(t, drift, slowest*(1-1e-9))
		if x > 1 {
			assert.LessOrEqual(t, drift, slowMost)
		}
	}
}

// A seep that is not to be given away does not show in the ripples.
func TestHiddenSeepStaysHidden(t *testing.T) {
	p, rig := laid(t, "twopath.rig.toml")
	v := state(t, rig, "", fillSeeps, 4*time.Second)
	v.Faults = nil
	var d chart.Drawing
	p.Moving(&d, boxes["desk"], frame.Look{}, noon, v)
	for _, m := range d.Marks {
		if s, ok := m.(chart.Shape); ok {
			assert.False(t, s.Fill == chart.Paper && s.Line == chart.None && len(s.Points) == 4, "a ripple")
			assert.NotEqual(t, chart.Seep, s.Line)
			assert.NotEqual(t, chart.Seep, s.Fill)
		}
	}
}

func TestSamePictureEachTime(t *testing.T) {
	for name, rig := range house(t) {
		v := state(t, rig, "", "", 3*time.Second)
		var before []chart.Mark
		for range 2 {
			p, err := Lay(rig)
			require.NoError(t, err)
			var d chart.Drawing
			p.Still(&d, boxes["tablet"], frame.Look{}, v)
			for k := range 5 {
				d.Marks = copied(d.Marks)
				p.Moving(&d, boxes["tablet"], frame.Look{}, noon.Add(time.Duration(16*k)*time.Millisecond), v)
			}
			if before != nil {
				assert.Equal(t, before, d.Marks, name)
			}
			before = copied(d.Marks)
		}
	}
}

// A frame allocates what boxing its marks takes, and little more.
func TestFrameAllocatesLittle(t *testing.T) {
	p, rig := laid(t, "twopath.rig.toml")
	v := state(t, rig, "galley cold tap=open, galley hot tap=open", fillSeeps, 4*time.Second)
	d := chart.Drawing{Marks: make([]chart.Mark, 0, 4096)}
	now := noon
	p.Moving(&d, boxes["large"], frame.Look{}, now, v)
	marks := len(d.Marks)
	n := testing.AllocsPerRun(100, func() {
		d.Marks = d.Marks[:0]
		now = now.Add(16 * time.Millisecond)
		p.Moving(&d, boxes["large"], frame.Look{}, now, v)
	})
	assert.LessOrEqual(t, n, 1.6*float64(marks)+60)
}

func BenchmarkMoving(b *testing.B) {
	for _, name := range []string{"camper", "twopath", "bench30"} {
		b.Run("rig="+name, func(b *testing.B) {
			p, rig := laid(b, name+".rig.toml")
			lineup := "galley tap=open"
			if name == "twopath" {
				lineup = "galley cold tap=open, galley hot tap=open"
			}
			fault := ""
			if name != "camper" {
				fault = fillSeeps
			}
			v := state(b, rig, lineup, fault, 4*time.Second)
			d := chart.Drawing{}
			now := noon
			b.ReportAllocs()
			for b.Loop() {
				d.Marks = d.Marks[:0]
				now = now.Add(16 * time.Millisecond)
				p.Moving(&d, boxes["large"], frame.Look{}, now, v)
			}
			b.ReportMetric(float64(len(d.Marks)), "marks")
		})
	}
}

func BenchmarkLay(b *testing.B) {
	for _, name := range []string{"camper", "twopath", "bench30"} {
		b.Run("rig="+name, func(b *testing.B) {
			rig := house(b)[name+".rig.toml"]
			b.ReportAllocs()
			for b.Loop() {
				p, err := Lay(rig)
				require.NoError(b, err)
				p.Where("", boxes["desk"]) // which fits it
			}
		})
	}
}
