package tolerance_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/network/tolerance"
)

func TestUnknowns(t *testing.T) {
	rig := read(t, "twopath")
	by := map[string]tolerance.Unknown{}
	for _, u := range tolerance.Unknowns(rig) {
		by[u.String()] = u
		assert.Positive(t, u.SD, u)
	}
	told := by["pump: cut_in"]
	assert.Equal(t, tolerance.Told, told.Known)
	assert.InEpsilon(t, float64(2*unit.PSI), told.SD, 1e-12, "± 4 psi is two standard deviations")
	assert.Equal(t, tolerance.Usual, by["accumulator: volume"].Known)
	assert.Equal(t, tolerance.Assumed, by["pump: curve"].Known)
	assert.Equal(t, tolerance.Assumed, by["suction: z"].Known)
	assert.Contains(t, by, tolerance.Stretch)
	assert.NotContains(t, by, "trunk: bore", "it follows from the size")
	assert.NotContains(t, by, "tank outlet: z", "it was told")

	var names []string
	for _, u := range tolerance.InCycle(rig) {
		names = append(names, u.String())
	}
	assert.Equal(t, []string{"accumulator: volume", "accumulator: precharge", "accumulator: exponent", "heater: compliance",
		"pump: curve", "pump: voltage", "pump: cut_in", "pump: cut_out", tolerance.Stretch}, names)
}

// Scores of zero are the rig itself: every number that it has.
func TestDrawAtZero(t *testing.T) {
	for _, name := range []string{"twopath", "camper", "noaccumulator", "bypass", "nosuction", "twopumps", "bench30"} {
		rig := read(t, name)
		u := tolerance.Unknowns(rig)
		same, err := tolerance.Draw(rig, u, make([]float64, len(u)))
		require.NoError(t, err, name)
		assert.Equal(t, rig.Parts(), same.Parts(), name)
		assert.Equal(t, rig.Joints(), same.Joints(), name)
	}
}

// Whatever the scores, a drawn rig keeps what physics asks for, and the rig that
// it was drawn from stays as it was.
func TestDrawKeepsPhysics(t *testing.T) {
	rig := read(t, "twopath")
	u := tolerance.Unknowns(rig)
	before := rig.Parts()
	refused, drawn := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		z := rapid.SliceOfN(rapid.Float64Range(-3, 3), len(u), len(u)).Draw(t, "z")
		got, err := tolerance.Draw(rig, u, z)
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

// The parts alone are those of the drawn rig, and what holds a pressure by its
// speed keeps its start below that pressure whatever is drawn.
func TestDrawParts(t *testing.T) {
	rig, err := network.New("variable speed",
		network.Tank{Name: "tank", Ports: []string{"out"}},
		network.Pump{Name: "pump", From: "out", To: "pump", Hold: &network.HeldPressure{}, Bypass: network.Bypass{Opens: 60 * unit.PSI}},
		network.AirPocket{Name: "riser", At: "pump"},
		network.Fixture{Name: "tap", At: "pump"})
	require.NoError(t, err)
	u := tolerance.Unknowns(rig)
	rapid.Check(t, func(t *rapid.T) {
		z := rapid.SliceOfN(rapid.Float64Range(-3, 3), len(u), len(u)).Draw(t, "z")
		parts, err := tolerance.DrawParts(rig, u, z)
		require.NoError(t, err)
		if whole, err := tolerance.Draw(rig, u, z); err == nil {
			assert.Equal(t, whole.Parts(), parts)
		}
		for _, p := range parts {
			switch p := p.(type) {
			case network.Pump:
				assert.LessOrEqual(t, p.Hold.Start, p.Hold.Set-4.999*unit.PSI)
				assert.LessOrEqual(t, p.Hold.LeastSpeed, 1.0)
				assert.Greater(t, p.Bypass.Full, p.Bypass.Opens)
			case network.AirPocket:
				assert.True(t, p.Exponent >= 1 && p.Exponent <= 1.4, p)
			}
		}
	})
	_, err = tolerance.DrawParts(rig, u, nil)
	assert.ErrorContains(t, err, "0 scores")
}

// A joint may have a part's name: its elevation is the joint's.
func TestDraftTellsJointFromPart(t *testing.T) {
	rig, err := network.New("one name", network.Joint{Name: "pump", Z: 1},
		network.Tank{Name: "tank", Ports: []string{"out"}}, network.Pump{Name: "pump", From: "out", To: "pump"},
		network.Fixture{Name: "tap", At: "pump"})
	require.NoError(t, err)
	d := tolerance.NewDraft(rig)
	require.NoError(t, d.Set("pump", "z", 2))
	require.NoError(t, d.Set("pump", "cut_in", 2e5))
	assert.ErrorContains(t, d.Set("pump", "colour", 1), `"pump" has no number "colour"`)
	got, err := d.Rig()
	require.NoError(t, err)
	j, _ := got.Joint("pump")
	p, _ := got.Part("pump")
	assert.Equal(t, unit.Length(2), j.Z)
	assert.Equal(t, unit.Pressure(2e5), p.(network.Pump).CutIn)
}

func TestDrawRefusals(t *testing.T) {
	rig := read(t, "camper")
	_, err := tolerance.Draw(rig, tolerance.Unknowns(rig), nil)
	assert.ErrorContains(t, err, "0 scores")
	_, err = tolerance.Draw(rig, []tolerance.Unknown{{Part: "no such", Field: "volume", SD: 1}}, []float64{0})
	assert.ErrorContains(t, err, "no such")
}

func read(tb testing.TB, name string) *network.Rig {
	tb.Helper()
	rig, err := rigfile.Read("../../testdata/rigs/" + name + ".rig.toml")
	require.NoError(tb, err)
	return rig
}
