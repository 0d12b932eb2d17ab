package diagnose_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim"
	"quietpump/sim/diagnose"
)

func model(tb testing.TB, rig string) *sim.Model {
	tb.Helper()
	r, err := rigfile.Read("../../testdata/rigs/" + rig + ".rig.toml")
	require.NoError(tb, err)
	m, err := sim.Compile(r)
	require.NoError(tb, err)
	return m
}

func rest(seconds float64) []diagnose.Time {
	return []diagnose.Time{{Value: time.Duration(seconds * float64(time.Second))}}
}

func first(tb testing.TB, m *sim.Model, r diagnose.Reading) *diagnose.Answer {
	tb.Helper()
	a, err := diagnose.First(context.Background(), m, r, diagnose.Options{})
	require.NoError(tb, err)
	return a
}

// A seep that is known, simulated on a rig whose values are those of its file: the interval holds it, and the part
// it sits in is among the suspects with its size, rest and run.
func TestKnownSeepIsFound(t *testing.T) {
	m := model(t, "twopath")
	for _, part := range []string{"fill valve", "pump", "toilet valve"} {
		for _, size := range []unit.Flow{10 * unit.MillilitrePerMinute, 80 * unit.MillilitrePerMinute} {
			seep := network.Seep{Part: part, Seep: hydraulics.Seep{Ref: size, At: 37.5 * unit.PSI, Exp: 1}}
			rec, err := m.Simulate(context.Background(), nil, network.Faults{seep}, sim.Options{Until: 3 * time.Hour})
			require.NoError(t, err)
			starts, stops := rec.Starts("pump"), rec.Stops("pump")
			require.GreaterOrEqual(t, len(starts), 2)
			a := first(t, m, diagnose.Reading{Rest: rest(starts[1] - stops[0]), Run: rest(stops[0] - starts[0])})
			assert.LessOrEqual(t, a.Size.Low, size, part)
			assert.GreaterOrEqual(t, a.Size.High, size, part)
			named := false
			for _, s := range a.Suspects {
				if s.Seep.Part != part {
					continue
				}
				named = true
				assert.InEpsilon(t, starts[1]-stops[0], s.Rest.Seconds(), 1e-3, part)
				// Its size is on the rig that the readings speak for, not on the file's.
				assert.InEpsilon(t, float64(size), float64(s.Seep.Ref), 0.35, part)
			}
			assert.True(t, named, part)
		}
	}
}

// Half the rest is twice the seep: the drawdown is the same.
func TestSizeGoesAsOneOverRest(t *testing.T) {
	m := model(t, "twopath")
	slow, fast := first(t, m, diagnose.Reading{Rest: rest(400)}), first(t, m, diagnose.Reading{Rest: rest(200)})
	assert.InEpsilon(t, 2, float64(fast.Size.Mid/slow.Size.Mid), 0.02)
	assert.InEpsilon(t, float64(slow.Size.HighDrawdown), float64(fast.Size.HighDrawdown), 0.02)
}

// A cup narrows the size, most of all where nothing is known to hold gas.
func TestCupNarrows(t *testing.T) {
	m := model(t, "camper")
	without := first(t, m, diagnose.Reading{Rest: rest(95)})
	with := first(t, m, diagnose.Reading{Rest: rest(95), Cup: []unit.Uncertain[unit.Volume]{{Value: 1 * unit.FluidOunce}}})
	assert.Contains(t, without.Findings, diagnose.StorageUnknown)
	assert.NotContains(t, with.Findings, diagnose.StorageUnknown)
	assert.Less(t, float64(with.Size.High/with.Size.Low), 0.5*float64(without.Size.High/without.Size.Low))
}

// A cup far from what storage should give up is believed all the same, and what it says is told.
func TestCupThatDisagrees(t *testing.T) {
	m := model(t, "twopath")
	a := first(t, m, diagnose.Reading{Rest: rest(95), Cup: []unit.Uncertain[unit.Volume]{{Value: 0.7 * unit.FluidOunce}}})
	assert.Contains(t, a.Findings, diagnose.LessStored)
	byCup := a.Size.Ways[len(a.Size.Ways)-1]
	require.Equal(t, diagnose.ByCup, byCup.By)
	assert.LessOrEqual(t, a.Size.Low, byCup.Low)
	assert.GreaterOrEqual(t, a.Size.High, byCup.High)
}

// Start to start is rest and run together.
func TestEveryAgreesWithRestAndRun(t *testing.T) {
	m := model(t, "twopath")
	byRest := first(t, m, diagnose.Reading{Rest: rest(600)})
	byEvery := first(t, m, diagnose.Reading{Every: rest(601)})
	assert.InEpsilon(t, float64(byRest.Size.Mid), float64(byEvery.Size.Mid), 0.02)
}

// The same seed gives the same answer, bit for bit.
func TestFirstIsReproducible(t *testing.T) {
	m := model(t, "twopath")
	r := diagnose.Reading{Rest: rest(95), Run: rest(1.7)}
	assert.Equal(t, first(t, m, r).Size, first(t, m, r).Size)
}

// What cannot be is refused, with the reason.
func TestRefusals(t *testing.T) {
	m := model(t, "twopath")
	for says, r := range map[string]diagnose.Reading{
		"how often":       {Run: rest(2)},
		"above zero":      {Rest: rest(-1)},
		"no power":        {Rest: rest(95), Lineup: network.Lineup{"pump": network.Off()}},
		"would not start": {Rest: rest(95), Lineup: network.Lineup{"hookup": network.On()}},
		"no rest":         {Every: rest(3), Run: rest(4)},
	} {
		_, err := diagnose.First(context.Background(), m, r, diagnose.Options{})
		require.Error(t, err, says)
		assert.Contains(t, err.Error(), says)
	}
}

func ExampleFirst() {
	rig, err := rigfile.Read("../../testdata/rigs/twopath.rig.toml")
	if err != nil {
		fmt.Println(err)
		return
	}
	m, err := sim.Compile(rig)
	if err != nil {
		fmt.Println(err)
		return
	}
	a, err := diagnose.First(context.Background(), m, diagnose.Reading{
		Rest: []diagnose.Time{{Value: 95 * time.Second}},
		Cup:  []unit.Uncertain[unit.Volume]{{Value: 5 * unit.FluidOunce}},
	}, diagnose.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(unit.US.SayBetween(a.Size.Low, a.Size.High))
	fmt.Println(a.Suspects[0].Name)
	// Output:
	// between 3 and 4.4 fl oz a minute
	// fill valve
}

func BenchmarkFirst(b *testing.B) {
	m := model(b, "twopath")
	r := diagnose.Reading{Rest: rest(95), Run: rest(1.7)}
	for b.Loop() {
		if _, err := diagnose.First(context.Background(), m, r, diagnose.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
