package hydraulics

import (
	"math"

	"quietpump/hydraulics/unit"
)

// AirPressure returns the pressure of the standard atmosphere at a height above
// sea level, −5 to 11 km; it is NaN elsewhere. AirPressure(0) is 101325 Pa.
//
//	P = P₀·(T₀/(T₀ + L·H))^(g₀·M₀/(R*·L)),  H = r₀·Z/(r₀ + Z)
//
// Z height, H geopotential height, T₀ 288.15 K, L −6.5 K/km. Weather moves the
// pressure of a day by up to about 3 % from this.
// Source: U.S. Standard Atmosphere, 1976, equations 18 and 33a and table 2.
func AirPressure(height unit.Length) unit.AbsPressure {
	const (
		p0 = 101325.0   // Pa
		t0 = 288.15     // K
		l  = -6.5e-3    // K/m
		g0 = 9.80665    // m/s²
		m0 = 28.9644e-3 // kg/mol
		r  = 8.31432    // J/(mol·K)
		r0 = 6.356766e6 // m
	)
	z := float64(height)
	if !(z >= -5000 && z <= 11000) {
		return unit.AbsPressure(math.NaN())
	}
	h := r0 * z / (r0 + z)
	return unit.AbsPressure(p0 * math.Pow(t0/(t0+l*h), g0*m0/(r*l)))
}
