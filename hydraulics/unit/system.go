package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// A System is the habit in which quantities are shown. It has no say in what
// is read, or in what is computed.
type System int

const (
	US     System = iota // psi, gpm, gal, cups, fl oz, ft, in, °F
	Metric               // bar, L/min, mL, m, mm, °C
)

// String returns "us" or "metric".
func (s System) String() string {
	if s == Metric {
		return "metric"
	}
	return "us"
}

// MarshalText returns what String does; with UnmarshalText it serves
// flag.TextVar and files.
func (s System) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads "us" or "metric".
func (s *System) UnmarshalText(text []byte) error {
	switch strings.ToLower(strings.TrimSpace(string(text))) {
	case "us":
		*s = US
	case "metric":
		*s = Metric
	default:
		return fmt.Errorf("units %q: want us or metric", clip(string(text)))
	}
	return nil
}

// shownDigits is what String shows: more than any gauge does, and few enough
// to hide the last bit.
const shownDigits = 4

// Format returns q for people: rounded to so many significant digits (two
// where digits ≤ 0), without trailing zeros, in the unit natural to its size
// and to the system.
func (s System) Format(q Any, digits int) string {
	k, v := q.measured()
	m := k.natural(s, v)
	x := significant(m.of(v), digits)
	return x + " " + m.plural(x)
}

// A Unit is what one column of a table, or one axis, is shown in.
type Unit[Q Quantity] struct{ m measure }

// UnitFor returns the unit natural to the largest of the values.
func UnitFor[Q Quantity](s System, values ...Q) Unit[Q] {
	k, _ := Q(0).measured()
	largest := 0.0
	for _, v := range values {
		if a := math.Abs(float64(v)); a > largest {
			largest = a
		}
	}
	return Unit[Q]{k.natural(s, largest)}
}

// Symbol returns the unit as a heading shows it: "psi", "fl oz", "cups".
func (u Unit[Q]) Symbol() string { return u.m.plural("") }

// Of returns q as a number of this unit.
func (u Unit[Q]) Of(q Q) float64 { return u.m.of(float64(q)) }

// From returns the quantity that is x of this unit.
func (u Unit[Q]) From(x float64) Q { return Q(u.m.si(count{hi: x})) }

// Format returns q in this unit to so many significant digits, as
// [System.Format] does.
func (u Unit[Q]) Format(q Q, digits int) string {
	x := significant(u.Of(q), digits)
	return x + " " + u.m.plural(x)
}

// natural returns the unit in which s shows a value of that size.
func (k *kind) natural(s System, v float64) measure {
	rungs := k.show[US]
	if s == Metric {
		rungs = k.show[Metric]
	}
	i := 0
	// The slack keeps a value that should be on a rung from falling off it by its last bits.
	for i < len(rungs)-1 && v != 0 && !(math.Abs(v) >= rungs[i].from*(1-1e-9)) {
		i++
	}
	m, _ := k.listed(rungs[i].symbol)
	return m
}

var printers = strings.NewReplacer("2", "²", "3", "³", "um", "µm", "Pa s", "Pa·s")

// plural returns the symbol, as printed, that goes with a number's text.
func (m measure) plural(number string) string {
	if m.many != "" && number != "1" {
		return m.many
	}
	return printers.Replace(m.symbol)
}

// significant rounds x to so many digits and leaves out trailing zeros.
func significant(x float64, digits int) string {
	if !finite(x) {
		return fmt.Sprint(x)
	}
	if digits <= 0 {
		digits = 2
	}
	rounded, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'e', digits-1, 64), 64)
	if rounded == 0 {
		return "0" // never -0
	}
	return plain(rounded)
}
