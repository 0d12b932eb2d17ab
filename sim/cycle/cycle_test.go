package cycle_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim"
	"quietpump/sim/cycle"
	"quietpump/sim/internal/rigs"
)

// Set A of testdata/published/ode_events.md: rest 6143.004293 s, filling through the leak 1.823669831 s,
// period 6144.827963 s, each by formula and by integration to ten digits.
func TestFirstPublished(t *testing.T) {
	c, err := cycle.First(compile(t, setA(t)), nil, network.Faults{rigs.Film(1e-13)}, sim.Options{}, 3*time.Hour)
	require.NoError(t, err)
	assert.Equal(t, "pump", c.Pump)
	assert.InEpsilon(t, 6143.004293, c.Rest, 1e-4)
	assert.InEpsilon(t, 1.823669831, c.Run, 1e-4)
	assert.InEpsilon(t, rigs.SetA.Drawdown(), c.Stored, 1e-6)
	assert.InEpsilon(t, 86400/6144.827963, c.StartsPerDay(), 1e-4)
	assert.InEpsilon(t, 6143.004293, rigs.SetA.RestBy(1e-13), 1e-8, "the tests' own closed form")
	// What the pump delivers fills the store and what seeps meanwhile.
	assert.InEpsilon(t, rigs.SetA.Flow*1.823669831, c.Pumped, 1e-4)
}

// What slips back through a pump's own head in the rest is no part of what its run delivers.
func TestFirstOfALeakyPump(t *testing.T) {
	rig, err := rigfile.Read("../../testdata/rigs/twopath.rig.toml")
	require.NoError(t, err)
	seep := rigs.Film(1e-12)
	seep.Part = "pump"
	c, err := cycle.First(compile(t, rig), nil, network.Faults{seep}, sim.Options{}, 3*time.Hour)
	require.NoError(t, err)
	assert.InEpsilon(t, c.Stored, c.Pumped, 0.02)
}

func TestNoCycle(t *testing.T) {
	m := compile(t, setA(t))
	_, err := cycle.First(m, nil, network.Faults{rigs.Film(1e-13)}, sim.Options{}, time.Hour)
	assert.ErrorIs(t, err, cycle.ErrNoStart, "its rest is longer")
	_, err = cycle.First(m, nil, nil, sim.Options{}, time.Hour)
	assert.ErrorIs(t, err, cycle.ErrNoStart)
	_, err = cycle.First(m, nil, network.Faults{rigs.Film(1e-9)}, sim.Options{}, time.Hour)
	assert.ErrorIs(t, err, cycle.ErrNoStop, "more is let by than the pump delivers")
	_, err = cycle.First(m, network.Lineup{"nothing": network.Shut()}, nil, sim.Options{}, time.Hour)
	assert.ErrorContains(t, err, "no such part")
}

func compile(tb testing.TB, rig *network.Rig) *sim.Model {
	tb.Helper()
	m, err := sim.Compile(rig)
	require.NoError(tb, err)
	return m
}

func setA(tb testing.TB) *network.Rig {
	tb.Helper()
	rig, err := rigs.SetA.Rig()
	require.NoError(tb, err)
	return rig
}
