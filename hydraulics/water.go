package hydraulics

import (
	"math"

	"quietpump/hydraulics/unit"
)

// Water holds the properties of liquid water at one temperature and pressure.
type Water struct {
	Density         unit.Density
	Viscosity       unit.Viscosity // dynamic
	Compressibility float64        // isothermal, −(1/v)·∂v/∂p, 1/Pa
	Expansion       float64        // volumetric at constant pressure, (1/v)·∂v/∂T, 1/K
	VapourPressure  unit.AbsPressure
	SoundSpeed      unit.Speed // in water without walls
}

// WaterAt returns water at a temperature of 0 to 90 °C and an absolute pressure
// of 101325 Pa; outside that range every field is NaN. Errors against IAPWS-95
// and R12-08 over the range, relative but for the expansion: density 1e-7,
// viscosity 4e-5, compressibility 1e-6, expansion 1e-8 1/K, vapour pressure
// 8e-5, sound speed 3e-6. What the pressure of a water system changes, at most
// 2e-3, WaterUnder accounts for.
func WaterAt(t unit.Temperature) Water { return WaterUnder(t, 101325) }

// WaterUnder returns water at a temperature of 0 to 90 °C and an absolute
// pressure p of 0.02 to 1.1 MPa, and NaN in every field outside that range.
//
//	v = v₀·(1 + B′·(p−p₀)·κ₀)^(−1/B′),  κ = κ₀/(1 + B′·(p−p₀)·κ₀)
//
// v specific volume, κ compressibility, ₀ at p₀ = 0.1 MPa; B′ = 6 is the rise of
// the bulk modulus 1/κ per rise of pressure (5.6 at 0 °C to 6.8 at 90 °C in
// IAPWS-95). Expansion follows from ∂κ/∂T, viscosity is taken as that of 0.1 MPa.
// Errors against IAPWS-95 and R12-08 at 0.5 MPa: density 1e-7, viscosity 6e-4,
// compressibility 2e-4, expansion 1e-8 1/K, vapour pressure 8e-5, sound speed 1e-4.
//
// Sources: IAPWS SR6-08(2011), liquid water at 0.1 MPa, equations 1 to 7 (volume,
// its derivatives, heat capacity, viscosity); IAPWS R7-97(2012), equation 30 (vapour
// pressure). B′ is fitted here.
func WaterUnder(t unit.Temperature, p unit.AbsPressure) Water {
	T := float64(t)
	if !(T >= 273.15 && T <= 90+273.15) || !(p >= 0.02e6 && p <= 1.1e6) {
		nan := math.NaN()
		return Water{unit.Density(nan), unit.Viscosity(nan), nan, nan, unit.AbsPressure(nan), unit.Speed(nan)}
	}
	const stiffening = 6
	l := liquidAt(T)
	dp := float64(p) - liquidP0
	k0 := -l.vp / l.v
	squeeze := 1 + stiffening*dp*k0
	v := l.v * math.Pow(squeeze, -1.0/stiffening)
	k := k0 / squeeze
	dk0 := -l.vpT/l.v + l.vp*l.vT/(l.v*l.v)
	expansion := l.vT/l.v - dp*dk0/squeeze
	isentropic := k - T*v*expansion*expansion/l.cp
	return Water{
		Density:         unit.Density(1 / v),
		Viscosity:       unit.Viscosity(l.mu),
		Compressibility: k,
		Expansion:       expansion,
		VapourPressure:  unit.AbsPressure(saturation(T)),
		SoundSpeed:      unit.Speed(math.Sqrt(v / isentropic)),
	}
}

// A liquid is water at liquidP0: specific volume v, m³/kg; its derivatives with
// respect to temperature vT and pressure vp and both vpT; heat capacity cp at
// constant pressure, J/(kg·K); viscosity mu, Pa·s.
type liquid struct{ v, vT, vp, vpT, cp, mu float64 }

const liquidP0 = 0.1e6 // Pa

// A term is one coefficient and its exponent.
type term struct{ c, n float64 }

// The coefficients of IAPWS SR6-08(2011), tables 1 and 2: a goes with
// α = T_R/(593 K − T), b with β = T_R/(T − 232 K), T_R = 10 K.
var (
	liquidHeatA = []term{{-1.661470539e5, 4}, {2.708781640e6, 5}, {-1.557191544e8, 7}}
	liquidHeatB = []term{{-8.237426256e-1, 2}, {1.908956353, 3}, {-2.017597384, 4}, {8.546361348e-1, 5}}
	liquidVolA  = []term{{1.93763157e-2, 0}, {6.74458446e3, 4}, {-2.22521604e5, 5}, {1.00231247e8, 7}, {-1.63552118e9, 8}, {8.32299658e9, 9}}
	liquidVolB  = []term{{5.78545292e-3, 1}, {-1.53195665e-2, 2}, {3.11337859e-2, 3}, {-4.23546241e-2, 4}, {3.38713507e-2, 5}, {-1.19946761e-2, 6}}
	liquidPresA = []term{{-7.5245878e-6, 1}, {-1.3767418e-2, 3}, {1.0627293e1, 5}, {-2.0457795e2, 6}, {1.2037414e3, 7}}
	liquidPresB = []term{{-3.1091470e-6, 1}, {2.8964919e-5, 3}, {-1.3112763e-4, 4}, {3.0410453e-4, 5}, {-3.9034594e-4, 6}, {2.3403117e-4, 7}, {-4.8510101e-5, 9}}
	liquidVisc  = []term{{280.68, -1.9}, {511.45, -7.7}, {61.131, -19.6}, {0.45903, -40}}
)

// sum returns Σ c·xⁿ, Σ n·c·xⁿ⁺¹ and Σ n·(n+1)·c·xⁿ⁺².
func sum(terms []term, x float64) (s, s1, s2 float64) {
	for _, t := range terms {
		y := t.c * math.Pow(x, t.n)
		s += y
		s1 += t.n * y * x
		s2 += t.n * (t.n + 1) * y * x * x
	}
	return s, s1, s2
}

// liquidAt evaluates IAPWS SR6-08 at a temperature of T kelvins, 253.15 to 383.15.
func liquidAt(T float64) liquid {
	const (
		R  = 461.51805 // J/(kg·K)
		TR = 10.0      // K
		c3 = -8.983025854
	)
	alpha, beta := TR/(593-T), TR/(T-232)
	_, _, gA := sum(liquidHeatA, alpha)
	_, _, gB := sum(liquidHeatB, beta)
	vA, vA1, _ := sum(liquidVolA, alpha)
	vB, vB1, _ := sum(liquidVolB, beta)
	pA, pA1, _ := sum(liquidPresA, alpha)
	pB, pB1, _ := sum(liquidPresB, beta)
	mu, _, _ := sum(liquidVisc, T/300)
	return liquid{
		v:   R * TR / liquidP0 * (vA + vB),
		vT:  R / liquidP0 * (vA1 - vB1),
		vp:  R * TR / (liquidP0 * liquidP0) * (pA + pB),
		vpT: R / (liquidP0 * liquidP0) * (pA1 - pB1),
		cp:  -R * (c3 + T/TR*(gA+gB)),
		mu:  mu * 1e-6,
	}
}

// saturation returns the vapour pressure, Pa, at T kelvins, 273.15 to 647.096:
// IAPWS R7-97(2012), equation 30, coefficients of its table 34.
func saturation(T float64) float64 {
	const (
		n1, n2, n3 = 0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2
		n4, n5, n6 = 0.12020824702470e5, -0.32325550322333e7, 0.14915108613530e2
		n7, n8     = -0.48232657361591e4, 0.40511340542057e6
		n9, n10    = -0.23855557567849, 0.65017534844798e3
	)
	theta := T + n9/(T-n10)
	a := theta*theta + n1*theta + n2
	b := n3*theta*theta + n4*theta + n5
	c := n6*theta*theta + n7*theta + n8
	r := 2 * c / (-b + math.Sqrt(b*b-4*a*c))
	return r * r * r * r * 1e6
}
