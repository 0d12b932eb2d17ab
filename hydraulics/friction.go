package hydraulics

import "math"

// The transition between laminar and turbulent flow, as Reynolds numbers.
// Below the first the flow in a tube is laminar whatever the disturbance; the
// Colebrook equation is used from the second on. Source: F. M. White, Fluid
// Mechanics, chapter 6 (2000 to 4000 is its transition range).
const (
	ReLaminar   = 2000
	ReTurbulent = 4000
)

// Colebrook returns the Darcy friction factor f of turbulent flow in a full
// round tube, solving
//
//	1/√f = −2·log₁₀( ε/(3.7·D) + 2.51/(Re·√f) )
//
// to 1e-12 relative, for the Reynolds number re and the relative roughness
// relRough = ε/D. It is meant for re ≥ 4000 and 0 ≤ ε/D ≤ 0.05; below, use
// Friction. Colebrook is NaN where re or ε/D is negative, re is zero, or either
// is NaN; at re = +Inf it is the fully rough limit, zero for a smooth tube.
// The law itself is within about 10 % of measurements.
//
// Source: C. F. Colebrook, J. Inst. Civ. Eng. 11 (1939) 133, doi:10.1680/ijoti.1939.13150.
func Colebrook(re, relRough float64) float64 {
	x, _ := colebrook(re, relRough)
	return 1 / (x * x)
}

// colebrook returns x = 1/√f and its derivative with respect to re.
func colebrook(re, relRough float64) (x, dx float64) {
	const (
		rough  = 3.7
		smooth = 2.51
		c      = 2 / math.Ln10
	)
	if !(re > 0) || !(relRough >= 0) {
		return math.NaN(), math.NaN()
	}
	a, b := relRough/rough, smooth/re
	if a+b == 0 {
		return math.Inf(1), 0
	}
	// Newton on g(x) = x + c·ln(a + b·x), which rises and is concave: from any
	// start with a + b·x > 0 left of the root it overshoots at most once, and
	// from the right it may not leave the domain because x ≥ 1e-3 is kept.
	x = math.Max(-c*math.Log(a+6*b), 1)
	for range 50 {
		u := a + b*x
		step := (x + c*math.Log(u)) / (1 + c*b/u)
		x = math.Max(x-step, 1e-3*x)
		if math.Abs(step) <= 1e-8*x { // what is left is its square
			break
		}
	}
	u := a + b*x
	return x, c * b * x / re / (u + c*b)
}

// Phi returns φ = f·Re² and dφ/dRe for a Reynolds number re ≥ 0 and a relative
// roughness relRough = ε/D. It is what a tube's pressure drop is proportional
// to, Δp = φ·L·μ²/(2·ρ·D³), and unlike f it is finite and smooth at rest:
//
//	φ = 64·Re                      to Re 2000 (Hagen–Poiseuille)
//	φ = cubic Hermite in Re        from 2000 to 4000, value and slope of both neighbours
//	φ = f·Re², f from Colebrook    from 4000
//
// φ rises with re everywhere and has no kink. The blend is a choice: flow in the
// transition is intermittent, and measurements scatter by tens of per cent.
// Phi is NaN where re or relRough is negative or NaN.
func Phi(re, relRough float64) (phi, dphi float64) {
	switch {
	case !(re >= 0) || !(relRough >= 0):
		return math.NaN(), math.NaN()
	case re <= ReLaminar:
		return 64 * re, 64
	case re >= ReTurbulent:
		return turbulentPhi(re, relRough)
	}
	const h = ReTurbulent - ReLaminar
	y0, m0 := 64.0*ReLaminar, 64.0*h
	y1, m1 := turbulentPhi(ReTurbulent, relRough)
	m1 *= h
	t := (re - ReLaminar) / h
	// Hermite form about the left end: y0 + m0·t + (3Δ−2m0−m1)·t² + (m0+m1−2Δ)·t³.
	d := y1 - y0
	c2, c3 := 3*d-2*m0-m1, m0+m1-2*d
	return y0 + t*(m0+t*(c2+t*c3)), (m0 + t*(2*c2+t*3*c3)) / h
}

func turbulentPhi(re, relRough float64) (phi, dphi float64) {
	x, dx := colebrook(re, relRough)
	r := re / x
	return r * r, 2 * r * (1 - r*dx) / x
}

// Friction returns the Darcy friction factor f of a full round tube for any
// Reynolds number re > 0 and relative roughness relRough = ε/D: 64/Re to
// Re 2000, Colebrook from 4000, and φ/Re² of Phi's blend between. It is +Inf at
// re = 0 and NaN where either argument is negative or NaN.
func Friction(re, relRough float64) float64 {
	switch {
	case re > 0 && re <= ReLaminar && relRough >= 0:
		return 64 / re
	case re >= ReTurbulent:
		return Colebrook(re, relRough)
	case re == 0:
		return math.Inf(1)
	}
	phi, _ := Phi(re, relRough)
	return phi / re / re
}
