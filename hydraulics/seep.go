package hydraulics

import (
	"math"

	"quietpump/hydraulics/unit"
)

// A Seep is a small flow through a part that should be tight:
//
//	q = Ref·(Δp/At)ⁿ, odd in Δp
//
// The zero Seep is a tight part.
type Seep struct {
	Ref unit.Flow     // flow at At, ≥ 0
	At  unit.Pressure // where Ref was measured; zero means 45 psi
	Exp float64       // n, 0.5 to 1.5; zero means 0.5, an orifice
}

// Tight reports whether nothing passes.
func (s Seep) Tight() bool { return s.Ref == 0 }

// Flow returns the flow at a pressure drop dp, with the sign of dp.
func (s Seep) Flow(dp unit.Pressure) unit.Flow {
	at, n := s.At, s.Exp
	if at == 0 {
		at = 45 * unit.PSI
	}
	if n == 0 {
		n = 0.5
	}
	q := float64(s.Ref) * math.Pow(math.Abs(float64(dp/at)), n)
	return unit.Flow(math.Copysign(q, float64(dp)))
}
