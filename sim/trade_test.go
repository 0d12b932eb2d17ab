package sim_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
)

// Facts of the trade. Common practice, no source.

// A demand pump runs only while water runs.
func TestPumpRunsOnlyWhileWaterRuns(t *testing.T) {
	m := compile(t, camper()...)
	opts := sim.Options{Until: 30 * time.Minute, Start: sim.Start{Tanks: map[string]unit.Volume{"tank": 90 * unit.Litre}}, Schedule: []sim.Change{
		{At: 10 * time.Minute, Lineup: network.Lineup{"tap": network.Open(1)}}, {At: 12 * time.Minute, Lineup: network.Lineup{"tap": network.Shut()}}}}
	rec := simulate(t, m, nil, nil, opts)
	starts, stops := rec.Starts("pump"), rec.Stops("pump")
	require.NotEmpty(t, starts)
	require.Len(t, stops, len(starts))
	assert.Greater(t, starts[0], 600.0)
	assert.Less(t, stops[len(stops)-1], 720.0+15)
}

// A tight system stays quiet for hours.
func TestTightSystemStaysQuiet(t *testing.T) {
	rec := simulate(t, compile(t, camper()...), nil, nil, sim.Options{Until: 24 * hour})
	assert.Empty(t, rec.Events)
	assert.InDelta(t, 0, rec.Ledger.Moved, 1e-15)
}

// With taps shut a seep into the tank and an equal seep to the ground give nearly
// the same rest, the head apart.
func TestWhereItSeepsToHardlyMatters(t *testing.T) {
	m := compile(t, camper()...)
	opts := sim.Options{Until: 30 * time.Minute}
	back := simulate(t, m, nil, network.Faults{orifice("fill valve", 9e-7)}, opts)
	out := simulate(t, m, nil, network.Faults{orifice("tap", 9e-7)}, opts)
	require.NotEmpty(t, back.Starts("pump"))
	require.NotEmpty(t, out.Starts("pump"))
	// The fill valve works against the tank's level, 25 mm of water in 26 m.
	assert.InEpsilon(t, out.Starts("pump")[0], back.Starts("pump")[0], 2e-3)
	assert.Greater(t, back.Starts("pump")[0], out.Starts("pump")[0], "the level holds it back a little")
}

// On a hose with the suction shutoff closed, a tank that still rises is not being
// fed through the pump.
func TestSuctionShutoffTellsThePathsApart(t *testing.T) {
	m := compile(t, append(level("out", "suction", "line", "tee", "top", "city"),
		network.Tank{Name: "tank", Ports: []string{"out", "top"}, Floor: -0.1},
		network.Shutoff{Name: "suction shutoff", From: "out", To: "suction"},
		network.Pump{Name: "pump", From: "suction", To: "line", CutIn: 30 * unit.PSI, CutOut: 45 * unit.PSI},
		network.Tube{Name: "trunk", From: "line", To: "tee"},
		network.Shutoff{Name: "fill valve", From: "tee", To: "top", Shut: true},
		network.Hookup{Name: "hose", At: "city", Static: 50 * unit.PSI},
		network.Check{Name: "inlet check", From: "city", To: "tee"})...)
	rises := func(part string, suction network.Setting) float64 {
		lineup := network.Lineup{"hose": network.On(), "pump": network.Off(), "suction shutoff": suction}
		return simulate(t, m, lineup, network.Faults{orifice(part, 1e-6)}, sim.Options{Until: hour}).Ledger.Stored["tank"]
	}
	assert.Greater(t, rises("pump", network.Open(1)), 1e-3)
	assert.Greater(t, rises("fill valve", network.Open(1)), 1e-3)
	assert.InDelta(t, 0, rises("pump", network.Shut()), 1e-9)
	assert.Greater(t, rises("fill valve", network.Shut()), 1e-3)
}
