package rigs

import (
	"math"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// An Ideal is an accumulator alone at a sealed pump of constant flow, everything at
// one elevation: what has closed forms. SI units, pressures gauge.
type Ideal struct{ Volume, Precharge, CutIn, CutOut, Flow float64 }

// SetA is set A of testdata/published/ode_events.md.
var SetA = Ideal{0.71e-3, 200e3, 240e3, 380e3, 1.0e-4}

// Rig is the ideal as a rig, with tolerances if there are any.
func (s Ideal) Rig(tolerances ...network.Item) (*network.Rig, error) {
	return network.New("ideal", append([]network.Item{
		network.Joint{Name: "out"}, network.Joint{Name: "line"},
		network.Tank{Name: "tank", Ports: []string{"out"}, Capacity: 1},
		network.Pump{Name: "pump", From: "out", To: "line", Sealed: true, CutIn: unit.Pressure(s.CutIn), CutOut: unit.Pressure(s.CutOut),
			Curve: hydraulics.PumpCurve{{Flow: unit.Flow(s.Flow * (1 + 1e-9))}, {Flow: unit.Flow(s.Flow * (1 - 1e-9)), Rise: unit.Pressure(2 * s.CutOut)}}},
		network.Accumulator{Name: "accumulator", At: "line", Volume: unit.Volume(s.Volume), Precharge: unit.Pressure(s.Precharge), Exponent: 1},
	}, tolerances...)...)
}

// Drawdown is Boyle's, m³.
func (s Ideal) Drawdown() float64 {
	const air = 101325
	return s.Volume * (s.Precharge + air) * (1/(s.CutIn+air) - 1/(s.CutOut+air))
}

// RestBy is the rest with a film of conductance g, s: the integral of dV/(g·p) with
// V = V0 − V0·P0/P, in closed form.
func (s Ideal) RestBy(g float64) float64 {
	const a = 101325
	f := func(p float64) float64 { return math.Log(p/(p+a))/a + 1/(p+a) } // ∫ dp/(p·(p+a)²)·a
	return s.Volume * (s.Precharge + a) / (g * a) * (f(s.CutOut) - f(s.CutIn))
}

// Film is a laminar seep out of the ideal's line, of conductance g, m³/(s·Pa).
func Film(g float64) network.Seep {
	return network.Seep{Part: "line", Seep: hydraulics.Seep{Ref: unit.Flow(g * 1e5), At: 1e5, Exp: 1}}
}
