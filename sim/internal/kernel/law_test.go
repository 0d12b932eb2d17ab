package kernel

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
)

// slopeIs asserts that a law's slope is that of its values.
func slopeIs(t assert.TestingT, l *Law, q float64) {
	h := 1e-6 * math.Max(math.Abs(q), 1e-9)
	up, _ := l.Drop(q + h)
	down, _ := l.Drop(q - h)
	_, slope := l.Drop(q)
	assert.InEpsilon(t, (up-down)/(2*h), slope, 1e-4, "at %g m³/s", q)
}

// A pump's rise is the curve of package hydraulics, inside its points and beyond
// both of its ends.
func TestCurveIsThePumps(t *testing.T) {
	for _, pump := range []hydraulics.PumpCurve{hydraulics.Typical(), hydraulics.Typical()[:6]} { // one ends while it still delivers
		curveIs(t, pump)
	}
}

func curveIs(t *testing.T, pump hydraulics.PumpCurve) {
	q, rise, slope := pump.Knots()
	l := &Law{Curve: &Curve{Q: q, Rise: rise, Slope: slope}}
	last := q[len(q)-1]
	for _, share := range []float64{-0.3, -0.01, 0, 0.004, 0.1, 0.22, 0.4, 0.55, 0.61, 0.78, 0.9, 0.97, 1, 1.02, 1.4} {
		d, _ := l.Drop(share * last)
		assert.InDelta(t, float64(pump.Rise(unit.Flow(share*last))), -d, 1e-6, "at %g of the open flow", share)
		slopeIs(t, l, share*last+1e-8)
	}
}

// A tube loses φ·L·μ²/(2ρD³), φ solved in package hydraulics, and its fittings'
// K·ρv²/2, both ways alike; Loss is Drop's value.
func TestTubeLosesWhatHydraulicsSays(t *testing.T) {
	const rho, nu, long, d, k = 998.2, 1.0038e-6, 3.0, 0.0121, 2.5
	rapid.Check(t, func(t *rapid.T) {
		rough := rapid.SampledFrom([]float64{0, 1e-4, 0.01}).Draw(t, "ε/D")
		l := tube(long, d, rough*d, k, rho, nu)
		l.Lam = 0
		re := math.Exp(rapid.Float64Range(math.Log(1), math.Log(5e6)).Draw(t, "ln Re"))
		q := re * math.Pi / 4 * d * nu
		v := q / (math.Pi / 4 * d * d)
		phi, _ := hydraulics.Phi(re, rough)
		want := phi*long*rho*nu*nu/(2*d*d*d) + k*rho*v*v/2
		for _, sign := range []float64{1, -1} {
			got, _ := l.Drop(sign * q)
			assert.InEpsilon(t, sign*want, got, 2e-9)
			assert.InEpsilon(t, sign*want, l.Loss(sign*q), 2e-9)
			slopeIs(t, l, sign*q)
		}
	})
}

// Near rest a quadratic law is the cubic of its doc comment: the same value and slope
// where it begins, a thirteenth of Still off at the most, and straight at rest.
func TestQuadraticLawAtRest(t *testing.T) {
	const kap, still = 4e9, 1e-3
	l := &Law{Kap: kap, Still: still}
	begins := math.Sqrt(still / kap)
	most := 0.0
	for i := range 2000 {
		q := begins * float64(i+1) / 1000
		d, _ := l.Drop(q)
		assert.Equal(t, d, l.Loss(q))
		if q > begins {
			assert.InEpsilon(t, kap*q*q, d, 1e-14)
		} else {
			assert.InEpsilon(t, kap*q*(begins+q*q/begins)/2, d, 1e-12)
		}
		slopeIs(t, l, q)
		most = math.Max(most, math.Abs(d-kap*q*q))
	}
	assert.InEpsilon(t, still/13.5, most, 1e-3, "largest at a third of it: (1/3 − 2/9 + 1/27)·Still/2")
	_, slope := l.Drop(0)
	assert.InEpsilon(t, kap*begins/2, slope, 1e-12)
}

// The power law is straight below QLin and meets it there.
func TestPowerLaw(t *testing.T) {
	l := &Law{Off: 7, Lam: 3, Pow: 2e6, Inv: 1.5, QLin: 1e-4}
	for _, q := range []float64{1e-5, 5e-5, 0.99e-4, 1.01e-4, 3e-4, 2e-3} {
		power := 2e6 * math.Pow(math.Max(q, 1e-4), 0.5) * q
		for _, sign := range []float64{1, -1} {
			d, _ := l.Drop(sign * q)
			assert.InEpsilon(t, 7+sign*(3*q+power), d, 1e-12)
			assert.Equal(t, d, l.Loss(sign*q))
			slopeIs(t, l, sign*q)
		}
	}
}

// What stands in a row loses what its parts lose one by one; a part that stands the
// other way round turns what has a direction.
func TestLawsInARowAdd(t *testing.T) {
	const rho, nu = 998.2, 1.0038e-6
	one, two := tube(1, 0.012, 1e-6, 3, rho, nu), tube(2, 0.009, 0, 1, rho, nu)
	one.Off, one.Still = 100, 1e-3
	two.Off, two.Lam = 30, 5e4
	powered := &Law{Pow: 2e6, Inv: 1.5, QLin: 1e-6}
	for _, tt := range []struct {
		a, b *Law
		sign float64
	}{{one, two, 1}, {one, two, -1}, {two, one, 1}, {one, one, 1}, {one, powered, 1}} {
		assert.True(t, addable(tt.a, tt.b))
		s := add(tt.a, tt.b, tt.sign)
		for _, q := range []float64{-3e-4, 2e-5, 4e-4} {
			first, _ := tt.a.Drop(q)
			second, _ := tt.b.Drop(tt.sign * q)
			sum, _ := s.Drop(q)
			assert.InEpsilon(t, first+tt.sign*second, sum, 1e-12)
		}
	}
	assert.Len(t, add(one, one, 1).Friction, 1, "what is alike is one")
	assert.Len(t, add(one, two, 1).Friction, 2)
	assert.False(t, addable(powered, &Law{Pow: 1, Inv: 2}), "two powers")
	assert.False(t, addable(&Law{Curve: &Curve{}}, one), "a pump")
	assert.False(t, addable(one, &Law{Form: Held}), "a regulator")
	assert.False(t, addable(&Law{Form: Fed}, one))
}
