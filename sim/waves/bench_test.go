package waves

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quietpump/network"
	"quietpump/sim"
)

// galley is a run in which a tap of a rig of the house is shut in 50 ms.
func galley(t testing.TB, m *sim.Model) *Run {
	o := Options{Until: time.Minute, Rig: sim.Options{Start: sim.Start{Pumps: map[string]bool{"pump": true}}},
		Moves: []Move{{Over: 50 * time.Millisecond, Lineup: network.Lineup{"galley cold tap": network.Shut()}}}}
	r, err := Begin(m, network.Lineup{"galley cold tap": network.Open(1)}, nil, o)
	require.NoError(t, err)
	return r
}

func BenchmarkStep(b *testing.B) {
	m := house(b, "twopath")
	r := galley(b, m)
	spots := float64(len(r.field.spots))
	b.ReportAllocs()
	for b.Loop() {
		if r.Advance(1) {
			b.Fatal("over")
		}
	}
	b.ReportMetric(spots*float64(b.N)/b.Elapsed().Seconds(), "node-steps/s")
	b.ReportMetric(spots, "nodes")
}

// A step allocates nothing, with a move under way and after it.
func TestStepsAllocateNothing(t *testing.T) {
	r := galley(t, house(t, "twopath"))
	r.Advance(3) // the move has begun
	require.Zero(t, testing.AllocsPerRun(100, func() { r.Advance(1) }))
	for r.t < 0.06 {
		r.Advance(1)
	}
	require.Zero(t, testing.AllocsPerRun(200, func() { r.Advance(5) }))
}
