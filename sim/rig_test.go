package sim_test

import (
	"context"
	"time"

	"github.com/stretchr/testify/require"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
)

// compile makes a rig of the items and compiles it.
func compile(tb require.TestingT, items ...network.Item) *sim.Model {
	rig, err := network.New("test rig", items...)
	require.NoError(tb, err)
	m, err := sim.Compile(rig)
	require.NoError(tb, err)
	return m
}

// simulate is a simulation that has to succeed.
func simulate(tb require.TestingT, m *sim.Model, lineup network.Lineup, faults network.Faults, opts sim.Options) *sim.Record {
	rec, err := m.Simulate(context.Background(), lineup, faults, opts)
	require.NoError(tb, err)
	return rec
}

// steady is a steady answer that has to be there.
func steady(tb require.TestingT, m *sim.Model, lineup network.Lineup, faults network.Faults, opts sim.Options) *sim.Still {
	still, err := m.Steady(lineup, faults, opts)
	require.NoError(tb, err)
	return still
}

// level puts joints at elevation zero, so that heads are pressures.
func level(joints ...string) []network.Item {
	items := make([]network.Item, len(joints))
	for i, j := range joints {
		items[i] = network.Joint{Name: j}
	}
	return items
}

// orifice is a seep that passes ref at 45 psi and its square root elsewhere.
func orifice(part string, ref unit.Flow) network.Seep {
	return network.Seep{Part: part, Seep: hydraulics.Seep{Ref: ref, At: 45 * unit.PSI, Exp: 0.5}}
}

// film is a seep in proportion to pressure.
func film(part string, ref unit.Flow) network.Seep {
	return network.Seep{Part: part, Seep: hydraulics.Seep{Ref: ref, At: 45 * unit.PSI, Exp: 1}}
}

// pressure of a joint that has one.
func pressure(tb require.TestingT, s interface {
	Pressure(string) (unit.Pressure, bool)
}, joint string) float64 {
	p, ok := s.Pressure(joint)
	require.True(tb, ok, "no pressure at %q", joint)
	return float64(p)
}

// flow through a part that has one.
func flow(tb require.TestingT, s interface {
	Flow(string) (unit.Flow, bool)
}, part string) float64 {
	q, ok := s.Flow(part)
	require.True(tb, ok, "no flow through %q", part)
	return float64(q)
}

// times of an event of a part.
func times(rec *sim.Record, part string, what sim.What) []float64 {
	var at []float64
	for _, e := range rec.Events {
		if e.Part == part && e.What == what {
			at = append(at, e.At)
		}
	}
	return at
}

// water at 20 °C as the reference files have it.
var plainWater = hydraulics.Water{Density: 998.2, Viscosity: 0.001002}

// camper is a small coach: tank, pump with an accumulator, a fill valve back to
// the tank, a tap. All is at one height, so that pressures are heads.
func camper(more ...network.Item) []network.Item {
	items := append(level("out", "line", "tee", "top", "tap"),
		network.Tank{Name: "tank", Ports: []string{"out", "top"}, Capacity: 100 * unit.Litre, Height: 0.25 * unit.Metre, Floor: -0.1 * unit.Metre},
		network.Pump{Name: "pump", From: "out", To: "line", CutIn: 30 * unit.PSI, CutOut: 45 * unit.PSI, Curve: hydraulics.Line(2e-4, 80*unit.PSI), Sealed: true},
		network.Tube{Name: "trunk", From: "line", To: "tee", Length: 2 * unit.Metre},
		network.Accumulator{Name: "accumulator", At: "tee", Volume: 0.75 * unit.Litre, Precharge: 27 * unit.PSI},
		network.Shutoff{Name: "fill valve", From: "tee", To: "top", Shut: true},
		network.Tube{Name: "run", From: "tee", To: "tap", Length: 3 * unit.Metre},
		network.Fixture{Name: "tap", At: "tap", Rated: 1e-4},
	)
	return append(items, more...)
}

const hour = time.Hour
