package sim_test

import (
	"context"
	"encoding/json"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
)

func seeping() network.Faults { return network.Faults{orifice("fill valve", 9e-7)} }

// digest is a record as bytes.
func digest(tb testing.TB, rec *sim.Record) string {
	tb.Helper()
	text, err := json.Marshal(struct {
		Until    float64
		Events   []sim.Event
		Ledger   sim.Ledger
		Warnings []sim.Warning
		Effort   sim.Effort
	}{rec.Until, rec.Events, rec.Ledger, rec.Warnings, rec.Effort})
	require.NoError(tb, err)
	return string(text)
}

// A simulation advanced in slices of any size is the simulation, byte for byte.
func TestSlicesChangeNothing(t *testing.T) {
	m := compile(t, camper()...)
	opts := sim.Options{Until: 20 * time.Minute, Samples: []time.Duration{time.Minute}}
	want := digest(t, simulate(t, m, nil, seeping(), opts))
	for _, size := range []int{1, 3, 17} {
		r, err := m.Begin(nil, seeping(), opts)
		require.NoError(t, err)
		for done := false; !done; {
			done, err = r.Advance(size)
			require.NoError(t, err)
		}
		require.Equal(t, want, digest(t, r.Record()), "slices of %d", size)
		r.Close()
		require.Equal(t, want, digest(t, r.Record()), "after Close")
	}
}

// A record looked at on the way has at the end the ledger of the whole.
func TestLedgerAfterALook(t *testing.T) {
	m := compile(t, camper()...)
	opts := sim.Options{Until: 20 * time.Minute}
	whole := simulate(t, m, nil, seeping(), opts)
	r, err := m.Begin(nil, seeping(), opts)
	require.NoError(t, err)
	defer r.Close()
	r.Record()
	for done := false; !done; {
		done, err = r.Advance(100)
		require.NoError(t, err)
	}
	require.Greater(t, whole.Ledger.Moved, 0.0)
	assert.InEpsilon(t, whole.Ledger.Moved, r.Record().Ledger.Moved, 1e-12)
}

// One model serves many goroutines, each with the same answer (run with -race).
func TestOneModelManyGoroutines(t *testing.T) {
	m := compile(t, camper()...)
	opts := sim.Options{Until: 10 * time.Minute}
	want := digest(t, simulate(t, m, nil, seeping(), opts))
	var wg sync.WaitGroup
	for i := range 8 {
		wg.Go(func() {
			for range 3 {
				if i%2 == 0 {
					other := network.Lineup{"tap": network.Open(0.1 * float64(i+1))}
					if _, err := m.Simulate(context.Background(), other, nil, sim.Options{Until: time.Minute}); err != nil {
						t.Error(err)
					}
				}
				rec, err := m.Simulate(context.Background(), nil, seeping(), opts)
				if err != nil || digest(t, rec) != want {
					t.Errorf("another answer, %v", err)
				}
			}
		})
	}
	wg.Wait()
}

// What was simulated before a context ended is returned with its error.
func TestCancelled(t *testing.T) {
	m := compile(t, camper()...)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	rec, err := m.Simulate(ctx, nil, seeping(), sim.Options{Until: 1000 * hour})
	require.ErrorIs(t, err, context.Canceled)
	require.NotNil(t, rec)
	assert.Positive(t, rec.Until)
	assert.Less(t, rec.Until, (1000 * hour).Seconds())
	assert.InDelta(t, 0, rec.Ledger.Closure, 1e-12*rec.Ledger.Moved)
	_, err = rec.At(secs(rec.Until / 2))
	assert.NoError(t, err)
	_, err = rec.At(1000 * hour)
	assert.Error(t, err)
}

func TestTooManySteps(t *testing.T) {
	m := compile(t, camper()...)
	rec, err := m.Simulate(context.Background(), nil, seeping(), sim.Options{Until: 1000 * hour, MaxSteps: 100})
	require.ErrorIs(t, err, sim.ErrTooLong)
	require.LessOrEqual(t, rec.Effort.Steps, 120)
}

// A sample is what At tells of the same time, and At agrees with the events.
func TestSamplesAndAtAgree(t *testing.T) {
	m := compile(t, camper()...)
	opts := sim.Options{Until: 20 * time.Minute}
	for s := 1; s < 1200; s += 37 {
		opts.Samples = append(opts.Samples, time.Duration(s)*time.Second)
	}
	rec := simulate(t, m, nil, seeping(), opts)
	require.Len(t, rec.Samples, len(opts.Samples))
	plain := simulate(t, m, nil, seeping(), sim.Options{Until: 20 * time.Minute})
	for i := range rec.Samples {
		s := &rec.Samples[i]
		a, err := rec.At(opts.Samples[i])
		require.NoError(t, err)
		require.InDelta(t, pressure(t, s, "line"), pressure(t, &a, "line"), 1e-3)
		b, err := plain.At(opts.Samples[i])
		require.NoError(t, err)
		require.InDelta(t, pressure(t, s, "line"), pressure(t, &b, "line"), 10)
	}
	for _, at := range plain.Starts("pump") {
		s, err := plain.At(secs(at) - time.Microsecond)
		require.NoError(t, err)
		require.InDelta(t, float64(30*unit.PSI), pressure(t, &s, "line"), 1)
	}
}
