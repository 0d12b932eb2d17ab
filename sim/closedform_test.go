package sim_test

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
	"quietpump/testdata/checks"
)

// Closed-form times of testdata/published/ode_events.md, each computed there by
// formula, quadrature and (accumulator) integration to ten digits. The bars are
// 1e-4 relative at Default and 1e-8 at Fine.

var tolerances = []struct {
	name string
	tol  sim.Tolerance
	rel  float64
}{{"default", sim.Default, 1e-4}, {"fine", sim.Fine, 1e-8}}

// relative compares with a closed form. Subtests say which.
func relative(tb testing.TB, want, got, rel float64, what string) {
	tb.Helper()
	checks.Against(tb, "closed forms, by simulation").Relative(tb, tb.Name(), what, want, got, rel)
	tb.Logf("%s: %.2g of %.0e relative", what, math.Abs(got/want-1), rel)
}

// linear and hole are the two leaks of the sets, as seeps of joint "line".
func linear(g float64) network.Seep {
	return network.Seep{Part: "line", Seep: hydraulics.Seep{Ref: unit.Flow(g * 1e5), At: 1e5, Exp: 1}}
}

func hole(d, cd float64) network.Seep {
	k := cd * math.Pi / 4 * d * d * math.Sqrt(2/float64(plainWater.Density))
	return network.Seep{Part: "line", Seep: hydraulics.Seep{Ref: unit.Flow(k * math.Sqrt(1e5)), At: 1e5, Exp: 0.5}}
}

// switched is a store at a sealed pump whose switch tells when cut-in is reached
// and whose flow is constant to 1e-9.
func switched(cutIn, cutOut, flow float64, store network.Part) []network.Item {
	const flat = 1e-9
	return append(level("out", "line"),
		network.Tank{Name: "tank", Ports: []string{"out"}, Capacity: 1},
		network.Pump{Name: "pump", From: "out", To: "line", Sealed: true, CutIn: unit.Pressure(cutIn), CutOut: unit.Pressure(cutOut),
			Curve: hydraulics.PumpCurve{{Flow: unit.Flow(flow * (1 + flat))}, {Flow: unit.Flow(flow * (1 - flat)), Rise: unit.Pressure(2 * cutOut)}}},
		store)
}

func from(p float64, until float64, tol sim.Tolerance, samples ...float64) sim.Options {
	o := sim.Options{Until: secs(until), Water: plainWater, Tolerance: tol,
		Start: sim.Start{Pressures: map[string]unit.Pressure{"line": unit.Pressure(p)}}}
	for _, s := range samples {
		o.Samples = append(o.Samples, secs(s))
	}
	return o
}

func TestAccumulatorDecayAndFill(t *testing.T) {
	for _, set := range []struct {
		name                 string
		v0, p0, p1, p2       float64
		g, d, cd             float64
		linear, linearHalf   float64
		orifice, orificeHalf float64
		qp, fill, fillLinear float64
		period               float64
	}{
		{"A", 0.71e-3, 200e3, 380e3, 240e3, 1e-13, 0.1e-3, 0.62, 6143.004293, 290567.6367, 1532.031220, 294255.6643, 1.0e-4, 1.823119059, 1.823669831, 6144.827963},
		{"B", 2.0e-3, 138e3, 310e3, 207e3, 5e-14, 0.2e-3, 0.61, 31079.48818, 246175.1484, 904.5568954, 248616.9239, 1.5e-4, 2.591613194, 2.591832261, 31082.08002},
		{"C", 8.0e-3, 250e3, 345e3, 250e3, 2e-12, 0.5e-3, 0.65, 2923.774366, 288142.0323, 551.7628057, 289974.8547, 1.9e-4, 8.962079202, 8.989874534, 2932.764240},
	} {
		m := compile(t, switched(set.p2, set.p1, set.qp,
			network.Accumulator{Name: "accumulator", At: "line", Volume: unit.Volume(set.v0), Precharge: unit.Pressure(set.p0), Exponent: 1})...)
		for _, tol := range tolerances {
			t.Run(fmt.Sprintf("set=%s/%s", set.name, tol.name), func(t *testing.T) {
				rec := simulate(t, m, nil, network.Faults{linear(set.g)}, from(set.p1, set.period+60, tol.tol, set.linear/2))
				require.NotEmpty(t, rec.Starts("pump"))
				require.NotEmpty(t, rec.Stops("pump"))
				relative(t, set.linear, rec.Starts("pump")[0], tol.rel, "decay through a linear leak")
				relative(t, set.linearHalf, pressure(t, &rec.Samples[0], "line"), tol.rel, "pressure at half that time")
				relative(t, set.fillLinear, rec.Stops("pump")[0]-rec.Starts("pump")[0], tol.rel, "fill with the leak")
				relative(t, set.period, rec.Stops("pump")[0], tol.rel, "cycle")

				rec = simulate(t, m, nil, network.Faults{hole(set.d, set.cd)}, from(set.p1, set.orifice+1, tol.tol, set.orifice/2))
				require.NotEmpty(t, rec.Starts("pump"))
				relative(t, set.orifice, rec.Starts("pump")[0], tol.rel, "decay through an orifice")
				relative(t, set.orificeHalf, pressure(t, &rec.Samples[0], "line"), tol.rel, "pressure at half that time")

				opts := from(set.p2, set.fill+10, tol.tol)
				opts.Start.Pumps = map[string]bool{"pump": true}
				rec = simulate(t, m, nil, nil, opts)
				require.NotEmpty(t, rec.Stops("pump"))
				relative(t, set.fill, rec.Stops("pump")[0], tol.rel, "fill")
			})
		}
	}
}

// A rigid line whose stretch alone gives water.
func TestElasticDecay(t *testing.T) {
	for _, set := range []struct {
		name                 string
		c, g, p1, p2, d, cd  float64
		linear, linearHalf   float64
		orifice, orificeHalf float64
	}{
		{"A", 2.0e-10, 1e-13, 380e3, 240e3, 0.1e-3, 0.62, 919.0646588, 301993.3774, 232.2265563, 305996.6887},
		{"B", 5.0e-11, 4e-14, 310e3, 207e3, 0.05e-3, 0.61, 504.8168803, 253317.9820, 189.8884357, 255908.9910},
		{"C", 1.5e-10, 2e-12, 414e3, 276e3, 0.3e-3, 0.65, 30.40988311, 338029.5845, 17.22319122, 341514.7923},
	} {
		m := compile(t, switched(set.p2, set.p1, 1e-4, network.Elastic{Name: "line stretch", At: "line", Compliance: unit.Compliance(set.c)})...)
		for _, tol := range tolerances {
			t.Run(fmt.Sprintf("set=%s/%s", set.name, tol.name), func(t *testing.T) {
				rec := simulate(t, m, nil, network.Faults{linear(set.g)}, from(set.p1, set.linear+1, tol.tol, set.linear/2))
				require.NotEmpty(t, rec.Starts("pump"))
				relative(t, set.linear, rec.Starts("pump")[0], tol.rel, "decay through a linear leak")
				relative(t, set.linearHalf, pressure(t, &rec.Samples[0], "line"), tol.rel, "pressure at half that time")
				rec = simulate(t, m, nil, network.Faults{hole(set.d, set.cd)}, from(set.p1, set.orifice+1, tol.tol, set.orifice/2))
				require.NotEmpty(t, rec.Starts("pump"))
				relative(t, set.orifice, rec.Starts("pump")[0], tol.rel, "decay through an orifice")
				relative(t, set.orificeHalf, pressure(t, &rec.Samples[0], "line"), tol.rel, "pressure at half that time")
			})
		}
	}
}

// A vented tank runs out through a hole in its floor. Its outlet stands at the
// lower level, so that "tank empty" tells when that is reached; in set B it is the
// hole itself, and the last millionth of the depth is taken in closed form.
func TestTankDrains(t *testing.T) {
	for _, set := range []struct {
		name                    string
		area, d, cd, h1, h2     float64
		t, half, flow           float64
		bottom                  string
		ports                   []string
		outletHeight, drainedAt float64
	}{
		{name: "A", area: 0.5, d: 0.0127, cd: 0.62, h1: 0.35, h2: 0.05, t: 1057.998041, half: 0.1661437828, flow: 0.0002057777293, bottom: "hole", ports: []string{"out", "hole"}},
		{name: "B", area: 0.9, d: 0.02, cd: 0.80, h1: 0.30, h2: 0, t: 885.7638202, half: 0.07500000000, flow: 0.0006096433244, bottom: "out", ports: []string{"out"}},
		{name: "C", area: 0.35, d: 0.003, cd: 0.61, h1: 0.40, h2: 0.10, t: 11592.05622, half: 0.2250000000, flow: 1.207723612e-5, bottom: "hole", ports: []string{"out", "hole"}},
	} {
		items := append(level("hole", "line")[1:],
			network.Joint{Name: "out", Z: unit.Length(set.h2)},
			network.Tank{Name: "tank", Ports: set.ports, Capacity: unit.Volume(set.area * 0.5), Height: 0.5},
			network.Pump{Name: "pump", From: "out", To: "line", Sealed: true},
			network.Drain{Name: "hole", At: set.bottom, Bore: unit.Length(set.d), K: 1 / (set.cd * set.cd)})
		if set.bottom == "hole" {
			items = append(items, network.Joint{Name: "hole"})
		}
		m := compile(t, items...)
		for _, tol := range tolerances {
			t.Run(fmt.Sprintf("set=%s/%s", set.name, tol.name), func(t *testing.T) {
				opts := sim.Options{Until: secs(set.t + 100), Water: plainWater, Tolerance: tol.tol,
					Start:   sim.Start{Tanks: map[string]unit.Volume{"tank": unit.Volume(set.area * set.h1)}},
					Samples: []time.Duration{0, secs(set.t / 2)}}
				rec := simulate(t, m, network.Lineup{"hole": network.Open(1), "pump": network.Off()}, nil, opts)
				relative(t, set.flow, flow(t, &rec.Samples[0], "hole"), 1e-8, "flow at the start")
				h, ok := rec.Samples[1].Level("tank")
				require.True(t, ok)
				relative(t, set.half, float64(h), tol.rel, "level at half the time")
				at := times(rec, "tank", sim.TankEmpty)
				require.Len(t, at, 1)
				relative(t, set.t, at[0], tol.rel, "time to the lower level")
			})
		}
	}
}
