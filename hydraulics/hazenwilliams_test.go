package hydraulics

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"quietpump/hydraulics/unit"
)

// The published pressure-loss tables are checked in TestWorkedExamples.

func TestHazenWilliamsIsOddSmoothAndRises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := math.Exp(rapid.Float64Range(math.Log(1e-9), math.Log(1e-2)).Draw(t, "ln q"))
		slope, d := HazenWilliams(unit.Flow(q), 150, 0.012)
		back, dBack := HazenWilliams(unit.Flow(-q), 150, 0.012)
		assert.Equal(t, -slope, back)
		assert.Equal(t, d, dBack)
		assert.Positive(t, d)
		lo, _ := HazenWilliams(unit.Flow(q*(1-1e-5)), 150, 0.012)
		hi, _ := HazenWilliams(unit.Flow(q*(1+1e-5)), 150, 0.012)
		assert.InEpsilon(t, d, (hi-lo)/(2e-5*q), 1e-4)
	})
	slow := unit.Flow(0.01 * math.Pi / 4 * 0.012 * 0.012)
	below, dBelow := HazenWilliams(slow*(1-1e-15), 150, 0.012)
	above, dAbove := HazenWilliams(slow, 150, 0.012)
	assert.InEpsilon(t, below, above, 1e-13)
	assert.InEpsilon(t, dBelow, dAbove, 1e-13)
	// From 1 cm/s on the power 1.852; at half of it what the cubic of the doc comment is by hand.
	from, _ := HazenWilliams(slow*1.0001, 150, 0.012)
	twice, _ := HazenWilliams(slow*2.0002, 150, 0.012)
	assert.InEpsilon(t, from*math.Pow(2, 1.852), twice, 1e-12)
	half, _ := HazenWilliams(slow/2, 150, 0.012)
	assert.InEpsilon(t, from/math.Pow(1.0001, 1.852)*((3-1.852)/4+(1.852-1)/16), half, 1e-12)
	zero, dZero := HazenWilliams(0, 150, 0.012)
	assert.Zero(t, zero)
	assert.Positive(t, dZero, "the slope at rest is bounded above zero")
}

func TestHazenWilliamsRejects(t *testing.T) {
	for _, bad := range [][2]float64{{0, 1}, {1, 0}, {-1, 1}, {math.NaN(), 1}} {
		slope, d := HazenWilliams(1, bad[0], unit.Length(bad[1]))
		assert.True(t, math.IsNaN(slope) && math.IsNaN(d), "%v", bad)
	}
}

// The error the doc comment states.
func TestHazenWilliamsAgainstColebrook(t *testing.T) {
	w, bore := WaterAt(unit.Celsius(15)), 0.475*unit.Inch
	for gpm, want := range map[float64]float64{1: 0.79, 6: 0.95} {
		slope, _ := HazenWilliams(unit.Flow(gpm)*unit.GPM, 150, bore)
		darcy := worked{float64(w.Density), float64(w.Viscosity), float64(bore), 1.5e-6, 1, gpm * float64(unit.GPM)}
		assert.InDelta(t, want, slope/(darcy.drop()/(darcy.rho*Gravity)), 0.005)
	}
}
