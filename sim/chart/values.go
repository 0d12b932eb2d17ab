package chart

import (
	"math"
	"strconv"
	"time"

	"quietpump/hydraulics/unit"
)

// Values are numbers of one kind along an axis or over a map, each with its unit.
// [Quantities], [Times] and [Numbers] make them.
type Values struct {
	list  []float64 // in SI units
	scale func(sys unit.System, near float64) scale
}

// Quantities are values of a quantity, shown in the reader's units.
func Quantities[Q unit.Quantity](list ...Q) Values {
	v := Values{list: make([]float64, len(list)), scale: quantityScale[Q]}
	for i, q := range list {
		v.list[i] = float64(q)
	}
	return v
}

// Times are durations, shown as people count them.
func Times(list ...time.Duration) Values {
	v := Values{list: make([]float64, len(list)), scale: clockScale}
	for i, t := range list {
		v.list[i] = t.Seconds()
	}
	return v
}

// Numbers are counts or shares; their unit is whatever stands behind the number,
// such as "starts a day" or "%".
func Numbers(symbol string, list ...float64) Values {
	return Values{list: append([]float64(nil), list...), scale: func(unit.System, float64) scale {
		same := func(x float64) float64 { return x }
		return scale{of: same, from: same, digits: 12, format: func(x float64, digits int) string {
			if symbol == "" {
				return rounded(x, digits)
			}
			return rounded(x, digits) + " " + symbol
		}}
	}}
}

// Len is the number of values.
func (v Values) Len() int { return len(v.list) }

// Say is the i-th value for people, to two figures.
func (v Values) Say(i int, sys unit.System) string {
	s := v.scale(sys, v.list[i])
	return s.format(s.of(v.list[i]), 2)
}

// span is the least and the largest of the values that are numbers.
func (v Values) span() (lo, hi float64, ok bool) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, x := range v.list {
		if finite(x) {
			lo, hi = math.Min(lo, x), math.Max(hi, x)
		}
	}
	return lo, hi, lo <= hi
}

// A scale shows values of one kind in one unit.
type scale struct {
	of, from func(float64) float64 // SI to shown, and back
	format   func(shown float64, digits int) string
	digits   int  // what a tick may need
	clock    bool // shown in seconds, labelled as people count time
}

func quantityScale[Q unit.Quantity](sys unit.System, near float64) scale {
	u := unit.UnitFor(sys, Q(near))
	return scale{
		of:     func(x float64) float64 { return u.Of(Q(x)) },
		from:   func(x float64) float64 { return float64(u.From(x)) },
		format: func(x float64, digits int) string { return u.Format(u.From(x), digits) },
		digits: 9,
	}
}

func clockScale(unit.System, float64) scale {
	same := func(x float64) float64 { return x }
	return scale{of: same, from: same, format: func(x float64, _ int) string { return said(x) }, digits: 12, clock: true}
}

// said is a time in the one unit that suits its size: tenths of a second up to
// ten, then two figures or all of the whole part.
func said(s float64) string {
	const minute, hour, day = 60, 3600, 86400
	switch a := math.Abs(s); {
	case a == 0:
		return "0 s"
	case a < 10:
		return rounded(s, 2) + " s"
	case math.Round(a) < 2*minute:
		return rounded(math.Round(s), 3) + " s"
	case a < 2*hour:
		return rounded(s/minute, max(2, wholeDigits(s/minute))) + " min"
	case a < 2*day:
		return rounded(s/hour, 2) + " h"
	}
	return rounded(s/day, max(2, wholeDigits(s/day))) + " days"
}

// clockTick is a time on an axis whose ticks are a step apart and end at hi, s.
// All of them are in one unit.
func clockTick(s, step, hi float64) string {
	const minute, hour, day = 60, 3600, 86400
	switch {
	case step >= day || step >= day/2 && hi > 2*day:
		return rounded(s/day, 6) + " d"
	case step >= hour || step >= hour/2 && hi > 2*hour:
		return rounded(s/hour, 6) + " h"
	case step >= minute || step >= minute/2 && hi > 2*minute:
		return rounded(s/minute, 6) + " min"
	}
	return rounded(s, 6) + " s"
}

func wholeDigits(x float64) int { return len(strconv.FormatFloat(math.Abs(math.Trunc(x)), 'f', 0, 64)) }

// rounded writes x to so many figures, without trailing zeros.
func rounded(x float64, digits int) string {
	if !finite(x) {
		return strconv.FormatFloat(x, 'g', -1, 64)
	}
	r, _ := strconv.ParseFloat(strconv.FormatFloat(x, 'e', max(digits, 1)-1, 64), 64)
	if r == 0 {
		return "0"
	}
	return strconv.FormatFloat(r, 'f', -1, 64)
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// A Tick is a place on an axis that is drawn by other hands, and its label.
type Tick struct {
	At    float64
	Label string
}

// In returns the values as numbers of the one unit that is natural to the
// largest, and the ticks of an axis from lo to hi in that unit, at most so many:
// for charts drawn by other hands.
func (v Values) In(sys unit.System) (shown []float64, ticks func(lo, hi float64, log bool, most int) []Tick) {
	lo, hi, _ := v.span()
	s := v.scale(sys, math.Max(math.Abs(lo), math.Abs(hi)))
	shown = make([]float64, len(v.list))
	for i, x := range v.list {
		shown[i] = s.of(x)
	}
	return shown, func(lo, hi float64, log bool, most int) []Tick {
		var out []Tick
		for _, t := range (axis{lo: s.from(lo), hi: s.from(hi), log: log, scale: s}).ticks(most) {
			out = append(out, Tick{s.of(t.value), t.label})
		}
		return out
	}
}
