package chart

import (
	"context"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim"
)

// samples is one of each picture, from plain data.
func samples() map[string]Picture {
	// A saw-tooth by hand, so that its golden files do not hang on the last bits of a simulation.
	watched := Timeline{Switch: Switch{30 * unit.PSI, 45 * unit.PSI}, Runs: []Span{{218, 219.7}, {437.7, 439.4}}}
	for i := range 601 {
		at := math.Mod(float64(i), 219.7)
		p := 45 * math.Exp(-at/537.7) // 30 after 218 s
		if at > 218 {
			p = 30 + 15*(at-218)/1.7
		}
		watched.At, watched.Pressure = append(watched.At, float64(i)), append(watched.Pressure, unit.Pressure(p)*unit.PSI)
	}

	rest := RestCurve{}
	for _, q := range []float64{0.3, 1, 3, 10, 30, 100, 300} {
		rest.Sizes = append(rest.Sizes, unit.Flow(q)*unit.MillilitrePerMinute)
		rest.Rests = append(rest.Rests, time.Duration(5700/q*float64(time.Second)))
	}
	rest.Seen.Low, rest.Seen.Mid, rest.Seen.High = 93*time.Second, 95*time.Second, 97*time.Second
	rest.Size.Low, rest.Size.Mid, rest.Size.High = 44*unit.MillilitrePerMinute, 60*unit.MillilitrePerMinute, 75*unit.MillilitrePerMinute

	var volumes []unit.Volume
	var small, large []time.Duration
	for i := range 9 {
		v := 0.1 + 0.15*float64(i)
		volumes = append(volumes, unit.Volume(v)*unit.Litre)
		small, large = append(small, time.Duration(v*320*float64(time.Second))), append(large, time.Duration(v*90*float64(time.Second)))
	}
	var cells []time.Duration
	for j := range 5 {
		for i := range 7 {
			cells = append(cells, time.Duration(20*math.Pow(1.5, float64(i))*(1+0.2*float64(j))*float64(time.Second)))
		}
	}
	pressures := Quantities(20*unit.PSI, 24*unit.PSI, 28*unit.PSI, 32*unit.PSI, 36*unit.PSI)
	var demand []Working
	for i := range 20 {
		q := unit.Flow(i) * 0.15 * unit.GPM
		demand = append(demand, Working{q, unit.Pressure(7*math.Pow(q.GPM(), 2)) * unit.PSI})
	}
	knock := Envelope{Limit: 100 * unit.PSI, Stops: []Stop{{0, "pump"}, {0.9, "manifold"}, {4.6, "galley tap"}},
		Extremes: []Extreme{{Name: "without an accumulator"}, {Name: "with it"}}}
	for i := range 47 {
		x := float64(i) / 10
		knock.At, knock.Before = append(knock.At, unit.Length(x)), append(knock.Before, unit.Pressure(38-x)*unit.PSI)
		for k, rise := range []float64{48, 14} {
			e := &knock.Extremes[k]
			e.Highest = append(e.Highest, unit.Pressure(40+rise*x/4.6)*unit.PSI)
			e.Lowest = append(e.Lowest, unit.Pressure(36-rise*x/6)*unit.PSI)
		}
	}
	return map[string]Picture{
		"timeline":  watched,
		"envelope":  knock,
		"restcurve": rest,
		"suspects": Suspects{List: []Suspect{
			{Name: "fill valve", Shape: string(network.FillValve), Belief: 0.68, Said: "about 7 in 10"},
			{Name: "pump head valves", Shape: string(network.PumpHeadValves), Belief: 0.14, Said: "about 1 in 10", Group: 1},
			{Name: "connections in the belly pan near the galley hot tap", Shape: string(network.WeepConnections), Belief: 0.09, Said: "about 1 in 10", Group: 1},
			{Name: "toilet valve", Shape: string(network.ToiletValve), Belief: 0.05, Said: "about 1 in 10"},
			{Name: "none of these", Shape: "none", Belief: 0.03, Said: "about 3 in 100"},
		}},
		"outcomes": Outcomes{Step: "shut the fill valve and watch for 6 min", List: []Outcome{
			{See: "no start in 6 min", Chance: 0.68, Said: "about 7 in 10", Then: "the fill valve it is, more than 19 in 20"},
			{See: "it starts as before", Chance: 0.29, Said: "about 3 in 10", Then: "the pump head valves lead, about 5 in 10"},
			{See: "it starts later than before", Chance: 0.03, Said: "about 3 in 100", Then: "two parts seep, the fill valve and another"},
		}},
		"sweep": Sweep{X: Axis{Name: "accumulator volume", Values: Quantities(volumes...)}, Y: "rest", Lines: []Line{
			{Name: "a leak of 20 mL/min", Values: Times(small...)}, {Name: "a leak of 70 mL/min", Values: Times(large...)},
		}},
		"heatmap": HeatMap{
			X: Axis{Name: "accumulator volume", Values: Quantities(volumes[:7]...)}, Y: Axis{Name: "precharge", Values: pressures},
			Z: "rest", Cells: Times(cells...), Log: true,
		},
		"pumpcurve": PumpCurve{
			Curve: hydraulics.Typical(), Demand: demand, Works: Working{1.96 * unit.GPM, 31 * unit.PSI}, Switch: Switch{30 * unit.PSI, 45 * unit.PSI},
		},
	}
}

// watchedRig simulates twenty minutes of an invented rig with a fault.
func watchedRig(t testing.TB, fault string) (network.Pump, *sim.Record) {
	rig, err := rigfile.Read("../../testdata/rigs/twopath.rig.toml")
	require.NoError(t, err)
	model, err := sim.Compile(rig)
	require.NoError(t, err)
	var faults network.Faults
	if fault != "" {
		f, err := rig.Fault(fault)
		require.NoError(t, err)
		faults = append(faults, f)
	}
	rec, err := model.Simulate(context.Background(), nil, faults, sim.Options{Until: 20 * time.Minute})
	require.NoError(t, err)
	for _, p := range rig.Parts() {
		if pump, ok := p.(network.Pump); ok {
			return pump, rec
		}
	}
	t.Fatal("the rig has no pump")
	return network.Pump{}, nil
}
