package hydraulics

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestColebrookSolvesItsEquation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		re := math.Exp(rapid.Float64Range(math.Log(10), math.Log(1e9)).Draw(t, "ln Re"))
		rr := rapid.Float64Range(0, 0.1).Draw(t, "ε/D")
		f := Colebrook(re, rr)
		x := 1 / math.Sqrt(f)
		assert.InEpsilon(t, x, -2*math.Log10(rr/3.7+2.51*x/re), 1e-13, "Re %g, ε/D %g", re, rr)
	})
}

func TestPhiIsSmoothAndRises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rr := rapid.Float64Range(0, 0.1).Draw(t, "ε/D")
		for _, re := range []float64{ReLaminar, ReTurbulent} {
			below, dBelow := Phi(math.Nextafter(re, 0), rr)
			above, dAbove := Phi(math.Nextafter(re, 1e9), rr)
			assert.InEpsilon(t, below, above, 1e-13)
			assert.InEpsilon(t, dBelow, dAbove, 1e-12)
		}
		re := math.Exp(rapid.Float64Range(0, math.Log(1e8)).Draw(t, "ln Re"))
		h := re * 1e-5
		lo, _ := Phi(re-h, rr)
		hi, _ := Phi(re+h, rr)
		_, d := Phi(re, rr)
		assert.Positive(t, d)
		assert.InEpsilon(t, d, (hi-lo)/(2*h), 1e-4)
	})
}
