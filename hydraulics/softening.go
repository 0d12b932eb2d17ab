package hydraulics

import (
	"math"

	"quietpump/hydraulics/unit"
)

// A softening is how a wall's modulus falls as it warms.
type softening struct {
	points []warmth // in order of temperature
	spread float64  // by which products differ, as a share, for each 40 K from 20 °C
}

// warmth is the modulus at a temperature as a share of that at the one the table
// was made for.
type warmth struct {
	at    unit.Temperature
	share float64
}

// The tables. What products share is the shape; how far one stands from it is in
// the spread.
var (
	// Handbook of Polyethylene Pipe, 2nd ed., chapter 3, table B.1.2 (the apparent
	// modulus at other temperatures than 73 °F), from memory. PEX is such a
	// polyethylene with its chains linked, which changes the melt and not the modulus.
	polyethylene = softening{fahrenheit(20, 1.81, 30, 1.65, 40, 1.49, 50, 1.32, 60, 1.18, 73.4, 1.00, 80, 0.93,
		90, 0.82, 100, 0.73, 110, 0.64, 120, 0.58, 130, 0.50, 140, 0.43), 0.2}
	// Unplasticised PVC: from memory of makers' derating tables.
	pvc = softening{fahrenheit(73.4, 1.00, 110, 0.82, 140, 0.70), 0.1}
	// Hose halves its stiffness over some 30 K: common practice, no source.
	plasticised = softening{fahrenheit(41, 1.41, 68, 1.00, 122, 0.50, 176, 0.25), 0.5}
	// Metals lose a few hundredths of it by the boil: from memory.
	copper = softening{fahrenheit(68, 1.00, 212, 0.96), 0.01}
	steel  = softening{fahrenheit(68, 1.00, 212, 0.97), 0.01}
)

// fahrenheit makes the points of a table printed in pairs of °F and share.
func fahrenheit(pairs ...float64) []warmth {
	list := make([]warmth, 0, len(pairs)/2)
	for i := 0; i < len(pairs); i += 2 {
		list = append(list, warmth{unit.Fahrenheit(pairs[i]), pairs[i+1]})
	}
	return list
}

// at is the share at a temperature: its logarithm straight between the points and
// on beyond them.
func (s softening) at(t unit.Temperature) float64 {
	p := s.points
	i := 1
	for i < len(p)-1 && t > p[i].at {
		i++
	}
	a, b := p[i-1], p[i]
	f := float64((t - a.at) / (b.at - a.at))
	return a.share * math.Pow(b.share/a.share, f)
}

// ModulusAt returns Young's modulus of the wall at a temperature, loaded for
// seconds or less, in Pa, and the least and the most of it that is met: [Material]
// Range carried to that temperature, wider the farther from 20 °C, for products
// soften differently. Plastics lose half of it by some 55 °C, metals next to none.
// The tables reach from −7 to 60 °C for plastics and go on as they end.
//
// Source: for polyethylene, PEX among it, the Handbook of Polyethylene Pipe, 2nd
// ed., chapter 3, table B.1.2, from memory; for PVC and metals from memory; for
// hose common practice, no source.
func (m Material) ModulusAt(t unit.Temperature) (e float64, within [2]float64) {
	share := m.soft.at(t) / m.soft.at(unit.Celsius(20))
	wider := math.Pow(1+m.soft.spread, math.Abs(float64(t-unit.Celsius(20)))/40)
	return share * m.Modulus, [2]float64{share * m.Range[0] / wider, share * m.Range[1] * wider}
}
