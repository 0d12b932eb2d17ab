package diagnose_test

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"quietpump/hydraulics/unit"
	"quietpump/sim/diagnose"
	"quietpump/sim/internal/rigs"
)

// Whatever is read on whatever rig, however little it makes sense, a belief that adds up to one comes of it or an error
// in words; never a panic, and no lineup is advised that its rig cannot stand in.
func TestAnyReadingIsBorne(t *testing.T) {
	if testing.Short() {
		t.Skip("many beliefs")
	}
	random := rand.New(rand.NewPCG(8, 8))
	span := func(lo, hi float64) time.Duration {
		return time.Duration(math.Exp(math.Log(lo)+random.Float64()*math.Log(hi/lo)) * 1e9)
	}
	believed := 0
	for seed := range uint64(16) {
		c, err := rigs.Random(seed, 6)
		if err != nil {
			t.Fatal(err)
		}
		var parts []string
		for _, p := range c.Rig.Parts() {
			parts = append(parts, p.ID())
		}
		part := func() string { return parts[random.IntN(len(parts))] }
		readings := []diagnose.Reading{
			{Lineup: c.Lineup, Rest: []diagnose.Time{{Value: span(0.5, 1e5)}}, Run: []diagnose.Time{{Value: span(0.1, 600)}}},
			{NoStart: span(1, 1e5), Look: []diagnose.Look{{At: part(), For: diagnose.Drip, Saw: diagnose.Yes}, {At: part(), For: diagnose.LeftOn, Saw: diagnose.No}}},
			{Lineup: c.Lineup, Count: []diagnose.Count{{Starts: random.IntN(50), Within: span(60, 1e5)}}, Blip: true},
			{Cup: []unit.Uncertain[unit.Volume]{{Value: unit.Volume(random.Float64() * 1e-3)}}, NeverStops: span(1, 1e4), Precharge: []unit.Uncertain[unit.Pressure]{{Value: 5 * unit.PSI}}},
		}
		b, err := diagnose.From(context.Background(), diagnose.Case{Rig: c.Rig, Readings: readings, Done: []diagnose.Done{{Do: diagnose.DoSwap, Part: part(), Before: 2, After: diagnose.Same}}}, diagnose.Options{Seed: seed})
		if err != nil {
			assert.NotEmpty(t, err.Error())
			continue
		}
		believed++
		sum := 0.0
		for _, h := range b.Hypotheses {
			sum += h.Belief
			assert.False(t, math.IsNaN(h.Belief), "seed %d", seed)
		}
		assert.InDelta(t, 1, sum, 1e-9, "seed %d", seed)
		for _, n := range b.Next {
			assert.NoError(t, c.Rig.CheckLineup(n.Lineup))
			assert.False(t, math.IsNaN(n.Total))
		}
		for _, h := range b.Hypotheses {
			assert.NoError(t, c.Rig.CheckFaults(h.Faults))
		}
	}
	assert.Greater(t, believed, 5)
}
