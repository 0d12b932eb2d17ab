package unit

import (
	"math"
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
		// x itself may be off by what the division, or the shift of a scale, lost.
		step := math.Nextafter(math.Abs(x), math.Inf(1)) - math.Abs(x)
		if m.toK != nil {
			step = max(step, (math.Nextafter(v, math.Inf(1))-v)/4)
		}
		for i := 1.0; i <= 8; i++ {
			if !yield(plain(x+i*step)) || !yield(plain(x-i*step)) {
				return
			}
		}
		if !finite(v) || v == 0 {
			return
		}
		long := m.long(v)
		// Zeros are written out: it takes more than 17 digits for Parse to heed them all.
		point := int(math.Floor(math.Log10(math.Abs(x)))) + 1
		for d := 18; d <= 25; d++ {
			text := long.Text('e', d-1)
			if -5 < point && point < 16 {
				text = long.Text('f', d-point)
			}
			if !yield(text) {
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
