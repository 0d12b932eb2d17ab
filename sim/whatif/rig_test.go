package whatif_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim"
)

func read(tb testing.TB, name string) *network.Rig {
	tb.Helper()
	rig, err := rigfile.Read("../../testdata/rigs/" + name + ".rig.toml")
	require.NoError(tb, err)
	return rig
}

func compile(tb testing.TB, rig *network.Rig) *sim.Model {
	tb.Helper()
	m, err := sim.Compile(rig)
	require.NoError(tb, err)
	return m
}

// coach is the two-path coach and a film of its fill valve.
func coach(tb testing.TB) (*network.Rig, network.Faults) {
	return read(tb, "twopath"), network.Faults{network.Seep{Part: "fill valve",
		Seep: hydraulics.Seep{Ref: 30 * unit.MillilitrePerMinute, At: 37.5 * unit.PSI, Exp: 1}}}
}

// ideal is set A of testdata/published/ode_events.md: an accumulator alone at a
// sealed pump of constant flow, everything at one elevation.
type ideal struct{ V0, p0, cutIn, cutOut, flow float64 }

var setA = ideal{0.71e-3, 200e3, 240e3, 380e3, 1.0e-4}

func (s ideal) rig(tb testing.TB, tolerances ...network.Item) *network.Rig {
	tb.Helper()
	items := append([]network.Item{
		network.Joint{Name: "out"}, network.Joint{Name: "line"},
		network.Tank{Name: "tank", Ports: []string{"out"}, Capacity: 1},
		network.Pump{Name: "pump", From: "out", To: "line", Sealed: true, CutIn: unit.Pressure(s.cutIn), CutOut: unit.Pressure(s.cutOut),
			Curve: hydraulics.PumpCurve{{Flow: unit.Flow(s.flow * (1 + 1e-9))}, {Flow: unit.Flow(s.flow * (1 - 1e-9)), Rise: unit.Pressure(2 * s.cutOut)}}},
		network.Accumulator{Name: "accumulator", At: "line", Volume: unit.Volume(s.V0), Precharge: unit.Pressure(s.p0), Exponent: 1},
	}, tolerances...)
	rig, err := network.New("ideal", items...)
	require.NoError(tb, err)
	return rig
}

// drawdown is Boyle's, m³.
func (s ideal) drawdown() float64 {
	const air = 101325
	return s.V0 * (s.p0 + air) * (1/(s.cutIn+air) - 1/(s.cutOut+air))
}

// film is a laminar seep of conductance g, m³/(s·Pa).
func film(g float64) network.Seep {
	return network.Seep{Part: "line", Seep: hydraulics.Seep{Ref: unit.Flow(g * 1e5), At: 1e5, Exp: 1}}
}

// restBy is the rest of the ideal rig with a film of conductance g: the integral
// of dV/(g·p) with V = V0 − V0·P0/P, in closed form.
func (s ideal) restBy(g float64) float64 {
	const a = 101325
	f := func(p float64) float64 { return math.Log(p/(p+a))/a + 1/(p+a) } // ∫ dp/(p·(p+a)²)·a
	return s.V0 * (s.p0 + a) / (g * a) * (f(s.cutOut) - f(s.cutIn))
}
