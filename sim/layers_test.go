package sim_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim"
)

// seepingRigs cycle in several ways.
var seepingRigs = []struct {
	rig    string
	faults network.Faults
	until  time.Duration
}{
	{"twopath", oneSeep("fill valve", 0.5), 2 * time.Hour},
	{"bypass", oneSeep("pump", 1), 2 * time.Hour},
	{"twopumps", oneSeep("first pump", 1.5), 3 * time.Hour},
	{"nosuction", oneSeep("pump", 0.5), 2 * time.Hour},
	{"noaccumulator", oneSeep("pump", 0.5), 5 * time.Minute},
}

func oneSeep(part string, n float64) network.Faults {
	return network.Faults{network.Seep{Part: part, Seep: hydraulics.Seep{Ref: 60 * unit.MillilitrePerMinute, At: 45 * unit.PSI, Exp: n}}}
}

// compileFile compiles a rig of testdata.
func compileFile(tb testing.TB, name string) *sim.Model {
	tb.Helper()
	rig, err := rigfile.Read("../testdata/rigs/" + name + ".rig.toml")
	require.NoError(tb, err)
	m, err := sim.Compile(rig)
	require.NoError(tb, err)
	return m
}

// A speed layer changes what a simulation costs and not what it says: the same events,
// each within its tolerance, with less effort than without it.
func TestLayersChangeNothingButTheEffort(t *testing.T) {
	for _, c := range seepingRigs {
		m := compileFile(t, c.rig)
		for _, tol := range []struct {
			is   sim.Tolerance
			most float64 // s
		}{{sim.Default, 1e-3}, {sim.Fine, 1e-5}} {
			with := func(without sim.Layers) *sim.Record {
				return simulate(t, m, nil, c.faults, sim.Options{Until: c.until, Tolerance: tol.is, Without: without})
			}
			all, solved, alone := with(sim.Leaping), with(sim.Leaping|sim.Gliding), with(sim.Leaping|sim.Gliding|sim.Following)
			require.Greater(t, len(alone.Events), 10)
			for _, rec := range []*sim.Record{all, solved} {
				require.Len(t, rec.Events, len(alone.Events), c.rig)
				for i, e := range alone.Events {
					assert.Equal(t, e.Part, rec.Events[i].Part)
					assert.Equal(t, e.What, rec.Events[i].What)
					assert.InDelta(t, e.At, rec.Events[i].At, tol.most, c.rig)
				}
				assert.InDelta(t, 0, rec.Ledger.Closure, 1e-9*rec.Ledger.Moved)
			}
			assert.Less(t, solved.Effort.Newton, alone.Effort.Newton, c.rig)
			assert.LessOrEqual(t, all.Effort.Newton, solved.Effort.Newton, c.rig)
			assert.Zero(t, solved.Effort.Glides+alone.Effort.Glides)
			t.Logf("%s, %v: steps %d, %d, %d; iterations %d, %d, %d; glides %d", c.rig, tol.is, alone.Effort.Steps, solved.Effort.Steps, all.Effort.Steps, alone.Effort.Newton, solved.Effort.Newton, all.Effort.Newton, all.Effort.Glides)
		}
	}
}
