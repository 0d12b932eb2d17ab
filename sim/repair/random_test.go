package repair_test

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/sim"
	"quietpump/sim/internal/rigs"
	"quietpump/sim/repair"
)

// On rigs that nobody drew for it every suspect has cures and a sheet, and a hold
// test that proves no more than it says.
func TestRandomRigs(t *testing.T) {
	sheets, holds, short := 0, 0, 0
	for seed := range uint64(12) {
		c, err := rigs.Random(seed, 12)
		require.NoError(t, err)
		model, err := sim.Compile(c.Rig)
		require.NoError(t, err)
		for i, s := range c.Rig.Suspects(nil) {
			if i == 3 {
				break
			}
			seep := s.Seep
			seep.Seep = seepAt("", 30*unit.MillilitrePerMinute, 1).Seep
			j := repair.Job{Model: model, Seep: seep}
			_, err := j.Cures()
			require.NoError(t, err, "seed %d, %s", seed, s.Name)
			ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
			w, err := j.Worksheet(ctx)
			cancel()
			if err != nil {
				short++
				t.Logf("seed %d, %s: %v", seed, s.Name, err)
				continue
			}
			sheets++
			assert.Contains(t, w.Steps[len(w.Steps)-1].Cautions, repair.LastWord)
			if w.Hold == nil {
				continue
			}
			holds++
			p, err := j.Proves(w.Hold.Quiet)
			require.NoError(t, err)
			assert.LessOrEqual(t, float64(p.Below), float64(w.Hold.Below)*(1+1e-9))
		}
	}
	t.Logf("%d sheets, %d with a hold test, %d rigs that could not be simulated", sheets, holds, short)
	assert.Greater(t, sheets, 20)
	assert.Greater(t, holds, 0)
	assert.LessOrEqual(t, short, 2)
}
