package kernel

import (
	"math"
	"testing"

	"quietpump/hydraulics"
)

// The table against the solved Colebrook–White and the blend, over the whole
// range of Re and relative roughness that hydraulics covers.
func TestTableAgainstSolvedFriction(t *testing.T) {
	worst := 0.0
	for _, rough := range []float64{0, 1e-6, 1e-5, 1e-4, 1e-3, 5e-3, 0.02, 0.05} {
		tab := NewTable(rough)
		for re := 1.0; re < 1e8; re *= 1.0037 {
			phi, dphi := tab.at(re / laminar)
			want, dwant := hydraulics.Phi(re, rough)
			if e := math.Abs(phi/want - 1); e > worst {
				worst = e
			}
			if e := math.Abs(dphi/laminar/dwant - 1); e > 1e-10 {
				t.Fatalf("slope at Re %g, ε/D %g is off by %g", re, rough, e)
			}
		}
	}
	t.Logf("worst relative error of f·Re²: %.2g", worst)
	if worst > 1e-12 {
		t.Errorf("worst relative error of f·Re² is %.2g, want 1e-12", worst)
	}
}

func BenchmarkTable(b *testing.B) {
	tab := NewTable(5.7e-4)
	u, sum := 1.0, 0.0
	for b.Loop() {
		u *= 1.001
		if u > 100 {
			u = 1
		}
		phi, _ := tab.at(u)
		sum += phi
	}
	_ = sum
}
