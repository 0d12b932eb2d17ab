package unit

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"unicode"
)

// A ParseError says what was to be read, the text as it was given, and what
// is wrong with it.
type ParseError struct {
	What string // "pressure"
	Text string
	Why  string
}

// Error returns what was to be read, the text in quotes, and what is wrong with it.
func (e *ParseError) Error() string { return fmt.Sprintf("%s %q: %s", e.What, clip(e.Text), e.Why) }

// longest is more than anyone writes for one quantity.
const longest = 200

func clip(text string) string {
	if len(text) > longest {
		return strings.ToValidUTF8(text[:longest/4], "") + "…"
	}
	return text
}

// Parse reads a quantity as people write it: a number, its unit, and perhaps
// how far it could be off.
//
//	30 psi    2.5 gpm    1/2 in    3 1/2 in    5'6"    ¼ cup    140 F    60 °C
//	30 psi ± 4    30 psi +/- 4 psi    30 ± 4 psi    30 psi ± 10 %
//	a teaspoon a minute    2 cups/h    half a cup every ten minutes    60 drips/min
//
// Case and spaces matter only between mPa and MPa. What follows ± is the half
// width of the 95 % interval, two standard deviations; after a temperature it
// is a difference, and never a percentage. A count of drips carries its own
// doubt, see [Drip]. Gauge pressures are psi, bar, kPa, Pa; absolute ones
// psia, bar abs, kPa abs, Pa abs, and neither is read for the other. The value
// of "45 psi" is 45*PSI, bit for bit.
//
// A missing or unknown unit, NaN, infinity, a number beyond float64, a comma
// in a number and what lies below vacuum or absolute zero are refused with a
// [*ParseError].
func Parse[Q Quantity](text string) (Uncertain[Q], error) {
	k, _ := Q(0).measured()
	r, err := k.read(text)
	if err != nil {
		return Uncertain[Q]{}, &ParseError{k.name, text, err.Error()}
	}
	return Uncertain[Q]{Value: Q(r.value), SD: r.sd, Text: text}, nil
}

// A reading is a text taken apart.
type reading struct {
	amount
	sd        float64
	told      bool   // whether a tolerance was written
	tolerance string // as written, from its sign on
}

// An amount is a value with the unit it was written in.
type amount struct {
	value  float64 // SI
	unit   measure
	suffix string // what followed the number
	sum    bool   // written in several units, of which unit is the first
}

var (
	errNoNumber = errors.New("want a number, then a unit")
	errSize     = errors.New("number too large or too small")
)

// read reads a value of k and its tolerance.
func (k *kind) read(text string) (r reading, err error) {
	if len(text) > longest {
		return r, fmt.Errorf("longer than %d bytes", longest)
	}
	if strings.TrimSpace(text) == "" {
		return r, fmt.Errorf("empty (want a number and %s)", k.want)
	}
	left, right, told := cutTolerance(text)
	r.told, r.tolerance = told, strings.TrimPrefix(text, left)
	r.amount, err = k.amount(left)
	if err != nil && told {
		// "30 ± 4 psi": the unit stands behind both.
		_, between, okLeft := readCount(left)
		_, behind, okRight := readCount(right)
		if okLeft && okRight && strings.TrimSpace(between) == "" {
			if both, errBoth := k.amount(strings.TrimRightFunc(left, unicode.IsSpace) + behind); errBoth == nil {
				r.amount, err = both, nil
			}
		}
	}
	if err != nil {
		return r, err
	}
	if told {
		half, err := k.tolerance(r.amount, right)
		if err != nil {
			return r, err
		}
		r.sd = half / 2
	}
	if s := r.unit.spread; s > 0 {
		r.sd = math.Hypot(r.sd, s*r.value)
	}
	if !finite(r.sd) {
		return r, errSize
	}
	return r, nil
}

// cutTolerance parts a text before and after its first ±.
func cutTolerance(text string) (left, right string, found bool) {
	at, size := len(text), 0
	for _, sign := range []string{"±", "+/-", "+-", "plus or minus"} {
		if i := strings.Index(text, sign); i >= 0 && i < at {
			at, size = i, len(sign)
		}
	}
	return text[:at], text[at+size:], size > 0
}

// amount reads a number and its unit, or a sum of them such as 5 ft 6 in.
func (k *kind) amount(text string) (amount, error) {
	n, rest, ok := readCount(text)
	if !ok || n.lost {
		if !finite(n.hi) || n.lost {
			return amount{}, errSize
		}
		if _, ok := k.unit(text); ok {
			return amount{}, errors.New("missing number before the unit")
		}
		return amount{}, errNoNumber
	}
	if strings.HasPrefix(rest, ",") {
		return amount{}, errors.New("comma in a number; write 0.5 for a half, 1000 for a thousand")
	}
	m, ok := k.unit(rest)
	if !ok && k.sums {
		if a, ok := k.sum(n, rest); ok {
			return a, k.possible(n, a.value)
		}
	}
	if !ok {
		return amount{}, k.explain(rest)
	}
	v := m.si(n)
	return amount{value: v, unit: m, suffix: rest}, k.possible(n, v)
}

// possible reports values that cannot be meant or held.
func (k *kind) possible(n count, v float64) error {
	if !finite(v) || v == 0 && n.hi != 0 && k != &temperatures {
		return errSize
	}
	if k.aboveZero && v < 0 {
		switch k {
		case &temperatures:
			return errors.New("below absolute zero")
		case &absPressures:
			return errors.New("below vacuum")
		}
		return errors.New("negative")
	}
	return nil
}

// sum reads on after the number n: "ft 6 in", each unit smaller than the one
// before, the sign of the first holding for all.
func (k *kind) sum(n count, rest string) (a amount, ok bool) {
	sign, last := math.Copysign(1, n.hi), math.Inf(1)
	for {
		end := strings.IndexFunc(rest, startsNumber)
		if end < 0 {
			end = len(rest)
		}
		m, ok := k.listed(rest[:end])
		if !ok || !(m.scale < last) {
			return amount{}, false
		}
		if !a.sum {
			a = amount{value: m.si(n), unit: m, suffix: rest[:end], sum: true}
		} else {
			a.value += float64(sign * m.si(n))
		}
		if end == len(rest) {
			return a, true
		}
		last = m.scale
		if n, rest, ok = readCount(rest[end:]); !ok {
			return amount{}, false
		}
	}
}

func startsNumber(r rune) bool { return '0' <= r && r <= '9' || vulgar[r] != 0 }

// tolerance reads what stands behind ± and returns it in SI units.
func (k *kind) tolerance(of amount, text string) (float64, error) {
	n, rest, ok := readCount(text)
	if !ok || n.hi < 0 || n.lost {
		return 0, errors.New("want a number after ±, not below zero")
	}
	rest = strings.TrimSpace(rest)
	scale := of.unit.scale
	switch {
	case rest == "%" || rest == "percent":
		if k == &temperatures {
			return 0, errors.New("a percentage of a temperature depends on where its scale begins; write degrees")
		}
		return n.hi / 100 * math.Abs(of.value), nil
	case rest != "":
		m, ok := k.unit(rest)
		if !ok {
			return 0, fmt.Errorf("after ±: %w", k.explain(rest))
		}
		scale = m.scale
	case of.sum:
		return 0, errors.New("missing unit after ±")
	}
	return measure{scale: scale}.si(n), nil
}

// marshal writes v in its SI unit.
func marshal[Q Quantity](v Q) ([]byte, error) {
	k, x := v.measured()
	if !finite(x) || k.aboveZero && x < 0 {
		return nil, fmt.Errorf("unit: a %s of %v %s cannot be written", k.name, x, k.units[0].symbol)
	}
	return []byte(number(x) + " " + k.units[0].symbol), nil
}

// unmarshal reads a value that stands alone.
func unmarshal[Q Quantity](v *Q, text []byte) error {
	k, _ := (*v).measured()
	r, err := k.read(string(text))
	if err == nil && r.told {
		err = errors.New("a tolerance has no place here; write the value alone")
	}
	if err != nil {
		return &ParseError{k.name, string(text), err.Error()}
	}
	*v = Q(r.value)
	return nil
}
