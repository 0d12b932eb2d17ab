package kernel

import (
	"math"
	"testing"
)

// The order conditions of a Runge–Kutta method, trees up to four nodes (Hairer,
// Nørsett & Wanner, Solving Ordinary Differential Equations I, table II.2.2).
func TestOrderConditions(t *testing.T) {
	A, c := tableA, nodesC
	b := A[stages-1]
	sum := func(f func(i int) float64) float64 {
		s := 0.0
		for i := range stages {
			s += f(i)
		}
		return s
	}
	row := func(i int, v func(j int) float64) float64 {
		return sum(func(j int) float64 { return A[i][j] * v(j) })
	}
	for i := range stages {
		if got := row(i, func(int) float64 { return 1 }); math.Abs(got-c[i]) > 1e-14 {
			t.Errorf("row %d sums to %.17g, node is %.17g", i, got, c[i])
		}
		// Stage order two, beyond the first.
		if got := row(i, func(j int) float64 { return c[j] }); i > 0 && math.Abs(got-c[i]*c[i]/2) > 1e-14 {
			t.Errorf("stage %d is not of order 2: %.17g, want %.17g", i, got, c[i]*c[i]/2)
		}
	}
	trees := []struct {
		order int
		want  float64
		value func(w [stages]float64) float64
	}{
		{1, 1, func(w [stages]float64) float64 { return sum(func(i int) float64 { return w[i] }) }},
		{2, 1. / 2, func(w [stages]float64) float64 { return sum(func(i int) float64 { return w[i] * c[i] }) }},
		{3, 1. / 3, func(w [stages]float64) float64 { return sum(func(i int) float64 { return w[i] * c[i] * c[i] }) }},
		{3, 1. / 6, func(w [stages]float64) float64 {
			return sum(func(i int) float64 { return w[i] * row(i, func(j int) float64 { return c[j] }) })
		}},
		{4, 1. / 4, func(w [stages]float64) float64 { return sum(func(i int) float64 { return w[i] * c[i] * c[i] * c[i] }) }},
		{4, 1. / 8, func(w [stages]float64) float64 {
			return sum(func(i int) float64 { return w[i] * c[i] * row(i, func(j int) float64 { return c[j] }) })
		}},
		{4, 1. / 12, func(w [stages]float64) float64 {
			return sum(func(i int) float64 { return w[i] * row(i, func(j int) float64 { return c[j] * c[j] }) })
		}},
		{4, 1. / 24, func(w [stages]float64) float64 {
			return sum(func(i int) float64 {
				return w[i] * row(i, func(j int) float64 { return row(j, func(k int) float64 { return c[k] }) })
			})
		}},
	}
	for k, tree := range trees {
		if got := tree.value(b); math.Abs(got-tree.want) > 1e-14 {
			t.Errorf("tree %d of order %d: %.17g, want %.17g", k, tree.order, got, tree.want)
		}
		got := tree.value(embedded)
		if tree.order <= 3 && math.Abs(got-tree.want) > 1e-14 {
			t.Errorf("embedded, tree %d of order %d: %.17g, want %.17g", k, tree.order, got, tree.want)
		}
	}
}

// L-stability: on y' = λy the last stage's row makes R(∞) = 0.
func TestLStable(t *testing.T) {
	for _, z := range []float64{-1e3, -1e6, -1e9} {
		var y [stages]float64
		y[0] = 1
		for i := 1; i < stages; i++ {
			s := 1.0
			for j := 0; j < i; j++ {
				s += z * tableA[i][j] * y[j]
			}
			y[i] = s / (1 - z*diag)
		}
		if r := math.Abs(y[stages-1]); r > 10/math.Abs(z) {
			t.Errorf("|R(%g)| = %g, want it to vanish", z, r)
		}
	}
}
