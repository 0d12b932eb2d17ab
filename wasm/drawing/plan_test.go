package drawing

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/testdata/rigs"
	"quietpump/wasm/frame"
)

// house are the rigs of the house.
func house(t testing.TB) map[string]*network.Rig {
	files, err := rigs.Files.ReadDir(".")
	require.NoError(t, err)
	all := map[string]*network.Rig{}
	for _, f := range files {
		data, err := rigs.Files.ReadFile(f.Name())
		require.NoError(t, err)
		rig, err := rigfile.Parse(f.Name(), data)
		require.NoError(t, err)
		all[f.Name()] = rig
	}
	return all
}

var boxes = map[string]frame.Box{
	"phone upright": {X1: 390, Y1: 250},
	"phone on side": {X1: 480, Y1: 390},
	"tablet":        {X1: 768, Y1: 520},
	"desk":          {X0: 400, X1: 1440, Y0: 20, Y1: 560},
	"large":         {X0: 400, X1: 2560, Y1: 1000},
}

func TestFindFindsEveryPart(t *testing.T) {
	for name, rig := range house(t) {
		p, err := Lay(rig)
		require.NoError(t, err)
		for size, in := range boxes {
			for _, part := range rig.Parts() {
				at, ok := p.Where(part.ID(), in)
				require.True(t, ok, "%s, %s: %s is not in the picture", name, size, part.ID())
				found, _ := p.Find((at.X0+at.X1)/2, (at.Y0+at.Y1)/2, in)
				assert.Equal(t, part.ID(), found, "%s, %s", name, size)
			}
		}
	}
}
