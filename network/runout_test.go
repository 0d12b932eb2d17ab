package network

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quietpump/hydraulics/unit"
)

// A tap 1 m up on a riser, a valve half way, a tank below or above.
func riser(t require.TestingT, floor, hump unit.Length) *Rig {
	tube := func(name, from, to string) Tube {
		return Tube{Name: name, From: from, To: to, Length: 1, Bore: 0.01}
	}
	rig, err := New("riser",
		Joint{Name: "out", Z: floor}, Joint{Name: "hump", Z: hump}, Joint{Name: "below", Z: 0.4}, Joint{Name: "above", Z: 0.4}, Joint{Name: "top", Z: 1},
		Tank{Name: "tank", Ports: []string{"out"}, Capacity: 0.1, Height: 0.5, Floor: floor},
		Hookup{Name: "hookup", At: "top"},
		tube("first", "out", "hump"), tube("second", "hump", "below"),
		Shutoff{Name: "valve", From: "below", To: "above"}, tube("riser", "above", "top"),
		Fixture{Name: "tap", At: "top"})
	require.NoError(t, err)
	return rig
}

var tubeful = unit.Volume(math.Pi / 4 * 0.01 * 0.01)

func TestRunsOutByElevation(t *testing.T) {
	tests := []struct {
		what        string
		floor, hump unit.Length
		held        unit.Volume
		below       RunOut // at the opening below the valve
	}{
		{"everything lower stays", 0, 0.2, 0.05, RunOut{}},
		{"a hump runs down on the valve's side, the tank not", 0, 0.6, 0.05, RunOut{Water: tubeful}}, // the second tube; the first falls to the tank
		{"the tank stands 0.25 m deep over a floor at 0.3 m", 0.3, 0.35, 0.05, RunOut{FromTanks: 0.03, Tanks: []string{"tank"}}},
		{"a hump above its water holds the tank back", 0.3, 0.7, 0.05, RunOut{Water: tubeful}},
		{"a high tank runs empty", 2, 0.5, 0.05, RunOut{Water: 2 * tubeful, FromTanks: 0.05, Tanks: []string{"tank"}}},
	}
	for _, tt := range tests {
		got := riser(t, tt.floor, tt.hump).RunsOut(nil, "valve", map[string]unit.Volume{"tank": tt.held})
		require.Len(t, got, 2, tt.what)
		require.Equal(t, "above", got[0].Joint, tt.what)
		assert.InDelta(t, float64(tubeful), float64(got[0].Water), 1e-12, "%s: the riser falls to the upper side", tt.what)
		assert.Equal(t, unit.Length(0.4), got[0].Z)
		assert.InDelta(t, float64(tt.below.Water), float64(got[1].Water), 1e-12, tt.what)
		assert.InDelta(t, float64(tt.below.FromTanks), float64(got[1].FromTanks), 1e-12, tt.what)
		assert.Equal(t, tt.below.Tanks, got[1].Tanks, tt.what)
	}
	assert.Nil(t, riser(t, 0, 0.2).RunsOut(nil, "no such", nil))
}

// A heater empties out of a lower opening and not past a check that holds it back.
func TestRunsOutHeater(t *testing.T) {
	build := func(check bool) *Rig {
		inlet := Part(Tube{Name: "inlet", From: "cold", To: "hot", Length: 1})
		if check {
			inlet = Check{Name: "inlet", From: "cold", To: "hot"}
		}
		rig, err := New("heater", Joint{Name: "cold", Z: 0.1}, Joint{Name: "hot", Z: 0.5}, Joint{Name: "feed", Z: 0.1},
			Hookup{Name: "hookup", At: "feed"}, Shutoff{Name: "valve", From: "feed", To: "cold"}, inlet,
			Heater{Name: "heater", At: "hot", Volume: 0.02}, ReliefValve{Name: "relief", At: "hot"}, Fixture{Name: "tap", At: "hot"})
		require.NoError(t, err)
		return rig
	}
	open := build(false).RunsOut(nil, "valve", nil)
	assert.True(t, open[0].Heater)
	assert.Greater(t, open[0].Water, unit.Volume(0.02))
	held := build(true).RunsOut(nil, "valve", nil)
	assert.False(t, held[0].Heater)
	assert.Zero(t, held[0].Water)
}

// However high the opening, no more runs out than there is, and a higher opening
// never lets more out than a lower one.
func TestRunsOutBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		z := rapid.Float64Range(-1, 3)
		rig := riser(t, unit.Length(z.Draw(t, "floor")), unit.Length(z.Draw(t, "hump")))
		water, tank := unit.Volume(0), unit.Volume(0)
		for _, o := range rig.RunsOut(nil, "valve", nil) {
			assert.GreaterOrEqual(t, o.Water, unit.Volume(0))
			water, tank = water+o.Water, tank+o.FromTanks
		}
		assert.LessOrEqual(t, float64(water), float64(3*tubeful)*(1+1e-9))
		assert.LessOrEqual(t, float64(tank), 0.1*(1+1e-9))
	})
}
