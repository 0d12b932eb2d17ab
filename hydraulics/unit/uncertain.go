package unit

import (
	"fmt"
	"math"
	"strconv"
)

// Uncertain is a quantity and how far it could be off. The zero SD means that
// nothing was told of it, not that the value is exact.
type Uncertain[Q Quantity] struct {
	Value Q
	SD    float64 // one standard deviation, ≥ 0, in the SI unit of Q; of a temperature, kelvins
	Text  string  // as it was told; empty where it was computed
}

// Interval returns the 95 % interval, two standard deviations either side.
func (u Uncertain[Q]) Interval() (low, high Q) {
	return Q(float64(u.Value) - 2*u.SD), Q(float64(u.Value) + 2*u.SD)
}

// String returns u in the unit natural to it in the US, as [Uncertain.In] does.
func (u Uncertain[Q]) String() string { return u.In(US, shownDigits) }

// In returns u for people, "30 ± 4 psi", the value to so many significant
// digits and the half width of its 95 % interval to two.
func (u Uncertain[Q]) In(s System, digits int) string {
	if u.SD == 0 {
		return s.Format(u.Value, digits)
	}
	in := UnitFor(s, u.Value)
	half := significant(2*u.SD/in.m.scale, 2)
	x := significant(in.Of(u.Value), digits)
	return x + " ± " + half + " " + in.m.plural(x)
}

// MarshalText returns u.Text as long as it still says what u holds. A changed
// value is written in the unit it had ([Rewrite]), a changed or computed
// standard deviation in SI units, so that reading it again returns u.
func (u Uncertain[Q]) MarshalText() ([]byte, error) {
	text, err := marshal(u.Value)
	if err != nil {
		return nil, err
	}
	if half := 2 * u.SD; !finite(half) || half < 0 {
		return nil, fmt.Errorf("unit: a standard deviation of %v cannot be written", u.SD)
	} else if half != 0 {
		k, _ := u.Value.measured()
		text = append(text, " ± "+number(half)+" "+k.units[0].symbol...)
	}
	if u.Text != "" {
		if kept := Rewrite(u.Text, u.Value); u.isToldBy(kept) {
			return []byte(kept), nil
		}
	}
	return text, nil
}

func (u Uncertain[Q]) isToldBy(text string) bool {
	v, err := Parse[Q](text)
	return err == nil && same(float64(v.Value), float64(u.Value)) && v.SD == u.SD
}

// UnmarshalText is [Parse].
func (u *Uncertain[Q]) UnmarshalText(text []byte) error {
	v, err := Parse[Q](string(text))
	if err != nil {
		return err
	}
	*u = v
	return nil
}

// same reports whether a and b are one float64, bit for bit.
func same(a, b float64) bool { return math.Float64bits(a) == math.Float64bits(b) }

// number writes x in the shortest digits that return it.
func number(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
