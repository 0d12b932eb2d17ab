package kernel

import (
	"math"
	"testing"

	"quietpump/hydraulics"
)

// The table against the solved Colebrook–White and the blend, over the whole
// range of Re and relative roughness that hydraulics covers: Re in steps that fall on
// no segment twice in the same place, roughness in eighths of a decade from smooth.
func TestTableAgainstSolvedFriction(t *testing.T) {
	worst, worstRe, worstRough := 0.0, 0.0, 0.0
	roughs := []float64{0, 0.05}
	for k := 0; ; k++ {
		rough := 1e-7 * math.Pow(10, float64(k)/8)
		if rough >= 0.05 {
			break
		}
		roughs = append(roughs, rough)
	}
	for n, rough := range roughs {
		tab := NewTable(rough)
		for re := 1 + 0.001*float64(n); re < 1e8; re *= 1.0137 {
			phi, dphi := tab.at(re / laminar)
			want, dwant := hydraulics.Phi(re, rough)
			if e := math.Abs(phi/want - 1); e > worst {
				worst, worstRe, worstRough = e, re, rough
			}
			if e := math.Abs(dphi/laminar/dwant - 1); e > 1e-10 {
				t.Fatalf("slope at Re %g, ε/D %g is off by %g", re, rough, e)
			}
		}
	}
	t.Logf("worst relative error of f·Re²: %.2g, at Re %.0f and ε/D %.2g", worst, worstRe, worstRough)
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

// A loss asked for alone is the drop, whatever the law.
func TestLossIsDrop(t *testing.T) {
	rough := NewTable(1e-3)
	for _, l := range []*Law{
		{Off: 3, Lam: 2, Kap: 5e9, Still: 1e-3},
		{Kap: 1e10, Friction: []Friction{{R: 1e4, F: 1e-5, Table: rough}}},
		{Pow: 1e9, Inv: 1.852, QLin: 1e-6},
		{Curve: &Curve{Q: []float64{0, 1e-4}, Rise: []float64{4e5, 0}, Slope: []float64{-4e9, -4e9}}},
	} {
		for q := 1e-13; q < 10; q *= 3 {
			for _, q := range []float64{q, -q, 0} {
				d, _ := l.Drop(q)
				if e := l.Loss(q); math.Abs(e-d) > 1e-12*math.Abs(d) {
					t.Fatalf("%+v: %g at %g, not %g", l, e, q, d)
				}
			}
		}
	}
}

// The second derivative against differences of the first, taken by another rule and
// much wider: Richardson's of two central ones, or of one-sided ones where laws meet.
func TestSecondDerivative(t *testing.T) {
	slope := func(u, rough float64) float64 { _, d := hydraulics.Phi(u*laminar, rough); return d * laminar }
	for _, rough := range []float64{0, 1e-5, 1e-3, 0.05} {
		for _, tt := range []struct {
			u     float64
			blend bool
			side  float64 // 0: both
		}{
			{1, true, 1}, {1.03125, true, 0}, {1.5, true, 0}, {1.96875, true, 0}, {2, true, -1},
			{2, false, 1}, {2.0625, false, 0}, {3, false, 0}, {64, false, 0}, {512, false, 0}, {1024, false, 0},
		} {
			difference := func(h float64) float64 {
				if tt.side == 0 {
					return (slope(tt.u+h, rough) - slope(tt.u-h, rough)) / (2 * h)
				}
				h *= tt.side
				return (-3*slope(tt.u, rough) + 4*slope(tt.u+h, rough) - slope(tt.u+2*h, rough)) / (2 * h)
			}
			h := 2e-4 * tt.u
			want := (4*difference(h/2) - difference(h)) / 3
			f, d, s := phi2(tt.u, rough, tt.blend)
			wantF, wantD := hydraulics.Phi(tt.u*laminar, rough)
			scale := math.Max(math.Abs(want), d/tt.u)
			if f != wantF || d != wantD*laminar || math.Abs(s-want) > 1e-7*scale {
				t.Errorf("u %g, ε/D %g, side %g: %g, by wide differences %g (%.2g of %g)", tt.u, rough, tt.side, s, want, math.Abs(s-want)/scale, scale)
			}
		}
	}
}
