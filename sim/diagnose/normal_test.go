package diagnose

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// The normal distribution, the mean and the quantiles are those of a library of
// statistics, gonum/stat.
func TestStatisticsAgainstALibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		z := rapid.Float64Range(-8, 8).Draw(t, "z")
		assert.InEpsilon(t, distuv.UnitNormal.CDF(z), normalCDF(z), 1e-12)
		p := rapid.Float64Range(1e-4, 1-1e-4).Draw(t, "p") // nearer 0 the library loses digits
		assert.InDelta(t, distuv.UnitNormal.Quantile(p), normalQuantile(p), 1e-9)
		n := rapid.IntRange(1, 40).Draw(t, "n")
		x := rapid.SliceOfN(rapid.Float64Range(-5, 5), n, n).Draw(t, "x")
		w := rapid.SliceOfN(rapid.Float64Range(0.1, 3), n, n).Draw(t, "w")
		assert.InDelta(t, stat.Mean(x, w), weightedMean(x, w), 1e-12)
		low, mid, high := quantiles(x, w)
		stat.SortWeighted(x, w)
		for p, got := range map[float64]float64{0.025: low, 0.5: mid, 0.975: high} {
			assert.Equal(t, stat.Quantile(p, stat.Empirical, x, w), got)
		}
	})
}
