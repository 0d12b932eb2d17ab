package drawing

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/wasm/frame"
)

// Nearly all parts are named, and a name lies over a tube only where a large picture
// has no other room for it, or the pump's would have none at all.
func TestNamesAreThereAndClear(t *testing.T) {
	least := map[string]float64{"phone upright": 0.55, "phone on side": 0.7, "tablet": 0.95, "desk": 1, "large": 1}
	rigs := house(t)
	for size, in := range boxes {
		names, over, parts := 0, 0, 0
		for name, rig := range rigs {
			p, err := Lay(rig)
			require.NoError(t, err)
			pic := p.picture(in)
			p.name(pic, frame.Look{}, state(t, rig, "", "", 0))
			for _, part := range rig.Parts() {
				if part.Kind() != "tube" {
					parts++
				}
			}
			names += len(pic.words.names)
			for _, n := range pic.words.names {
				if n.over {
					over++
					t.Logf("%s, %s: %s lies over a tube", name, size, n.text.Text)
				}
			}
		}
		t.Logf("%s: %d parts, %d named, %d over a tube", size, parts, names, over)
		assert.GreaterOrEqual(t, float64(names), least[size]*float64(parts), size)
		assert.LessOrEqual(t, over, 3, size)
	}
}
