package whatif_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/whatif"
)

func TestUnknowns(t *testing.T) {
	rig := read(t, "twopath")
	by := map[string]whatif.Unknown{}
	for _, u := range whatif.Unknowns(rig) {
		by[u.String()] = u
		assert.Positive(t, u.SD, u)
	}
	told := by["pump: cut_in"]
	assert.Equal(t, whatif.Told, told.Known)
	assert.InEpsilon(t, float64(2*unit.PSI), told.SD, 1e-12, "± 4 psi is two standard deviations")
	assert.Equal(t, whatif.Usual, by["accumulator: volume"].Known)
	assert.Equal(t, whatif.Assumed, by["pump: curve"].Known)
	assert.Equal(t, whatif.Assumed, by["suction: z"].Known)
	assert.Contains(t, by, whatif.Stretch)
	assert.NotContains(t, by, "trunk: bore", "it follows from the size")
	assert.NotContains(t, by, "tank outlet: z", "it was told")

	var names []string
	for _, u := range whatif.CycleUnknowns(rig) {
		names = append(names, u.String())
	}
	assert.Equal(t, []string{"accumulator: volume", "accumulator: precharge", "accumulator: exponent", "heater: compliance",
		"pump: curve", "pump: voltage", "pump: cut_in", "pump: cut_out", whatif.Stretch}, names)
}

// Scores of zero are the rig itself: every number that it has.
func TestDrawAtZero(t *testing.T) {
	for _, name := range []string{"twopath", "camper", "noaccumulator", "bypass", "nosuction", "twopumps", "bench30"} {
		rig := read(t, name)
		u := whatif.Unknowns(rig)
		same, err := whatif.Draw(rig, u, make([]float64, len(u)))
		require.NoError(t, err, name)
		assert.Equal(t, rig.Parts(), same.Parts(), name)
		assert.Equal(t, rig.Joints(), same.Joints(), name)
	}
}

// Whatever the scores, a drawn rig keeps what physics asks for, and the rig that
// it was drawn from stays as it was.
func TestDrawKeepsPhysics(t *testing.T) {
	rig := read(t, "twopath")
	u := whatif.Unknowns(rig)
	before := rig.Parts()
	refused, drawn := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		z := rapid.SliceOfN(rapid.Float64Range(-3, 3), len(u), len(u)).Draw(t, "z")
		got, err := whatif.Draw(rig, u, z)
		drawn++
		if err != nil { // network.New says why, such as a precharge above cut-out
			var ps network.Problems
			require.ErrorAs(t, err, &ps)
			refused++
			return
		}
		p, _ := got.Part("pump")
		pump := p.(network.Pump)
		assert.GreaterOrEqual(t, pump.CutOut-pump.CutIn, 4.999*unit.PSI)
		a, _ := got.Part("accumulator")
		acc := a.(network.Accumulator)
		assert.True(t, acc.Volume > 0 && acc.Exponent >= 1 && acc.Exponent <= 1.4, acc)
	})
	assert.Equal(t, before, rig.Parts())
	assert.Less(t, refused, drawn/2)
}

func TestDrawRefusals(t *testing.T) {
	rig := read(t, "camper")
	_, err := whatif.Draw(rig, whatif.Unknowns(rig), nil)
	assert.ErrorContains(t, err, "0 scores")
	_, err = whatif.Draw(rig, []whatif.Unknown{{Part: "no such", Field: "volume", SD: 1}}, []float64{0})
	assert.ErrorContains(t, err, "no such")
}

// Each column of the scores has one score in each of n equal parts of the normal
// distribution, and further columns leave it as it is.
func TestScores(t *testing.T) {
	few, more := whatif.Scores(50, 2, 3), whatif.Scores(50, 5, 3)
	for k := range 2 {
		seen := map[int]bool{}
		for i := range 50 {
			assert.Equal(t, few.At(i, k), more.At(i, k))
			seen[int(50*normalCDF(few.At(i, k)))] = true
		}
		assert.Len(t, seen, 50)
	}
}
