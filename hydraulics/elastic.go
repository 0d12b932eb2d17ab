package hydraulics

import (
	"quietpump/hydraulics/unit"
)

// A Wall is the wall of a round tube, linearly elastic and uniform. Its methods
// return how the volume inside grows with pressure, (1/V)·dV/dp in 1/Pa; times the
// volume that is a compliance, to which the water in it adds its own
// compressibility.
type Wall struct {
	Bore      unit.Length
	Thickness unit.Length
	Modulus   float64 // Young's, Pa
	Poisson   float64 // ratio
}

// ratio returns k = (outside diameter/bore)².
func (w Wall) ratio() float64 {
	r := float64((w.Bore + 2*w.Thickness) / w.Bore)
	return r * r
}

// Stretch is the growth of a closed tube whose wall carries the push on its ends:
//
//	(3·(1−2ν) + 2·(1+ν)·k)/(E·(k−1)),  k = (OD/bore)²
//
// exact for a wall of any thickness. Source: G. Lamé, 1852 (thick tube, closed
// ends), in any text on elasticity, such as Timoshenko and Goodier, article 28.
func (w Wall) Stretch() float64 {
	k, nu := w.ratio(), w.Poisson
	return (3*(1-2*nu) + 2*(1+nu)*k) / (w.Modulus * (k - 1))
}

// StretchFree is the growth of a tube free to slide lengthwise:
//
//	D/(t·E)·c₁,  c₁ = (2t/D)·(1+ν) + D/(D+t)
//
// exact for a wall of any thickness; the term of the wall in a wave speed for a
// pipeline with expansion joints. Source: Wylie and Streeter, Fluid Transients
// in Systems (1993), chapter 1, from memory; it follows from Lamé without a stress along the tube.
func (w Wall) StretchFree() float64 {
	d, t := float64(w.Bore), float64(w.Thickness)
	c1 := 2*t/d*(1+w.Poisson) + d/(d+t)
	return d / (t * w.Modulus) * c1
}

// StretchThin is the growth D/(t·E) of a thin-walled tube by its hoop alone, as
// most texts on pressure waves have it. In SDR-9 PEX it is 24 % too small.
func (w Wall) StretchThin() float64 {
	return float64(w.Bore) / (float64(w.Thickness) * w.Modulus)
}
