package drawing

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/sim/chart"
	"quietpump/wasm/frame"
)

var update = flag.Bool("update", false, "write the golden files")

// The pictures, byte for byte: water slipping back through a fill valve, two taps
// open on a dark phone, and a camper for those who want nothing to move.
func TestGolden(t *testing.T) {
	for _, tt := range []struct {
		name, rig, lineup, fault string
		in                       frame.Box
		look                     frame.Look
	}{
		{"fill-valve-seeps", "twopath.rig.toml", "hookup=shut at spigot", fillSeeps, boxes["tablet"], frame.Look{}},
		{"taps-open-dark", "bypass.rig.toml", "galley cold tap=open, galley hot tap=open", "", boxes["phone upright"], frame.Look{Dark: true}},
		{"camper-calm", "camper.rig.toml", "galley tap=open", "", boxes["phone on side"], frame.Look{Calm: true, Units: unit.Metric}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p, rig := laid(t, tt.rig)
			v := state(t, rig, tt.lineup, tt.fault, 4*time.Second)
			d := chart.Drawing{Width: tt.in.X1, Height: tt.in.Y1, Title: rig.Name()}
			p.Still(&d, tt.in, tt.look, v)
			p.Moving(&d, tt.in, tt.look, noon, v)
			var got bytes.Buffer
			require.NoError(t, d.SVG(&got, tt.look.Theme(), "p"))
			golden := filepath.Join("testdata", tt.name+".svg")
			if *update {
				require.NoError(t, os.MkdirAll("testdata", 0o755))
				require.NoError(t, os.WriteFile(golden, got.Bytes(), 0o644))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			assert.True(t, bytes.Equal(want, got.Bytes()), "another picture: run go test ./wasm/drawing -update, and look at it")
		})
	}
}
