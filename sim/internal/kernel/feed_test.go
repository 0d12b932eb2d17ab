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

// A store that is full keeps its head and spills what comes in beyond what goes out.
func TestFullStoreSpills(t *testing.T) {
	const head, above, r, r1, until = 4e3, 5e4, 2e9, 1e9, 30.0
	sys := &System{
		Nodes:   make([]Node, 1),
		Stores:  []Store{{Node: 0, Kind: Linear, C: 1e-5, Device: 0, Full: 1, Tank: true}},
		Devices: []Device{{Name: "tank", States: []State{{}}}},
		Paths: []Path{
			{A: 0, B: Out, XB: above, Into: -1, Device: -1, Source: true, Laws: []*Law{{Lam: r1}}},
			{A: 0, B: Out, Into: -1, Device: -1, Laws: []*Law{{Lam: r}}},
		},
	}
	w := marched(t, sys, []float64{head}, until)
	assert.Equal(t, 1e-5*head, w.Volumes()[0])
	assert.InEpsilon(t, head, w.x[w.plan.stores[0]], 1e-12)
	assert.InEpsilon(t, ((above-head)/r1-head/r)*until, w.Spilled[0], 1e-9)
}

// Where stores hold their heads in a steady answer, and one of a section that has no tank, the
// flows between are those of the laws: a tank, a laminar way, an elastic store cut off by
// nothing, whose head follows.
func TestSteadyHoldsTanksAndOneStoreOfASection(t *testing.T) {
	lone := func(pinned bool) (*Work, error) {
		sys := &System{
			Nodes: []Node{{Start: 2e5}, {Start: 1e5}, {Start: 3e3}},
			Stores: []Store{
				{Node: 0, Kind: Linear, C: 1e-9, Device: -1},
				{Node: 1, Kind: Linear, C: 1e-9, Device: -1},
			},
			Paths: []Path{{A: 0, B: 1, Into: -1, Device: -1, Laws: []*Law{{Lam: 1e9}}}, {A: 1, B: 2, Into: -1, Device: -1, Laws: []*Law{nil}}},
		}
		heads := []float64{2e5, 1e5}
		if pinned {
			sys.Stores = append(sys.Stores, Store{Node: 2, Kind: Linear, C: 1e-5, Device: -1, Tank: true})
			sys.Paths[1].Laws[0] = &Law{Lam: 1e9}
			heads = append(heads, 3e3)
		}
		w := NewWork()
		w.Begin(sys, Default, 0, heads)
		return w, w.Steady()
	}
	head := func(w *Work, i int32) float64 { x, _ := w.Head(i); return x }
	w, err := lone(false)
	require.NoError(t, err)
	assert.InEpsilon(t, head(w, 0), head(w, 1), 1e-12, "no flow between them")
	assert.InEpsilon(t, 2e5, head(w, 0), 1e-9, "the first holds the section")
	w, err = lone(true)
	require.NoError(t, err)
	for n := range int32(3) {
		assert.InEpsilon(t, 3e3, head(w, n), 1e-9, "the tank holds all")
	}
}
