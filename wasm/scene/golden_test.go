package scene_test

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/sim/chart"
	"quietpump/testdata/rigs"
	"quietpump/wasm/frame"
)

var update = flag.Bool("update", false, "write the golden files")

// picture is a frame as a file, without what the margin notes cover.
func (p *player) picture(t *testing.T, title string) []byte {
	t.Helper()
	free := p.f.Free
	d := chart.Drawing{Width: free.Wide(), Height: free.High(), Title: title}
	for _, marks := range [][]chart.Mark{p.f.Still.Marks, p.f.Moving.Marks} {
		for _, m := range marks {
			switch m := m.(type) {
			case chart.Label:
				m.At.X, m.At.Y = m.At.X-free.X0, m.At.Y-free.Y0
				d.Add(m)
			case chart.Shape:
				at := make([]chart.Point, len(m.Points))
				for i, q := range m.Points {
					at[i] = chart.Point{X: q.X - free.X0, Y: q.Y - free.Y0}
				}
				m.Points = at
				d.Add(m)
			}
		}
	}
	var b bytes.Buffer
	require.NoError(t, d.SVG(&b, p.f.Look.Theme(), "s"))
	return b.Bytes()
}

// The same clock gives the same picture: a seep that makes the pump start, on a desk;
// a tap that runs, on a phone in the dark; a trailer at rest for those who want
// nothing to move.
func TestGolden(t *testing.T) {
	for _, tt := range []struct {
		name, rig, fault, tap string
		size                  int
		look                  frame.Look
		rate                  float64
		seconds               int
	}{
		{"seep-on-a-desk", "twopath", "fill valve: 120 mL/min at 45 psi", "", 3, frame.Look{}, 20, 20},
		{"tap-on-a-phone", "bypass", "", "galley cold tap", 0, frame.Look{Dark: true, Units: unit.Metric}, 1, 6},
		{"calm-on-its-side", "nosuction", "fill valve: 120 mL/min at 45 psi", "", 1, frame.Look{Calm: true}, 20, 10},
	} {
		t.Run(tt.name, func(t *testing.T) {
			l := house(t, tt.rig, tt.fault)
			size := sizes[tt.size]
			p := play(l, size.paper, size.free, tt.look)
			l.SetRate(tt.rate)
			if tt.tap != "" {
				lineup, err := l.Rig().Lineup(tt.tap + "=open")
				require.NoError(t, err)
				require.NoError(t, l.Turn(lineup))
			}
			p.frames(30 * tt.seconds)
			got := p.picture(t, l.Rig().Name())
			assert.Less(t, len(got), 120_000)
			golden := filepath.Join("testdata", tt.name+".svg")
			if *update {
				require.NoError(t, os.MkdirAll("testdata", 0o755))
				require.NoError(t, os.WriteFile(golden, got, 0o644))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			assert.True(t, bytes.Equal(want, got), "another picture: run go test ./wasm/scene -update, and look at it")
		})
	}
}

// In every picture of every rig of the house no words overlap others, none leave the
// picture, and none are under 12 px.
func TestWordsOfTheHouse(t *testing.T) {
	files, err := rigs.Files.ReadDir(".")
	require.NoError(t, err)
	for _, file := range files {
		name := file.Name()[:len(file.Name())-len(".rig.toml")]
		for _, size := range sizes {
			l := house(t, name, "")
			p := play(l, size.paper, size.free, frame.Look{})
			p.frames(2)
			var labels []frame.Box
			for _, marks := range [][]chart.Mark{p.f.Still.Marks, p.f.Moving.Marks} {
				for _, m := range marks {
					s, ok := m.(chart.Label)
					if !ok {
						continue
					}
					b := box(s)
					assert.GreaterOrEqual(t, s.Size, 12.0, s.Text)
					assert.True(t, b.X0 >= size.free.X0 && b.X1 <= size.free.X1 && b.Y0 >= size.free.Y0 && b.Y1 <= size.free.Y1, "%s, %s: %q leaves the picture", name, size.name, s.Text)
					for _, o := range labels {
						assert.False(t, b.X0 < o.X1 && o.X0 < b.X1 && b.Y0 < o.Y1 && o.Y0 < b.Y1, "%s, %s: %q lies over another", name, size.name, s.Text)
					}
					labels = append(labels, b)
				}
			}
		}
	}
}
