package sim

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// Cycles that go by a parabola in their number are told exactly, and summed as one by one; where a line or nothing at all
// is behind them, a parabola's bend is not made up from their rounding.
func TestForecastOfAParabola(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		term := rapid.Float64Range(-1, 1)
		a, b, c := term.Draw(t, "a"), term.Draw(t, "b"), term.Draw(t, "c")
		by := func(n float64) float64 { return 100 + a + b*n/50 + c*n*n/2500 }
		n, last := 0.0, [4]cycle{}
		for i := range last {
			n += float64(rapid.IntRange(1, 9).Draw(t, "gap"))
			last[i] = cycle{n, []float64{by(n), 2 * by(n)}}
		}
		f := newForecast(last, 4, 1, 0)
		sum, most := 0.0, float64(rapid.IntRange(1, 60).Draw(t, "cycles"))
		for s := 1.0; s <= most; s++ {
			assert.InDelta(t, by(n+s), f.length(s), 1e-8)
			assert.InDelta(t, 2*by(n+s), f.at(1, s), 2e-8)
			sum += f.at(1, s)
		}
		assert.InDelta(t, sum, f.over(1, most), 1e-9*sum)
		assert.Equal(t, []float64{f.at(0, 3), f.at(1, 3)}, f.all(nil, 3))
	})
	still := [4]cycle{{1, []float64{100}}, {2, []float64{100 + 1e-9}}, {3, []float64{100}}, {4, []float64{100 + 1e-9}}}
	assert.Less(t, newForecast(still, 4, 1, 1e-7).degree, 1)
}
