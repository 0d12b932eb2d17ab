package whatif_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/network"
	"quietpump/sim"
	"quietpump/sim/whatif"
)

// Set A of testdata/published/ode_events.md: rest 6143.004293 s, filling through the leak 1.823669831 s,
// period 6144.827963 s, each by formula and by integration to ten digits.
func TestFirstCyclePublished(t *testing.T) {
	c, err := whatif.FirstCycle(compile(t, setA.rig(t)), nil, network.Faults{film(1e-13)}, sim.Options{}, 3*time.Hour)
	require.NoError(t, err)
	assert.Equal(t, "pump", c.Pump)
	assert.InEpsilon(t, 6143.004293, c.Rest, 1e-4)
	assert.InEpsilon(t, 1.823669831, c.Run, 1e-4)
	assert.InEpsilon(t, setA.drawdown(), c.Stored, 1e-6)
	assert.InEpsilon(t, 86400/6144.827963, c.StartsPerDay(), 1e-4)
	assert.InEpsilon(t, 6143.004293, setA.restBy(1e-13), 1e-8, "the tests' own closed form")
	// What the pump delivers fills the store and what seeps meanwhile.
	assert.InEpsilon(t, setA.flow*1.823669831, c.Pumped, 1e-4)
}

// What slips back through a pump's own head in the rest is no part of what its run delivers.
func TestFirstCycleOfALeakyPump(t *testing.T) {
	rig := read(t, "twopath")
	seep := film(1e-12)
	seep.Part = "pump"
	c, err := whatif.FirstCycle(compile(t, rig), nil, network.Faults{seep}, sim.Options{}, 3*time.Hour)
	require.NoError(t, err)
	assert.InEpsilon(t, c.Stored, c.Pumped, 0.02)
}

func TestNoCycle(t *testing.T) {
	m := compile(t, setA.rig(t))
	_, err := whatif.FirstCycle(m, nil, network.Faults{film(1e-13)}, sim.Options{}, time.Hour)
	assert.ErrorIs(t, err, whatif.ErrNoStart, "its rest is longer")
	_, err = whatif.FirstCycle(m, nil, nil, sim.Options{}, time.Hour)
	assert.ErrorIs(t, err, whatif.ErrNoStart)
	_, err = whatif.FirstCycle(m, nil, network.Faults{film(1e-9)}, sim.Options{}, time.Hour)
	assert.ErrorIs(t, err, whatif.ErrNoStop, "more is let by than the pump delivers")
	_, err = whatif.FirstCycle(m, network.Lineup{"nothing": network.Shut()}, nil, sim.Options{}, time.Hour)
	assert.ErrorContains(t, err, "no such part")
}
