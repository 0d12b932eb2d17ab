package whatif_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"quietpump/network"
	"quietpump/network/tolerance"
	"quietpump/sim/internal/rigs"
	"quietpump/sim/whatif"
)

func normalCDF(z float64) float64 { return distuv.UnitNormal.CDF(z) }

// Ishigami's function, a = 7, b = 0.1: first-order indices 0.3139, 0.4424 and 0 (Sudret, Reliab. Eng. Syst.
// Saf. 93 (2008) 964, Table 2). The third column acts only together with the first.
func TestInfluencesIshigami(t *testing.T) {
	const n = 4096
	z := whatif.Scores(n, 3, 1)
	table := &whatif.Table{Columns: []whatif.Column{{Field: "x1"}, {Field: "x2"}, {Field: "x3"}}}
	for i := range n {
		x := make([]float64, 3)
		for k := range x {
			x[k] = math.Pi * (2*normalCDF(z.At(i, k)) - 1)
		}
		y := math.Sin(x[0]) + 7*math.Pow(math.Sin(x[1]), 2) + 0.1*math.Pow(x[2], 4)*math.Sin(x[0])
		table.Rows = append(table.Rows, whatif.Row{Index: i, Values: x, Rest: math.Exp(y)})
	}
	list, err := table.Influences(whatif.Rest)
	require.NoError(t, err)
	require.Equal(t, "x2", list[0].Field)
	assert.InDelta(t, 0.4424, list[0].Share, 0.02)
	assert.InDelta(t, 0, list[0].Trend, 0.05, "it rises and falls")
	require.Equal(t, "x1", list[1].Field)
	assert.InDelta(t, 0.3139, list[1].Share, 0.02)
	assert.Greater(t, list[1].Trend, 0.3)
	assert.InDelta(t, 0, list[2].Share, 0.02)
}

// On the ideal rig the rest is in proportion to the accumulator's volume times its
// absolute precharge, so each makes its share of the variance of the logarithm.
func TestInfluencesClosedForm(t *testing.T) {
	const sdVolume, sdCharge, air = 0.1e-3, 20e3, 101325
	rig := ideal(t, rigs.SetA,
		network.Tolerance{Part: "accumulator", Field: "volume", SD: sdVolume},
		network.Tolerance{Part: "accumulator", Field: "precharge", SD: sdCharge})
	var u []tolerance.Unknown
	for _, x := range tolerance.Unknowns(rig) {
		if x.Part == "accumulator" && x.Known == tolerance.Told {
			u = append(u, x)
		}
	}
	require.Len(t, u, 2)
	table, err := whatif.Study{Rig: rig, Faults: network.Faults{rigs.Film(1e-12)}}.Ensemble(context.Background(), whatif.Draws{Count: 2048, Seed: 2, Unknowns: u})
	require.NoError(t, err)
	list, err := table.Influences(whatif.Rest)
	require.NoError(t, err)
	v, c := math.Pow(sdVolume/rigs.SetA.Volume, 2), math.Pow(sdCharge/(rigs.SetA.Precharge+air), 2)
	require.Equal(t, "volume", list[0].Field)
	assert.InDelta(t, v/(v+c), list[0].Share, 0.03)
	assert.InDelta(t, c/(v+c), list[1].Share, 0.03)
	assert.Positive(t, list[0].Trend)
	assert.Positive(t, list[1].Trend)
	low, mid := table.Quantiles(whatif.Rest, 0.025)[0], table.Quantiles(whatif.Rest, 0.5)[0]
	assert.InEpsilon(t, rigs.SetA.RestBy(1e-12), mid, 0.02, "the median of a product of symmetric factors")
	assert.InEpsilon(t, math.Exp(-1.96*math.Sqrt(v+c)), low/mid, 0.05)

	table.Rows = table.Rows[:50]
	_, err = table.Influences(whatif.Rest)
	assert.ErrorContains(t, err, "fewer than 64")
}
