package sim_test

import (
	"context"
	"testing"
	"time"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim"
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

func BenchmarkHour(b *testing.B) {
	b.Run("rig=bench30", func(b *testing.B) {
		m, faults, opts := bench30(b)
		var rec *sim.Record
		b.ReportAllocs()
		for b.Loop() {
			var err error
			if rec, err = m.Simulate(context.Background(), nil, faults, opts); err != nil {
				b.Fatal(err)
			}
		}
		b.ReportMetric(3600*float64(b.N)/b.Elapsed().Seconds(), "simulated-s/s")
		b.ReportMetric(float64(rec.Effort.Steps), "steps")
		b.ReportMetric(float64(rec.Effort.Newton), "newton")
		b.ReportMetric(float64(len(rec.Starts("pump"))), "starts")
	})
}
