package main

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/sim/diagnose"
)

// Shards merge to the rows of one run, byte for byte.
func TestShardsMerge(t *testing.T) {
	if testing.Short() {
		t.Skip("plays whole cases")
	}
	dir := t.TempDir()
	const n = "2"
	var whole, parts, errs bytes.Buffer
	require.Zero(t, run([]string{"-n", n, "-seed", "6", "-looks=false"}, &whole, &errs), errs.String())
	for i := range 2 {
		require.Zero(t, run([]string{"-n", n, "-seed", "6", "-looks=false", "-shard", fmt.Sprintf("%d/2", i), "-rows", filepath.Join(dir, fmt.Sprintf("part%d.csv", i))}, &bytes.Buffer{}, &errs), errs.String())
	}
	require.Zero(t, run([]string{"-merge", filepath.Join(dir, "part*.csv")}, &parts, &errs), errs.String())
	assert.Equal(t, whole.String(), parts.String())
	assert.NotZero(t, run([]string{"-shard", "3/2"}, &parts, &errs))
	assert.NotZero(t, run([]string{"-merge", filepath.Join(dir, "nothing*")}, &parts, &errs))
}

// Twice the seep is half the rest, and what drains behind a shut valve does not start the pump.
func TestWater(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	for range 40 {
		c, err := newCoach(r, false)
		require.NoError(t, err)
		x := newTruth(r, c)
		x.at, x.sizes, x.cooling = []place{{part: "a tap"}}, []float64{20 * mlpm}, 0
		rest, run, starts := x.cycle(setting{}, 1e9)
		require.True(t, starts)
		assert.Positive(t, run)
		x.sizes[0] *= 2
		twice, _, _ := x.cycle(setting{}, 1e9)
		assert.InEpsilon(t, rest/2, twice, 1e-6)
		x.at[0].behind = "valve"
		_, _, starts = x.cycle(setting{shut: map[string]bool{"valve": true}}, 1e9)
		assert.False(t, starts)
	}
}

// Two taps are one class until one of them is looked at, and the truth is always of its own class.
func TestClass(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	for range 20 {
		c, err := newCoach(r, false)
		require.NoError(t, err)
		x := newTruth(r, c)
		i := slices.IndexFunc(c.places, func(p place) bool { return p.part == "galley tap" })
		x.kind, x.cause, x.at, x.sizes, x.cooling = "suspect", "", []place{c.places[i]}, []float64{20 * mlpm}, 0
		p := newPlayer(x, 1, true)
		same := p.class(x)
		assert.True(t, same["galley tap"])
		assert.True(t, same["toilet valve"])
		assert.False(t, same["healthy"])
		p.c.Readings = append(p.c.Readings, p.see("galley tap", diagnose.Drip, 1.5))
		same = p.class(x)
		assert.True(t, same["galley tap"])
		assert.False(t, same["toilet valve"])
	}
}

// The optimum's plan is no worse than remedies in their order, makes an end of it, and takes on truths of its kind what
// it expects on average.
func TestOptimum(t *testing.T) {
	if testing.Short() {
		t.Skip("plans a case")
	}
	r := rand.New(rand.NewPCG(9, 9))
	c, err := newCoach(r, true)
	require.NoError(t, err)
	x := newTruth(r, c)
	p := newPlayer(x, 1, true)
	for math.IsInf(p.rest, 1) {
		x = newTruth(r, c)
		p = newPlayer(x, 1, true)
	}
	b, err := p.believe(context.Background())
	require.NoError(t, err)
	o := newOptimum(p, b)
	require.NotNil(t, o)
	assert.InDelta(t, 1, sum(o.weights()), 1e-9)
	assert.Less(t, o.expected(), o.inOrder(state{}, 0, o.weights()))
	mean, square := 0.0, 0.0
	const n = 300
	for i, x := range o.others(n) {
		one := p.instead(x, uint64(i))
		o.play(one)
		assert.True(t, one.quiet())
		mean += one.minutes / n
		square += one.minutes * one.minutes / n
	}
	assert.InDelta(t, o.expected(), mean, 4*math.Sqrt((square-mean*mean)/n))
}

func BenchmarkCase(b *testing.B) {
	for i := 0; b.Loop(); i++ {
		if _, err := playCase(context.Background(), 1, i, true); err != nil {
			b.Fatal(err)
		}
	}
}
