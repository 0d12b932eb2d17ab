package hydraulics

import (
	"math"

	"quietpump/hydraulics/unit"
)

// A LossK is the loss coefficient K of a fitting, on the velocity v in a stated
// bore: Δp = K·ρ·v²/2. In fully turbulent flow it does not depend on the flow.
type LossK float64

// LengthK returns the K of a length of tube of a given bore and Darcy friction
// factor, K = f·L/D. It turns an equivalent length into a K.
func LengthK(l, bore unit.Length, f float64) LossK {
	return LossK(f * float64(l/bore))
}

// Length returns the equivalent length of tube, L = K·D/f.
func (k LossK) Length(bore unit.Length, f float64) unit.Length {
	return unit.Length(float64(k) * float64(bore) / f)
}

// Quadratic returns κ of Δp = κ·q², in Pa·s²/m⁶: κ = K·8·ρ/(π²·D⁴).
func (k LossK) Quadratic(bore unit.Length, rho unit.Density) float64 {
	d := float64(bore)
	return float64(k) * 8 * float64(rho) / (math.Pi * math.Pi * d * d * d * d)
}

// Kv returns the flow coefficient of a fitting, the inverse of [Kv.K]; infinite
// for a K of zero.
func (k LossK) Kv(bore unit.Length) Kv {
	d := float64(bore)
	return Kv(d * d * math.Sqrt(kFromKv/float64(k)))
}

// A Kv is the flow coefficient of a valve: the flow of water, m³/h, that loses
// 1 bar. Source: IEC 60534-2-1, ISA-75.01.01.
type Kv float64

// KvFromCv returns the flow coefficient of a valve rated in US gallons per minute
// at 1 psi:
//
//	Kv = Cv·(1 gpm in m³/h)·√(1 bar / 1 psi) = 0.865·Cv
//
// No density enters.
func KvFromCv(cv float64) Kv { return Kv(cv * kvPerCv) }

// Cv returns the coefficient in US gallons per minute at 1 psi.
func (kv Kv) Cv() float64 { return float64(kv) / kvPerCv }

var kvPerCv = float64(unit.GPM) * 3600 * math.Sqrt(float64(unit.Bar/unit.PSI))

// kFromKv is the constant of K = 1.6e9·D⁴/Kv² in m⁻⁴·(m³/h)². It stands for water
// of 999.297 kg/m³, which the definition of Kv leaves open between 5 and 40 °C.
const kFromKv = 1.6e9

// K returns the loss coefficient on the velocity in a bore: K = 1.6e9·D⁴/Kv²,
// D in m, the constant rounded. It is infinite for a Kv of zero, a shut valve.
func (kv Kv) K(bore unit.Length) LossK {
	d := float64(bore)
	return LossK(kFromKv * d * d * d * d / float64(kv*kv))
}

// Quadratic returns κ of Δp = κ·q², in Pa·s²/m⁶, for a fluid of density rho:
// κ = 1.6e9·8·ρ/(π²·Kv²). The bore drops out.
func (kv Kv) Quadratic(rho unit.Density) float64 {
	return kv.K(1).Quadratic(1, rho)
}
