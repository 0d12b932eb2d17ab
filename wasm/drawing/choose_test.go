package drawing

import (
	"bytes"
	"fmt"
	"go/format"
	"maps"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What is remembered of the rigs of the house is what trying all comes to.
func TestChosen(t *testing.T) {
	rigs := house(t)
	var b bytes.Buffer
	b.WriteString("package drawing\n\n// chosen is written by go test ./wasm/drawing -run Chosen -update.\nvar chosen = [...]choice{\n")
	for _, name := range slices.Sorted(maps.Keys(rigs)) {
		p, err := Lay(rigs[name])
		require.NoError(t, err)
		for bucket := bucketOf(0); bucket <= bucketOf(100); bucket++ {
			want, c := p.choose(aspectOf(bucket))
			m := c.manner
			fmt.Fprintf(&b, "{%q, %d, manner{scale: %v, fold: %d, gap: %d, stretch: %v}, %t, %d, %d},\n", p.rig.Name(), bucket, m.scale, m.fold, m.gap, m.stretch, c.well, c.w, c.h)
			if *update {
				continue
			}
			got, ok := p.recall(bucket)
			if assert.True(t, ok, "%s, %d: not remembered; run go test ./wasm/drawing -run Chosen -update", name, bucket) {
				assert.Equal(t, want.ways, got.ways, "%s, %d: remembered otherwise; run go test ./wasm/drawing -run Chosen -update", name, bucket)
			}
		}
	}
	b.WriteString("}\n")
	if *update {
		code, err := format.Source(b.Bytes())
		require.NoError(t, err)
		require.NoError(t, os.WriteFile("chosen.go", code, 0o644))
	}
}
