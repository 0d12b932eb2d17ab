package waves

import (
	"math"

	"quietpump/sim/internal/kernel"
)

// A vessel is water held at a node: against a gas, whose quick law
// P·Vⁿ = constant goes through where it stood at the start, or against a spring.
type vessel struct {
	node    int32
	gas     bool
	bladder bool    // below its charge it holds no water …
	empty   bool    // … and does so in the present solution
	c       float64 // compliance of a spring, m³/Pa
	gz      float64 // head of no pressure at all (gas)
	p0, v0  float64 // absolute pressure, Pa, and gas volume, m³, on the gas's law
	most    float64 // gas volume with no water, m³
	invN    float64
	held    float64 // water, m³; of a spring above that at the start
	x0      float64 // head at the start of a spring
}

// vessel is the store as it stands at head x. What a gas had become slowly it is; from
// there on it follows the quick law.
func vesselOf(st *kernel.Store, x, n float64) vessel {
	v := vessel{node: st.Node}
	if st.Kind == kernel.Linear {
		v.c, v.x0 = st.C, x
		return v
	}
	v.gas, v.bladder, v.gz, v.most, v.invN = true, st.Idle != 0, st.GZ, st.V0, 1/n
	// P·V^n with the slow n is K: P = (K/V)^(1/InvN).
	v.p0 = math.Max(x-st.GZ, leastGas)
	if charge := math.Pow(st.K/st.V0, 1/st.InvN); v.bladder && v.p0 < charge {
		v.p0 = charge
	}
	v.v0 = st.K / math.Pow(v.p0, st.InvN)
	v.rests(x)
	v.held, _ = v.water(x)
	return v
}

// leastGas is the least absolute pressure that gas is taken to have, Pa.
const leastGas = 100

// water is what the vessel holds at a head, and by how much more with more of it.
func (v *vessel) water(x float64) (held, slope float64) {
	if !v.gas {
		return v.c * (x - v.x0), v.c
	}
	if v.empty {
		return 0, 0
	}
	p := math.Max(x-v.gz, leastGas)
	gas := v.v0 * math.Pow(v.p0/p, v.invN)
	return v.most - gas, gas * v.invN / p
}

// rests reports whether a bladder is on the side of its charge it was taken to be on,
// and takes it to be on the other where it is not.
func (v *vessel) rests(x float64) bool {
	if !v.bladder {
		return true
	}
	charge := v.p0 * math.Pow(v.v0/v.most, 1/v.invN) // where the quick law has no water left
	switch p := x - v.gz; {
	case v.empty && p > charge+slip:
		v.empty = false
	case !v.empty && p < charge-slip:
		v.empty = true
	default:
		return true
	}
	return false
}
