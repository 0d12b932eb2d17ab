package kernel

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"quietpump/sim/internal/cputime"
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

// grid is a square of tubes, so many to a side, with a tap at every joint and a head that
// is held at one corner.
func grid(side int) *System {
	rng := rand.New(rand.NewPCG(2, uint64(side)))
	n := side * side
	sys := &System{Nodes: make([]Node, n)}
	pipe := func(a, b int) {
		law := tube(5+20*rng.Float64(), 0.05, 7e-6, 2, 998.2, 1.004e-6)
		law.Still = 1e-3
		sys.Paths = append(sys.Paths, Path{A: int32(a), B: int32(b), Into: -1, Device: -1, Laws: []*Law{law}})
	}
	for i := range n {
		if i%side < side-1 {
			pipe(i, i+1)
		}
		if i+side < n {
			pipe(i, i+side)
		}
		q := 4e-3 / float64(n) * (0.1 + rng.Float64())
		sys.Paths = append(sys.Paths, Path{A: int32(i), B: Out, Into: -1, Device: -1, Laws: []*Law{{Lam: 1e-9, Kap: 3e5 / (q * q), Still: 1e-3}}})
	}
	sys.Paths = append(sys.Paths, Path{A: 0, B: Out, XB: 4e5, Into: -1, Device: -1, Laws: []*Law{{Lam: 1}}, Source: true})
	return sys
}

// What a mode's plan costs, and the solve of its heads and flows from a cold start, of the
// processor.
func BenchmarkPlan(b *testing.B) {
	for _, of := range []struct {
		shape string
		nodes int
		sys   *System
	}{
		{"tree", 30, tree(30)}, {"tree", 500, tree(500)}, {"tree", 5000, tree(5000)}, {"tree", 50000, tree(50000)},
		{"grid", 1024, grid(32)}, {"grid", 10000, grid(100)}, {"grid", 50176, grid(224)},
	} {
		b.Run(fmt.Sprintf("plan/%s/joints=%d", of.shape, of.nodes), func(b *testing.B) {
			b.ReportAllocs()
			began := cputime.Used()
			for b.Loop() {
				new(reduction).plan(&plan{}, of.sys, nil, false)
			}
			report(b, began, of.nodes)
		})
		b.Run(fmt.Sprintf("solve/%s/joints=%d", of.shape, of.nodes), func(b *testing.B) {
			w := NewWork()
			w.Begin(of.sys, Default, 0, nil)
			if err := w.Steady(); err != nil {
				b.Fatal(err)
			}
			iterations := 0
			began := cputime.Used()
			for b.Loop() {
				copy(w.q, w.plan.begin)
				clear(w.x)
				before := w.Effort.Newton
				if err := w.here(true); err != nil {
					b.Fatal(err)
				}
				iterations += w.Effort.Newton - before
			}
			report(b, began, of.nodes)
			b.ReportMetric(float64(iterations)/float64(b.N), "newton")
			b.ReportMetric(float64(len(w.plan.fac.idx)), "conductances")
		})
	}
}

func report(b *testing.B, began time.Duration, nodes int) {
	took := (cputime.Used() - began).Seconds() / float64(b.N)
	b.ReportMetric(1e3*took, "cpu-ms")
	b.ReportMetric(1e9*took/float64(nodes), "cpu-ns/joint")
}
