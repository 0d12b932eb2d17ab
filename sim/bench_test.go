package sim_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim"
	"quietpump/sim/internal/cputime"

	"gonum.org/v1/gonum/mat"
)

// bench30 is the rig that speed is quoted on, with its faults and its start.
func bench30(tb testing.TB) (*sim.Model, network.Faults, sim.Options) {
	tb.Helper()
	rig, err := rigfile.Read("../testdata/rigs/bench30.rig.toml")
	if err != nil {
		tb.Fatal(err)
	}
	m, err := sim.Compile(rig)
	if err != nil {
		tb.Fatal(err)
	}
	faults := network.Faults{
		network.Seep{Part: "fill valve", Seep: hydraulics.Seep{Ref: 9.166666666666666e-07, At: 45 * unit.PSI}},
		network.Seep{Part: "heater check", Seep: hydraulics.Seep{Ref: 1e-5, At: 45 * unit.PSI, Exp: 1}},
	}
	return m, faults, sim.Options{
		Until: time.Hour,
		Water: hydraulics.Water{Density: 998.2, Viscosity: 0.001002},
		Start: sim.Start{
			Tanks:     map[string]unit.Volume{"fresh tank": 0.12},
			Pressures: map[string]unit.Pressure{"acc": 357548.4794417548, "heater": 356080.1297372548, "C4": 356569.5796387548, "H3": 355590.6798357548},
		},
	}
}

// BenchmarkHour simulates an hour and a day of bench30 and of the smallest camper, with the speed layers one by one, with
// leaps and every cycle by its steps. Beside the clock it gives what a simulation takes of the processor, also as a multiple
// of a dense factorisation, 30 by 30 by gonum, taken in turn with it: a busy machine slows both.
func BenchmarkHour(b *testing.B) {
	for _, span := range []time.Duration{time.Hour, 24 * time.Hour} {
		for _, layers := range []struct {
			name    string
			without sim.Layers
		}{{"none", sim.Following | sim.Gliding}, {"follow", sim.Gliding}, {"all", 0}} {
			for _, leap := range []struct {
				name    string
				without sim.Layers
			}{{"off", sim.Leaping}, {"on", 0}} {
				for _, rig := range []string{"bench30", "camper"} {
					b.Run(fmt.Sprintf("rig=%s/span=%gh/layers=%s/leap=%s", rig, span.Hours(), layers.name, leap.name), func(b *testing.B) {
						benchmarkSpan(b, rig, span, layers.without|leap.without)
					})
				}
			}
		}
	}
}

func benchmarkSpan(b *testing.B, rig string, span time.Duration, without sim.Layers) {
	sc := readScenario(b, rig)
	m, lineup, faults, opts := sc.model(b)
	opts.Until, opts.Without, opts.Samples, opts.MaxSteps = span, without, nil, 0
	var rec *sim.Record
	var simulating, factoring time.Duration
	b.ReportAllocs()
	for b.Loop() {
		began := cputime.Used()
		var err error
		if rec, err = m.Simulate(context.Background(), lineup, faults, opts); err != nil {
			b.Fatal(err)
		}
		simulating += cputime.Used() - began
		b.StopTimer()
		factoring += denseFactorisation()
		b.StartTimer()
	}
	b.ReportMetric(span.Seconds()*float64(b.N)/simulating.Seconds(), "simulated-s/s")
	b.ReportMetric(simulating.Seconds()/factoring.Seconds(), "dense-LU")
	b.ReportMetric(float64(rec.Effort.Steps), "steps")
	b.ReportMetric(float64(rec.Effort.Glides), "glides")
	b.ReportMetric(float64(rec.Effort.Leapt), "leapt")
	b.ReportMetric(float64(rec.Effort.Newton), "newton")
	b.ReportMetric(float64(rec.Effort.Factorisations), "factorisations")
}

// denseFactorisation returns how long one factorisation takes, on the average.
func denseFactorisation() time.Duration {
	const n, times = 30, 100
	a := mat.NewDense(n, n, nil)
	for i := range n {
		for j := range n {
			a.Set(i, j, 1/float64(1+i+j))
		}
		a.Set(i, i, n)
	}
	var lu mat.LU
	lu.Factorize(a)
	began := cputime.Used()
	for range times {
		lu.Factorize(a)
	}
	return (cputime.Used() - began) / times
}
