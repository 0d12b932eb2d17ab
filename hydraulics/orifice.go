package hydraulics

import (
	"math"
	"time"

	"quietpump/hydraulics/unit"
)

// Gravity is the standard acceleration of free fall, m/s², exact by the third
// General Conference on Weights and Measures, 1901.
const Gravity = 9.80665

// An Orifice is a hole that water leaves as a jet:
//
//	q = C_d·A·√(2·|Δp|/ρ), with the sign of Δp
//
// C_d is 0.61 to 0.62 for a sharp edge, 0.8 for a short tube, 0.97 to 0.99 for a
// rounded nozzle, all textbook values from memory, at jet Reynolds numbers above
// about 1e4.
type Orifice struct {
	Cd   float64 // discharge coefficient
	Area unit.Area
}

// RoundOrifice returns a round hole of a given diameter.
func RoundOrifice(cd float64, diameter unit.Length) Orifice {
	return Orifice{cd, unit.Area(math.Pi / 4 * float64(diameter*diameter))}
}

// Flow returns the flow of a fluid of density rho at a pressure drop dp.
func (o Orifice) Flow(dp unit.Pressure, rho unit.Density) unit.Flow {
	q := o.Cd * float64(o.Area) * math.Sqrt(2*math.Abs(float64(dp))/float64(rho))
	return unit.Flow(math.Copysign(q, float64(dp)))
}

// Seep returns the orifice as a seep, for a fluid of density rho.
func (o Orifice) Seep(rho unit.Density) Seep {
	return Seep{Ref: o.Flow(usualAt, rho), At: usualAt, Exp: orificeExp}
}

// DrainTime returns how long a vented tank of constant plan area takes to drain
// through the orifice from height h1 to height h2 above it:
//
//	t = 2·A·(√h1 − √h2)/(C_d·a·√(2·g))
//
// a the orifice's area; quasi-steady, free outfall (Torricelli 1643). For two
// tanks joined by the orifice, h is their difference of level and A is
// A1·A2/(A1 + A2). DrainTime is negative where h2 is above h1, which fills, and
// the longest Duration where it is beyond 290 years or undefined.
func (o Orifice) DrainTime(plan unit.Area, h1, h2 unit.Length) time.Duration {
	s := 2 * float64(plan) * (math.Sqrt(float64(h1)) - math.Sqrt(float64(h2))) /
		(o.Cd * float64(o.Area) * math.Sqrt(2*Gravity))
	if !(math.Abs(s) < 290*365.25*24*3600) {
		return math.MaxInt64
	}
	return time.Duration(s * float64(time.Second))
}
