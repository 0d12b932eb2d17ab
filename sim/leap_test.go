package sim_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
)

// sameEvents asserts that two records tell the same, each time within most seconds.
func sameEvents(t *testing.T, want, got *sim.Record, most float64, what string) {
	t.Helper()
	require.Len(t, got.Events, len(want.Events), what)
	worst := 0.0
	for i, e := range want.Events {
		require.Equal(t, e.Part, got.Events[i].Part, what)
		require.Equal(t, e.What, got.Events[i].What, what)
		worst = max(worst, e.At-got.Events[i].At, got.Events[i].At-e.At)
	}
	assert.LessOrEqual(t, worst, most, what)
}

// A leap passes cycles without a step, and nothing that a record tells is other than without it.
func TestLeapsChangeNothingButTheEffort(t *testing.T) {
	for _, c := range seepingRigs {
		m := compileFile(t, c.rig)
		for _, tol := range []struct {
			is   sim.Tolerance
			most float64 // s, as Leaping promises
		}{{sim.Default, 1e-4}, {sim.Fine, 1e-6}} {
			if testing.Short() && tol.is == sim.Fine {
				continue
			}
			opts := sim.Options{Until: c.until, Tolerance: tol.is}
			leapt := simulate(t, m, nil, c.faults, opts)
			opts.Without = sim.Leaping
			whole := simulate(t, m, nil, c.faults, opts)
			sameEvents(t, whole, leapt, tol.most, c.rig)
			assert.Zero(t, whole.Effort.Leapt)
			if tol.is == sim.Default {
				assert.Positive(t, leapt.Effort.Leapt, c.rig)
			}
			assert.InDelta(t, 0, leapt.Ledger.Closure, 1e-14, "%s, m³", c.rig)
			assert.InEpsilon(t, whole.Ledger.Moved, leapt.Ledger.Moved, 1e-6, c.rig)
			for part, v := range whole.Ledger.Parts {
				assert.InDelta(t, v, leapt.Ledger.Parts[part], 1e-6*whole.Ledger.Moved, "%s: %s", c.rig, part)
			}
			t.Logf("%s, %v: %d of %d cycles leapt, %d steps for %d", c.rig, tol.is, leapt.Effort.Leapt, len(whole.Starts(""))-1, leapt.Effort.Steps, whole.Effort.Steps)
		}
	}
}

// A month of the rig that speed is quoted on is little more than its first cycles.
func TestLeapThroughAMonth(t *testing.T) {
	m, faults, opts := bench30(t)
	opts.Until = 24 * time.Hour
	day := simulate(t, m, nil, faults, opts)
	opts.Without = sim.Leaping
	sameEvents(t, simulate(t, m, nil, faults, opts), day, 1e-4, "a day")
	opts.Without, opts.Until = 0, 30*24*time.Hour
	month := simulate(t, m, nil, faults, opts)
	assert.Less(t, month.Effort.Steps, 4*day.Effort.Steps)
	assert.InDelta(t, 30*len(day.Starts("")), len(month.Starts("")), 30)
}

// What a leap passed is simulated when it is looked at.
func TestRecordShowsWhatWasLeapt(t *testing.T) {
	m := compileFile(t, "twopath")
	faults := oneSeep("fill valve", 0.5)
	leapt := simulate(t, m, nil, faults, sim.Options{Until: 6 * hour})
	whole := simulate(t, m, nil, faults, sim.Options{Until: 6 * hour, Without: sim.Leaping})
	require.Positive(t, leapt.Effort.Leapt)
	for _, back := range []bool{false, true} {
		for i := range 60 {
			at := time.Duration(i) * 6 * time.Minute
			if back {
				at = 6*hour - at
			}
			a, err := whole.At(at)
			require.NoError(t, err)
			b, err := leapt.At(at)
			require.NoError(t, err)
			assert.Equal(t, a.At, b.At)
			p, _ := a.Pressure("manifold")
			q, ok := b.Pressure("manifold")
			require.True(t, ok)
			assert.InDelta(t, float64(p), float64(q), 5, "Pa, at %v", at)
			v, _ := a.Water("fresh tank")
			u, _ := b.Water("fresh tank")
			assert.InDelta(t, float64(v), float64(u), 1e-9, "m³, at %v", at)
		}
	}
	// Within a leap pumps start and stop where the events say.
	starts, stops := leapt.Starts("pump"), leapt.Stops("pump")
	k := len(starts) / 2
	for stops[0] < starts[k] {
		stops = stops[1:]
	}
	running, err := leapt.At(secs((starts[k] + stops[0]) / 2))
	require.NoError(t, err)
	q, _ := running.Flow("pump")
	assert.Greater(t, q, 10*unit.MillilitrePerMinute)
	resting, err := leapt.At(secs((stops[0] + starts[k+1]) / 2))
	require.NoError(t, err)
	q, _ = resting.Flow("pump")
	assert.LessOrEqual(t, q, unit.Flow(0))
}

// A leap ends before anything that comes at a time of its own or by the water in a tank.
func TestLeapPassesNothing(t *testing.T) {
	m := compileFile(t, "twopath")
	opts := sim.Options{
		Until:    8 * hour,
		Start:    sim.Start{Tanks: map[string]unit.Volume{"fresh tank": 36 * unit.Litre}},
		Schedule: []sim.Change{{At: 3*hour + 7*time.Minute, Lineup: network.Lineup{"galley cold tap": network.Open(0.3)}}, {At: 3*hour + 8*time.Minute, Lineup: network.Lineup{"galley cold tap": network.Shut()}}},
		Samples:  []time.Duration{hour, 5 * hour},
	}
	faults := oneSeep("toilet valve", 0.5) // out of the vehicle: the tank runs empty
	leapt := simulate(t, m, nil, faults, opts)
	opts.Without = sim.Leaping
	whole := simulate(t, m, nil, faults, opts)
	require.Positive(t, leapt.Effort.Leapt)
	sameEvents(t, whole, leapt, 1e-3, "")
	empty := false
	for _, e := range leapt.Events {
		empty = empty || e.What == sim.TankEmpty
	}
	assert.True(t, empty)
	require.Len(t, leapt.Samples, 2)
	for i := range leapt.Samples {
		a, _ := whole.Samples[i].Pressure("manifold")
		b, _ := leapt.Samples[i].Pressure("manifold")
		assert.Equal(t, whole.Samples[i].At, leapt.Samples[i].At)
		assert.InDelta(t, float64(a), float64(b), 20)
	}
}
