package whatif_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim/internal/rigs"
)

func read(tb testing.TB, name string) *network.Rig {
	tb.Helper()
	rig, err := rigfile.Read("../../testdata/rigs/" + name + ".rig.toml")
	require.NoError(tb, err)
	return rig
}

// coach is the two-path coach and a film of its fill valve.
func coach(tb testing.TB) (*network.Rig, network.Faults) {
	return read(tb, "twopath"), network.Faults{network.Seep{Part: "fill valve",
		Seep: hydraulics.Seep{Ref: 30 * unit.MillilitrePerMinute, At: 37.5 * unit.PSI, Exp: 1}}}
}

func ideal(tb testing.TB, s rigs.Ideal, tolerances ...network.Item) *network.Rig {
	tb.Helper()
	rig, err := s.Rig(tolerances...)
	require.NoError(tb, err)
	return rig
}
