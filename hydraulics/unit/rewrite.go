package unit

import (
	"math"
	"math/big"
	"strconv"
	"strings"
	"unicode"
)

// Rewrite returns a text that [Parse] reads as exactly value, in the unit that
// old was written in; a tolerance in old stays as it stands. If old already
// says value it is returned unchanged. The value is written with the fewest
// digits that return it, which may be up to 25. A sum such as 5 ft 6 in is
// written in its first unit.
//
// Where old is no quantity, or its unit cannot hold the value (a temperature
// within rounding of absolute zero, given in °F), the text is in SI units.
func Rewrite[Q Quantity](old string, value Q) string {
	k, v := value.measured()
	r, err := k.read(old)
	if err != nil {
		return inSI(value)
	}
	if same(r.value, v) {
		return old
	}
	tail := r.suffix
	if r.told {
		tail = strings.TrimRightFunc(tail, unicode.IsSpace) + " " + r.tolerance
	}
	for digits := range candidates(r.unit, v) {
		if text := digits + tail; readsAs(k, text, v) {
			return text
		}
	}
	return inSI(value)
}

func inSI[Q Quantity](value Q) string {
	text, err := marshal(value)
	if err != nil {
		k, v := value.measured()
		return number(v) + " " + k.units[0].symbol
	}
	return string(text)
}

func readsAs(k *kind, text string, v float64) bool {
	r, err := k.read(text)
	return err == nil && same(r.value, v)
}

// candidates yields numbers of m near the SI value v, shortest first.
func candidates(m measure, v float64) func(yield func(string) bool) {
	return func(yield func(string) bool) {
		x := m.of(v)
		for d := range 17 {
			near, err := strconv.ParseFloat(strconv.FormatFloat(x, 'e', d, 64), 64)
			if err == nil && !yield(plain(near)) {
				return
			}
		}
		for _, to := range []float64{math.Inf(-1), math.Inf(1)} {
			for near, i := x, 0; i < 4; i++ {
				near = math.Nextafter(near, to)
				if !yield(plain(near)) {
					return
				}
			}
		}
		if m.toK != nil || !finite(v) {
			return
		}
		long := new(big.Float).SetPrec(160).SetFloat64(v)
		long.Quo(long, big.NewFloat(m.scale))
		for d := 18; d <= 25; d++ {
			if !yield(long.Text('g', d)) {
				return
			}
		}
	}
}

// plain writes x without an exponent where people would.
func plain(x float64) string {
	if a := math.Abs(x); a == 0 || 1e-5 <= a && a < 1e15 {
		return strconv.FormatFloat(x, 'f', -1, 64)
	}
	return number(x)
}
