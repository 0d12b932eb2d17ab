package unit

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// textOf is the pointer side of a quantity.
type textOf[Q Quantity] interface {
	*Q
	UnmarshalText([]byte) error
}

func TestTextReturnsBitForBit(t *testing.T) {
	t.Run("pressure", returns[Pressure])
	t.Run("absolute pressure", returns[AbsPressure])
	t.Run("flow", returns[Flow])
	t.Run("volume", returns[Volume])
	t.Run("length", returns[Length])
	t.Run("area", returns[Area])
	t.Run("speed", returns[Speed])
	t.Run("temperature", returns[Temperature])
	t.Run("temperature difference", returns[TemperatureDiff])
	t.Run("compliance", returns[Compliance])
	t.Run("density", returns[Density])
	t.Run("viscosity", returns[Viscosity])
	t.Run("current", returns[Current])
	t.Run("charge", returns[Charge])
	t.Run("voltage", returns[Voltage])
	t.Run("mass", returns[Mass])
}

// anyFloat draws every float64 there is, not only the friendly ones.
func anyFloat() *rapid.Generator[float64] {
	return rapid.Map(rapid.Uint64(), math.Float64frombits)
}

func returns[Q Quantity, P textOf[Q]](t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := anyFloat().Draw(t, "x")
		q := Q(x)
		k, _ := q.measured()
		text, err := q.MarshalText()
		if math.IsNaN(x) || math.IsInf(x, 0) || k.aboveZero && x < 0 {
			if err == nil {
				t.Fatalf("%v was written as %q", x, text)
			}
			return
		}
		var back Q
		if err := P(&back).UnmarshalText(text); err != nil {
			t.Fatal(err)
		}
		if !same(float64(back), x) {
			t.Fatalf("%v, written as %q, came back as %v", x, text, float64(back))
		}
	})
}

func TestUnmarshalRefusesATolerance(t *testing.T) {
	p := 45 * PSI
	err := p.UnmarshalText([]byte("30 psi ± 4"))
	require.EqualError(t, err, `pressure "30 psi ± 4": a tolerance has no place here; write the value alone`)
	assert.Equal(t, 45*PSI, p, "left as it was")
	require.NoError(t, p.UnmarshalText([]byte("2 bar")))
	assert.Equal(t, 2*Bar, p)
}

func TestEveryVerbPrintsTheUnit(t *testing.T) {
	p := 45 * PSI
	for layout, want := range map[string]string{
		"%v": "45 psi", "%s": "45 psi", "%.1f": "45.0 psi", "%.3g": "45 psi", "%.2e": "4.50e+01 psi",
		"%+.0f": "+45 psi", "%q": `"45 psi"`, "%10.1f": "  45.0 psi", "%-10v|": "45 psi    |", "%010.1f": "  45.0 psi",
		"%d": "%!d(unit.Pressure=45 psi)", "%.2v": "45 psi", "%#v": fmt.Sprintf("unit.Pressure(%v)", float64(p)),
	} {
		assert.Equal(t, want, fmt.Sprintf(layout, p), layout)
	}
	assert.Equal(t, "1 cup", fmt.Sprint(Cup))
	assert.Equal(t, "2.0 cups", fmt.Sprintf("%.1f", 2*Cup))
	assert.Equal(t, "NaN psi", fmt.Sprint(Pressure(math.NaN())))
	assert.Equal(t, "[45 psi 30 psi]", fmt.Sprint([]Pressure{p, 30 * PSI}))
}
