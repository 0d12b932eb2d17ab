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

// A speed layer changes what a simulation costs and not what it says: the same events,
// each within its tolerance, with less effort than without it.
func TestLayersChangeNothingButTheEffort(t *testing.T) {
	seep := func(part string, n float64) network.Faults {
		return network.Faults{network.Seep{Part: part, Seep: hydraulics.Seep{Ref: 60 * unit.MillilitrePerMinute, At: 45 * unit.PSI, Exp: n}}}
	}
	cases := []struct {
		rig    string
		faults network.Faults
		until  time.Duration
	}{
		{"twopath", seep("fill valve", 0.5), 2 * time.Hour},
		{"bypass", seep("pump", 1), 2 * time.Hour},
		{"twopumps", seep("first pump", 1.5), 3 * time.Hour},
		{"nosuction", seep("pump", 0.5), 2 * time.Hour},
		{"noaccumulator", seep("pump", 0.5), 5 * time.Minute},
	}
	for _, c := range cases {
		rig, err := rigfile.Read("../testdata/rigs/" + c.rig + ".rig.toml")
		require.NoError(t, err)
		m, err := sim.Compile(rig)
		require.NoError(t, err)
		for _, tol := range []struct {
			is   sim.Tolerance
			most float64 // s
		}{{sim.Default, 1e-3}, {sim.Fine, 1e-5}} {
			with := func(without sim.Layers) *sim.Record {
				return simulate(t, m, nil, c.faults, sim.Options{Until: c.until, Tolerance: tol.is, Without: without})
			}
			all, solved, alone := with(0), with(sim.Gliding), with(sim.Following)
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
