package hydraulics

import (
	"math"

	"quietpump/hydraulics/unit"
)

// WaveSpeed returns the speed of a pressure wave in a full tube:
//
//	a = 1/√(ρ·(κ + s))
//
// ρ density; κ compressibility of the water, 1/Pa (isothermal or, for a pulse,
// isentropic: they differ by 0.7 % at 20 °C); s the stretch of the wall, 1/Pa, by
// whichever of the [Wall] methods suits its supports, zero for a rigid one.
// Stopping a flow of speed v at once raises the pressure by ρ·a·v (Joukowsky
// 1898). Source: Korteweg, Ann. Phys. 241 (1878) 525.
func WaveSpeed(rho unit.Density, compressibility, stretch float64) unit.Speed {
	return unit.Speed(1 / math.Sqrt(float64(rho)*(compressibility+stretch)))
}
