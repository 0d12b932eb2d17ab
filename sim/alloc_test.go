//go:build !race

// The race detector makes pools forget at random.

package sim_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/sim"
)

// Nothing allocates per step: four times the steps allocate no more, but for the
// doubling of the record's few slices.
func TestNothingAllocatesPerStep(t *testing.T) {
	m, faults, opts := bench30(t)
	count := func(span time.Duration) (allocs float64, steps int) {
		o := opts
		o.Until, o.Without = span, sim.Leaping
		var rec *sim.Record
		allocs = testing.AllocsPerRun(3, func() { rec = simulate(t, m, nil, faults, o) })
		return allocs, rec.Effort.Steps
	}
	short, few := count(hour)
	long, many := count(4 * hour)
	require.Greater(t, many, 3*few)
	assert.LessOrEqual(t, long-short, 40.0, "%g and %g allocations in %d and %d steps", short, long, few, many)
	t.Logf("%g allocations in %d steps, %g in %d", short, few, long, many)
}
