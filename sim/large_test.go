package sim_test

import (
	"context"
	"flag"
	"fmt"
	"math"
	"os"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
	"quietpump/sim/internal/cputime"
	"quietpump/sim/internal/kernel"
	"quietpump/sim/internal/rigs"
)

func large(tb testing.TB, shape rigs.Shape, joints int, stiff bool) (*sim.Model, network.Lineup) {
	tb.Helper()
	rig, taps, err := rigs.Large(shape, joints, stiff)
	if err != nil {
		tb.Fatal(err)
	}
	m, err := sim.Compile(rig)
	if err != nil {
		tb.Fatal(err)
	}
	return m, taps
}

// largest are the sizes of large rigs, joints.
var largest = []int{50, 500, 1000, 5000, 10000, 50000}

// BenchmarkSteady finds the steady answer of large rigs from a cold start: the rig lowered,
// the plan made, the answer found and read, each time anew. The plan alone is the kernel's
// BenchmarkPlan. It ends with a line for each shape: the power of joints that processor time
// grows with, over all sizes, by least squares.
func BenchmarkSteady(b *testing.B) {
	for _, shape := range []rigs.Shape{rigs.Tree, rigs.Rings, rigs.Grid} {
		var x, y []float64
		for _, joints := range largest {
			b.Run(fmt.Sprintf("shape=%s/joints=%d", shape, joints), func(b *testing.B) {
				m, taps := large(b, shape, joints, true)
				var still *sim.Still
				var took []float64
				b.ReportAllocs()
				for b.Loop() {
					b.StopTimer()
					runtime.GC() // a plan's garbage is its own
					b.StartTimer()
					began := cputime.Used()
					var err error
					if still, err = m.Steady(taps, nil, sim.Options{}); err != nil {
						b.Fatal(err)
					}
					took = append(took, (cputime.Used() - began).Seconds())
				}
				slices.Sort(took)
				median := took[len(took)/2]
				x, y = append(x, math.Log(float64(joints))), append(y, math.Log(median))
				b.ReportMetric(float64(still.Effort.Newton), "newton")
				b.ReportMetric(1e3*median, "cpu-ms")
				b.ReportMetric(1e9*median/float64(joints), "cpu-ns/joint")
				b.ReportMetric(1e3*planAndSolve(b, m, taps), "plan-and-solve-cpu-ms")
				b.ReportMetric(held(func() any { s, _ := m.Steady(taps, nil, sim.Options{}); return s })/float64(joints), "held-B/joint")
			})
		}
		if len(x) > 1 {
			b.Logf("%s: processor time grows with joints to the power of %.2f", shape, slope(x, y))
		}
	}
}

// planAndSolve is what the kernel takes of the processor for plan and answer together, of
// a rig lowered before, from a cold start in a new workspace, s: the least of ten.
func planAndSolve(tb testing.TB, m *sim.Model, taps network.Lineup) float64 {
	form, err := m.Form(taps, nil, sim.Options{Water: plainWater})
	if err != nil {
		tb.Fatal(err)
	}
	least := math.Inf(1)
	heads := make([]float64, len(form.System.Stores))
	for range 10 {
		runtime.GC()
		began := cputime.Used()
		w := kernel.NewWork()
		w.Begin(form.System, kernel.Default, 0, heads)
		if err := w.Steady(); err != nil {
			tb.Fatal(err)
		}
		least = min(least, (cputime.Used() - began).Seconds())
	}
	return least
}

var (
	gridFile   = flag.String("grid.write", "", "write the steady grid that testdata/rival solves to this file")
	gridJoints = flag.Int("grid.joints", 10000, "its joints")
)

// The grid of BenchmarkSteady in numbers, with its answer, for testdata/rival/kinsol.c.
func TestWriteGrid(t *testing.T) {
	if *gridFile == "" {
		t.Skip("-grid.write says where to")
	}
	m, taps := large(t, rigs.Grid, *gridJoints, true)
	still, err := m.Steady(taps, nil, sim.Options{Water: plainWater})
	require.NoError(t, err)
	f, err := os.Create(*gridFile)
	require.NoError(t, err)
	defer func() { require.NoError(t, f.Close()) }()
	at := map[string]int{}
	for i, j := range m.Rig().Joints() {
		at[j.Name] = i
	}
	tubes, ends := 0, 0
	var lines strings.Builder
	for _, p := range m.Rig().Parts() {
		switch p := p.(type) {
		case network.Tube:
			tubes++
			fmt.Fprintln(&lines, "tube", at[p.From], at[p.To], float64(p.Length), float64(p.Bore), float64(p.Roughness), p.K)
		case network.Fixture:
			if o := taps.Of(p).Opening(); o > 0 {
				ends++
				fmt.Fprintln(&lines, "tap", at[p.At], float64(p.RatedAt)/math.Pow(float64(p.Rated)*o, 2))
			}
		case network.Hookup:
			fmt.Fprintln(&lines, "main", at[p.At], float64(p.Static))
		}
	}
	fmt.Fprintln(f, "grid", len(at), tubes, ends, float64(plainWater.Density), float64(plainWater.Viscosity))
	fmt.Fprint(f, lines.String())
	for _, j := range m.Rig().Joints() {
		p, _ := still.Pressure(j.Name)
		fmt.Fprintln(f, float64(p))
	}
}

// held is how many bytes what is made holds on to.
func held(made func() any) float64 {
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	kept := made()
	runtime.GC()
	runtime.ReadMemStats(&after)
	runtime.KeepAlive(kept)
	return float64(after.HeapAlloc) - float64(before.HeapAlloc)
}

// slope is that of the straight line nearest to the points.
func slope(x, y []float64) float64 {
	var mx, my, xx, xy float64
	for i := range x {
		mx += x[i] / float64(len(x))
		my += y[i] / float64(len(y))
	}
	for i := range x {
		xx += (x[i] - mx) * (x[i] - mx)
		xy += (x[i] - mx) * (y[i] - my)
	}
	return xy / xx
}

// standpipeOpens is five minutes of a campground whose tubes stretch, on its hookup: the
// standpipe opens after a minute and shuts after two.
var standpipeOpens = sim.Options{Until: 5 * time.Minute, Schedule: []sim.Change{
	{At: time.Minute, Lineup: network.Lineup{"standpipe": network.Open(1)}},
	{At: 2 * time.Minute, Lineup: network.Lineup{"standpipe": network.Shut()}},
}}

// BenchmarkCampground simulates five minutes of large rigs in which a standpipe opens and shuts,
// and says what a step costs and what run, record and workspace hold on to. It ends with a line
// for each shape: the power of joints that a step grows with.
func BenchmarkCampground(b *testing.B) {
	for _, shape := range []rigs.Shape{rigs.Tree, rigs.Rings, rigs.Grid} {
		var x, y []float64
		for _, joints := range []int{1000, 10000, 50000} {
			b.Run(fmt.Sprintf("shape=%s/joints=%d", shape, joints), func(b *testing.B) {
				m, taps := large(b, shape, joints, false)
				joints := len(m.Rig().Joints())
				var rec *sim.Record
				began := cputime.Used()
				for b.Loop() {
					var err error
					if rec, err = m.Simulate(context.Background(), taps, nil, standpipeOpens); err != nil {
						b.Fatal(err)
					}
				}
				took := (cputime.Used() - began).Seconds() / float64(b.N)
				b.ReportMetric(1e3*took, "cpu-ms")
				b.ReportMetric(1e6*took/float64(rec.Effort.Steps), "cpu-µs/step")
				b.ReportMetric(1e9*took/float64(rec.Effort.Steps)/float64(joints), "cpu-ns/step/joint")
				b.ReportMetric(float64(rec.Effort.Steps), "steps")
				b.ReportMetric(float64(rec.Effort.Newton)/float64(rec.Effort.Steps), "newton/step")
				x, y = append(x, math.Log(float64(joints))), append(y, math.Log(took/float64(rec.Effort.Steps)))
				b.ReportMetric(held(func() any {
					run, err := m.Begin(taps, nil, standpipeOpens)
					require.NoError(b, err)
					for done := false; !done; {
						done, err = run.Advance(256)
						require.NoError(b, err)
					}
					return run
				})/float64(joints), "held-B/joint")
			})
		}
		if len(x) > 1 {
			b.Logf("%s: processor time of a step grows with joints to the power of %.2f", shape, slope(x, y))
		}
	}
}

// Large rigs have steady answers that balance: what comes in by the hookup leaves by the taps,
// and every tap passes what its law says at the pressure before it.
func TestLargeRigsBalance(t *testing.T) {
	for _, shape := range []rigs.Shape{rigs.Tree, rigs.Rings, rigs.Grid} {
		m, taps := large(t, shape, 2000, true)
		still, err := m.Steady(taps, nil, sim.Options{})
		require.NoError(t, err)
		assert.Zero(t, still.Effort.Restarts, shape)
		in, ok := still.Flow("main")
		require.True(t, ok)
		out := 0.0
		for _, p := range m.Rig().Parts() {
			f, isTap := p.(network.Fixture)
			if !isTap {
				continue
			}
			q, _ := still.Flow(f.Name)
			p, _ := still.Pressure(f.At)
			out += float64(q)
			want := float64(f.Rated) * taps[f.Name].Opening() * math.Sqrt(float64(p)/float64(45*unit.PSI))
			assert.InDelta(t, want, float64(q), 2e-10, "%s: %s", shape, f.Name)
		}
		assert.InEpsilon(t, -float64(in), out, 1e-9, shape)
	}
}

// A standpipe that opens on a large rig draws it down and lets it come back, the ledger closing.
func TestStandpipeOpensOnLargeRig(t *testing.T) {
	for _, shape := range []rigs.Shape{rigs.Tree, rigs.Rings, rigs.Grid} {
		m, taps := large(t, shape, 600, false)
		opts := standpipeOpens
		opts.Samples = []time.Duration{59 * time.Second, 119 * time.Second, 299 * time.Second}
		rec, err := m.Simulate(context.Background(), taps, nil, opts)
		require.NoError(t, err)
		p := func(i int) float64 { p, _ := rec.Samples[i].Pressure("j00020"); return float64(p) }
		assert.Less(t, p(1), p(0)-1, shape)
		assert.Greater(t, p(2), p(1)+1, shape)
		assert.InDelta(t, 0, float64(rec.Ledger.Closure), 1e-9*float64(rec.Ledger.Moved), shape)
	}
}

// A factor kept for what is left of its step changes what a grid costs and not what it says.
func TestFactorsAreKeptInGrids(t *testing.T) {
	m, taps := large(t, rigs.Grid, 900, false)
	with := func(without sim.Layers) *sim.Record {
		opts := standpipeOpens
		opts.Without = without
		for at := 58; at < 300; at += 4 {
			opts.Samples = append(opts.Samples, time.Duration(at)*time.Second)
		}
		rec, err := m.Simulate(context.Background(), taps, nil, opts)
		require.NoError(t, err)
		return rec
	}
	kept, anew := with(0), with(sim.Keeping)
	require.Len(t, kept.Events, len(anew.Events))
	for i, s := range kept.Samples {
		for _, j := range []string{"j00000", "j00020", "j00450", "j00899"} {
			a, _ := s.Pressure(j)
			b, _ := anew.Samples[i].Pressure(j)
			assert.InDelta(t, float64(b), float64(a), 1, "%s at %v", j, s.At)
		}
	}
	assert.InDelta(t, 0, float64(kept.Ledger.Closure), 1e-9*float64(kept.Ledger.Moved))
	assert.Equal(t, anew.Effort.Newton, anew.Effort.Factorisations)
	assert.Less(t, 3*kept.Effort.Factorisations, anew.Effort.Factorisations, "%+v and %+v", kept.Effort, anew.Effort)
}
