package repair_test

import (
	"context"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/integrate/quad"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
	"quietpump/sim/cycle"
	"quietpump/sim/repair"
)

func wait(tb testing.TB, j repair.Job) *repair.Waiting {
	tb.Helper()
	w, err := j.Waiting(context.Background())
	require.NoError(tb, err)
	return w
}

// fifteen is a seep that lets 15 mL/min by on average between cut-out and cut-in.
func fifteen() network.Seep {
	s := seepAt("line", 15*unit.MillilitrePerMinute, 0.5)
	s.Ref *= unit.Flow(trailer.restBy(s) / (59.0 / 15 * 60))
	return s
}

// testdata/published/service.csv, "cycles caused by a leak of 60 drips/min (15 mL/min)": 59 mL between cut-out and cut-in,
// 365 starts a day, 50 000 after 137 days; illustrative, as there.
func TestWaitingPublishedStarts(t *testing.T) {
	w := wait(t, repair.Job{Model: compile(t, trailer.rig(t)), Seep: fifteen()})
	assert.InEpsilon(t, 365, w.Starts.Mid, 0.01)
	assert.InEpsilon(t, 137, w.SwitchDays, 0.01)
	assert.InEpsilon(t, 15e-6*60*24, float64(w.Water.Mid), 0.01)
	assert.Equal(t, w.Water.Low, w.Water.High, "no interval was told")
}

// testdata/published/service.csv, "energy per gallon pumped": 7 A, 1 to 1.5 gpm between cut-in and cut-out, 0.08 to
// 0.12 Ah per gallon, where an open tap of 3 gpm takes 0.039.
func TestWaitingPublishedCurrent(t *testing.T) {
	w := wait(t, repair.Job{Model: compile(t, trailer.rig(t)), Seep: seepAt("line", 15*unit.MillilitrePerMinute, 0.5)})
	perGallon := w.Charge.Mid.AmpereHours() / float64(w.Water.Mid/unit.USGallon)
	assert.True(t, w.HasCurrent)
	assert.GreaterOrEqual(t, perGallon, 0.075, "0.08 as printed, rounded up from 7/(60·1.5)")
	assert.LessOrEqual(t, perGallon, 0.12)
	assert.Greater(t, perGallon, 1.8*7.0/3/60, "not the open-tap figure")
}

// Current over flow, integrated between cut-in and cut-out: ∫ I(p)/(Q(p) − q(p))·dV, in
// closed form but for the quadrature.
func TestWaitingChargeClosedForm(t *testing.T) {
	s := trailer
	for i, amps := range []unit.Current{3.5, 6, 7.5, 8.8} {
		s.curve = append(s.curve[:0:0], s.curve...)
		s.curve[i].Current = amps
	}
	seep := seepAt("line", 60*unit.MillilitrePerMinute, 1)
	over := func(f func(p float64) float64) float64 {
		return quad.Fixed(f, s.cutIn, s.cutOut, 60, quad.Legendre{}, 0)
	}
	for _, volts := range []unit.Voltage{12, 11.5} {
		s.volts = volts
		curve := s.curve.AtVoltage(volts)
		dt := func(p float64) float64 {
			return s.stored(p) / float64(curve.Flow(unit.Pressure(p))-seep.Flow(unit.Pressure(p)))
		}
		coulombs := over(func(p float64) float64 { return float64(curve.Current(unit.Pressure(p))) * dt(p) })
		run, rest := over(dt), s.restBy(seep)

		w := wait(t, repair.Job{Model: compile(t, s.rig(t)), Seep: seep})
		// The tank stands 0.125 m over the pump's inlet, which lowers its rise by 0.18 psi and so its current by 0.2 %.
		assert.InEpsilon(t, 86400/(rest+run), w.Starts.Mid, 2e-3)
		assert.InEpsilon(t, 86400/(rest+run)*coulombs, float64(w.Charge.Mid), 8e-3)
		leaked := over(s.stored) + over(func(p float64) float64 { return float64(seep.Flow(unit.Pressure(p))) * dt(p) })
		assert.InEpsilon(t, 86400/(rest+run)*leaked, float64(w.Water.Mid), 1e-3)
	}
}

// A day simulated whole says the same as the one cycle that Waiting takes.
func TestWaitingAgainstAWholeDay(t *testing.T) {
	for _, part := range []string{"basin tap", "fill valve", "pump"} {
		j := job(t, "twopath", part, 30*unit.MillilitrePerMinute)
		w := wait(t, j)
		rec, err := j.Model.Simulate(context.Background(), nil, network.Faults{j.Seep}, sim.Options{Until: 24 * time.Hour})
		require.NoError(t, err)
		assert.InDelta(t, float64(len(rec.Starts("pump"))), w.Starts.Mid, 2, part)
		lost := -rec.Ledger.Stored["fresh tank"]
		if part != "basin tap" {
			assert.Empty(t, w.Tanks, "%s: it goes round", part)
			assert.InDelta(t, 0, lost, 2e-4, part)
			c, err := cycle.First(j.Model, nil, network.Faults{j.Seep}, sim.Options{}, time.Hour)
			require.NoError(t, err)
			assert.InEpsilon(t, c.Stored, float64(w.Water.Mid)/w.Starts.Mid, 0.02, "%s: a drawdown a start", part)
			continue
		}
		assert.InEpsilon(t, lost, float64(w.Water.Mid), 0.01, part)
		require.Len(t, w.Tanks, 2)
		assert.True(t, w.Tanks[0].Empty)
		assert.Equal(t, "gray tank", w.Tanks[1].Tank)
		assert.False(t, w.Tanks[1].Empty)
		assert.Zero(t, w.Weight.Mid, "what leaves one tank is in the other")
		assert.InEpsilon(t, 1.5, float64(w.Water.High/w.Water.Mid), 0.01)
		assert.InEpsilon(t, 1.5, float64(w.Tanks[0].In.Mid)/float64(w.Tanks[0].In.Low), 0.01)
	}
}

// How often the pump starts is taken from a stopwatch where there was one, and the
// water and the charge are not.
func TestWaitingStartsAsSeen(t *testing.T) {
	j := job(t, "twopath", "fill valve", 30*unit.MillilitrePerMinute)
	model := wait(t, j)
	j.Every = repair.Range[time.Duration]{Low: 19 * time.Minute, Mid: 20 * time.Minute, High: 22 * time.Minute}
	seen := wait(t, j)
	assert.InDelta(t, 72, seen.Starts.Mid, 1e-9)
	assert.InDelta(t, 1440.0/22, seen.Starts.Low, 1e-9)
	assert.InDelta(t, 1440.0/19, seen.Starts.High, 1e-9)
	assert.Equal(t, model.Water, seen.Water)
	assert.Equal(t, model.Charge, seen.Charge)

	j.Every.Mid = 30 * time.Minute
	_, err := j.Waiting(context.Background())
	assert.ErrorContains(t, err, "cannot be")
}

// Left alone the simulated tank runs dry when Waiting said it would.
func TestWaitingUntilEmpty(t *testing.T) {
	j := job(t, "twopath", "basin tap", 400*unit.MillilitrePerMinute)
	j.Sim.Start.Tanks = map[string]unit.Volume{"fresh tank": 20 * unit.USGallon}
	w := wait(t, j)
	opts := j.Sim
	opts.Until = 2 * w.Tanks[0].In.Mid
	rec, err := j.Model.Simulate(context.Background(), nil, network.Faults{j.Seep}, opts)
	require.NoError(t, err)
	dry := math.NaN()
	for _, e := range rec.Events {
		if e.What == sim.TankEmpty && math.IsNaN(dry) {
			dry = e.At
		}
	}
	assert.InEpsilon(t, dry, w.Tanks[0].In.Mid.Seconds(), 0.02)
}

// On the hose a seeping fill valve fills the tank, adds weight and then spills; the pump has no part in it.
func TestWaitingOnTheHose(t *testing.T) {
	j := job(t, "twopath", "fill valve", 60*unit.MillilitrePerMinute)
	j.Lineup = network.Lineup{"hookup": network.On()}
	w := wait(t, j)
	assert.Zero(t, w.Starts.Mid)
	assert.Zero(t, w.SwitchDays)
	require.Len(t, w.Tanks, 1)
	assert.False(t, w.Tanks[0].Empty)
	assert.InEpsilon(t, 998.2*float64(w.Water.Mid), float64(w.Weight.Mid), 1e-3, "8.33 lb a gallon: service.csv, weight of water")
	assert.InEpsilon(t, 8.33, float64(w.Weight.Mid/unit.Pound)/float64(w.Water.Mid/unit.USGallon), 1e-3)
	rec, err := j.Model.Simulate(context.Background(), j.Lineup, network.Faults{j.Seep}, sim.Options{Until: 2 * w.Tanks[0].In.Mid})
	require.NoError(t, err)
	full := math.NaN()
	for _, e := range rec.Events {
		if e.What == sim.TankFull && math.IsNaN(full) {
			full = e.At
		}
	}
	assert.InEpsilon(t, full, w.Tanks[0].In.Mid.Seconds(), 0.02)
}

// A weep in the belly pan may gather there.
func TestWaitingPools(t *testing.T) {
	w := wait(t, job(t, "twopath", "cold trunk", 30*unit.MillilitrePerMinute))
	assert.True(t, w.Pools)
	w = wait(t, job(t, "twopath", "low-point drain", 30*unit.MillilitrePerMinute))
	assert.False(t, w.Pools)

	// On the hose what gathers there is weight gained, and what runs to the ground is not.
	j := job(t, "twopath", "cold trunk", 30*unit.MillilitrePerMinute)
	j.Lineup = network.Lineup{"hookup": network.On()}
	w = wait(t, j)
	assert.InEpsilon(t, 998.2*float64(w.Water.Mid), float64(w.Weight.Mid), 0.01)
	j.Seep.Part = "low-point drain"
	w = wait(t, j)
	assert.Positive(t, w.Water.Mid)
	assert.InDelta(t, 0, float64(w.Weight.Mid), 0.01*998.2*float64(w.Water.Mid))
}

// Storage that was told wider moves the starts and not the water.
func TestWaitingDrawdown(t *testing.T) {
	j := repair.Job{Model: compile(t, trailer.rig(t)), Seep: seepAt("line", 15*unit.MillilitrePerMinute, 0.5),
		Low: 7.5 * unit.MillilitrePerMinute, High: 30 * unit.MillilitrePerMinute, LowDrawdown: 59e-6 / 2, HighDrawdown: 59e-6 * 2}
	w := wait(t, j)
	assert.InEpsilon(t, 4, float64(w.Water.High/w.Water.Low), 0.01)
	assert.InEpsilon(t, 1, w.Starts.High/w.Starts.Low, 0.02, "half the seep from half the store starts as often")
}

// A seep so small that the pump starts less than once a day is followed until it does.
func TestWaitingSmallSeep(t *testing.T) {
	j := repair.Job{Model: compile(t, trailer.rig(t)), Seep: seepAt("line", 0.01*unit.MillilitrePerMinute, 1), Low: 1e-5 * unit.MillilitrePerMinute,
		LowDrawdown: 59e-6, HighDrawdown: 59e-6}
	w := wait(t, j)
	assert.InEpsilon(t, 86400/trailer.restBy(j.Seep), w.Starts.Mid, 1e-3)
	assert.Less(t, w.Starts.Mid, 1.0)
	assert.Zero(t, w.Starts.Low, "not in a month")
	assert.InEpsilon(t, 1e-5/0.01, float64(w.Water.Low/w.Water.Mid), 0.3, "it stays near cut-out all the month")
}

func TestWaitingRefusals(t *testing.T) {
	j := job(t, "twopath", "basin tap", 30*unit.MillilitrePerMinute)
	for _, tt := range []struct {
		says   string
		change func(j *repair.Job)
	}{
		{"no model", func(j *repair.Job) { j.Model = nil }},
		{"lets nothing by", func(j *repair.Job) { j.Seep.Ref = 0 }},
		{"does not lie between", func(j *repair.Job) { j.Low = 2 * j.Seep.Ref }},
		{"is none", func(j *repair.Job) { j.LowDrawdown, j.HighDrawdown = 2, 1 }},
		{"no such part", func(j *repair.Job) { j.Lineup = network.Lineup{"x": network.Shut()} }},
		{"basin tapp", func(j *repair.Job) { j.Seep.Part = "basin tapp" }},
	} {
		bad := j
		tt.change(&bad)
		_, err := bad.Waiting(context.Background())
		assert.ErrorContains(t, err, tt.says)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := j.Waiting(ctx)
	assert.ErrorIs(t, err, context.Canceled)
}
