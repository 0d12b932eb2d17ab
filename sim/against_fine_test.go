package sim_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/network"
	"quietpump/sim"
	"quietpump/sim/internal/kernel"
	"quietpump/sim/internal/rigs"
)

// The events of random rigs at the default tolerance are those of Fine: as many of each
// part and kind, each within a millisecond or a millionth of the time so far, on 99 rigs in
// a hundred. Pumps that chatter are left out, whose thousandth start answers to the last
// digit of the first. Of those off it is said how many wait for a pressure that changes in a
// millisecond by less than a step's error in it may be.
func TestRandomRigsAgainstFine(t *testing.T) {
	compared, off, slow, count := 0, 0, 0, *fineCount
	if testing.Short() {
		count = min(count, 4)
	}
	for i := range count {
		seed := *rigFirst + uint64(i)
		size := rand.New(rand.NewPCG(seed, 0))
		joints := int(math.Round(5 * math.Pow(40, size.Float64())))
		c, err := rigs.Random(seed, joints)
		if !assert.NoError(t, err) {
			continue
		}
		m, err := sim.Compile(c.Rig)
		if !assert.NoError(t, err) {
			continue
		}
		opts := c.Options
		rec, err := m.Simulate(context.Background(), c.Lineup, c.Faults, opts)
		assert.NoError(t, err, "seed %d", seed)
		opts.Tolerance = sim.Fine
		opts.MaxSteps *= 20
		fine, err := m.Simulate(context.Background(), c.Lineup, c.Faults, opts)
		assert.NoError(t, err, "seed %d, fine", seed)
		if rec.Chatter != nil || fine.Chatter != nil || len(fine.Events) == 0 {
			continue
		}
		compared++
		if why, e := differs(rec, fine); why != "" {
			off++
			change, words := creep(t, m, fine, e)
			if change < kernel.Default.Head {
				slow++
			}
			t.Logf("seed %d, %d joints: %s; %s", seed, joints, why, words)
		}
	}
	t.Logf("%d rigs with events compared, %d off, %d of them where pressure creeps", compared, off, slow)
	assert.LessOrEqual(t, off, max(1, compared/100))
	assert.Greater(t, compared, count/10)
}

// creep says how fast the pressure that an event waited for was rising: what a millisecond
// is worth of it, Pa.
func creep(t *testing.T, m *sim.Model, rec *sim.Record, e sim.Event) (change float64, words string) {
	for _, p := range m.Rig().Parts() {
		if p.ID() != e.Part || len(p.Joints()) == 0 {
			continue
		}
		at := p.Joints()[0]
		if pump, ok := p.(network.Pump); ok {
			at = pump.Sense
		}
		const little = 0.01 // s
		before, err := rec.At(secs(max(0, e.At-little)))
		require.NoError(t, err)
		now, err := rec.At(secs(max(0, e.At-1e-6)))
		require.NoError(t, err)
		a, _ := before.Pressure(at)
		b, _ := now.Pressure(at)
		change = math.Abs(float64(b-a)) * 1e-3 / little
		return change, fmt.Sprintf("pressure there changes by %.2g Pa in a millisecond", change)
	}
	return math.Inf(1), "no pressure is waited for"
}

// differs says where the events of two records of one simulation first part, and by which
// event of the second.
func differs(rec, fine *sim.Record) (string, sim.Event) {
	type kind struct {
		part string
		what sim.What
	}
	times := func(r *sim.Record) map[kind][]float64 {
		by := map[kind][]float64{}
		for _, e := range r.Events {
			by[kind{e.Part, e.What}] = append(by[kind{e.Part, e.What}], e.At)
		}
		return by
	}
	a, b := times(rec), times(fine)
	for _, e := range append(slices.Clone(fine.Events), rec.Events...) {
		k := kind{e.Part, e.What}
		if len(a[k]) != len(b[k]) {
			return fmt.Sprintf("%s %v %d times, %d when Fine", k.part, k.what, len(a[k]), len(b[k])), e
		}
		for i, at := range b[k] {
			if d := math.Abs(a[k][i] - at); d > math.Max(1e-3, 1e-6*at) {
				e.At = at
				return fmt.Sprintf("%s %v at %.9g s, %.9g when Fine", k.part, k.what, a[k][i], at), e
			}
		}
	}
	return "", sim.Event{}
}
