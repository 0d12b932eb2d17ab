package drawing

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/network"
)

// What a rig tells to be farther back stands farther from the nose, in every box.
func TestStandsWhereTheRigSays(t *testing.T) {
	told := 0
	for name, rig := range house(t) {
		p, err := Lay(rig)
		require.NoError(t, err)
		if p.g.along == nil {
			continue
		}
		told++
		for size, in := range boxes {
			pic := p.picture(in)
			assert.Zero(t, pic.l.astray, "%s, %s", name, size)
			for _, a := range rig.Joints() {
				for _, b := range rig.Joints() {
					at, ok := pic.joints[a.Name]
					to, too := pic.joints[b.Name]
					i, bar := p.g.at[a.Name]
					k, too2 := p.g.at[b.Name]
					if a.Along == 0 || b.Along == 0 || !ok || !too || !bar || !too2 || i == k || a.Along < b.Along+0.15 {
						continue
					}
					// The plan is seen from the other side: its left is the back.
					assert.LessOrEqual(t, at.X, to.X, "%s, %s: %s and %s", name, size, a.Name, b.Name)
					if a.Along > b.Along+0.8 {
						assert.Less(t, at.X, to.X, "%s, %s: %s and %s", name, size, a.Name, b.Name)
					}
				}
			}
		}
	}
	assert.GreaterOrEqual(t, told, 1)
}

// One joint that is told is enough; the others gather round it, and nothing else that
// holds of a picture is given up.
func TestOneTold(t *testing.T) {
	rig, err := network.New("one told", network.Tank{Name: "tank", Ports: []string{"out"}}, network.Pump{Name: "pump", From: "out", To: "a"},
		network.Tube{Name: "line", From: "a", To: "b"}, network.Fixture{Name: "tap", At: "b"}, network.Accumulator{Name: "accumulator", At: "a"},
		network.Joint{Name: "b", Untold: true, Along: 0.5})
	require.NoError(t, err)
	p, err := Lay(rig)
	require.NoError(t, err)
	for _, in := range boxes {
		holds(t, p, in, View{})
	}
}
