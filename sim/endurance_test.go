package sim_test

import (
	"flag"
	"math"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim"
)

var endurance = flag.Duration("endurance", 100_000*time.Second, "simulated time of the endurance test")

// Cycling without an end, resumed hour after hour: the account of all the hours
// closes as that of one does, what the last hour's cycles are is what the first's
// were, and no memory is gathered. Ten million seconds take a minute:
//
//	go test ./sim -run Endurance -endurance 10000000s -v
func TestEndurance(t *testing.T) {
	rig, err := rigfile.Read("../testdata/rigs/bench30.rig.toml")
	require.NoError(t, err)
	m, err := sim.Compile(rig)
	require.NoError(t, err)
	seep, err := rig.Fault("fill valve: 55 mL/min at 45 psi, orifice")
	require.NoError(t, err)
	faults := network.Faults{seep}
	for _, tt := range []struct {
		name    string
		without sim.Layers
	}{{"layers=on", 0}, {"layers=off", sim.Following | sim.Gliding}} {
		t.Run(tt.name, func(t *testing.T) {
			hours := int(*endurance / time.Hour)
			require.Greater(t, hours, 10)
			began := time.Now()
			opts := sim.Options{Until: time.Hour, Without: tt.without}
			run, err := m.Begin(nil, faults, opts)
			require.NoError(t, err)
			var total sim.Ledger
			var early uint64 // bytes in use after a tenth
			starts, first, last := 0, 0.0, 0.0
			for h := range hours {
				for done := false; !done; {
					done, err = run.Advance(10_000)
					require.NoError(t, err)
				}
				rec := run.Record()
				total = total.Add(rec.Ledger)
				at := rec.Starts("pump")
				require.Greater(t, len(at), 2)
				starts += len(at)
				last = at[len(at)-1] - at[len(at)-2]
				if h == 0 {
					first = last
				}
				if h == hours/10 {
					early = inUse()
				}
				next, err := m.Resume(run, nil, faults, sim.Options{Until: time.Hour, Without: tt.without})
				require.NoError(t, err)
				run.Close()
				run = next
			}
			late := inUse()
			run.Close()
			t.Logf("%d h simulated in %v: %d starts, a cycle of %.6f s at first and %.6f s at last; closure %.2g of %.4g m³ moved; %d kB in use after a tenth, %d kB at the end",
				hours, time.Since(began).Round(time.Second), starts, first, last, total.Closure, total.Moved, early>>10, late>>10)
			assert.LessOrEqual(t, math.Abs(total.Closure), 1e-9*total.Moved)
			assert.InEpsilon(t, first, last, 1e-6, "the water goes round, so no cycle differs from another")
			assert.Less(t, late, early+1<<20, "bytes in use")
		})
	}
}

// inUse is what is left after everything let go has been taken away.
func inUse() uint64 {
	runtime.GC()
	runtime.GC()
	var s runtime.MemStats
	runtime.ReadMemStats(&s)
	return s.HeapAlloc
}
