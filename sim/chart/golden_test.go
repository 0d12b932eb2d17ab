package chart

import (
	"bytes"
	"flag"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
)

var update = flag.Bool("update", false, "write the golden files")

// The pictures, byte for byte: a phone wide in US units, and a page wide in
// metric.
func TestGolden(t *testing.T) {
	all := samples()
	for _, name := range slices.Sorted(maps.Keys(all)) {
		for _, as := range []struct {
			width float64
			sys   unit.System
		}{{0, unit.US}, {720, unit.Metric}} {
			var got, again bytes.Buffer
			f := Figure{Picture: all[name], Width: as.width}
			require.NoError(t, f.SVG(&got, as.sys, "p"), name)
			require.NoError(t, f.SVG(&again, as.sys, "p"), name)
			require.Equal(t, got.Bytes(), again.Bytes(), "the same data give the same bytes")
			golden := filepath.Join("testdata", fmt.Sprintf("%s-%s.svg", name, as.sys))
			if *update {
				require.NoError(t, os.MkdirAll("testdata", 0o755))
				require.NoError(t, os.WriteFile(golden, got.Bytes(), 0o644))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			assert.Equal(t, string(want), got.String(), "%s: run go test ./sim/chart -update, and look at it", name)
		}
	}
}
