package chart

import (
	"cmp"
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/network"
)

func TestWatched(t *testing.T) {
	pump, rec := watchedRig(t, "fill valve: 55 mL/min at 45 psi, orifice")
	all, err := Watched(rec, pump, 0, 0)
	require.NoError(t, err)
	assert.Len(t, all.Runs, len(rec.Starts(pump.Name)))
	assert.InDelta(t, rec.Until, all.At[len(all.At)-1], 1e-9)
	assert.True(t, slices.IsSorted(all.At))
	// The instants of starts and stops are among those looked at, at the switch's pressures.
	for _, s := range []struct {
		at   []float64
		want float64
	}{{rec.Starts(pump.Name), float64(pump.CutIn)}, {rec.Stops(pump.Name), float64(pump.CutOut)}} {
		for _, at := range s.at {
			i, _ := slices.BinarySearchFunc(all.At, at-beside, func(a, b float64) int { return cmp.Compare(a, b-1e-8) })
			require.InDelta(t, at-beside, all.At[i], 1e-7, "just before %g s is looked at", at)
			assert.InEpsilon(t, s.want, float64(all.Pressure[i]), 1e-3)
			assert.InDelta(t, at+beside, all.At[i+1], 1e-7, "and just after")
		}
	}
	part, err := Watched(rec, pump, 4*time.Minute, 8*time.Minute)
	require.NoError(t, err)
	assert.Len(t, part.Runs, 1)
	assert.InDelta(t, 240, part.At[0], 1e-9)
	_, err = Watched(rec, pump, 8*time.Minute, 4*time.Minute)
	require.ErrorContains(t, err, "no stretch")
	pump.Hold = &network.HeldPressure{Start: 38e4, Set: 4e5}
	held, err := Watched(rec, pump, 0, time.Minute)
	require.NoError(t, err)
	assert.Equal(t, Switch{38e4, 4e5}, held.Switch)
}

func TestRunsPairStartsWithStops(t *testing.T) {
	inf := math.Inf(1)
	for _, tt := range []struct {
		starts, stops []float64
		begin, end    float64
		want          []Span
	}{
		{nil, nil, 0, 10, nil},
		{[]float64{2}, []float64{3}, 0, 10, []Span{{2, 3}}},
		{nil, []float64{3}, 0, 10, []Span{{0, 3}}},                                   // ran from before
		{[]float64{2, 8}, []float64{3}, 0, 10, []Span{{2, 3}, {8, 10}}},              // runs on
		{[]float64{2, 8}, []float64{1, 3, 9}, 0, 10, []Span{{0, 1}, {2, 3}, {8, 9}}}, // both
		{[]float64{2, 8}, []float64{3, 9}, 4, 7, nil},                                // between
		{[]float64{2}, nil, 0, inf, []Span{{2, inf}}},
	} {
		assert.Equal(t, tt.want, runs(tt.starts, tt.stops, tt.begin, tt.end))
	}
}

// Every role that a part can have under suspicion has a silhouette within its box.
func TestSilhouettes(t *testing.T) {
	for _, role := range []network.Role{
		network.PumpHeadValves, network.FillValve, network.InletCheck, network.OtherValve, network.Tap, network.ToiletValve,
		network.DrainValve, network.WornRelief, network.WornBreaker, network.ApplianceValve, network.WeepConnections,
	} {
		assert.Contains(t, shapes, string(role))
	}
	for name, pieces := range shapes {
		for _, p := range pieces {
			for _, q := range p.points {
				assert.True(t, q.X >= -0.5 && q.X <= 24.5 && q.Y >= -0.5 && q.Y <= 24.8, "%s: %v", name, q)
			}
		}
	}
}
