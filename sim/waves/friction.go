package waves

import "math"

// shearDecay is Vardy's coefficient C* of how fast shear at the wall dies away after a
// change of flow,
//
//	C* = 0.00476                             laminar
//	C* = 7.41/Re^log₁₀(14.3/Re^0.05)         turbulent, smooth
//
// joined at Re 2000. Source: A. E. Vardy and J. M. B. Brown, On turbulent, unsteady,
// smooth-pipe friction, 7th Int. Conf. on Pressure Surges, BHR Group, 1996, from memory.
func shearDecay(re float64) float64 {
	const laminar = 0.00476
	if re <= 2000 {
		return laminar
	}
	return 7.41 / math.Pow(re, math.Log10(14.3/math.Pow(re, 0.05)))
}

// brunone is the coefficient k = √C*/2 of the friction that a change of flow adds,
//
//	∂p/∂x = −ρ·(k/2)·(∂v/∂t + a·sign(v)·|∂v/∂x|)
//
// Sources: B. Brunone, U. M. Golia and M. Greco, Int. Conf. on Hydraulic Transients with
// Water Column Separation, IAHR, Valencia 1991; the sign by A. Bergant, A. R. Simpson and
// J. Vítkovský, J. Hydraulic Research 39 (2001) 249; k by Vardy and Brown as above. All
// from memory.
func brunone(re float64) float64 { return math.Sqrt(shearDecay(re)) / 2 }
