package hydraulics

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestCreepGrows(t *testing.T) {
	pex, err := LookupMaterial("pex")
	require.NoError(t, err)
	assert.Zero(t, pex.Creep.Growth(0))
	total := 0.0
	for _, k := range pex.Creep {
		total += k.Ratio
	}
	assert.InEpsilon(t, total, pex.Creep.Growth(1e4*time.Hour), 1e-12)
	assert.InEpsilon(t, 0.4*(1-math.Exp(-2)), Creep{{0.4, time.Hour}}.Growth(2*time.Hour), 1e-14)
	last := 0.0
	for d := time.Second; d < 1000*time.Hour; d *= 2 {
		g := pex.Creep.Growth(d)
		assert.Greater(t, g, last)
		last = g
	}
}

// A tight plastic line goes on losing pressure for 24 to 36 h: UK Water Industry
// Information and Guidance Note 4-01-03 (2011), in service.csv. With the volume
// locked in, pressure falls as the stretch it needs grows: what is still to come
// must show on a gauge at 12 h and be lost in its reading at 36 h.
func TestCreepLastsAsLongAsMeasured(t *testing.T) {
	found := false
	table, _ := published(t, "service.csv")
	for _, r := range table {
		if r.cell["item"] == "pressure loss of tight PE or PVC pipe" {
			assert.Equal(t, "24 to 36", r.cell["value"])
			found = true
		}
	}
	require.True(t, found)
	pex, err := LookupMaterial("pex")
	require.NoError(t, err)
	const psi = 45.0
	pressure := func(d time.Duration) float64 { return psi / (1 + pex.Creep.Growth(d)) }
	end := pressure(1e4 * time.Hour)
	assert.Greater(t, pressure(12*time.Hour)-end, 1.0, "a pound is still to be lost after half a day")
	assert.Less(t, pressure(36*time.Hour)-end, 0.5, "half a pound cannot be read off a gauge")
}

func TestOnlyPlasticsCreep(t *testing.T) {
	for _, name := range []string{"copper", "steel"} {
		m, err := LookupMaterial(name)
		require.NoError(t, err)
		assert.Empty(t, m.Creep, name)
	}
	m, err := LookupMaterial("pex")
	require.NoError(t, err)
	m.Creep[0].Ratio = 9
	again, err := LookupMaterial("pex")
	require.NoError(t, err)
	assert.NotEqual(t, 9.0, again.Creep[0].Ratio, "the caller owns what it was given")
}
