package rigfile

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/network"
)

// What the comment on top of each rig says of it.
func TestRigsTeachWhatTheySay(t *testing.T) {
	const fill, head = "fill valve", "pump head valves"
	for _, tt := range []struct {
		rig, lineup string
		to          network.Destination
		want        []string // suspects on the ways there
	}{
		{"bench30", "", network.ToFreshTank, []string{fill, head}},
		{"twopath", "", network.ToFreshTank, []string{fill, head}},
		{"twopath", "suction shutoff=shut, hookup=on", network.ToFreshTank, []string{fill}},
		{"nosuction", "hookup=on, pump=off", network.ToFreshTank, []string{fill, head}},
		{"noaccumulator", "", network.ToFreshTank, []string{head}},
		{"bypass", "", network.ToGround, []string{"cold drain", "galley cold tap", "galley hot tap", "hot drain", "relief valve"}},
		{"twopumps", "", network.ToFreshTank, []string{"fill panel between house and tank fill", "fill panel between panel in and tank fill", head + " of the first pump", head + " of the second pump"}},
		{"twopumps", "", network.ToAppliance, []string{"icemaker"}},
		{"camper", "", network.ToGround, []string{"galley tap", "hand pump spout"}},
	} {
		t.Run(tt.rig+" "+tt.lineup, func(t *testing.T) {
			rig, err := Read(rigs + tt.rig + ".rig.toml")
			require.NoError(t, err)
			lineup, err := rig.Lineup(tt.lineup)
			require.NoError(t, err)
			var names []string
			for _, path := range rig.EscapePaths(lineup) {
				if path.To == tt.to {
					names = append(names, path.Suspect.Name)
				}
			}
			slices.Sort(names)
			assert.Equal(t, tt.want, slices.Compact(names))
		})
	}
	for name, parted := range map[string]bool{"twopath": true, "nosuction": false} {
		rig, err := Read(rigs + name + ".rig.toml")
		require.NoError(t, err)
		_, enough := rig.Isolators("pump")
		assert.Equal(t, parted, enough, "whether shutoffs part the pump from the rest of %s", name)
	}
}
