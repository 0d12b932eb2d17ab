package kernel

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The polynomial through six stages returns the fifth power, anywhere, to rounding.
func TestStagesGiveTheQuintic(t *testing.T) {
	power := func(u float64) float64 { return 3 - u + 2*math.Pow(u, 5) }
	for _, u := range []float64{0, 0.1, 0.332, 0.5, 0.77, 1, 1.2} {
		sum := 0.0
		for i, w := range weigh(u) {
			sum += w * power(nodesC[i])
		}
		assert.InDelta(t, power(u), sum, 1e-13, "at %g", u)
	}
}

// A mode that goes on past what is kept keeps its beginning, and its last stride.
func TestTrailKeepsTheBeginning(t *testing.T) {
	tr := trail{}
	s := &stride{}
	s.fit(3, 2)
	for i := range 2 * trailCap {
		s.t, s.h = float64(i), 1
		s = tr.keep(s)
		s.fit(3, 2)
	}
	require.Len(t, tr.now, trailCap)
	assert.Equal(t, 2.0*trailCap-1, tr.last().t)

	tr.enter()
	require.NotNil(t, tr.before(5.5))
	assert.Equal(t, 5.0, tr.before(5.5).t)
	assert.Nil(t, tr.before(trailCap+0.5), "a gap, of which nothing is known")
	assert.Equal(t, 2.0*trailCap-1, tr.before(2*trailCap-0.5).t)
	assert.Equal(t, 1.0, tr.before(1.5).t, "backward too")
	assert.Nil(t, tr.before(2*trailCap+1))
}

// However large the system, no more numbers are kept than there is room for.
func TestTrailOfALargeSystem(t *testing.T) {
	tr := trail{}
	s := &stride{}
	for range 5 {
		s.fit(trailRoom/stages, 10)
		s = tr.keep(s)
	}
	assert.Len(t, tr.now, 1)
}
