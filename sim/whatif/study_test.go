package whatif_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"os"
	"os/exec"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/internal/cputime"
	"quietpump/sim/internal/rigs"
	"quietpump/sim/whatif"
)

// Twice the store rests twice as long, twice the seep half as long: exact, for all
// other numbers of the ideal rig stay.
func TestSweepClosedForm(t *testing.T) {
	s := whatif.Study{Rig: ideal(t, rigs.SetA), Faults: network.Faults{rigs.Film(1e-12)}}
	volumes, seeps := []float64{0.3e-3, 0.71e-3, 2e-3}, []float64{1e-8, 1e-7, 4e-7}
	table, err := s.Sweep(context.Background(),
		whatif.Axis{Part: "accumulator", Field: "volume", Values: volumes},
		whatif.Axis{Part: "line", Field: whatif.Seep, Values: seeps})
	require.NoError(t, err)
	require.Len(t, table.Rows, 9)
	for i, r := range table.Rows {
		require.Empty(t, r.Why)
		assert.Equal(t, i, r.Index)
		assert.Equal(t, []float64{volumes[i/3], seeps[i%3]}, r.Values, "the second axis runs fastest")
		set := rigs.SetA
		set.Volume = volumes[i/3]
		assert.InEpsilon(t, set.RestBy(seeps[i%3]/1e5), r.Rest, 1e-4)
		assert.InEpsilon(t, set.Drawdown(), r.Stored, 1e-5)
	}
}

// A gauge precharge shifts with altitude, warm water is thinner, and what cannot be says so in its row.
func TestSweepOptionsAndRefusals(t *testing.T) {
	rig, faults := coach(t)
	s := whatif.Study{Rig: rig, Faults: faults}
	table, err := s.Sweep(context.Background(), whatif.Axis{Field: whatif.Altitude, Values: []float64{0, 3000}})
	require.NoError(t, err)
	assert.NotEqual(t, table.Rows[0].Rest, table.Rows[1].Rest)

	table, err = s.Sweep(context.Background(), whatif.Axis{Field: whatif.Water, Values: []float64{280, 300, 400}})
	require.NoError(t, err)
	assert.Empty(t, table.Rows[0].Why)
	assert.Contains(t, table.Rows[2].Why, "0 to 90 °C")

	table, err = s.Sweep(context.Background(), whatif.Axis{Part: "pump", Field: "cut_in", Values: []float64{float64(25 * unit.PSI), float64(50 * unit.PSI)}})
	require.NoError(t, err)
	assert.Empty(t, table.Rows[0].Why)
	assert.Contains(t, table.Rows[1].Why, "above cut-out")

	for _, tt := range []struct {
		says string
		axes []whatif.Axis
	}{
		{"one or two", nil},
		{"no values", []whatif.Axis{{Part: "pump", Field: "cut_in"}}},
		{"no part or joint", []whatif.Axis{{Part: "pomp", Field: "cut_in", Values: []float64{1}}}},
		{"has no number", []whatif.Axis{{Part: "pump", Field: "cutin", Values: []float64{1}}}},
		{"nothing seeps", []whatif.Axis{{Part: "pump", Field: whatif.Seep, Values: []float64{1}}}},
		{"is no number", []whatif.Axis{{Field: whatif.Altitude, Values: []float64{math.NaN()}}}},
	} {
		_, err := s.Sweep(context.Background(), tt.axes...)
		assert.ErrorContains(t, err, tt.says)
	}
	_, err = whatif.Study{}.Sweep(context.Background())
	assert.ErrorContains(t, err, "no rig")
	_, err = s.Ensemble(context.Background(), whatif.Draws{Count: -1})
	assert.ErrorContains(t, err, "-1 rigs")
	s.Faults = network.Faults{network.Seep{Part: "nowhere"}}
	_, err = s.Ensemble(context.Background(), whatif.Draws{Count: 3})
	assert.ErrorContains(t, err, "nowhere")
}

const draws = 96

func ensemble(tb testing.TB, b whatif.Batch) *whatif.Table {
	tb.Helper()
	rig, faults := coach(tb)
	table, err := whatif.Study{Rig: rig, Faults: faults, Batch: b}.Ensemble(context.Background(), whatif.Draws{Count: draws, Seed: 7})
	require.NoError(tb, err)
	return table
}

func jsonOf(tb testing.TB, table *whatif.Table) string {
	tb.Helper()
	var b bytes.Buffer
	require.NoError(tb, table.WriteJSON(&b))
	return b.String()
}

// One seed gives one table, byte for byte, whatever the number of cores.
func TestSameBytesOnAnyCores(t *testing.T) {
	one := jsonOf(t, ensemble(t, whatif.Batch{Cores: 1}))
	for _, cores := range []int{2, 7} {
		assert.Equal(t, one, jsonOf(t, ensemble(t, whatif.Batch{Cores: cores})), "%d cores", cores)
	}
}

// A shard's rows computed by a process of its own merge into the table of one.
func TestShardsInProcesses(t *testing.T) {
	const shards = 3
	if text := os.Getenv("WHATIF_SHARD"); text != "" { // this is such a process
		shard, err := whatif.ParseShard(text)
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(os.Getenv("WHATIF_OUT"), []byte(jsonOf(t, ensemble(t, whatif.Batch{Shard: shard}))), 0o600))
		return
	}
	dir := t.TempDir()
	var parts []*whatif.Table
	for i := range shards {
		out := fmt.Sprintf("%s/%d.jsonl", dir, i)
		process := exec.Command(os.Args[0], "-test.run=^TestShardsInProcesses$")
		process.Env = append(os.Environ(), fmt.Sprintf("WHATIF_SHARD=%d/%d", i, shards), "WHATIF_OUT="+out)
		said, err := process.CombinedOutput()
		require.NoError(t, err, string(said))
		f, err := os.Open(out)
		require.NoError(t, err)
		part, err := whatif.ReadJSON(f)
		f.Close()
		require.NoError(t, err)
		require.Len(t, part.Rows, draws/shards)
		parts = append([]*whatif.Table{part}, parts...) // any order will do
	}
	whole := ensemble(t, whatif.Batch{})
	merged, err := whatif.Merge(parts...)
	require.NoError(t, err)
	assert.Equal(t, jsonOf(t, whole), jsonOf(t, merged))

	_, err = whatif.Merge(parts[:2]...)
	assert.ErrorContains(t, err, "row 0 is missing")
	_, err = whatif.Merge(append(parts, parts[0])...)
	assert.ErrorContains(t, err, "twice")
	parts[1].Seed++
	_, err = whatif.Merge(parts...)
	assert.ErrorContains(t, err, "another study")
	_, err = whatif.Merge()
	assert.ErrorContains(t, err, "no tables")
}

// Cancelled half way, it returns the rows it has and says how far it came.
func TestCancel(t *testing.T) {
	rig, faults := coach(t)
	ctx, cancel := context.WithCancel(context.Background())
	last := 0
	table, err := whatif.Study{Rig: rig, Faults: faults, Batch: whatif.Batch{Progress: func(done, of int) {
		assert.Equal(t, last+1, done)
		assert.Equal(t, 1000, of)
		if last = done; done == 10 {
			cancel()
		}
	}}}.Ensemble(ctx, whatif.Draws{Count: 1000})
	assert.ErrorIs(t, err, context.Canceled)
	assert.ErrorContains(t, err, fmt.Sprintf("%d of 1000", last))
	assert.Len(t, table.Rows, last)
	assert.GreaterOrEqual(t, last, 10)
	assert.Less(t, last, 1000)
}

// A rest beyond what is waited for is a row with a reason.
func TestNoStartIsARow(t *testing.T) {
	rig, faults := coach(t)
	table, err := whatif.Study{Rig: rig, Faults: faults, Rest: time.Second}.Ensemble(context.Background(), whatif.Draws{Count: 2})
	require.NoError(t, err)
	require.Len(t, table.Rows, 2)
	assert.Contains(t, table.Rows[0].Why, "does not start")
	_, ok := table.Rows[0].Of(whatif.Rest)
	assert.False(t, ok)
	assert.True(t, math.IsNaN(table.Quantiles(whatif.Rest, 0.5)[0]))
}

// BenchmarkEnsemble draws rigs on one core and on two in turn: the speed-up by the clock, by the best times, and as far
// as it can come by what both take of the processor; what a rig allocates, simulation and all.
func BenchmarkEnsemble(b *testing.B) {
	rig, faults := coach(b)
	const rigs = 64
	draw := func(cores int) (took, used time.Duration) {
		began, before := time.Now(), cputime.Used()
		_, err := whatif.Study{Rig: rig, Faults: faults, Batch: whatif.Batch{Cores: cores}}.Ensemble(context.Background(), whatif.Draws{Count: rigs})
		require.NoError(b, err)
		return time.Since(began), cputime.Used() - before
	}
	draw(1)
	var took, used [3]time.Duration // by cores
	var best [3]time.Duration
	b.ReportAllocs()
	for b.Loop() {
		for cores := 1; cores <= 2; cores++ { // in turn: a busy machine slows both
			t, u := draw(cores)
			took[cores] += t
			used[cores] += u
			if best[cores] == 0 || t < best[cores] {
				best[cores] = t
			}
		}
	}
	n := float64(b.N)
	b.ReportMetric(rigs*n/used[1].Seconds(), "rigs/cpu-s")
	b.ReportMetric(took[1].Seconds()/took[2].Seconds(), "speed-up")
	b.ReportMetric(best[1].Seconds()/best[2].Seconds(), "best-speed-up")
	b.ReportMetric(2*used[1].Seconds()/used[2].Seconds(), "speed-up-by-cpu")
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	draw(1)
	runtime.ReadMemStats(&after)
	b.ReportMetric(float64(after.Mallocs-before.Mallocs)/rigs, "allocs/rig")
	b.ReportMetric(float64(after.TotalAlloc-before.TotalAlloc)/rigs, "B/rig")
}

// Each column of the scores has one score in each of n equal parts of the normal
// distribution, and further columns leave it as it is.
func TestScores(t *testing.T) {
	few, more := whatif.Scores(50, 2, 3), whatif.Scores(50, 5, 3)
	for k := range 2 {
		seen := map[int]bool{}
		for i := range 50 {
			assert.Equal(t, few.At(i, k), more.At(i, k))
			seen[int(50*normalCDF(few.At(i, k)))] = true
		}
		assert.Len(t, seen, 50)
	}
}
