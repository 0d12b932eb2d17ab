package kernel

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// marched brings a system from heads to time t and returns its workspace.
func marched(t *testing.T, sys *System, heads []float64, until float64) *Work {
	t.Helper()
	w := NewWork()
	w.Begin(sys, Fine, 0, heads)
	var out []Emission
	var err error
	for w.T() < until {
		out, err = w.Advance(until, out[:0])
		require.NoError(t, err)
	}
	w.Flush()
	return w
}

// A store that runs out over an edge into the first store, which drains in turn:
//
//	x₁ = X·e^(−at),  V₀ = C·(Y·e^(−bt) + X·(C₁/C)·a/(b − a)·(e^(−at) − e^(−bt)))
//
// with a = 1/R₁C₁ and b = 1/RC, two decays in a row (H. Bateman, Proc. Camb. Phil. Soc. 15
// (1910) 423).
func TestRunsIntoTheFirstStore(t *testing.T) {
	const (
		c, c1 = 2e-9, 3e-9
		r, r1 = 1e11, 5e10
		X, Y  = 3e5, 1e5
	)
	for _, into := range []int32{0, 1} { // which of the two stores and nodes it is
		from := 1 - into
		stores, heads := make([]Store, 2), make([]float64, 2)
		stores[into], heads[into] = Store{Node: into, Kind: Linear, C: c, Device: -1}, Y
		stores[from], heads[from] = Store{Node: from, Kind: Linear, C: c1, Device: -1}, X
		sys := &System{
			Nodes:  make([]Node, 2),
			Stores: stores,
			Paths: []Path{
				{A: from, B: Out, Into: into, Device: -1, Laws: []*Law{{Lam: r1}}},
				{A: into, B: Out, Into: -1, Device: -1, Laws: []*Law{{Lam: r}}},
			},
		}
		const until = 100.0
		w := marched(t, sys, heads, until)
		a, b := 1/(r1*c1), 1/(r*c)
		ea, eb := math.Exp(-a*until), math.Exp(-b*until)
		assert.InEpsilon(t, c1*X*ea, w.Volumes()[from], 1e-7)
		assert.InEpsilon(t, c*(Y*eb+X*(c1/c)*a/(b-a)*(ea-eb)), w.Volumes()[into], 1e-7)
		assert.InEpsilon(t, c1*X*(1-ea), w.PathMoved[0], 1e-7)
		assert.InEpsilon(t, w.Volumes()[into], c*w.x[w.plan.stores[into]], 1e-8, "its head is that of what it holds")
	}
}
