package repair_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim"
	"quietpump/sim/repair"
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

// job is a rig of testdata with a film at a part, as fitted to a stopwatch.
func job(tb testing.TB, rig, part string, q unit.Flow) repair.Job {
	tb.Helper()
	return repair.Job{Model: compile(tb, read(tb, rig)),
		Seep: network.Seep{Part: part, Seep: hydraulics.Seep{Ref: q, At: 37.5 * unit.PSI, Exp: 1}},
		Low:  q * 2 / 3, High: q * 3 / 2}
}

// ideal is an accumulator alone at a sealed pump, everything at one elevation, as
// the closed forms have it.
type ideal struct {
	V0, p0, cutIn, cutOut float64
	curve                 hydraulics.PumpCurve
	capacity              unit.Volume
	volts                 unit.Voltage // zero: 12 V
}

const air = 101325.0

// trailer gives 59 mL between 45 and 30 psi, with a pump of 1.5 gpm there that
// draws 7 A.
var trailer = ideal{V0: 59e-6 / ((27*psi + air) * (1/(30*psi+air) - 1/(45*psi+air))), p0: 27 * psi, cutIn: 30 * psi, cutOut: 45 * psi, capacity: 0.15,
	curve: hydraulics.PumpCurve{{Rise: 0, Flow: 3 * unit.GPM, Current: 7}, {Rise: 30 * unit.PSI, Flow: 1.5 * unit.GPM, Current: 7}, {Rise: 45 * unit.PSI, Flow: 1.0 * unit.GPM, Current: 7}, {Rise: 70 * unit.PSI, Flow: 0, Current: 7}}}

const psi = float64(unit.PSI)

func (s ideal) rig(tb testing.TB, more ...network.Item) *network.Rig {
	tb.Helper()
	rig, err := network.New("ideal", append([]network.Item{
		network.Joint{Name: "out"}, network.Joint{Name: "line"},
		network.Tank{Name: "tank", Ports: []string{"out"}, Capacity: s.capacity},
		network.Pump{Name: "pump", From: "out", To: "line", Sealed: true, Voltage: s.volts, CutIn: unit.Pressure(s.cutIn), CutOut: unit.Pressure(s.cutOut), Curve: s.curve},
		network.Accumulator{Name: "accumulator", At: "line", Volume: unit.Volume(s.V0), Precharge: unit.Pressure(s.p0), Exponent: 1},
	}, more...)...)
	require.NoError(tb, err)
	return rig
}

// stored is dV/dp of the accumulator at a gauge pressure, m³/Pa: V = V0 − V0·P0/P.
func (s ideal) stored(p float64) float64 { return s.V0 * (s.p0 + air) / ((p + air) * (p + air)) }

func seepAt(part string, q unit.Flow, n float64) network.Seep {
	return network.Seep{Part: part, Seep: hydraulics.Seep{Ref: q, At: 37.5 * unit.PSI, Exp: n}}
}
