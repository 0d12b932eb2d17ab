package drawing

import (
	"fmt"
	"maps"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
	"quietpump/sim/chart"
	"quietpump/wasm/frame"
)

// looks is what a picture consists of, but for where needle, levels and skins stand.
func looks(p *Plan, l frame.Look, v View) map[string]int {
	var d chart.Drawing
	for k := range 4 { // some frames, for what drifts or drips
		d.Marks = d.Marks[:0]
		p.Moving(&d, boxes["desk"], l, noon.Add(time.Duration(k)*30*time.Millisecond), v)
	}
	all := map[string]int{}
	for _, m := range d.Marks {
		if s, ok := m.(chart.Shape); ok {
			all[fmt.Sprintf("%v %v %.2f %v %d", s.Line, s.Fill, s.Width, s.Closed, len(s.Points))]++
		}
	}
	return all
}

// Whichever part lets water by, and much of it: while the pump rests, the picture of
// a rig whose fault is not to be shown is that of the sound rig. Nothing drifts,
// drips, opens or is ringed.
func TestNoHiddenSeepShows(t *testing.T) {
	met := 0
	for _, name := range []string{"nosuction", "twopath", "bypass", "twopumps"} { // where faults are hidden
		rig := house(t)[name+".rig.toml"]
		p, err := Lay(rig)
		require.NoError(t, err)
		m, err := sim.Compile(rig)
		require.NoError(t, err)
		for _, look := range []frame.Look{{}, {Calm: true}} {
			sound := looks(p, look, state(t, rig, "", "", time.Second))
			for _, s := range rig.Suspects(nil) {
				f := s.Seep
				f.Seep = hydraulics.Seep{Ref: 400 * unit.MillilitrePerMinute, At: 45 * unit.PSI}
				run, err := m.Begin(nil, network.Faults{f}, sim.Options{Until: time.Hour})
				require.NoError(t, err)
				for _, at := range []time.Duration{time.Second, 4 * time.Second, 9 * time.Second, 30 * time.Second} {
					_, err = run.AdvanceTo(at, 1e6)
					require.NoError(t, err)
					rests := true
					for _, part := range rig.Parts() {
						rests = rests && !(part.Kind() == "pump" && run.Running(part.ID()))
					}
					if !rests {
						continue
					}
					now, err := run.Now()
					require.NoError(t, err)
					met++
					got := looks(p, look, View{Sample: &now, Running: map[string]bool{}, Secret: true})
					assert.True(t, maps.Equal(sound, got), "%s, %s after %v, calm %t:\n%v\n%v", name, s.Name, at, look.Calm, sound, got)
				}
				run.Close()
			}
		}
	}
	assert.Greater(t, met, 200)
}
