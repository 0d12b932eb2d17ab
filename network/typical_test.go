package network_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/network"
)

func part[P network.Part](t *testing.T, rig *network.Rig, name string) P {
	t.Helper()
	p, ok := rig.Part(name)
	require.True(t, ok, "no part %q", name)
	require.IsType(t, *new(P), p)
	return p.(P)
}

func TestTypicalValues(t *testing.T) {
	rig := coach()
	hose := part[network.Tube](t, rig, "suction hose")
	assert.Equal(t, "1/2 in", hose.Size)
	assert.InDelta(t, 0.5, hose.Bore.Inches(), 1e-9, "hose is sold by its bore: common practice, no source")
	pex := part[network.Tube](t, rig, "cold line")
	assert.InDelta(t, 0.475, pex.Bore.Inches(), 1e-9, "maker's design manual, 2014")
	// 1.03e-8 1/Pa of wall (Lamé thick tube, E = 0.7 GPa from memory) and 4.6e-10 of water, of 3 m of 114.33 mL/m.
	assert.InEpsilon(t, (1.03e-8+4.6e-10)*3*0.11433e-3, float64(pex.Compliance), 5e-3)

	pump := part[network.Pump](t, rig, "pump")
	assert.InDelta(t, 30, pump.CutIn.PSI(), 1e-9, "trade page: common demand pump, 45 / about 30 psi")
	assert.InDelta(t, 45, pump.CutOut.PSI(), 1e-9)
	assert.Equal(t, "pump out", pump.Sense)
	require.NoError(t, pump.Curve.Check())
	assert.InDelta(t, 27, part[network.Accumulator](t, rig, "accumulator").Precharge.PSI(), 1e-9, "trade page: about 3 psi below cut-in")
	assert.InDelta(t, 150, part[network.ReliefValve](t, rig, "relief valve").Set.PSI(), 1e-9, "International Plumbing Code 504.4")
	assert.Zero(t, part[network.Check](t, rig, "inlet check").Cracking, "a legal ideal")
	assert.Zero(t, part[network.Regulator](t, rig, "regulator").Droop, "a legal ideal")
}

func TestOneToldOfAPairMovesTheOther(t *testing.T) {
	told := func(p network.Pump) network.Pump {
		p.Name, p.From, p.To = "second", "out", "line"
		return part[network.Pump](t, build(base(p)...), "second")
	}
	assert.InDelta(t, 40, told(network.Pump{CutOut: 55 * unit.PSI}).CutIn.PSI(), 1e-9)
	assert.InDelta(t, 65, told(network.Pump{CutIn: 50 * unit.PSI}).CutOut.PSI(), 1e-9)
	stretched := told(network.Pump{CutOut: 70 * unit.PSI})
	assert.Positive(t, stretched.Curve.Flow(70*unit.PSI), "a pump can reach its own cut-out")
	held := told(network.Pump{Hold: &network.HeldPressure{Set: 60 * unit.PSI}})
	assert.InDelta(t, 50, held.Hold.Start.PSI(), 1e-9)
	assert.Zero(t, held.CutIn, "what holds a pressure has no switch")
	sealed := told(network.Pump{Sealed: true, Bypass: network.Bypass{Outside: true}})
	assert.Zero(t, sealed.Cracking)
	assert.InDelta(t, 62, sealed.Bypass.Full.PSI(), 1e-9, "owners' page, 2011: about 40 psi, full about 62")
}

func TestElevationsOfJointsNobodyToldAbout(t *testing.T) {
	rig := coach()
	for joint, want := range map[string]unit.Length{
		"tank outlet": 0, "tank top": 0.25, // of the tank
		"pump in": 0.2, "pump out": 0.2, "toilet": 0.5, "shower hot": 1.2, "inlet": 0.6, "heater": 0.4, // by what sits there
		"cold":      0.3, // told
		"regulated": 0.6, // its neighbour's
		"suction":   0.2, // between pump and tank the first in order of name
	} {
		j, ok := rig.Joint(joint)
		require.True(t, ok, joint)
		assert.InDelta(t, float64(want), float64(j.Z), 1e-12, joint)
		_, assumed := rig.SD(joint, "z")
		assert.Equal(t, joint != "cold", assumed, joint)
	}
	second := build(
		network.Tank{Name: "tank", Ports: []string{"a", "b", "c", "top"}, Floor: 0.5},
		network.Pump{Name: "one", From: "a", To: "line"}, tube("pick-up", "b", "b2"),
		network.Pump{Name: "two", From: "b2", To: "line"}, network.Drain{Name: "drain", At: "c"},
		tube("return", "line", "top2"), network.Shutoff{Name: "fill", From: "top2", To: "top", Shut: true})
	for joint, want := range map[string]unit.Length{"a": 0.5, "b": 0.5, "c": 0.5, "top": 0.75, "line": 0.7} {
		j, _ := second.Joint(joint)
		assert.InDelta(t, float64(want), float64(j.Z), 1e-12, joint)
	}
}

func TestEveryAssumptionHasAValueAndASource(t *testing.T) {
	assumed := coach().Assumed()
	require.NotEmpty(t, assumed)
	for _, a := range append(assumed, network.Typicals()...) {
		assert.NotEmpty(t, a.Value, "%+v", a)
		assert.NotEmpty(t, a.Source, "%+v", a)
		words := a.Field == "size" || a.Field == "material"
		assert.Equal(t, !words, a.SD > 0, "%+v", a)
	}
}

func TestToldTolerances(t *testing.T) {
	rig := build(base(
		network.Tolerance{Part: "main", Field: "cut_in", SD: 1234},
		network.Tolerance{Part: "main", Field: "cracking", SD: 7})...)
	sd, ok := rig.SD("main", "cut_in")
	assert.True(t, ok)
	assert.Equal(t, 1234.0, sd)
	_, ok = rig.SD("main", "cut_out")
	assert.False(t, ok, "told without a tolerance")
	sd, _ = rig.SD("main", "cracking")
	assert.Equal(t, 7.0, sd, "what was told rules over what is assumed")
	sd, ok = rig.SD("tap", "rated")
	assert.True(t, ok)
	assert.Positive(t, sd)
}

func TestNothingIsLeftUnfilled(t *testing.T) {
	for _, p := range coach().Parts() {
		if tap, ok := p.(network.Fixture); ok {
			assert.Positive(t, tap.Rated, tap.Name)
			assert.Positive(t, tap.RatedAt, tap.Name)
		}
		if valve, ok := p.(network.Shutoff); ok {
			assert.Positive(t, valve.Bore, valve.Name)
			assert.Positive(t, valve.K, valve.Name)
		}
	}
	cv := part[network.Shutoff](t, build(base(network.Shutoff{Name: "valve", From: "line", To: "a", Cv: 5}, network.Drain{Name: "d", At: "a"})...), "valve")
	assert.Zero(t, cv.Bore, "a Cv rules over bore and K")
}

func TestARigKeepsWhatItWasGiven(t *testing.T) {
	ports := []string{"out"}
	hold := &network.HeldPressure{}
	tank := &network.Tank{Name: "tank", Ports: ports} // a pointer serves as well
	rig := build(tank, network.Pump{Name: "pump", From: "out", To: "line", Hold: hold}, network.Fixture{Name: "tap", At: "line"})
	ports[0], tank.Name = "elsewhere", "changed"
	assert.Equal(t, []string{"out"}, part[network.Tank](t, rig, "tank").Ports)
	assert.Zero(t, hold.Set, "the caller's own is not filled")
	rig.Parts()[0] = nil
	assert.NotNil(t, rig.Parts()[0])
}
