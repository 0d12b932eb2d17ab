package network

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
)

func TestNumber(t *testing.T) {
	pump := Pump{Name: "pump", CutIn: 30 * unit.PSI, Delay: 2 * time.Second, Hold: &HeldPressure{Set: 50 * unit.PSI}, Curve: hydraulics.Typical()}
	tests := []struct {
		field string
		was   float64
		set   float64
	}{
		{"cut_in", float64(30 * unit.PSI), float64(25 * unit.PSI)},
		{"delay", 2, 0.5},
		{"hold.set", float64(50 * unit.PSI), float64(55 * unit.PSI)},
		{"bypass.opens", 0, float64(40 * unit.PSI)},
	}
	for _, tt := range tests {
		assert.Contains(t, Numbers(pump), tt.field)
		was, ok := Number(pump, tt.field)
		require.True(t, ok, tt.field)
		assert.Equal(t, tt.was, was, tt.field)
		changed, ok := WithNumber(pump, tt.field, tt.set)
		require.True(t, ok, tt.field)
		now, _ := Number(changed, tt.field)
		assert.InDelta(t, tt.set, now, 1e-9, tt.field)
		was, _ = Number(pump, tt.field)
		assert.Equal(t, tt.was, was, "%s of the part it was copied from", tt.field)
	}
	slower, ok := WithNumber(pump, "curve", 0.5)
	require.True(t, ok)
	assert.Equal(t, 1.5*unit.GPM, slower.(Pump).Curve[0].Flow)
	assert.Equal(t, 3*unit.GPM, pump.Curve[0].Flow)
	for _, none := range []string{"name", "from", "hold", "no_such", "cut_in.deeper", "hold.none"} {
		_, ok := Number(pump, none)
		assert.False(t, ok, none)
		_, ok = WithNumber(pump, none, 1)
		assert.False(t, ok, none)
	}
	q, ok := Quantity(pump, "hold.set")
	assert.True(t, ok)
	assert.Equal(t, 50*unit.PSI, q)
	for _, none := range []string{"delay", "curve", "hold.least_speed", "no_such"} {
		_, ok := Quantity(pump, none)
		assert.False(t, ok, none)
	}
	_, ok = Number(Pump{}, "hold.set")
	assert.False(t, ok, "a pump without a held pressure has none")
}

// A tube's stretch goes with the water in it, as New would work it out.
func TestWithNumberStretch(t *testing.T) {
	build := func(tube Tube) Tube {
		rig, err := New("line", Hookup{Name: "hose", At: "a"}, tube, Fixture{Name: "tap", At: "b"})
		require.NoError(t, err)
		p, _ := rig.Part("line")
		return p.(Tube)
	}
	short := build(Tube{Name: "line", From: "a", To: "b", Length: 1})
	longer, ok := WithNumber(short, "length", 3)
	require.True(t, ok)
	want := build(Tube{Name: "line", From: "a", To: "b", Length: 3})
	assert.InEpsilon(t, float64(want.Compliance), float64(longer.(Tube).Compliance), 1e-12)
}
