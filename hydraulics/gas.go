package hydraulics

import (
	"math"

	"quietpump/hydraulics/unit"
)

// A Gas is a trapped charge of gas with water on its other side: an accumulator,
// or an air pocket (Volume at atmospheric pressure, Precharge 0). It follows
//
//	P·Vⁿ constant, P absolute
//
// n is 1 when the gas keeps the temperature of its surroundings, as it does in
// minutes, and 1.4 in a change too quick for that; bladder stiffness is left out.
// Methods take the absolute pressure atm of the air around, see [AirPressure].
type Gas struct {
	Volume    unit.Volume   // with no water
	Precharge unit.Pressure // gauge, with no water
	Exponent  float64       // n; zero means 1, slow
}

func (g Gas) n() float64 {
	if g.Exponent == 0 {
		return 1
	}
	return g.Exponent
}

// Water returns the water held at a gauge pressure p: none at or below the
// precharge, above it
//
//	w = V·(1 − ((Precharge+atm)/(p+atm))^(1/n))
func (g Gas) Water(p unit.Pressure, atm unit.AbsPressure) unit.Volume {
	if p <= g.Precharge {
		return 0
	}
	// expm1 keeps the digits of a nearly empty charge.
	r := math.Log1p(float64(p-g.Precharge) / (float64(g.Precharge) + float64(atm)))
	return unit.Volume(-float64(g.Volume) * math.Expm1(-r/g.n()))
}

// Pressure returns the gauge pressure at a held volume of water, the inverse of
// Water. It is the precharge with no water (or less) and infinite when the gas
// has no room left.
func (g Gas) Pressure(water unit.Volume, atm unit.AbsPressure) unit.Pressure {
	switch {
	case water <= 0:
		return g.Precharge
	case water >= g.Volume:
		return unit.Pressure(math.Inf(1))
	}
	p0 := float64(g.Precharge) + float64(atm)
	rise := p0 * math.Expm1(-g.n()*math.Log1p(-float64(water/g.Volume)))
	return g.Precharge + unit.Pressure(rise)
}

// Compliance returns dw/dp at a gauge pressure p: zero below the precharge, from
// it on (V − w)/(n·(p+atm)).
func (g Gas) Compliance(p unit.Pressure, atm unit.AbsPressure) unit.Compliance {
	if p < g.Precharge {
		return 0
	}
	gas := float64(g.Volume - g.Water(p, atm))
	return unit.Compliance(gas / (g.n() * (float64(p) + float64(atm))))
}

// Drawdown returns the water given up between cutOut and cutIn. With a cut-in at
// or above the precharge and n = 1 it is
//
//	V·(Precharge+atm)·(1/(cutIn+atm) − 1/(cutOut+atm))
func (g Gas) Drawdown(cutIn, cutOut unit.Pressure, atm unit.AbsPressure) unit.Volume {
	return g.Water(cutOut, atm) - g.Water(cutIn, atm)
}
