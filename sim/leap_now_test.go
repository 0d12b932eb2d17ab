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

// A run that is looked at after each step tells its pressures, also where a leap
// has just come down.
func TestNowAfterALeap(t *testing.T) {
	rig, err := network.New("coach",
		network.Tank{Name: "tank", Ports: []string{"tank out", "tank fill"}, Capacity: 40 * unit.USGallon},
		network.Pump{Name: "pump", From: "tank out", To: "manifold", CutIn: 30 * unit.PSI, CutOut: 45 * unit.PSI},
		network.Accumulator{Name: "accumulator", At: "manifold", Volume: 0.75 * unit.Litre, Precharge: 27 * unit.PSI},
		network.Shutoff{Name: "fill valve", From: "manifold", To: "tank fill", Shut: true},
		network.Fixture{Name: "tap", At: "manifold"},
	)
	require.NoError(t, err)
	seep, err := rig.Fault("fill valve: 55 mL/min at 45 psi, orifice")
	require.NoError(t, err)
	model, err := sim.Compile(rig)
	require.NoError(t, err)
	run, err := model.Begin(nil, network.Faults{seep}, sim.Options{Until: 24 * time.Hour})
	require.NoError(t, err)
	defer run.Close()
	furthest, last := 0.0, 0.0
	for there := false; !there; {
		there, err = run.AdvanceTo(12*time.Hour, 1)
		require.NoError(t, err)
		p, ok := run.Pressure("manifold")
		require.True(t, ok)
		assert.Greater(t, p, 29*unit.PSI)
		assert.Less(t, p, 46*unit.PSI)
		furthest, last = max(furthest, run.Time()-last), run.Time()
	}
	assert.Greater(t, furthest, 600.0, "it never leapt, so this tests nothing")
}
