package waves

import (
	"context"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
)

// What cannot be computed is refused, with what to do about it.
func TestRefusals(t *testing.T) {
	m := house(t, "twopath")
	for _, tt := range []struct {
		name string
		o    Options
		says string
	}{
		{"until below zero", Options{Until: -1}, "watch for more than nothing"},
		{"until too long", Options{Until: time.Hour}, "package sim simulates longer"},
		{"exponent", Options{Exponent: math.NaN()}, "give 1 (slow) to 1.4"},
		{"spin", Options{Spin: -1}, "a motor cannot"},
		{"step", Options{Step: -1}, "give a time, or none"},
		{"walls", Options{Walls: unit.Celsius(200)}, "give 0 to 90"},
		{"move", Options{Moves: []Move{{Over: -1}}}, "neither can be below zero"},
		{"move of what is not there", Options{Moves: []Move{{Lineup: network.Lineup{"nothing": network.Shut()}}}}, "nothing"},
		{"a joint that is not there", Options{Watch: []string{"nowhere"}}, "no such joint"},
		{"steps too short", Options{Step: time.Nanosecond}, "take a longer one"},
		{"more steps than anybody waits for", Options{Until: 10 * time.Minute, Step: 5 * time.Microsecond}, "watch for less long"},
		{"water without viscosity", Options{Rig: sim.Options{Water: hydraulics.Water{Density: 998}}}, "give both"},
		{"water that is no number", Options{Rig: sim.Options{Water: hydraulics.Water{Density: unit.Density(math.NaN()), Viscosity: 1e-3}}}, "give both"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			_, err := Begin(m, nil, nil, tt.o)
			assert.ErrorContains(t, err, tt.says)
		})
	}
	still, err := m.Steady(nil, nil, sim.Options{})
	require.NoError(t, err)
	_, err = Begin(m, nil, nil, Options{From: &still.Sample, Rig: sim.Options{Water: hydraulics.Water{Viscosity: 1e-3}}})
	assert.ErrorContains(t, err, "give both", "from a state of one's own too")
}

// line is a main, a tube and a tap that is open.
func line(t *testing.T, tube network.Tube) *sim.Model {
	t.Helper()
	tube.Name, tube.From, tube.To = "tube", "main", "end"
	rig, err := network.New("line",
		network.Joint{Name: "main"}, network.Joint{Name: "end"},
		network.Hookup{Name: "hookup", At: "main", Static: 3e5}, tube,
		network.Fixture{Name: "tap", At: "end", Rated: 1 * unit.GPM, RatedAt: 45 * unit.PSI})
	require.NoError(t, err)
	m, err := sim.Compile(rig)
	require.NoError(t, err)
	return m
}

// A tube that takes up next to nothing is refused; one that is a millionth of a
// millimetre long, and loses much, sends the computation out of all bounds, and it says so.
func TestLeavesNoBoundsInSilence(t *testing.T) {
	lineup := network.Lineup{"hookup": network.On(), "tap": network.Open(1)}
	_, err := Begin(line(t, network.Tube{Length: 1, Bore: 0.01, Compliance: 1e-30}), lineup, nil, Options{})
	assert.ErrorContains(t, err, `tube "tube" takes up 1e-30 m³/Pa`)

	_, err = Begin(line(t, network.Tube{Length: 1e-300, Bore: 0.01, Rigid: true}), lineup, nil, Options{})
	assert.ErrorContains(t, err, `tube "tube" is 1e-300 m long`)

	m := line(t, network.Tube{Length: 1e-9, Bore: 0.01, Compliance: 1e-12, K: 1e4})
	res, err := Simulate(context.Background(), m, lineup, nil, Options{Moves: []Move{{At: time.Millisecond, Lineup: network.Lineup{"tap": network.Shut()}}}})
	require.ErrorIs(t, err, errLost)
	assert.Less(t, res.Until, 0.1)
	found := false
	for _, w := range res.Warnings {
		found = found || w.What == errLost.Error()+"; nothing of this is to be believed"
	}
	assert.True(t, found, res.Warnings)
}
