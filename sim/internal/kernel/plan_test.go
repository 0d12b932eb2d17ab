package kernel

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// tree is a random tree of quadratic ways behind a head that is held, with a way out
// at every end.
func tree(nodes int) *System {
	rng := rand.New(rand.NewPCG(1, uint64(nodes)))
	sys := &System{Nodes: make([]Node, nodes)}
	way := &Law{Lam: 1e6, Kap: 1e12, Still: 1e-3}
	ends := make([]bool, nodes)
	for i := 1; i < nodes; i++ {
		from := max(0, i-1-rng.IntN(min(i, 8)))
		ends[from], ends[i] = false, true
		sys.Paths = append(sys.Paths, Path{A: int32(from), B: int32(i), Into: -1, Device: -1, Laws: []*Law{way}})
	}
	for i, end := range ends {
		if end {
			sys.Paths = append(sys.Paths, Path{A: int32(i), B: Out, Into: -1, Device: -1, Laws: []*Law{way}})
		}
	}
	sys.Paths = append(sys.Paths, Path{A: 0, B: Out, XB: 4e5, Into: -1, Device: -1, Laws: []*Law{{Lam: 1}}, Source: true})
	return sys
}

// What a mode's plan costs, beside the solve of its heads and flows.
func BenchmarkPlan(b *testing.B) {
	for _, n := range []int{30, 500, 5000, 50000} {
		sys := tree(n)
		b.Run(fmt.Sprintf("plan/joints=%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				newPlan(sys, nil, false)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/joint")
		})
		b.Run(fmt.Sprintf("solve/joints=%d", n), func(b *testing.B) {
			w := NewWork()
			w.Begin(sys, Default, 0, nil)
			if err := w.Steady(); err != nil {
				b.Fatal(err)
			}
			iterations := 0
			for b.Loop() {
				copy(w.q, w.plan.begin)
				before := w.Effort.Newton
				if err := w.here(true); err != nil {
					b.Fatal(err)
				}
				iterations += w.Effort.Newton - before
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/joint")
			b.ReportMetric(float64(iterations)/float64(b.N), "newton")
		})
	}
}
