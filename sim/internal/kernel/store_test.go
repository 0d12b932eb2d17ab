package kernel

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
)

// Trapped gas holds what package hydraulics says, its compliance included, whichever
// way it is asked: at a head, from head to head, or for the head of a volume.
func TestGasStoreIsTheGas(t *testing.T) {
	const atm, gz, off = 101325.0, 4000.0, 0.0
	for _, n := range []float64{1, 1.2, 1.4} {
		gas := hydraulics.Gas{Volume: 2e-3, Precharge: 1.8e5, Exponent: n}
		st := Store{Kind: Gas, GZ: gz - atm, V0: 2e-3, InvN: 1 / n, K: gasConstant(gas, atm)}
		for _, p := range []float64{1.8e5, 1.81e5, 2.4e5, 3.3e5, 9e5} {
			x := p + gz
			vol, c := st.levelOf(x, off)
			assert.InDelta(t, float64(gas.Water(unit.Pressure(p), atm)), vol, 1e-15, "n %g, %g Pa", n, p)
			if p > 1.8e5 {
				assert.InEpsilon(t, float64(gas.Compliance(unit.Pressure(p), atm)), c, 1e-12)
			}
			assert.InEpsilon(t, x, st.headAt(vol, off), 1e-12)
			from, c2 := st.rise(x, 2e5+gz)
			assert.InDelta(t, float64(gas.Drawdown(2e5, unit.Pressure(p), atm)), from, 1e-15)
			assert.InEpsilon(t, c, c2, 1e-12)
		}
		// Far below what gas can do the law goes on straight, without a kink.
		edge := st.GZ + leastGas
		at, slope := st.levelOf(edge, 0)
		below, same := st.levelOf(edge-500, 0)
		assert.InEpsilon(t, at-500*slope, below, 1e-12)
		assert.InEpsilon(t, slope, same, 1e-12)
		assert.InEpsilon(t, edge-500, st.headAt(below, 0), 1e-9)
		down, c := st.rise(edge-500, edge+500)
		up, _ := st.levelOf(edge+500, 0)
		assert.InDelta(t, below-up, down, 1e-12)
		assert.InEpsilon(t, slope, c, 1e-12)
	}
}

// gasConstant is (p₀ + atm)^(1/n)·V of a gas.
func gasConstant(g hydraulics.Gas, atm float64) float64 {
	r := float64(g.Volume - g.Water(2*g.Precharge, unit.AbsPressure(atm))) // V left at twice the charge
	return r * math.Pow(2*float64(g.Precharge)+atm, 1/g.Exponent)
}

// A tank or elastic store is straight: C by head, above what heads do not decide.
func TestLinearStore(t *testing.T) {
	st := Store{Kind: Linear, GZ: 1000, C: 3e-9}
	vol, c := st.levelOf(5000, 2e-6)
	assert.InEpsilon(t, 3e-9*4000+2e-6, vol, 1e-14)
	assert.Equal(t, 3e-9, c)
	assert.InEpsilon(t, 5000, st.headAt(vol, 2e-6), 1e-14)
	vol, c = st.rise(5000, 7000)
	assert.InEpsilon(t, -3e-9*2000, vol, 1e-14)
	assert.Equal(t, 3e-9, c)
}
