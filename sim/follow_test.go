package sim

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// Steps that follow how their mode went the time before change what a simulation
// costs and not what it says.
func TestFollowingChangesNothingButTheEffort(t *testing.T) {
	rig, err := network.New("camper",
		network.Tank{Name: "fresh tank", Ports: []string{"tank out", "tank fill"}, Capacity: 40 * unit.USGallon},
		network.Pump{Name: "pump", From: "tank out", To: "manifold", CutIn: 30 * unit.PSI, CutOut: 45 * unit.PSI},
		network.Accumulator{Name: "accumulator", At: "manifold", Volume: 0.75 * unit.Litre, Precharge: 27 * unit.PSI},
		network.Shutoff{Name: "fill valve", From: "manifold", To: "tank fill", Shut: true},
		network.Tube{Name: "galley line", From: "manifold", To: "galley", Length: 12 * unit.Foot},
		network.Fixture{Name: "galley tap", At: "galley"},
	)
	require.NoError(t, err)
	m, err := Compile(rig)
	require.NoError(t, err)
	faults := network.Faults{network.Seep{Part: "fill valve", Seep: hydraulics.Seep{Ref: 60 * unit.MillilitrePerMinute, At: 45 * unit.PSI}}}
	for _, tol := range []struct {
		is   Tolerance
		most float64 // s
	}{{Default, 1e-3}, {Fine, 1e-5}} {
		simulate := func(alone bool) *Record {
			r, err := m.Begin(nil, faults, Options{Until: 2 * time.Hour, Tolerance: tol.is})
			require.NoError(t, err)
			defer r.Close()
			r.work.Alone = alone
			defer func() { r.work.Alone = false }()
			for done := false; !done; {
				done, err = r.Advance(1000)
				require.NoError(t, err)
			}
			return r.Record()
		}
		follows, alone := simulate(false), simulate(true)
		require.Len(t, follows.Events, len(alone.Events))
		require.Greater(t, len(alone.Events), 10)
		for i, e := range alone.Events {
			assert.Equal(t, e.Part, follows.Events[i].Part)
			assert.Equal(t, e.What, follows.Events[i].What)
			assert.InDelta(t, e.At, follows.Events[i].At, tol.most)
		}
		assert.Less(t, follows.Effort.Newton, alone.Effort.Newton)
	}
}
