package unit

import "math/big"

// of returns the SI value v as a number of m.
func (m measure) of(v float64) float64 {
	if m.fromK != nil {
		return m.fromK(Temperature(v))
	}
	return v / m.scale
}

// si returns n of m in SI units. A long number is rounded once, at the end.
func (m measure) si(n count) float64 {
	switch {
	case n.long != nil:
		x := new(big.Float).SetPrec(precision).Sub(n.long, big.NewFloat(m.freeze))
		x.Mul(x, big.NewFloat(m.scale))
		v, _ := x.Add(x, big.NewFloat(m.zero())).Float64()
		return v
	case m.toK != nil:
		return float64(m.toK(n.hi))
	}
	return n.hi * m.scale
}

// long returns what si turns into v, to 48 digits.
func (m measure) long(v float64) *big.Float {
	x := new(big.Float).SetPrec(precision).Sub(big.NewFloat(v), big.NewFloat(m.zero()))
	x.Quo(x, big.NewFloat(m.scale))
	return x.Add(x, big.NewFloat(m.freeze))
}

// zero returns the SI value from which m counts, but for freeze.
func (m measure) zero() float64 {
	if m.toK != nil {
		return 273.15
	}
	return 0
}
